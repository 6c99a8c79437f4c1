package survival

import (
	"errors"
	"math"
)

// The likelihood is written in a and b with z = b·log t - a, b being the shape and a the shape times the logarithm of
// the scale. In these it is concave for every kind of censoring, since the density in z is log-concave (Burridge 1981
// and Pratt 1981 for grouped data): a damped Newton climb finds the one summit from anywhere. Logarithms of ages are
// centred, which keeps the two apart.

// point is (a, b) or a direction in that plane.
type point struct{ a, b float64 }

// likelihood is a set of lives made ready.
type likelihood struct {
	terms  []term
	centre float64 // subtracted from the logarithms of ages
	logs   float64 // sum of the logarithms of exactly known ages, for the density on the scale of the ages
}

// term is a distinct life with centred logarithms of its ends; from is -Inf for an end at 0.
type term struct {
	from, to     float64
	exact, ended bool
	n            float64
}

func newLikelihood(lives []Life) likelihood {
	var l likelihood
	cs := count(lives)
	ages := 0.0
	for _, c := range cs {
		if age := c.opened(); age > 0 {
			l.centre += c.n * math.Log(age)
			ages += c.n
		}
	}
	if ages > 0 {
		l.centre /= ages
	}
	for _, c := range cs {
		l.terms = append(l.terms, term{math.Log(c.After) - l.centre, math.Log(c.By) - l.centre, c.exact(), c.ended(), c.n})
		if c.exact() {
			l.logs += c.n * math.Log(c.By)
		}
	}
	return l
}

// value is the log-likelihood at a point with its first and second derivatives.
type value struct{ ll, da, db, aa, ab, bb float64 }

// at works out the log-likelihood, on the scale of the ages as given. It is -Inf where the data cannot have come from
// the point.
func (l likelihood) at(p point) value {
	v := value{ll: -l.logs}
	for _, t := range l.terms {
		v.add(t, p)
	}
	if math.IsNaN(v.ll) {
		v.ll = math.Inf(-1)
	}
	return v
}

// steep is z above which exp(z) is as good as infinite: nothing survives, and no derivative is worth having.
const steep = 500

func (v *value) add(t term, p point) {
	switch {
	case t.exact:
		if p.b <= 0 {
			v.ll = math.Inf(-1)
			return
		}
		v.ll += t.n * (math.Log(p.b) + p.b*t.to - p.a)
		v.da -= t.n
		v.db += t.n * (1/p.b + t.to)
		v.bb -= t.n / (p.b * p.b)
		v.less(t.n, t.to, p)
	case !t.ended:
		v.less(t.n, t.from, p)
	default:
		v.less(t.n, t.from, p)
		if p.b*t.to-p.a < steep {
			v.within(t, p)
		}
	}
}

// less takes n·exp(z) off: the logarithm of the share that survives.
func (v *value) less(n, x float64, p point) {
	if math.IsInf(x, -1) { // age 0, which all survive
		return
	}
	z := p.b*x - p.a
	if z > steep {
		v.ll = math.Inf(-1)
		return
	}
	w := n * math.Exp(z)
	v.ll -= w
	v.da += w
	v.db -= w * x
	v.aa -= w
	v.ab += w * x
	v.bb -= w * x * x
}

// within adds n·log(1 - exp(-δ)), δ being what the accumulated hazard grows by between both ends: of those that survive
// the first, the share that does not survive the second.
func (v *value) within(t term, p point) {
	hi := math.Exp(p.b*t.to - p.a)
	lo, x := 0.0, 0.0
	if !math.IsInf(t.from, -1) {
		lo, x = math.Exp(p.b*t.from-p.a), t.from
	}
	y := t.to
	delta := hi - lo
	switch {
	case !(delta > 0):
		v.ll = math.Inf(-1)
		return
	case delta > steep: // all of them end in between
		return
	}
	q := 1 / math.Expm1(delta)
	v.ll += t.n * math.Log(-math.Expm1(-delta))
	da, db := -delta, hi*y-lo*x
	v.da += t.n * q * da
	v.db += t.n * q * db
	curve := -q * (1 + q)
	v.aa += t.n * (q*delta + curve*da*da)
	v.ab += t.n * (-q*db + curve*da*db)
	v.bb += t.n * (q*(hi*y*y-lo*x*x) + curve*db*db)
}

var errNoSummit = errors.New("the likelihood has no summit that can be found")

// climb walks to the summit, in the whole plane or along a line when one is given, keeping b above floor.
func (l likelihood) climb(p point, along *point, floor float64) (point, value, error) {
	v := l.at(p)
	if math.IsInf(v.ll, -1) {
		return p, v, errNoSummit
	}
	for range 500 {
		step, rise := v.newton(along)
		if !(rise > 0) {
			return p, v, nil
		}
		next, nv, ok := l.tryStep(p, v, step, floor)
		if !ok { // no better point along the step: at the summit, as far as floating point can tell
			return p, v, nil
		}
		p, v = next, nv
		if rise < 1e-20*(1+math.Abs(v.ll)) { // the error of a Newton step is the square of the last
			return p, v, nil
		}
	}
	return p, v, errNoSummit
}

// tryStep halves the step until it climbs.
func (l likelihood) tryStep(p point, v value, step point, floor float64) (point, value, bool) {
	for f := 1.0; f > 1e-12; f /= 2 {
		next := point{p.a + f*step.a, p.b + f*step.b}
		if next.b <= floor {
			continue
		}
		if nv := l.at(next); nv.ll >= v.ll-1e-13*(1+math.Abs(v.ll)) && next != p { // as high, within what adding up loses
			return next, nv, true
		}
	}
	return p, v, false
}

// newton returns the step to the summit of the parabola that fits here, and how much that would rise, twice over.
func (v value) newton(along *point) (point, float64) {
	if along != nil {
		d := *along
		slope := v.da*d.a + v.db*d.b
		bend := -(v.aa*d.a*d.a + 2*v.ab*d.a*d.b + v.bb*d.b*d.b)
		if !(bend > 0) {
			bend = math.Max(math.Abs(slope), 1e-300) // level as far as can be told: a step of length one uphill
		}
		f := slope / bend
		return point{f * d.a, f * d.b}, slope * f
	}
	det := v.aa*v.bb - v.ab*v.ab
	if !(det > 0) || !(v.aa < 0) {
		norm := math.Hypot(v.da, v.db)
		if norm == 0 {
			return point{}, 0
		}
		return point{v.da / norm, v.db / norm}, norm
	}
	step := point{(v.ab*v.db - v.bb*v.da) / det, (v.ab*v.da - v.aa*v.db) / det}
	return step, v.da*step.a + v.db*step.b
}
