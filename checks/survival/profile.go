package survival

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// ShapeProfile returns the interval of the shape at a level such as 0.95: all shapes that, with the best scale for
// each, explain the data nearly as well as the fit. An end is 0 or infinite where the data do not set it.
//
// Source: likelihood-ratio interval, χ² with one degree of freedom (Meeker and Escobar, Statistical Methods for
// Reliability Data).
func (f Fit) ShapeProfile(level float64) (Interval, error) {
	if err := checkShare("level", level); err != nil {
		return Interval{}, err
	}
	return f.profile(math.Log(f.Shape), level, func(x float64) float64 {
		b := math.Exp(x)
		// A start at which the data are possible for this shape: the scale that the fit has.
		_, v, _ := f.lik.climb(point{f.pmax.a / f.pmax.b * b, b}, &point{a: 1}, 0)
		return v.ll
	}), nil
}

// ScaleProfile returns the interval of the scale, as [Fit.ShapeProfile] does.
func (f Fit) ScaleProfile(level float64) (Interval, error) {
	return f.AgeProfile(-math.Expm1(-1), level)
}

// AgeProfile returns the interval of the age by which a share has gone bad, as [Fit.ShapeProfile] does: 0.1 for B10.
func (f Fit) AgeProfile(share, level float64) (Interval, error) {
	if err := checkShare("the share gone bad", share); err != nil {
		return Interval{}, err
	}
	if err := checkShare("level", level); err != nil {
		return Interval{}, err
	}
	c := math.Log(-math.Log1p(-share))
	return f.profile(math.Log(f.Age(share)), level, func(x float64) float64 {
		// Keeping log age at x leaves the line a = b·x - c, along which b runs.
		x -= f.lik.centre
		_, v, _ := f.lik.climb(point{f.pmax.b*x - c, f.pmax.b}, &point{x, 1}, 0)
		if math.IsInf(v.ll, -1) { // the fitted shape is too steep this far out: start from a flat one
			_, v, _ = f.lik.climb(point{1e-3*x - c, 1e-3}, &point{x, 1}, 0)
		}
		return v.ll
	}), nil
}

// profile walks from the logarithm of the estimate to both sides until the height falls by half of χ², and halves in on
// the place. A climb that ran out of steps, creeping towards a shape of nil, has all but reached its height and counts
// like any other.
func (f Fit) profile(centre, level float64, height func(x float64) float64) Interval {
	floor := f.LogLik - distuv.ChiSquared{K: 1}.Quantile(level)/2
	side := func(direction float64) float64 {
		in, step := 0.0, 0.1
		for height(centre+direction*(in+step)) > floor {
			in += step
			step *= 2
			if in > 50 { // e⁵⁰ times the estimate: the data set no end
				return direction * math.Inf(1)
			}
		}
		out := in + step
		for out-in > 1e-12*(1+in) {
			if mid := (in + out) / 2; height(centre+direction*mid) > floor {
				in = mid
			} else {
				out = mid
			}
		}
		return centre + direction*in
	}
	return Interval{math.Exp(side(-1)), math.Exp(side(1))}
}
