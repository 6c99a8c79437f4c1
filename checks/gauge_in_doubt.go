package checks

import (
	"fmt"
	"math"
	"strings"

	"needlebook/checks/recurring"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var gaugeInDoubt = &Check{
	Name:    "gauge-in-doubt",
	Subject: OfInstrument,
	Ends:    instrumentProved,
	Version: 1,
	Level:   Batch,
	Doc: "The valves of one round came back, as a group, well higher or lower against their last settings than this " +
		"ship's valves do. One valve may have its own " +
		"reason; several at once have the gauge, the earlier gauge, or the fuel as theirs, and every valve set on a wrong " +
		"gauge goes back into the engine wrong. Valves of one " +
		"setting class and a like age are compared with the ship's own earlier ones; their number and normal spread stand " +
		"in the finding. Valves set or tested while a gauge is on record as wrong, " +
		"and parts condemned in the end, do not make the normal. Compare the gauge with a second one before setting " +
		"anything more; what it turns out to be goes into the gauge's file.",
	Source:  "common practice, no source; middle and spread are median and median distance (Huber, Robust Statistics)",
	Example: "5 used valves of ME1 2022-03-16 were found 16 bar higher than this ship's valves are",
	Grade:   Action,
	Whole: func(c *Case) {
		all := c.Recurring().Against
		for _, a := range all {
			if a.Off {
				c.Report(roundOff(c, all, a))
			}
		}
	},
}

func roundOff(c *Case, all []recurring.RoundShift, a recurring.RoundShift) Finding {
	first := a.Shifts[0]
	f := Finding{Place: first.Found.Place, About: About{Round: a.Round.Name, Instrument: oneGauge(a.Shifts)}}
	way := "higher"
	if a.Bar() < 0 {
		way = "lower"
	}
	left := first.Left.Opening
	f.Message = fmt.Sprintf("%s of %s were found %s %s than this ship's valves are",
		logbook.Counted(len(a.Shifts), a.Class.String()+" valve"), a.Round.Name, left.Like(math.Abs(a.Bar())), way)
	f.Evidence = []string{fmt.Sprintf("mean %s against their last setting, normal %s (%s)", left.Like(a.Mean).Signed(),
		usualShift(left, a.Normal), numbered(a.Normal.N, "valve", "valves"))}
	gauge := f.About.Instrument
	if gauge == "" {
		gauge = "the gauges"
	}
	f.Next = fmt.Sprintf("compare %s with a second gauge before setting anything more", gauge)
	for _, s := range a.Shifts {
		o := s.Overhaul
		f.Related = append(f.Related, Related{s.Found.Place, fmt.Sprintf("%s-%s %s: left at %s, found %s", o.Removed.Engine,
			o.Removed.Cylinder, o.Holder, s.Left.Opening, s.Found)})
	}
	for _, i := range a.SetIn {
		f.Related = append(f.Related, Related{all[i].Shifts[0].Found.Place,
			fmt.Sprintf("valves of this round were set in round %s, which itself came back %s off: the opposite way",
				all[i].Round.Name, left.Like(all[i].Bar()).Signed())})
	}
	if a.Known {
		w := first.FoundWrong
		f.Grade = Note
		f.Next = "explained: " + first.Overhaul.AsFound.Gauge.Written + " is on record as wrong for that time"
		f.Related = append(f.Related, Related{w.Place, "found wrong from " + w.From.Written + " to " + w.To.Written})
	}
	return f
}

// usualShift is the ship's normal as it is written beside a setting: "-20 ± 7 bar".
func usualShift(setting measure.Quantity, n recurring.Normal) string {
	middle := setting.Like(n.Median).Signed()
	return strings.TrimSuffix(middle, " "+setting.Unit().Name) + " ± " + setting.Like(n.Spread).String()
}

// oneGauge is the gauge that all of the valves were tested with; empty where there were several.
func oneGauge(shifts []recurring.Shift) string {
	gauge := shifts[0].Overhaul.AsFound.Gauge.Written
	for _, s := range shifts {
		if s.Overhaul.AsFound.Gauge.Written != gauge {
			return ""
		}
	}
	return gauge
}
