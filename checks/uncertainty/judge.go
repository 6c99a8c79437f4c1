package uncertainty

import (
	"fmt"
	"math"
	"strings"
)

// Rule is how doubt counts when a value is accepted.
type Rule int

const (
	Simple Rule = iota // the reading decides: accepted when it is in the band (simple acceptance, JCGM 106:2012, 8.2)
	// accepted only when the reading clears the limit by the guard band (guarded acceptance, JCGM 106:2012, 8.3.2)
	Guarded
)

// ParseRule reads the word that a limits file uses.
func ParseRule(word string) (Rule, error) {
	switch strings.ToLower(strings.TrimSpace(word)) {
	case "simple":
		return Simple, nil
	case "guarded":
		return Guarded, nil
	}
	return Simple, fmt.Errorf("%q is no decision rule: write simple or guarded", word)
}

// Limit is a band and how a value is held against it.
type Limit struct {
	Band Band
	Rule Rule
	// for Guarded: the conformance probability the guard band is made for; 0 for a guard band of U, as in ISO 14253-1
	Conformance float64
	// uncertainty counts against the part: the reading must clear the limit by U at least, whatever the rule
	Safety bool
}

// Judgement is a verdict with its working.
type Judgement struct {
	Verdict Verdict
	// by the rule: a value within but in doubt is accepted by the simple rule and not by the guarded one
	Accepted    bool
	Margin      float64     // by how much the value clears the nearest limit, below zero when it is past it
	Nearest     float64     // that limit
	Probability float64     // chance that the true value lies in the band
	Guard       float64     // guard band used; 0 with the simple rule
	Uncertainty Uncertainty // as handed in
	CannotProve bool        // U is more than half the band: no reading of this instrument can be within without doubt
	band        Band
}

// Judge holds a measured value and its uncertainty against the limit. The verdict depends on the expanded uncertainty
// alone; whether the value is accepted depends on the rule too. A margin of exactly U is enough, and a value exactly on
// the limit is in the band. It returns an error when a number is not finite, the uncertainty is below zero or its parts
// disagree, or the limits are exchanged.
//
// Source: the idea of ISO 14253-1 and JCGM 106:2012; ILAC-G8:09/2019, 4.1, for the guard band of U.
func (l Limit) Judge(value float64, u Uncertainty) (Judgement, error) {
	p, err := l.Band.Probability(value, u.Std)
	if err != nil {
		return Judgement{}, err
	}
	if !(u.U >= 0) || math.IsInf(u.U, 1) || (u.U == 0) != (u.Std == 0) {
		return Judgement{}, fmt.Errorf("expanded uncertainty %v with standard uncertainty %v: numbers that do not match",
			u.U, u.Std)
	}
	j := Judgement{Probability: p, Uncertainty: u, CannotProve: u.U > (l.Band.High-l.Band.Low)/2, band: l.Band}
	j.Margin, j.Nearest = l.Band.margin(value)
	j.Verdict = verdictFor(j.Margin, u.U)
	if j.Guard, err = l.guard(u); err != nil {
		return Judgement{}, err
	}
	j.Accepted = j.Margin >= 0 && clears(j.Margin, j.Guard)
	return j, nil
}

func (l Limit) guard(u Uncertainty) (float64, error) {
	w := 0.0
	if l.Rule == Guarded {
		w = u.U
		if l.Conformance != 0 {
			var err error
			if w, err = GuardWidth(l.Conformance, u.Std); err != nil {
				return 0, err
			}
		}
	}
	if l.Safety {
		w = math.Max(w, u.U)
	}
	return w, nil
}

func verdictFor(margin, U float64) Verdict {
	switch {
	case margin >= 0 && clears(margin, U):
		return Within
	case margin >= 0:
		return WithinInDoubt
	case clears(U, -margin):
		return BeyondInDoubt
	}
	return Beyond
}

// clears reports whether a is b or more. U comes out of square roots, so that equality is taken to a part in 10¹⁰.
func clears(a, b float64) bool { return a >= b-1e-10*math.Abs(b) }

// Note returns what a reader must know about the instrument, in the unit given, or an empty text where it can judge the
// band.
func (j Judgement) Note(unit string) string {
	if !j.CannotProve {
		return ""
	}
	return fmt.Sprintf("the uncertainty %s is more than half of the band of %s: no reading of this instrument can prove "+
		"the value within",
		j.Uncertainty.Text(unit), withUnit(fmt.Sprintf("%.4g", j.band.High-j.band.Low), unit))
}
