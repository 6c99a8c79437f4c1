package benchlog

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Part is one source of a value's uncertainty: a standard deviation, or the half width of an interval in which the
// error may lie anywhere.
type Part struct {
	Name string
	Std  float64 // standard deviation, of the interval half width / √3
	Half float64 // half width; 0 for a part that is normal
}

// Value is a number read from the log, with how well it is known.
type Value struct {
	X      float64
	U      float64 // half width of the interval that holds the true value with a chance of 95 %
	Own    float64 // the same without the sensor's class: what two readings with one sensor have
	Parts  []Part  // largest first
	Why    *Refused
	Beside []*Refused // what makes the value weaker, without taking it away
}

// Known reports whether there is a value.
func (v *Value) Known() bool { return v.Why == nil && v.U > 0 }

// Text is the value with its uncertainty, or why there is none.
func (v *Value) Text(unit string) string {
	if v.Why != nil {
		return "not read: " + v.Why.Error()
	}
	digits := Decimals(v.U)
	return fmt.Sprintf("%.*f %s ± %.*f %s", digits, v.X, unit, digits, v.U, unit)
}

// Decimals are the decimals that a value with this uncertainty carries: two digits of the uncertainty.
func Decimals(u float64) int {
	if !(u > 0) {
		return 1
	}
	return min(max(1-int(math.Floor(math.Log10(u))), 0), 3)
}

// sensorClass is the one part that two readings with one sensor share.
const sensorClass = "sensor class"

// known makes a value of a number and its parts.
func known(x float64, parts ...Part) Value {
	parts = slices.DeleteFunc(parts, func(p Part) bool { return p.Std == 0 && p.Half == 0 })
	for i, p := range parts {
		if p.Half > 0 {
			parts[i].Std = p.Half / math.Sqrt(3)
		}
	}
	slices.SortStableFunc(parts, func(a, b Part) int { return cmp.Compare(b.Std, a.Std) })
	own := slices.DeleteFunc(slices.Clone(parts), func(p Part) bool { return p.Name == sensorClass })
	return Value{X: x, U: cover(parts), Own: cover(own), Parts: parts}
}

func refused(why *Refused) Value { return Value{Why: why} }

// cover is the half width that holds 95 % of a sum of errors: the widest interval in which an error may lie anywhere is
// taken as that, all else as normal. Twice the standard deviation would hold all of a lone interval. Source: GUM
// (JCGM 100:2008) G.1.3 and 4.3.9: such an interval alone needs k = 1.65; the sum of the two is integrated here.
func cover(parts []Part) float64 {
	var half, normal float64
	for _, p := range parts {
		half = max(half, p.Half)
	}
	taken := false
	for _, p := range parts {
		if p.Half == half && half > 0 && !taken {
			taken = true
			continue
		}
		normal = math.Hypot(normal, p.Std)
	}
	low, high := 0.0, half+4*normal
	for range 60 {
		if mid := (low + high) / 2; held(mid, half, normal) < 0.9545 {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}

// held is the chance that the sum of an error anywhere within ± half and a normal one is within ± width.
func held(width, half, normal float64) float64 {
	switch {
	case half == 0 && normal == 0:
		return 1
	case half == 0 || half < normal*1e-3:
		return math.Erf(width / (math.Hypot(normal, half) * math.Sqrt2))
	case normal < half*1e-6:
		return min(width/half, 1)
	}
	// the mean of Φ over the interval; the integral of Φ is x·Φ(x) + φ(x)
	sum := func(x float64) float64 {
		z := x / normal
		return normal * (z*0.5*math.Erfc(-z/math.Sqrt2) + math.Exp(-z*z/2)/math.Sqrt(2*math.Pi))
	}
	return (sum(width+half) - sum(width-half) - (sum(half-width) - sum(-half-width))) / (2 * half)
}

// line is a straight line through points.
type line struct {
	at, value, slope float64 // value and slope at the time at
	scatter          float64 // standard deviation of the points about it
	n                int
	sxx              float64
}

// straight fits a line by least squares to y[from:to] over x.
func straight(x, y []float64, from, to int) line {
	n := float64(to - from)
	var mx, my float64
	for i := from; i < to; i++ {
		mx += x[i] / n
		my += y[i] / n
	}
	var sxx, sxy, rest float64
	for i := from; i < to; i++ {
		sxx += (x[i] - mx) * (x[i] - mx)
		sxy += (x[i] - mx) * (y[i] - my)
	}
	l := line{at: mx, value: my, n: to - from, sxx: sxx}
	if sxx > 0 {
		l.slope = sxy / sxx
	}
	for i := from; i < to; i++ {
		d := y[i] - l.to(x[i])
		rest += d * d
	}
	if n > 2 {
		l.scatter = math.Sqrt(rest / (n - 2))
	}
	return l
}

func (l line) to(x float64) float64 { return l.value + (x-l.at)*l.slope }

// std is the standard deviation of the line at x for points that scatter by one.
func (l line) std(x float64) float64 {
	if l.sxx == 0 {
		return 1
	}
	return math.Sqrt(1/float64(l.n) + (x-l.at)*(x-l.at)/l.sxx)
}

// median of values; 0 of none. It sorts a copy.
func median(values []float64) float64 {
	if len(values) == 0 {
		return 0
	}
	v := slices.Sorted(slices.Values(values))
	return (v[len(v)/2] + v[(len(v)-1)/2]) / 2
}

// student is the two-sided 95.45 % point of Student's t. Source: GUM table G.2; between the rows the larger.
func student(freedom int) float64 {
	table := []float64{math.Inf(1), 13.97, 4.53, 3.31, 2.87, 2.65, 2.52, 2.43, 2.37, 2.32, 2.28}
	if freedom < len(table) {
		return table[max(freedom, 1)]
	}
	return 2.28 - 0.28*min(float64(freedom-10)/30, 1)
}
