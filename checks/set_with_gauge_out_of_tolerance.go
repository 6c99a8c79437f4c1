package checks

import (
	"fmt"
	"sort"
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var setWithGaugeOutOfTolerance = &Check{
	Name:    "set-with-gauge-out-of-tolerance",
	Subject: OfInstrument,
	Ends:    &End{Ways: []Way{{By: "every valve set with it has been set again", fact: allSetAgain}}},
	Version: 1,
	Level:   Batch,
	Doc: "Valves were set with a gauge that is on record as wrong for that time, so that their true settings are not " +
		"what is written. What the gauge showed stays as it was written; the probable true settings are " +
		"worked out from the factor or offset on record. The finding lists the valves, and how they came back: where the " +
		"gauge was wrong they come back off the other way. While one of them is still fitted or in the spares rack, " +
		"test it before anything is judged by its setting; once all have been set again it is a note.",
	Source:  "common practice, no source",
	Example: "13 valves were set with PG-02 from 2022-03-16 to 2022-05-10 while it read wrong",
	Grade:   Action,
	Whole: func(c *Case) {
		ids := make([]string, 0, len(c.Book.Instruments))
		for id := range c.Book.Instruments {
			ids = append(ids, id)
		}
		sort.Strings(ids)
		for _, id := range ids {
			i := c.Book.Instruments[id]
			for k := range i.FoundWrong {
				wrongSettings(c, id, i.FoundWrong[k])
			}
		}
	},
}

// settingSpan is the least and the most of the probable settings of one class.
type settingSpan struct{ low, high measure.Quantity }

// wrongSettings reports the valves set with a gauge in one time found wrong.
func wrongSettings(c *Case, id string, w logbook.FoundWrong) {
	f := Finding{Place: w.Place, About: About{Instrument: id}, Grade: Note, Next: "all of them have been set again since"}
	spans := map[logbook.Class]*settingSpan{}
	var first, last logbook.Day
	waiting, n := 0, 0
	for _, o := range c.Book.Overhauls {
		shown, day := o.AsLeft.Opening.Median(), dateOr(o)
		if o.AsLeft.Gauge.Written != id || !shown.Quantity.Valid() || !inTime(w, day) || day > c.Today {
			continue
		}
		if n++; first == 0 {
			first = day
		}
		first, last = min(first, day), max(last, day)
		words := fmt.Sprintf("%s: left at %s", o.Holder, shown)
		if closing := o.AsLeft.Closing.Quantity; closing.Valid() && closing.Compare(shown.Quantity) >= 0 {
			words += ", opening and closing pressure perhaps exchanged"
		} else if t, ok := judging.TrueValue(w, shown.Quantity); ok {
			words += ", probably " + t.String()
			widen(spans, c.Lives.ClassOf(o), t)
		}
		next := nextBench(c, o)
		if next != nil && next.Day() > c.Today {
			next = nil
		}
		switch {
		case next != nil && next.AsFound.Opening.Median().Quantity.Valid():
			words += fmt.Sprintf("; as found %s on %s", next.AsFound.Opening.Median(), next.Day())
		case next == nil && !o.Decided.Holder.Is("condemn"):
			waiting++
			words += "; not set again since"
		}
		f.Related = append(f.Related, Related{shown.Place, words})
	}
	if n == 0 {
		return
	}
	f.Since = first
	f.Message = fmt.Sprintf("%s set with %s from %s to %s while it read wrong", numbered(n, "valve was", "valves were"),
		id, first, last)
	var probable []string
	for class := logbook.Used; class <= logbook.Reground; class++ {
		if s := spans[class]; s != nil {
			probable = append(probable, fmt.Sprintf("%s to %s (%s)", s.low.Number(), s.high, class))
		}
	}
	if len(probable) > 0 {
		f.Evidence = append(f.Evidence, "probably "+strings.Join(probable, ", "))
	} else {
		f.Evidence = append(f.Evidence, "by how much is not on record")
	}
	f.Evidence = append(f.Evidence, cameBack(c, w)...)
	if waiting > 0 {
		f.Grade = Action
		f.Evidence = append(f.Evidence, fmt.Sprintf("%d not set again since", waiting))
		f.Next = "test these before anything is judged by their setting"
	}
	c.Report(f)
}

// cameBack says how the valves set in that time came back against what was written, beside the ship's normal.
func cameBack(c *Case, w logbook.FoundWrong) (lines []string) {
	for class := logbook.Used; class <= logbook.Reground; class++ {
		sum, n, left := 0.0, 0, measure.Quantity{}
		for _, s := range c.Recurring().Shifts {
			if s.LeftWrong != nil && s.LeftWrong.Place == w.Place && s.FoundWrong == nil && s.Left.Class == class && !s.Settled {
				sum, n, left = sum+s.Bar, n+1, s.Left.Opening
			}
		}
		if normal := c.Recurring().Usual(class); n >= c.Settings.SetLeast.Int() && normal.N >= c.Settings.SetBaseline.Int() {
			lines = append(lines, fmt.Sprintf("%d %s ones as found %s against it, normal %s (%s)", n, class,
				left.Like(sum/float64(n)).Signed(), usualShift(left, normal), numbered(normal.N, "valve", "valves")))
		}
	}
	return lines
}

func inTime(w logbook.FoundWrong, day logbook.Day) bool {
	return w.From.Day != 0 && w.From.Day <= day && (w.To.Day == 0 || day <= w.To.Day)
}

func widen(spans map[logbook.Class]*settingSpan, class logbook.Class, q measure.Quantity) {
	s := spans[class]
	if s == nil {
		spans[class] = &settingSpan{q, q}
		return
	}
	if q.Compare(s.low) < 0 {
		s.low = q
	}
	if q.Compare(s.high) > 0 {
		s.high = q
	}
}

// nextBench is the next overhaul of the holder of a record; nil where there is none yet.
func nextBench(c *Case, o *logbook.Overhaul) *logbook.Overhaul {
	benches := c.Lives.Benches(o.Holder.Written)
	for i, p := range benches {
		if p == o && i+1 < len(benches) {
			return benches[i+1]
		}
	}
	return nil
}
