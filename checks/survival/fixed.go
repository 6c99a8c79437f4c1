package survival

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat/distuv"
)

// FixedShape is a Weibull distribution whose shape is assumed and whose scale alone is learnt.
type FixedShape struct {
	Shape    float64 // as assumed
	Scale    float64 // most likely scale; +Inf where none has gone bad
	N, Ended int     // lives, and how many of them had ended
	LogLik   float64 // log-likelihood on the scale of the ages; 0 where none has gone bad

	lik    likelihood
	closed bool    // all ends exactly known or not yet come
	power  float64 // logarithm of the sum of (age/centre)^shape, the centre being that of lik
}

// FitFixedShape learns the scale for an assumed shape. Where every end is known exactly or has not come, it is the
// closed form η = (Σ t^β / r)^(1/β); with ends known within limits the likelihood is climbed. It also works where none
// has gone bad: there is then no most likely scale, but a bound. It returns an error where all were found bad with no
// good look before, since any scale down to nil explains that.
//
// Source: known as Weibayes (The New Weibull Handbook; the formula is from memory).
func FitFixedShape(lives []Life, shape float64) (FixedShape, error) {
	if err := checkLives(lives); err != nil {
		return FixedShape{}, err
	}
	if err := checkAbove("the assumed shape", shape); err != nil {
		return FixedShape{}, err
	}
	f := FixedShape{Shape: shape, Scale: math.Inf(1), N: len(lives), Ended: endedOf(lives), lik: newLikelihood(lives),
		closed: true}
	var powers []float64
	for _, t := range f.lik.terms {
		f.closed = f.closed && (t.exact || !t.ended)
		powers = append(powers, math.Log(t.n)+shape*t.from)
	}
	f.power = floats.LogSumExp(powers)
	switch lastGood, _ := meeting(lives); {
	case lastGood == 0 && f.Ended == 0:
		return FixedShape{}, errors.New("no life has an age: nothing has been seen of them")
	case lastGood == 0:
		return FixedShape{}, errors.New("all were bad when first looked at: they may have gone bad at any age before")
	case f.Ended == 0:
		return f, nil
	}
	pmax := point{0, shape}
	if f.closed {
		pmax.a = f.power - math.Log(float64(f.Ended))
		f.LogLik = f.lik.at(pmax).ll
	} else {
		var v value
		var err error
		if pmax, v, err = f.lik.climb(f.start(), &point{a: 1}, 0); err != nil {
			return FixedShape{}, fmt.Errorf("cannot fit %d lives with shape %v: %w", len(lives), shape, err)
		}
		f.LogLik = v.ll
	}
	f.Scale = f.scale(pmax.a)
	if math.IsNaN(f.LogLik) || math.IsInf(f.LogLik, 0) || !(f.Scale > 0) || math.IsInf(f.Scale, 1) {
		return FixedShape{}, fmt.Errorf("cannot fit %d lives with shape %v: the ages are too far apart for so steep a shape",
			len(lives), shape)
	}
	return f, nil
}

// start is a scale as large as the largest age, from which every life is possible.
func (f FixedShape) start() point {
	top := math.Inf(-1)
	for _, t := range f.lik.terms {
		top = math.Max(top, t.from)
		if t.ended {
			top = math.Max(top, t.to)
		}
	}
	return point{f.Shape * top, f.Shape}
}

func (f FixedShape) scale(a float64) float64 { return math.Exp(a/f.Shape + f.lik.centre) }

// ScaleAtLeast returns the scale that the lives prove with a confidence, one-sided.
//
// Where none has gone bad it is exact, η = (Σ t^β / -ln(1-C))^(1/β); with ends exactly known or not yet come it is the
// usual χ² bound with 2r+2 degrees of freedom; with ends known within limits it is the likelihood ratio, which is an
// approximation: with one or two bad look at [UpperBound] as well.
func (f FixedShape) ScaleAtLeast(confidence float64) (float64, error) {
	if err := checkShare("confidence", confidence); err != nil {
		return 0, err
	}
	if f.N == 0 {
		return 0, ErrNone
	}
	if f.Ended == 0 {
		return f.scale(f.power - math.Log(-math.Log1p(-confidence))), nil
	}
	if f.closed {
		quantile := distuv.ChiSquared{K: float64(2*f.Ended + 2)}.Quantile(confidence)
		return f.scale(f.power - math.Log(quantile/2)), nil
	}
	if confidence < 0.5 {
		return 0, fmt.Errorf("confidence is %v: from 0.5 up is needed where ends are known within limits", confidence)
	}
	z := distuv.UnitNormal.Quantile(confidence)
	a := (math.Log(f.Scale) - f.lik.centre) * f.Shape
	floor := f.LogLik - z*z/2
	in, out := a, a
	for step := 0.1; f.lik.at(point{out, f.Shape}).ll > floor; step *= 2 {
		in, out = out, out-step
	}
	for in-out > 1e-13*(1+math.Abs(in)) {
		if mid := (in + out) / 2; f.lik.at(point{mid, f.Shape}).ll > floor {
			in = mid
		} else {
			out = mid
		}
		if mid := (in + out) / 2; mid == in || mid == out {
			break
		}
	}
	return f.scale(in), nil
}

// PermittedAge returns the age by which, with a confidence, no more than the target share has gone bad.
func (f FixedShape) PermittedAge(target, confidence float64) (float64, error) {
	if err := checkShare("the share of bad accepted", target); err != nil {
		return 0, err
	}
	scale, err := f.ScaleAtLeast(confidence)
	if err != nil {
		return 0, err
	}
	return Weibull{f.Shape, scale}.Age(target), nil
}

// PermittedRatio returns by which factor the age at which all were opened may be multiplied so that, with a confidence
// and for an assumed shape, no more than the target share goes bad. Below 1 the present age itself is not proven to
// that target.
//
// Source: the bound of [UpperBound] at the present age, carried to the new age along a Weibull distribution:
// r = (ln(1-target) / ln(1-bound))^(1/β).
func PermittedRatio(bad, opened int, target, confidence, shape float64) (float64, error) {
	bound, err := UpperBound(bad, opened, confidence)
	if err != nil {
		return 0, err
	}
	if err := checkShare("the share of bad accepted", target); err != nil {
		return 0, err
	}
	if err := checkAbove("the assumed shape", shape); err != nil {
		return 0, err
	}
	return math.Pow(math.Log1p(-target)/math.Log1p(-bound), 1/shape), nil
}
