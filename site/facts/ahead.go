package facts

import (
	"math"

	"needlebook/checks/drift"
	"needlebook/checks/judging"
	"needlebook/logbook"
)

// Ahead is where one more reading may fall at a place along a plot.
type Ahead struct{ X, Low, High float64 }

// bandLevel is the share of readings that the band ahead is drawn for, as the evidence for the interval has it.
const bandLevel = 0.95

// steps of a band, so that its curve is seen.
const bandSteps = 6

// Expected is the band in which the next reading of the valve that sits in a position may fall, from today to the end
// of its interval, by the drift of the whole set. Opening pressure falls from how the valve was left; the other
// quantities go by the hours of the nozzle. It is empty where too little is known.
func (k *Facts) Expected(q Quantity, now Present) []Ahead {
	left, known := now.Left()
	if !known || left <= 0 || now.ServicePeriod == nil {
		return nil
	}
	today, ok := k.Book.TotalOn(now.ServicePeriod.Engine, k.Today)
	if !ok {
		return nil
	}
	set, start, hours := 0.0, false, now.Run
	name := ""
	switch q.Found {
	case OpeningPressure.Found:
		v := k.LeftAt(Life{ServicePeriod: now.ServicePeriod}, q)
		if v == nil {
			return nil
		}
		set, start = v.Value.Float(), true
		name = "opening pressure lost, " + classLeft(v, now.ServicePeriod).String() + " setting"
	case LeakDown.Found:
		name = "leak-down as found, at reference oil"
	case EffectiveStroke.Found:
		name = "effective lift"
	}
	if !start {
		run, known := k.Lives.NozzleHours(now.ServicePeriod.Nozzle, k.Today)
		if !known {
			return nil
		}
		hours = run
	}
	line := k.lineOf(now.ServicePeriod.Engine, name)
	if line == nil {
		return nil
	}
	var all []Ahead
	for i := range bandSteps + 1 {
		more := left * float64(i) / bandSteps
		b, err := line.Band(hours+more, bandLevel, drift.Reading)
		if err != nil {
			return nil
		}
		a := Ahead{today + more, b.Low, b.High}
		switch {
		case start:
			a.Low, a.High = set-b.High, set-b.Low
		case q.Log:
			a.Low, a.High = math.Pow(10, b.Low), math.Pow(10, b.High)
		}
		all = append(all, a)
	}
	return all
}

// classLeft is the setting class of a valve as it was left.
func classLeft(v *judging.Verdict, period *logbook.ServicePeriod) logbook.Class {
	if period.Opened == nil {
		return logbook.Used
	}
	return v.Class
}

// lineOf is the line through the readings of the whole set that an engine's valves belong to; nil where none was drawn.
func (k *Facts) lineOf(engine, name string) *drift.Line {
	for _, t := range k.trends()[engine] {
		if t.Quantity.Name == name && t.Line.N > 2 {
			return &t.Line
		}
	}
	return nil
}
