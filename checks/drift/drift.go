// Package drift fits straight lines to what wears, and says when a line meets a limit and how far that may be trusted.
//
// It knows least squares and its intervals, and a median line that one misread value cannot move; it knows no
// quantities, parts or limits files. x is what the wear goes by (running hours, say), y what is measured, both bare
// numbers in units of the caller's choice. Input slices are read only. What cannot be said is an error or an infinite
// end of an interval, never a not-a-number. Nothing keeps state, and values may be used by several goroutines at once.
//
// Begin with [Fit], then [Line.Remaining] for what is left to a limit.
package drift

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// What data cannot carry a fit; errors wrap these with the numbers found.
var (
	ErrTooFew = errors.New("too few points")
	ErrOneAge = errors.New("all points at one age: nothing can be said of a trend")
	ErrFlat   = errors.New("the line is flat: it meets no other value")
)

// checkPairs returns an error unless x and y are at least so many pairs of finite numbers, with x not all alike.
func checkPairs(x, y []float64, least int) error {
	if len(x) != len(y) {
		return fmt.Errorf("%d values of x and %d of y: they must come in pairs", len(x), len(y))
	}
	for i := range x {
		for _, v := range []float64{x[i], y[i]} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("point %d is (%v, %v): numbers are needed", i+1, x[i], y[i])
			}
		}
	}
	if len(x) < least {
		return fmt.Errorf("%w: %d, at least %d are needed", ErrTooFew, len(x), least)
	}
	return nil
}

func checkLevel(level float64) error {
	if !(level > 0 && level < 1) {
		return fmt.Errorf("level is %v: between 0 and 1 is needed, such as 0.95", level)
	}
	return nil
}

func checkNumber(name string, x float64) error {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return fmt.Errorf("%s is %v: a number is needed", name, x)
	}
	return nil
}

// mean returns the mean, taken twice so that large offsets do not cost digits.
func mean(xs []float64) float64 {
	first := 0.0
	for _, x := range xs {
		first += x / float64(len(xs))
	}
	rest := 0.0
	for _, x := range xs {
		rest += x - first
	}
	return first + rest/float64(len(xs))
}

// student returns the quantile of Student's t.
func student(p, freedom float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: freedom}.Quantile(p)
}

// studentTwoSided returns the chance of |t| or more.
func studentTwoSided(t, freedom float64) float64 {
	if math.IsInf(t, 0) {
		return 0
	}
	return 2 * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: freedom}.CDF(-math.Abs(t))
}
