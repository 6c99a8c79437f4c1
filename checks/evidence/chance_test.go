package evidence

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"needlebook/checks/internal/referee"
)

func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if math.Abs(got-want) > rel*math.Abs(want) {
		t.Errorf("%s: %.12g, want %.12g", what, got, want)
	}
}

func shown(values []float64) []seen {
	all := make([]seen, len(values))
	for i, v := range values {
		all[i].value = v
	}
	return all
}

// The lady who tasted tea: of eight cups, four with the milk first, she named three of four rightly, then all. Source: R. A. Fisher, The
// Design of Experiments, 1935, chapter II: one in 70 for all four, 17 in 70 for at least three.
func TestLadyTastingTea(t *testing.T) {
	near(t, "at least three of four", fisher(3, 4, 4, 8), 17.0/70, 1e-12)
	near(t, "all four", fisher(4, 4, 4, 8), 1.0/70, 1e-12)
	cups := []int{1, 1, 1, 1, 0, 0, 0, 0}
	atLeast, _, exact := newPool(cups).tails(4, 3)
	if near(t, "the same by counting every way", atLeast, 17.0/70, 1e-12); !exact {
		t.Error("eight cups are not counted exactly")
	}
}

// Critical values of the rank sum: of 5 against 5 without ties, U of at most 2 has the two-sided chance 8 in 252. Source: Mann and Whitney
// 1947, Annals of Mathematical Statistics 18, 50, table I gives .016 one-sided for U = 2, n = m = 5 (from memory).
func TestRankSumOfMannAndWhitney(t *testing.T) {
	values := []float64{1, 2, 3, 4, 7, 5, 6, 8, 9, 10} // the first five have rank sum 17: U = 17 - 15 = 2
	scores := doubled(shown(values))
	sum := 0
	for _, s := range scores[:5] {
		sum += s
	}
	_, atMost, _ := newPool(scores).tails(5, sum)
	near(t, "U of at most 2", atMost, 4.0/252, 1e-12)
	if math.Round(1000*atMost) != 16 {
		t.Errorf("one-sided chance %.4f, the table says .016", atMost)
	}
}

// Counting every way and adding up all ways by hand agree, and the other tail follows. No outside source: the definition.
func TestTailsCountEveryWay(t *testing.T) {
	dice := rand.New(rand.NewPCG(7, 7))
	for range 40 {
		scores := make([]int, 2+dice.IntN(8))
		for i := range scores {
			scores[i] = dice.IntN(7) - 3
		}
		n := 1 + dice.IntN(len(scores)-1)
		sum := dice.IntN(9) - 4
		ways, least, most := 0, 0, 0
		for set := range 1 << len(scores) {
			taken, total := 0, 0
			for i, s := range scores {
				if set>>i&1 == 1 {
					taken, total = taken+1, total+s
				}
			}
			if taken != n {
				continue
			}
			ways++
			if total >= sum {
				least++
			}
			if total <= sum {
				most++
			}
		}
		atLeast, atMost, exact := newPool(scores).tails(n, sum)
		if want := float64(least) / float64(ways); !exact || math.Abs(atLeast-want) > 1e-12 {
			t.Errorf("tails(%v, %d, %d) at least %v, want %v", scores, n, sum, atLeast, want)
		}
		if want := float64(most) / float64(ways); math.Abs(atMost-want) > 1e-12 {
			t.Errorf("tails(%v, %d, %d) at most %v, want %v", scores, n, sum, atMost, want)
		}
	}
}

// Four questions of which one can never be answered: the others are held against three. Source: Tarone 1990, the rule itself.
func TestWithinCountsWhatCanBeAnswered(t *testing.T) {
	for _, x := range []struct {
		least []float64
		want  int
	}{{nil, 1}, {[]float64{0.5}, 1}, {[]float64{0.001, 0.001, 0.001, 0.5}, 3}, {[]float64{0.02, 0.02, 0.02, 0.02}, 3}, {[]float64{0.001, 0.001}, 2}} {
		if got := within(x.least, 0.05); got != x.want {
			t.Errorf("within(%v) = %d, want %d", x.least, got, x.want)
		}
	}
}

// The same numbers as R gives, on tables and values made at random: fisher.test, and wilcox.test without ties.
func TestChancesAgainstR(t *testing.T) {
	dice := rand.New(rand.NewPCG(20, 24))
	var script strings.Builder
	var ours []float64
	for range 30 {
		all := 6 + dice.IntN(60)
		n, total := 1+dice.IntN(all-1), dice.IntN(all+1)
		low, high := max(0, n+total-all), min(n, total)
		bad := low + dice.IntN(high-low+1)
		fmt.Fprintf(&script, "say(fisher.test(matrix(c(%d,%d,%d,%d),2),alternative='greater')$p.value)\n", bad, n-bad, total-bad, all-n-total+bad)
		ours = append(ours, fisher(bad, n, total, all))
	}
	for range 20 {
		values := make([]float64, 6+dice.IntN(30))
		for i := range values {
			values[i] = dice.NormFloat64()
		}
		n := 2 + dice.IntN(len(values)-3)
		scores, sum := doubled(shown(values)), 0
		for _, s := range scores[:n] {
			sum += s
		}
		fmt.Fprintf(&script, "say(wilcox.test(c(%s),c(%s),exact=TRUE)$p.value)\n", referee.Vector(values[:n]), referee.Vector(values[n:]))
		high, low, exact := newPool(scores).tails(n, sum)
		if !exact {
			t.Fatalf("%d values are not counted exactly", len(values))
		}
		ours = append(ours, math.Min(1, 2*math.Min(high, low)))
	}
	theirs := referee.R(t, script.String())
	if len(theirs) != len(ours) {
		t.Fatalf("R answered %d of %d questions", len(theirs), len(ours))
	}
	for i, want := range theirs {
		near(t, fmt.Sprintf("question %d", i), ours[i], want, 1e-9)
	}
}

// With ties, and where the normal distribution stands in, against SciPy: permutation_test over every way, and mannwhitneyu by the normal
// distribution with the continuity correction and the ties allowed for.
func TestRankSumAgainstSciPy(t *testing.T) {
	dice := rand.New(rand.NewPCG(3, 4))
	var script strings.Builder
	var ours []float64
	for i := range 8 {
		values := make([]float64, 9+dice.IntN(4))
		if i >= 4 {
			values = make([]float64, 400)
		}
		for i := range values {
			values[i] = float64(5 * dice.IntN(6)) // ties, as readings in fives have
		}
		n := 4
		if i >= 4 {
			n = 150
		}
		scores, sum := doubled(shown(values)), 0
		for _, s := range scores[:n] {
			sum += s
		}
		high, low, exact := newPool(scores).tails(n, sum)
		ours = append(ours, math.Min(1, 2*math.Min(high, low)))
		if i < 4 {
			fmt.Fprintf(&script, "r=st.rankdata([%s]); say(st.permutation_test((r[:4],r[4:]),lambda a,b,axis=0: np.sum(a,axis=axis),vectorized=True,n_resamples=np.inf,alternative='two-sided').pvalue)\n", referee.Vector(values))
		} else {
			fmt.Fprintf(&script, "v=[%s]; say(st.mannwhitneyu(v[:%d],v[%d:],method='asymptotic').pvalue)\n", referee.Vector(values), n, n)
		}
		if exact != (i < 4) {
			t.Errorf("%d values: exact %v", len(values), exact)
		}
	}
	theirs := referee.SciPy(t, script.String())
	if len(theirs) != len(ours) {
		t.Fatalf("SciPy answered %d of %d questions", len(theirs), len(ours))
	}
	for i, want := range theirs {
		near(t, fmt.Sprintf("rank sum %d", i), ours[i], want, 1e-6)
	}
}
