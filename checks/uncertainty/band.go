package uncertainty

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Band is what a limit permits, its ends included. An end that is not limited is infinite.
type Band struct{ Low, High float64 }

// Probability returns the chance that the true value lies in the band, for a measured value and its standard
// uncertainty, taking the true value as normally distributed around the measured one. With no uncertainty it is 1 or 0.
//
// Source: JCGM 106:2012, 7.3 for one limit and 7.4 for two.
func (b Band) Probability(value, std float64) (float64, error) {
	if err := b.check(value); err != nil {
		return 0, err
	}
	if !(std >= 0) || math.IsInf(std, 1) {
		return 0, fmt.Errorf("standard uncertainty is %v: not a number that can be", std)
	}
	if std == 0 {
		if value >= b.Low && value <= b.High {
			return 1, nil
		}
		return 0, nil
	}
	low, high := (b.Low-value)/std, (b.High-value)/std
	if low > 0 { // mirrored, so that a small chance far out is not lost in a difference of two numbers near one
		low, high = -high, -low
	}
	return distuv.UnitNormal.CDF(high) - distuv.UnitNormal.CDF(low), nil
}

// GuardWidth returns the guard band that makes a value on the guarded limit conform with a probability, one-sided:
// 1.645 standard uncertainties for 0.95. Source: JCGM 106:2012, 8.3.
func GuardWidth(probability, std float64) (float64, error) {
	if !(probability >= 0.5 && probability < 1) {
		return 0, fmt.Errorf("conformance probability is %v: from 0.5 to below 1 is needed", probability)
	}
	if !(std >= 0) || math.IsInf(std, 1) {
		return 0, fmt.Errorf("standard uncertainty is %v: not a number that can be", std)
	}
	return distuv.UnitNormal.Quantile(probability) * std, nil
}

// margin returns how far a value clears the nearer end, below zero when it is beyond one, and which end that is. What
// binary fractions make of a difference of decimals is taken out, so that 0.91 is exactly 0.01 over 0.90.
func (b Band) margin(value float64) (margin, end float64) {
	below, above := value-b.Low, b.High-value
	margin, end = below, b.Low
	if above < below {
		margin, end = above, b.High
	}
	return snap(margin, math.Max(math.Abs(value), math.Abs(end))), end
}

// snap rounds a difference to a part in 10¹² of the numbers it came from.
func snap(x, scale float64) float64 {
	if scale == 0 || math.IsInf(scale, 0) {
		return x
	}
	places := 12 - int(math.Ceil(math.Log10(scale)))
	if places < 0 {
		step := math.Pow10(-places)
		return math.Round(x/step) * step
	}
	step := math.Pow10(places)
	if math.IsInf(x*step, 0) {
		return x
	}
	return math.Round(x*step) / step
}

func (b Band) check(value float64) error {
	switch {
	case math.IsNaN(value) || math.IsInf(value, 0):
		return fmt.Errorf("measured value is %v: a number is needed", value)
	case math.IsNaN(b.Low) || math.IsNaN(b.High):
		return errors.New("a limit is not a number")
	case math.IsInf(b.Low, -1) && math.IsInf(b.High, 1):
		return errors.New("neither a lower nor an upper limit is given")
	case b.Low > b.High || math.IsInf(b.Low, 1) || math.IsInf(b.High, -1):
		return fmt.Errorf("limits %v to %v hold no value: are they exchanged?", b.Low, b.High)
	}
	return nil
}
