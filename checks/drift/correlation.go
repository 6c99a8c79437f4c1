package drift

import (
	"cmp"
	"errors"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// ErrNoSpread says that one of two quantities has the same value throughout, so that nothing can go along with it.
var ErrNoSpread = errors.New("one quantity has the same value throughout: no correlation can be given")

// Correlation is how far two quantities go together.
type Correlation struct {
	N int
	R float64 // from -1 to 1
	P float64 // chance of at least so much, either way, if they had nothing to do with one another
}

// Pearson returns the correlation of two quantities that go together along a straight line, for at least three pairs, with its chance
// by Student's t. The errors wrap [ErrTooFew] or [ErrNoSpread].
func Pearson(x, y []float64) (Correlation, error) {
	if err := checkPairs(x, y, 3); err != nil {
		return Correlation{}, err
	}
	mx, my := mean(x), mean(y)
	var sxx, syy, sxy float64
	for i := range x {
		dx, dy := x[i]-mx, y[i]-my
		sxx, syy, sxy = sxx+dx*dx, syy+dy*dy, sxy+dx*dy
	}
	if sxx <= 1e-24*mx*mx || syy <= 1e-24*my*my {
		return Correlation{}, ErrNoSpread
	}
	r := math.Max(-1, math.Min(1, sxy/math.Sqrt(sxx)/math.Sqrt(syy)))
	freedom := float64(len(x) - 2)
	t := math.Inf(1)
	if math.Abs(r) < 1 {
		t = r * math.Sqrt(freedom/((1-r)*(1+r)))
	}
	return Correlation{len(x), r, studentTwoSided(t, freedom)}, nil
}

// Kendall returns the rank correlation tau-b of two quantities that rise or fall together in any shape, for at least three pairs. One
// misread value hardly moves it. Its chance is exact up to 33 pairs without ties, else by the normal distribution with ties allowed
// for. The errors wrap [ErrTooFew] or [ErrNoSpread].
//
// Source: Kendall 1938, Biometrika 30, 81, and 1945, Biometrika 33, 239, for ties; the choice of method is SciPy's.
func Kendall(x, y []float64) (Correlation, error) {
	if err := checkPairs(x, y, 3); err != nil {
		return Correlation{}, err
	}
	var agree, against float64
	for i := range x {
		for j := range i {
			switch cmp.Compare(x[i], x[j]) * cmp.Compare(y[i], y[j]) {
			case 1:
				agree++
			case -1:
				against++
			}
		}
	}
	n := float64(len(x))
	pairs := n * (n - 1) / 2
	tx, ty := tiesOf(x), tiesOf(y)
	if tx.pairs == pairs || ty.pairs == pairs {
		return Correlation{}, ErrNoSpread
	}
	c := Correlation{N: len(x), R: (agree - against) / math.Sqrt(pairs-tx.pairs) / math.Sqrt(pairs-ty.pairs)}
	c.R = math.Max(-1, math.Min(1, c.R))
	if tx.pairs == 0 && ty.pairs == 0 && len(x) <= 33 {
		c.P = kendallExact(len(x), int(math.Min(agree, against)))
		return c, nil
	}
	m := n * (n - 1)
	variance := (m*(2*n+5)-tx.weight-ty.weight)/18 + 2*tx.pairs*ty.pairs/m + tx.triples*ty.triples/(9*m*(n-2))
	c.P = 2 * distuv.UnitNormal.CDF(-math.Abs(agree-against)/math.Sqrt(variance))
	return c, nil
}

// ties are the sums over groups of k equal values that the variance of tau needs.
type ties struct{ pairs, triples, weight float64 }

func tiesOf(xs []float64) ties {
	t := ties{weight: tieWeight(xs)}
	for _, k := range groups(xs) {
		t.pairs += k * (k - 1) / 2
		t.triples += k * (k - 1) * (k - 2)
	}
	return t
}

// kendallExact returns the two-sided chance of an order of n with as few as so many pairs the wrong way round (or as many), counting
// the orders by building them up one element at a time.
func kendallExact(n, wrong int) float64 {
	if 4*wrong >= n*(n-1) {
		return 1
	}
	share := make([]float64, wrong+1) // share of all orders with exactly i wrong pairs
	share[0] = 1
	for size := 2; size <= n; size++ {
		next := make([]float64, wrong+1)
		for i := range next {
			for add := 0; add < size && add <= i; add++ {
				next[i] += share[i-add] / float64(size)
			}
		}
		share = next
	}
	sum := 0.0
	for _, s := range share {
		sum += s
	}
	return math.Min(1, 2*sum)
}
