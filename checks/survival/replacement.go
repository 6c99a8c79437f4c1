package survival

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Replacement is the age at which replacing parts before they go bad costs least.
type Replacement struct {
	Age          float64 // replace at this age; +Inf where replacing before the end does not pay
	Cost         float64 // cost per unit of age when so replaced
	RunToFailure float64 // cost per unit of age when each is run until it goes bad
	Why          string  // why there is no such age, or empty
}

// hardlyAny is the share reaching the cheapest age below which the advice is to run to failure: fewer than one in a
// thousand parts would be replaced in time. Common practice, no source.
const hardlyAny = 1e-3

// AgeReplacement returns the age at which replacing costs least in the long run, for what a planned replacement and one
// after going bad cost. There is none where parts do not wear out (shape up to 1), where going bad costs no more than
// planned work, or where the age is so high that hardly any part reaches it.
//
// Source: Barlow and Hunter 1960, Operations Research 8, 90, age replacement: the age at which h(t)·∫R - F = cp/(cf -
// cp).
func AgeReplacement(w Weibull, planned, failed float64) (Replacement, error) {
	if err := checkCosts(w, planned, failed); err != nil {
		return Replacement{}, err
	}
	r := Replacement{Age: math.Inf(1), RunToFailure: failed / w.Mean()}
	r.Cost = r.RunToFailure
	switch {
	case w.Shape <= 1:
		r.Why = "parts do not wear out at this shape: an old one is no worse than a new one"
		return r, nil
	case failed <= planned:
		r.Why = "going bad costs no more than planned work: run until it goes bad"
		return r, nil
	}
	unit := Weibull{w.Shape, 1}
	want := planned / (failed - planned)
	gain := func(x float64) float64 { return unit.Hazard(x)*unit.meanUpTo(x) - unit.Ended(x) }
	low, high := 0.0, 1.0
	for gain(high) < want {
		low, high = high, 2*high
		if unit.Survives(low) < hardlyAny {
			r.Why = "the cheapest age is one that hardly any part reaches: run until it goes bad"
			return r, nil
		}
	}
	for high-low > 1e-14*high {
		mid := (low + high) / 2
		if mid == low || mid == high {
			break
		}
		if gain(mid) < want {
			low = mid
		} else {
			high = mid
		}
	}
	if unit.Survives(high) < hardlyAny {
		r.Why = "the cheapest age is one that hardly any part reaches: run until it goes bad"
		return r, nil
	}
	r.Age = high * w.Scale
	r.Cost = w.costPerAge(planned, failed, r.Age)
	return r, nil
}

// costPerAge is the long-run cost per unit of age when parts are replaced at an age, or when they go bad before.
func (w Weibull) costPerAge(planned, failed, age float64) float64 {
	return (planned*w.Survives(age) + failed*w.Ended(age)) / w.meanUpTo(age)
}

// meanUpTo returns the mean age reached when all are taken out at an age: the integral of the share that survives.
func (w Weibull) meanUpTo(age float64) float64 {
	return w.Mean() * mathext.GammaIncReg(1/w.Shape, w.accumulated(age))
}

func checkCosts(w Weibull, planned, failed float64) error {
	if _, err := NewWeibull(w.Shape, w.Scale); err != nil {
		return err
	}
	if err := checkAbove("the cost of planned work", planned); err != nil {
		return err
	}
	return checkAbove("the cost of going bad", failed)
}

// LookEvery returns the time between looks that costs least, where a part may go bad unseen: a look costs once, an hour
// run bad costs each time, and every look begins anew. ok is false where no such time exists, or hardly any part is
// still good by then: the more seldom the cheaper.
//
// Source: Barlow and Proschan, Mathematical Theory of Reliability, 1965, chapter 4, from memory; the cost an hour, look
// plus badHour·∫F over t, is least where ∫x dF up to t, mean · P(1 + 1/shape, (t/scale)^shape), is look over badHour.
func (w Weibull) LookEvery(look, badHour float64) (hours float64, ok bool) {
	share := look / badHour / w.Mean()
	if !(share > 0 && share < 1) {
		return 0, false
	}
	z := mathext.GammaIncRegInv(1+1/w.Shape, share)
	hours = w.Scale * math.Pow(z, 1/w.Shape)
	return hours, w.Survives(hours) >= hardlyAny
}

// BadUnseen returns the share of time run bad with looks so far apart, each of which begins anew.
func (w Weibull) BadUnseen(every float64) float64 { return 1 - w.meanUpTo(every)/every }
