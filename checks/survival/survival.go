// Package survival says what opened valves prove about the age at which they go bad, and what that is worth for the
// interval.
//
// It knows counts of good and bad, ages known exactly or only within limits, the Weibull distribution, and the cost of
// replacing too early or too late; it knows no valves, limits files or dates. Ages are bare numbers above zero in one
// unit of the caller's choice, running hours as a rule. Slices handed in are read only. Bad input is an error, what the
// data do not set is infinite, and nothing returns a not-a-number. Nothing keeps state.
//
// Begin with [UpperBound]: it assumes least. [FitFixedShape] assumes how wear spreads; [Spread.Fit] learns it, where
// the ages allow.
package survival

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
)

// Life is what is known of one life: it ended after After and no later than By. By is +Inf for a life not yet ended;
// After equals By for one whose end was seen. A valve opened at an age and found bad gives a life ended between the
// last good look and that age.
type Life struct{ After, By float64 }

// EndedAt is a life whose end was seen at an age.
func EndedAt(age float64) Life { return Life{age, age} }

// EndedWithin is a life that was good at one age and bad at a later one; after is 0 where nobody looked before.
func EndedWithin(after, by float64) Life { return Life{after, by} }

// LongerThan is a life still good at an age.
func LongerThan(age float64) Life { return Life{age, math.Inf(1)} }

func (l Life) ended() bool { return !math.IsInf(l.By, 1) }
func (l Life) exact() bool { return l.After == l.By }

// opened is the age at which the life was looked at last.
func (l Life) opened() float64 {
	if l.ended() {
		return l.By
	}
	return l.After
}

// Interval is a lower and an upper end with what lies between them. An end that the data do not set is 0 or infinite.
type Interval struct{ Low, High float64 }

// ErrNone says that there is nothing to work on.
var ErrNone = errors.New("no lives were given")

func checkLives(lives []Life) error {
	if len(lives) == 0 {
		return ErrNone
	}
	for i, l := range lives {
		if !(l.After >= 0 && l.By > 0 && l.After <= l.By) || math.IsInf(l.After, 1) {
			return fmt.Errorf("life %d ended after %v and by %v: ages from 0 up in that order are needed", i+1, l.After, l.By)
		}
	}
	return nil
}

// counted is a distinct life and how often it occurs.
type counted struct {
	Life
	n float64
}

// count gathers equal lives, sorted, so that results do not depend on the order of the records and large sets cost no
// more than their distinct ages.
func count(lives []Life) []counted {
	sorted := slices.SortedFunc(slices.Values(lives), func(a, b Life) int {
		return cmp.Or(cmp.Compare(a.After, b.After), cmp.Compare(a.By, b.By))
	})
	var out []counted
	for _, l := range sorted {
		if last := len(out) - 1; last >= 0 && out[last].Life == l {
			out[last].n++
		} else {
			out = append(out, counted{l, 1})
		}
	}
	return out
}

func endedOf(lives []Life) int {
	n := 0
	for _, l := range lives {
		if l.ended() {
			n++
		}
	}
	return n
}

func checkShare(name string, p float64) error {
	if !(p > 0 && p < 1) {
		return fmt.Errorf("%s is %v: between 0 and 1 is needed, such as 0.95", name, p)
	}
	return nil
}

func checkAbove(name string, x float64) error {
	if !(x > 0) || math.IsInf(x, 1) {
		return fmt.Errorf("%s is %v: a number above zero is needed", name, x)
	}
	return nil
}
