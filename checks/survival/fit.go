package survival

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Fit is a Weibull distribution learnt from lives.
type Fit struct {
	Weibull
	N, Ended int     // lives, and how many of them had ended
	LogLik   float64 // log-likelihood on the scale of the ages

	lik  likelihood
	pmax point
	// variances and covariance of log scale and log shape, from the curvature at the summit
	varScale, varShape, cov float64
}

// Why a distribution cannot be learnt; errors wrap these.
var (
	ErrNoneEnded = errors.New("none has gone bad: no distribution can be learnt, only a bound given")
	ErrOneAge    = errors.New("all could have gone bad at one age: the ages say nothing of how lives spread")
	ErrNoWear    = errors.New("the older ones were bad no more often than the younger: no growing wear to be seen")
)

// FitWeibull learns shape and scale by maximum likelihood from lives that are exact, within limits, or not ended, in
// any mixture. It gives numbers wherever they exist; whether the ages are spread enough to trust the shape is asked by
// [Spread.Fit]. The errors wrap [ErrNone], [ErrNoneEnded], [ErrOneAge] or [ErrNoWear].
//
// Source: maximum likelihood as in any text on life data (Nelson, Applied Life Data Analysis, 1982); each life adds the
// logarithm of its density, or of the chance to end between its limits.
func FitWeibull(lives []Life) (Fit, error) {
	if err := checkLives(lives); err != nil {
		return Fit{}, err
	}
	ended := endedOf(lives)
	if ended == 0 {
		return Fit{}, ErrNoneEnded
	}
	if lastGood, firstBad := meeting(lives); lastGood <= firstBad {
		return Fit{}, fmt.Errorf("%w (none bad before %v, none good after %v)", ErrOneAge, firstBad, lastGood)
	}
	l := newLikelihood(lives)
	if _, v, err := l.climb(point{0, flattest}, &point{a: 1}, 0); err != nil || v.db <= 0 {
		return Fit{}, ErrNoWear
	}
	pmax, v, err := l.climb(point{0, 1}, nil, 0)
	if err != nil {
		return Fit{}, fmt.Errorf("cannot fit %d lives: %w", len(lives), err)
	}
	f := Fit{Weibull: l.weibull(pmax), N: len(lives), Ended: ended, LogLik: v.ll, lik: l, pmax: pmax}
	if !(f.Scale > 0) || math.IsInf(f.Scale, 1) {
		return Fit{}, fmt.Errorf("%w (the fitted scale is beyond any number)", ErrNoWear)
	}
	if err := f.curvature(v); err != nil {
		return Fit{}, err
	}
	return f, nil
}

// flattest is the shape at which lives no longer end by age in any way worth the name. Where the likelihood falls from
// there on, the summit lies at a shape of nil or below, if anywhere.
const flattest = 1e-3

// meeting returns the last age at which one was still good and the first by which one was bad. Where they do not
// overlap a single age explains everything, and the likelihood grows without end as the shape does.
func meeting(lives []Life) (lastGood, firstBad float64) {
	firstBad = math.Inf(1)
	for _, l := range lives {
		lastGood, firstBad = math.Max(lastGood, l.After), math.Min(firstBad, l.By)
	}
	return lastGood, firstBad
}

func (l likelihood) weibull(p point) Weibull {
	return Weibull{Shape: p.b, Scale: math.Exp(p.a/p.b + l.centre)}
}

// curvature turns the second derivatives at the summit into variances of log scale and log shape.
func (f *Fit) curvature(v value) error {
	det := v.aa*v.bb - v.ab*v.ab
	if !(det > 0) || !(v.aa < 0) {
		return fmt.Errorf("cannot give the uncertainty of the fit: %w", errNoSummit)
	}
	varA, varB, cov := -v.bb/det, -v.aa/det, v.ab/det
	// log scale = a/b + centre, log shape = log b; exact at a summit, where the first derivatives vanish.
	a, b := f.pmax.a, f.pmax.b
	sa, sb := 1/b, -a/(b*b)
	f.varScale = sa*sa*varA + 2*sa*sb*cov + sb*sb*varB
	f.varShape = varB / (b * b)
	f.cov = (sa*cov + sb*varB) / b
	return nil
}

// ShapeWald returns the interval of the shape at a level such as 0.95, by the curvature at the summit on a logarithmic
// scale. Under some twenty ended lives it is too narrow upward: prefer [Fit.ShapeProfile], and say which one is shown.
func (f Fit) ShapeWald(level float64) (Interval, error) {
	return wald(f.Shape, f.varShape, level)
}

// AgeWald returns the interval of the age by which a share has gone bad, as [Fit.ShapeWald] does: 0.1 for B10.
func (f Fit) AgeWald(share, level float64) (Interval, error) {
	if err := checkShare("the share gone bad", share); err != nil {
		return Interval{}, err
	}
	// log age = log scale + c / shape
	d := -math.Log(-math.Log1p(-share)) / f.Shape
	return wald(f.Age(share), f.varScale+2*d*f.cov+d*d*f.varShape, level)
}

// ScaleWald returns the interval of the scale, as [Fit.ShapeWald] does.
func (f Fit) ScaleWald(level float64) (Interval, error) { return wald(f.Scale, f.varScale, level) }

func wald(estimate, varLog, level float64) (Interval, error) {
	if err := checkShare("level", level); err != nil {
		return Interval{}, err
	}
	if err := checkAbove("the estimate", estimate); err != nil {
		return Interval{}, err
	}
	factor := math.Exp(distuv.UnitNormal.Quantile(0.5+level/2) * math.Sqrt(math.Max(0, varLog)))
	return Interval{estimate / factor, estimate * factor}, nil
}
