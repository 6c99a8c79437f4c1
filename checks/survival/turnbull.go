package survival

import (
	"cmp"
	"errors"
	"math"
	"slices"
)

// Mass is a share of lives that ended after one age and by another; where within, the data do not say. By is +Inf for
// those that outlived all looking.
type Mass struct{ After, By, Share float64 }

// Curve is a survival curve known only at some ages: its masses in order of age, their shares adding to 1.
type Curve []Mass

// Survives returns between which shares the survival at an age lies. The two differ inside a mass, where nobody looked.
func (c Curve) Survives(age float64) Interval {
	high, inside := 1.0, 0.0
	for _, m := range c {
		switch {
		case m.By <= age:
			high -= m.Share
		case m.After < age:
			inside += m.Share
		}
	}
	high = math.Max(0, high)
	return Interval{math.Max(0, high-inside), high}
}

var errNotSettled = errors.New("the survival curve did not converge")

// Turnbull returns the survival curve from lives known within limits, exactly, or not ended, with no distribution
// assumed. For exact and unended lives it is the curve of [KaplanMeier].
//
// Source: Turnbull 1976, Journal of the Royal Statistical Society B 38, 290: shares on the innermost intervals by
// self-consistency. It stops when the likelihood is within 10⁻⁹ of its summit, which the derivatives there bound
// (Gentleman and Geyer 1994, Biometrika 81, 618).
func Turnbull(lives []Life) (Curve, error) {
	if err := checkLives(lives); err != nil {
		return nil, err
	}
	cs := count(lives)
	if lookedAtOnce(cs) {
		return currentStatus(cs), nil
	}
	curve := innermost(cs)
	spans := make([][2]int, len(cs)) // the masses that each life covers lie side by side
	for i, c := range cs {
		spans[i] = [2]int{len(curve), 0}
		for j, m := range curve {
			if c.covers(m) {
				spans[i][0], spans[i][1] = min(spans[i][0], j), j+1
			}
		}
	}
	for j := range curve {
		curve[j].Share = 1 / float64(len(curve))
	}
	n := float64(len(lives))
	pull := make([]float64, len(curve)) // how much each mass is asked for, n where it is right
	gap := math.Inf(1)
	for range 200_000 {
		clear(pull)
		for i, c := range cs {
			covered := 0.0
			for _, m := range curve[spans[i][0]:spans[i][1]] {
				covered += m.Share
			}
			for j := spans[i][0]; j < spans[i][1]; j++ {
				pull[j] += c.n / covered
			}
		}
		if gap = slices.Max(pull) - n; gap < 1e-9 {
			break
		}
		for j := range curve {
			curve[j].Share *= pull[j] / n
		}
	}
	if gap > 1e-3 {
		return nil, errNotSettled
	}
	return curve.tidied(), nil
}

// lookedAtOnce says that each life was looked at a single time: it was still good at an age, or bad by it with no look
// before.
func lookedAtOnce(cs []counted) bool {
	return !slices.ContainsFunc(cs, func(c counted) bool { return c.ended() && c.After > 0 })
}

// currentStatus is the curve of lives that were each looked at once: the share bad at each age, ages pooled until it
// never falls.
//
// Source: Ayer, Brunk, Ewing, Reid and Silverman 1955, Annals of Mathematical Statistics 26, 641; it is the summit that
// self-consistency climbs to.
func currentStatus(cs []counted) Curve {
	type pooled struct{ after, from, to, bad, n float64 } // after is the age looked at before the first of them
	looks := slices.Clone(cs)
	slices.SortStableFunc(looks, func(a, b counted) int { return cmp.Compare(a.opened(), b.opened()) })
	var blocks []pooled
	last := 0.0
	for i := 0; i < len(looks); {
		b := pooled{after: last, from: looks[i].opened(), to: looks[i].opened()}
		for ; i < len(looks) && looks[i].opened() == b.to; i++ {
			b.n += looks[i].n
			if looks[i].ended() {
				b.bad += looks[i].n
			}
		}
		last = b.to
		for len(blocks) > 0 && blocks[len(blocks)-1].bad*b.n >= b.bad*blocks[len(blocks)-1].n {
			p := blocks[len(blocks)-1]
			b.after, b.from, b.bad, b.n = p.after, p.from, p.bad+b.bad, p.n+b.n
			blocks = blocks[:len(blocks)-1]
		}
		blocks = append(blocks, b)
	}
	var curve Curve
	bad := 0.0
	for _, b := range blocks {
		if share := b.bad / b.n; share > bad {
			curve = append(curve, Mass{b.after, b.from, share - bad})
			bad = share
		}
	}
	if bad < 1 {
		curve = append(curve, Mass{last, math.Inf(1), 1 - bad})
	}
	return curve
}

// tidied leaves out masses that have faded to nothing.
func (c Curve) tidied() Curve {
	kept := slices.DeleteFunc(slices.Clone(c), func(m Mass) bool { return m.Share < 1e-9 })
	total := 0.0
	for _, m := range kept {
		total += m.Share
	}
	for i := range kept {
		kept[i].Share /= total
	}
	return kept
}

// end is an end of a life on the line of ages. A life known within limits begins just past its first age, an exact one
// at it.
type end struct {
	age   float64
	past  int // 1 just past the age, 0 at it
	right int // 1 for a right end
}

// innermost returns the intervals that begin at some life's left end and end at some life's right end with no end
// between. Only there does the likelihood put anything.
func innermost(cs []counted) Curve {
	var ends []end
	for _, c := range cs {
		past := 1
		if c.exact() {
			past = 0
		}
		ends = append(ends, end{c.After, past, 0}, end{c.By, 0, 1})
	}
	slices.SortFunc(ends, func(a, b end) int {
		return cmp.Or(cmp.Compare(a.age, b.age), cmp.Compare(a.past, b.past), cmp.Compare(a.right, b.right))
	})
	var masses Curve
	for i := 1; i < len(ends); i++ {
		if left, right := ends[i-1], ends[i]; left.right == 0 && right.right == 1 {
			masses = append(masses, Mass{After: left.age, By: right.age})
		}
	}
	return masses
}

// covers reports whether a life may have ended within an innermost interval.
func (c counted) covers(m Mass) bool {
	if c.exact() {
		return m.After == c.After && m.By == c.By
	}
	if m.After == m.By { // the seen end of another life
		return m.After > c.After && m.By <= c.By
	}
	return m.After >= c.After && m.By <= c.By
}
