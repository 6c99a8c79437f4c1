package evidence

import (
	"cmp"
	"math"
	"slices"
)

// effort is how many steps an exact count of all ways may take; beyond it the normal distribution stands in, which so many valves allow.
const effort = 2_000_000

// tails are the shares of all ways to take n of the scores, each as likely as the other, in which they add up to at least sum and to at
// most sum. Scores are doubled ranks, or sums of such. Every way is counted where that costs little; else exact is false, and the shares
// are those of the normal distribution with the mean and the variance of a sample without replacement.
//
// Source: permutation test, Fisher, The Design of Experiments, 1935; for scores of 0 and 1 it is Fisher's exact test, for ranks the test
// of Wilcoxon 1945 and of Mann and Whitney 1947 with ties as they are.
func tails(scores []int, n, sum int) (atLeast, atMost float64, exact bool) {
	all := len(scores)
	if 2*n > all { // the others are fewer, and their sum says the same
		total := 0
		for _, s := range scores {
			total += s
		}
		atMost, atLeast, exact = tails(scores, all-n, total-sum)
		return atLeast, atMost, exact
	}
	low := slices.Min(scores) // shifted so that the least is nil
	span := n * (slices.Max(scores) - low)
	if float64(all)*float64(n)*float64(span+1) > effort {
		atLeast, atMost = normalTails(scores, n, sum)
		return atLeast, atMost, false
	}
	// ways[taken][s] is the chance to hold so many of the scores seen so far, adding up to s, when each way is as likely
	ways := make([][]float64, n+1)
	for i := range ways {
		ways[i] = make([]float64, span+1)
	}
	ways[0][0] = 1
	for seen, score := range scores {
		left := float64(all - seen)
		for taken := min(seen, n); taken >= 0; taken-- {
			take := float64(n-taken) / left
			for s, p := range ways[taken] {
				if p == 0 {
					continue
				}
				if to := s + score - low; taken < n && to <= span {
					ways[taken+1][to] += p * take
				}
				ways[taken][s] = p * (1 - take)
			}
		}
	}
	for s, p := range ways[n] {
		if s >= sum-n*low {
			atLeast += p
		}
		if s <= sum-n*low {
			atMost += p
		}
	}
	return math.Min(1, atLeast), math.Min(1, atMost), true
}

func normalTails(scores []int, n, sum int) (atLeast, atMost float64) {
	all, mean, square := float64(len(scores)), 0.0, 0.0
	for _, s := range scores {
		mean += float64(s) / all
	}
	for _, s := range scores {
		square += (float64(s) - mean) * (float64(s) - mean)
	}
	variance := float64(n) * (all - float64(n)) / (all * (all - 1)) * square
	if variance <= 0 {
		return 1, 1
	}
	off := float64(sum) - float64(n)*mean
	upper := func(x float64) float64 { return math.Erfc(x/math.Sqrt(2*variance)) / 2 }
	return upper(off - 1), upper(-off - 1) // half a step: sums of doubled ranks go in twos
}

// leastTail is the smallest chance that n of the scores can have: that of the n largest, or of the n smallest where either counts.
func leastTail(scores []int, n int, either bool) float64 {
	sorted := slices.Sorted(slices.Values(scores))
	low, high := 0, 0
	for i := range n {
		low, high = low+sorted[i], high+sorted[len(sorted)-1-i]
	}
	p, _, _ := tails(scores, n, high)
	if either {
		_, q, _ := tails(scores, n, low)
		p = math.Min(1, 2*math.Min(p, q))
	}
	return p
}

// doubled are twice the ranks of what openings showed, ties sharing their mean, less twice the mean rank: whole numbers that add up to nil.
func doubled(open []seen) []int {
	order := make([]int, len(open))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(open[a].value, open[b].value) })
	ranks := make([]int, len(open))
	for i := 0; i < len(order); {
		j := i
		for j < len(order) && open[order[j]].value == open[order[i]].value {
			j++
		}
		for _, k := range order[i:j] {
			ranks[k] = i + j - len(open)
		}
		i = j
	}
	return ranks
}

// within is the number of questions that one answer must be held against: those that could be answered at all by as many valves as there
// are. A question of three valves whose smallest chance is one in six cannot be answered, and asking it costs the others nothing.
//
// Source: Tarone 1990, Biometrics 46, 515; least are the smallest chances the questions can have.
func within(least []float64, level float64) int {
	for k := 1; k <= len(least); k++ {
		able := 0
		for _, p := range least {
			if p*float64(k) <= level {
				able++
			}
		}
		if able <= k {
			return k
		}
	}
	return max(1, len(least))
}
