package site

import (
	"math"

	"needlebook/checks/drift"
	"needlebook/checks/judging"
	"needlebook/logbook"
)

// ahead is where one more reading may fall at a place along a plot.
type ahead struct{ x, low, high float64 }

// bandLevel is the share of readings that the band ahead is drawn for, as the evidence for the interval has it.
const bandLevel = 0.95

// steps of a band, so that its curve is seen.
const bandSteps = 6

// expected is the band in which the next reading of the valve that sits in a position may fall, from today to the end of its interval, by
// the drift of the whole set. Opening pressure falls from how the valve was left; the other quantities go by the hours of the nozzle. It is
// empty where too little is known.
func (s *site) expected(q quantity, now present) []ahead {
	left, known := now.left()
	if !known || left <= 0 || now.stay == nil {
		return nil
	}
	today, ok := s.Book.TotalOn(now.stay.Engine, s.today)
	if !ok {
		return nil
	}
	set, start, hours := 0.0, false, now.run
	name := ""
	switch q.found {
	case openingPressure.found:
		v := s.leftAt(life{Stay: now.stay}, q)
		if v == nil {
			return nil
		}
		set, start, name = v.Value.Float(), true, "opening pressure lost, "+classLeft(v, now.stay).String()+" setting"
	case leakDown.found:
		name = "leak-down as found, at reference oil"
	case effectiveStroke.found:
		name = "effective stroke"
	}
	if !start {
		run, known := s.lives.NozzleHours(now.stay.Nozzle, s.today)
		if !known {
			return nil
		}
		hours = run
	}
	line := s.lineOf(now.stay.Engine, name)
	if line == nil {
		return nil
	}
	var all []ahead
	for i := range bandSteps + 1 {
		more := left * float64(i) / bandSteps
		b, err := line.Band(hours+more, bandLevel, drift.Reading)
		if err != nil {
			return nil
		}
		a := ahead{today + more, b.Low, b.High}
		switch {
		case start:
			a.low, a.high = set-b.High, set-b.Low
		case q.log:
			a.low, a.high = math.Pow(10, b.Low), math.Pow(10, b.High)
		}
		all = append(all, a)
	}
	return all
}

// classLeft is the setting class of a valve as it was left.
func classLeft(v *judging.Verdict, stay *logbook.Stay) logbook.Class {
	if stay.Opened == nil {
		return logbook.Used
	}
	return v.Class
}

// lineOf is the line through the readings of the whole set that an engine's valves belong to; nil where none was drawn.
func (s *site) lineOf(engine, name string) *drift.Line {
	for _, t := range s.trends()[engine] {
		if t.Quantity.Name == name && t.Line.N > 2 {
			return &t.Line
		}
	}
	return nil
}

// drawBand draws the band ahead.
func (s *sheet) drawBand(all []ahead, x, y axis) {
	if len(all) == 0 {
		return
	}
	s.m(`<path class="ahead" d="M`)
	for i, a := range all {
		if i > 0 {
			s.m("L")
		}
		s.f(x.at(a.x)).m(" ").f(y.at(a.high))
	}
	for i := len(all) - 1; i >= 0; i-- {
		s.m("L").f(x.at(all[i].x)).m(" ").f(y.at(all[i].low))
	}
	s.m(`z"/>`)
}

// aheadWords say what the band ends at.
func aheadWords(q quantity, all []ahead) string {
	if len(all) == 0 {
		return ""
	}
	end := all[len(all)-1]
	decimals := 0
	if q.unit == "mm" {
		decimals = 2
	} else if q.unit == "s" {
		decimals = 1
	}
	return "At the end of its interval 19 of 20 readings would fall between " + fixed(end.low, decimals) + " and " + fixed(end.high, decimals) + " " + q.unit + ", by the drift of the whole set."
}
