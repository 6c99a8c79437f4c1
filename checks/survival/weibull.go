package survival

import "math"

// Weibull is a distribution of lives. Shape below 1: the old fail less; 1: age does not matter; above 1: wear. Scale is
// the age, in the unit of the data, by which 63.2 % have ended. Make one with [NewWeibull] or by a fit; the methods
// take ages from 0 up.
type Weibull struct{ Shape, Scale float64 }

// NewWeibull returns the distribution, or an error for a shape or scale that is not a number above zero.
func NewWeibull(shape, scale float64) (Weibull, error) {
	if err := checkAbove("shape", shape); err != nil {
		return Weibull{}, err
	}
	if err := checkAbove("scale", scale); err != nil {
		return Weibull{}, err
	}
	return Weibull{shape, scale}, nil
}

// hazard accumulated to an age; Survives is exp of less that.
func (w Weibull) accumulated(age float64) float64 { return math.Pow(age/w.Scale, w.Shape) }

// Survives returns the share still good at an age.
func (w Weibull) Survives(age float64) float64 { return math.Exp(-w.accumulated(age)) }

// Ended returns the share gone bad by an age.
func (w Weibull) Ended(age float64) float64 { return -math.Expm1(-w.accumulated(age)) }

// Hazard returns the rate, per unit of age, at which those still good go bad at an age.
func (w Weibull) Hazard(age float64) float64 {
	return w.Shape / w.Scale * math.Pow(age/w.Scale, w.Shape-1)
}

// Age returns the age by which a share has gone bad: 0.1 gives what is known as B10.
func (w Weibull) Age(share float64) float64 {
	return w.Scale * math.Pow(-math.Log1p(-share), 1/w.Shape)
}

// Mean returns the mean life.
func (w Weibull) Mean() float64 { return w.Scale * math.Gamma(1+1/w.Shape) }
