package facts

import (
	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// Life is a stay along the axis of a chart.
type Life struct {
	*logbook.ServicePeriod
	Begin, End float64
	Ended      bool
}

// LivesIn are the service periods of one position along the running hours of its engine.
func (k *Facts) LivesIn(p logbook.Position) []Life {
	var all []Life
	for _, period := range k.Lives.InPosition(p) {
		l := Life{ServicePeriod: period, Ended: period.To != 0}
		ok := period.FromTotal > 0
		l.Begin = period.FromTotal
		if !ok {
			l.Begin, ok = k.Book.TotalOn(p.Engine, period.From)
		}
		l.End = period.ToTotal
		if l.End == 0 {
			day := period.To
			if day == 0 {
				day = k.Today
			}
			l.End, _ = k.Book.TotalOn(p.Engine, day)
		}
		if ok && l.End >= l.Begin {
			all = append(all, l)
		}
	}
	return all
}

// LivesOf are the service periods of one part along its own running hours within the book.
func LivesOf(periods []*logbook.ServicePeriod, start float64) []Life {
	var all []Life
	at := start
	for _, period := range periods {
		hours := period.Hours
		if period.Opened != nil { // what it had run elsewhere has its own life here
			hours -= period.Before
		}
		all = append(all, Life{period, at, at + hours, period.To != 0})
		at += hours
	}
	return all
}

// Quantity is one thing that is followed through lives.
type Quantity struct {
	Name, Unit string
	Left       string // the verdict's key as left; empty where nothing is left to see
	Found      string
	Log        bool
}

// The quantities.
var (
	OpeningPressure = Quantity{"opening pressure", "bar", keys.AsLeftOpeningPressure, keys.AsFoundOpeningPressure, false}
	LeakDown        = Quantity{"leak-down", "s", keys.AsLeftLeakDownTime, keys.AsFoundLeakDownTime, true}
	EffectiveStroke = Quantity{"effective lift", "mm", "", "effective_lift", false}
	HolderWear      = Quantity{"holder wear", "mm", "", keys.MeasuredHolderWear, false}
	NozzleStroke    = Quantity{"lift", "mm", "", keys.MeasuredLift, false}
	SeatDiameter    = Quantity{"seat diameter", "mm", "", keys.MeasuredSeatDiameter, false}
)

// The quantities that the pages of cylinders, holders and nozzles follow.
var (
	CylinderQuantities = []Quantity{OpeningPressure, LeakDown, EffectiveStroke}
	HolderQuantities   = []Quantity{OpeningPressure, LeakDown, EffectiveStroke, HolderWear}
	NozzleQuantities   = []Quantity{OpeningPressure, LeakDown, NozzleStroke, SeatDiameter}
)

// Verdict is the verdict of a record on one key; nil where it has none. The verdict must not be changed.
func (k *Facts) Verdict(o *logbook.Overhaul, key string) *judging.Verdict {
	list := k.Judged.Of(o)
	for i := range list {
		if list[i].Key == key {
			return &list[i]
		}
	}
	return nil
}

// Valued is the same where there is a value; nil where there is none.
func (k *Facts) Valued(o *logbook.Overhaul, key string) *judging.Verdict {
	if v := k.Verdict(o, key); v != nil && v.Value.Valid() {
		return v
	}
	return nil
}

// LeftAt is how the valve of a life was left before it: the verdict of the record that tells, or the opening state;
// nil where nothing does.
func (k *Facts) LeftAt(l Life, q Quantity) *judging.Verdict {
	if q.Left == "" {
		return nil
	}
	if l.Opened != nil && l.Opened.AsLeft.Stated() {
		return k.Valued(l.Opened, q.Left)
	}
	last, ok := k.Lives.LeftBy(l.ReadHolder, l.From)
	if !ok || last.Overhaul != nil || q.Left != OpeningPressure.Left || !last.Opening.Valid() {
		return nil
	}
	return &judging.Verdict{Name: "opening pressure as left", Value: last.Opening} // as the book began
}

// FoundAt is how the valve of a life was found after it; nil where nothing tells.
func (k *Facts) FoundAt(l Life, q Quantity) *judging.Verdict {
	if l.Closed == nil {
		return nil
	}
	return k.Valued(l.Closed, q.Found)
}

// SpanOf are the engine hours that all charts of a cylinder share: from its first valve to the end of the interval of
// the last.
func (k *Facts) SpanOf(lives []Life, now Present) [2]float64 {
	if len(lives) == 0 {
		return [2]float64{}
	}
	end := lives[len(lives)-1].End
	for _, l := range lives {
		end = max(end, l.End)
	}
	if left, known := now.Left(); known && left > 0 && now.ServicePeriod != nil {
		if today, ok := k.Book.TotalOn(now.ServicePeriod.Engine, k.Today); ok {
			end = max(end, today+left)
		}
	}
	return [2]float64{lives[0].Begin, end}
}

// FirstFitted is the first day on which a valve of a list was fitted; 0 where no such day is known.
func FirstFitted(periods []*logbook.ServicePeriod) logbook.Day {
	for _, st := range periods {
		if st.From != 0 {
			return st.From
		}
	}
	return 0
}
