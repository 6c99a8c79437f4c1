package drift

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// MedianLine is a line that one misread value in a handful cannot move.
type MedianLine struct {
	N         int
	Slope     float64  // median of the slopes between all pairs of points at different x
	Intercept float64  // median of y less slope times median of x, one of the two conventions in use
	Interval  Interval // of the slope
}

// MedianFit fits a line by the median of all slopes (Theil and Sen) to at least three points, with the interval of the
// slope at a level such as 0.95. Below five points no set of slopes can reach 0.95; the interval is then infinite. The
// errors wrap [ErrTooFew] or [ErrOneAge].
//
// Source: Sen 1968, Journal of the American Statistical Association 63, 1379, equation 2.6 for the interval, with the
// positions rounded as SciPy's theilslopes does; the intercept is SciPy's default.
func MedianFit(x, y []float64, level float64) (MedianLine, error) {
	if err := checkPairs(x, y, 3); err != nil {
		return MedianLine{}, err
	}
	if err := checkLevel(level); err != nil {
		return MedianLine{}, err
	}
	var slopes []float64
	for i := range x {
		for j := range i {
			if x[i] != x[j] {
				slopes = append(slopes, (y[i]-y[j])/(x[i]-x[j]))
			}
		}
	}
	if len(slopes) == 0 {
		return MedianLine{}, ErrOneAge
	}
	slices.Sort(slopes)
	m := MedianLine{N: len(x), Slope: median(slopes), Interval: Interval{math.Inf(-1), math.Inf(1)}}
	m.Intercept = median(sorted(y)) - m.Slope*median(sorted(x))

	n := float64(len(x))
	if level > 1-2/math.Gamma(n+1) {
		return m, nil
	}
	sigma := math.Sqrt((n*(n-1)*(2*n+5) - tieWeight(x) - tieWeight(y)) / 18)
	if !(sigma >= 0) { // so many ties on both sides that nothing is left to vary: no interval can be given
		return m, nil
	}
	z := distuv.UnitNormal.Quantile(0.5 + level/2)
	count := float64(len(slopes))
	high := min(int(math.RoundToEven((count+z*sigma)/2)), len(slopes)-1)
	low := max(int(math.RoundToEven((count-z*sigma)/2))-1, 0)
	m.Interval = Interval{slopes[low], slopes[high]}
	return m, nil
}

// At returns the line's y at x.
func (m MedianLine) At(x float64) float64 { return m.Intercept + m.Slope*x }

// tieWeight sums k(k-1)(2k+5) over the groups of k equal values.
func tieWeight(xs []float64) float64 {
	sum := 0.0
	for _, k := range groups(xs) {
		sum += k * (k - 1) * (2*k + 5)
	}
	return sum
}

// groups returns how often each distinct value stands in xs, in rising order of the value.
func groups(xs []float64) []float64 {
	var sizes []float64
	s := sorted(xs)
	for i, x := range s {
		if i > 0 && x == s[i-1] {
			sizes[len(sizes)-1]++
		} else {
			sizes = append(sizes, 1)
		}
	}
	return sizes
}

func sorted(xs []float64) []float64 {
	s := slices.Clone(xs)
	slices.Sort(s)
	return s
}

// median returns the middle of sorted values, or the mean of the middle two.
func median(sorted []float64) float64 {
	n := len(sorted)
	if n%2 == 1 {
		return sorted[n/2]
	}
	return (sorted[n/2-1] + sorted[n/2]) / 2
}
