package evidence

import (
	"cmp"
	"math"
	"slices"
)

// effort is how many steps an exact count of all ways may take; beyond it the normal distribution stands in, which so
// many valves allow.
const effort = 2_000_000

// tails are the shares of all ways to take n of the scores, each as likely as the other, in which they add up to at
// least sum and to at most sum. Scores are doubled ranks, or sums of such. Every way is counted where that costs
// little; else exact is false, and the shares are those of the normal distribution with the mean and the variance of a
// sample without replacement.
//
// Source: permutation test, Fisher, The Design of Experiments, 1935; for scores of 0 and 1 it is Fisher's exact test,
// for ranks the test of Wilcoxon 1945 and of Mann and Whitney 1947 with ties as they are.
func (p pool) tails(n, sum int) (atLeast, atMost float64, exact bool) {
	all := len(p.scores)
	low := p.sorted[0] // shifted so that the least is nil
	few := min(n, all-n)
	span := few * (p.sorted[all-1] - low)
	if float64(all)*float64(few)*float64(span+1) > effort {
		atLeast, atMost = p.normalTails(n, sum)
		return atLeast, atMost, false
	}
	if few < n { // the others are fewer, and their sum says the same
		total := 0
		for _, s := range p.scores {
			total += s
		}
		atMost, atLeast, exact = p.tails(few, total-sum)
		return atLeast, atMost, exact
	}
	// ways[taken][s] is the chance to hold so many of the scores seen so far, adding up to s, when each way is as likely
	ways := make([][]float64, n+1)
	for i := range ways {
		ways[i] = make([]float64, span+1)
	}
	ways[0][0] = 1
	for seen, score := range p.scores {
		left := float64(all - seen)
		for taken := min(seen, n); taken >= 0; taken-- {
			take := float64(n-taken) / left
			for s, chance := range ways[taken] {
				if chance == 0 {
					continue
				}
				if to := s + score - low; taken < n && to <= span {
					ways[taken+1][to] += chance * take
				}
				ways[taken][s] = chance * (1 - take)
			}
		}
	}
	for s, chance := range ways[n] {
		if s >= sum-n*low {
			atLeast += chance
		}
		if s <= sum-n*low {
			atMost += chance
		}
	}
	return math.Min(1, atLeast), math.Min(1, atMost), true
}

// pool is a set of scores that samples are drawn from, made ready for many questions.
type pool struct {
	scores, sorted []int
	mean, square   float64 // the mean, and the sum of squares about it
	// by number of scores, the least chance of a question about them: many ask about as many
	least map[int]float64
}

func newPool(scores []int) pool {
	p := pool{scores: scores, sorted: slices.Sorted(slices.Values(scores)), least: map[int]float64{}}
	for _, s := range scores {
		p.mean += float64(s) / float64(len(scores))
	}
	for _, s := range scores {
		p.square += (float64(s) - p.mean) * (float64(s) - p.mean)
	}
	return p
}

func (p pool) normalTails(n, sum int) (atLeast, atMost float64) {
	all := float64(len(p.scores))
	variance := float64(n) * (all - float64(n)) / (all * (all - 1)) * p.square
	if !(variance > 0) {
		return 1, 1
	}
	off := float64(sum) - float64(n)*p.mean
	upper := func(x float64) float64 { return math.Erfc(x/math.Sqrt(2*variance)) / 2 }
	return upper(off - 1), upper(-off - 1) // half a step: sums of doubled ranks go in twos
}

// leastTail is the smallest chance that n of the scores can have: that of the n largest, or of the n smallest where
// either counts. All questions about one pool ask in the same way.
func (p pool) leastTail(n int, either bool) float64 {
	if known, ok := p.least[n]; ok {
		return known
	}
	low, high := 0, 0
	for i := range n {
		low, high = low+p.sorted[i], high+p.sorted[len(p.sorted)-1-i]
	}
	least, _, _ := p.tails(n, high)
	if either {
		_, q, _ := p.tails(n, low)
		least = math.Min(1, 2*math.Min(least, q))
	}
	p.least[n] = least
	return least
}

// doubled are twice the ranks of what overhauls showed, ties sharing their mean, less twice the mean rank: whole
// numbers that add up to nil.
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

// within is the number of questions that one answer must be held against: those that could be answered at all by as
// many valves as there are. A question of three valves whose smallest chance is one in six cannot be answered, and
// asking it costs the others nothing.
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
