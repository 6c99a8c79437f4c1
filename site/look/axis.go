package look

import "math"

// axis carries values to places on a drawing.
type axis struct {
	low, high float64 // values at the ends
	from, to  float64 // places at the ends
	log       bool
}

// newAxis is an axis that holds all values, with a little room at both ends. A flat set of values gets room of its own.
func newAxis(values []float64, from, to float64, log bool) axis {
	a := axis{low: math.Inf(1), high: math.Inf(-1), from: from, to: to, log: log}
	for _, v := range values {
		if log && v <= 0 || math.IsNaN(v) || math.IsInf(v, 0) {
			continue
		}
		a.low, a.high = min(a.low, v), max(a.high, v)
	}
	if a.low > a.high {
		a.low, a.high = 0, 1
		if log {
			a.low, a.high = 1, 10
		}
	}
	if log {
		a.low, a.high = a.low/1.25, a.high*1.25
		return a
	}
	room := (a.high - a.low) * 0.06
	if room == 0 {
		room = max(math.Abs(a.high)*0.05, 0.5)
	}
	a.low, a.high = a.low-room, a.high+room
	return a
}

// at is the place of a value.
func (a axis) at(v float64) float64 {
	low, high := a.low, a.high
	if a.log {
		v, low, high = math.Log(max(v, a.low)), math.Log(low), math.Log(high)
	}
	return a.from + (v-low)/(high-low)*(a.to-a.from)
}

// ticks are round values between the ends, about as many as asked for.
func (a axis) ticks(about int) []float64 {
	if a.log {
		return a.logTicks()
	}
	step := roundStep((a.high - a.low) / float64(max(about, 1)))
	var all []float64
	for n := math.Ceil(a.low/step - 1e-9); n*step <= a.high+step*1e-9 && len(all) < 20; n++ {
		all = append(all, n*step)
	}
	return all
}

func (a axis) logTicks() []float64 {
	var all []float64
	for decade := math.Pow(10, math.Floor(math.Log10(a.low))); decade <= a.high && len(all) < 20; decade *= 10 {
		for _, m := range []float64{1, 2, 5} {
			if v := decade * m; v >= a.low && v <= a.high {
				all = append(all, v)
			}
		}
	}
	if len(all) > 2 {
		return all
	}
	linear := axis{low: a.low, high: a.high} // less than a decade: even steps tell more
	return linear.ticks(4)
}

// roundStep is the next larger of 1, 2, 5 times a power of ten.
func roundStep(raw float64) float64 {
	if raw <= 0 || math.IsInf(raw, 0) || math.IsNaN(raw) {
		return 1
	}
	p := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5} {
		if m*p >= raw*(1-1e-9) {
			return m * p
		}
	}
	return 10 * p
}
