package checks

import (
	"fmt"
	"strings"

	"needlebook/checks/recurring"
	"needlebook/logbook/measure"
)

var gaugeInDoubt = &Check{
	Name:    "gauge-in-doubt",
	Subject: OfInstrument,
	Ends:    instrumentProved,
	Version: 3,
	Level:   Batch,
	Doc: "Readings taken with one gauge in some rounds are, as a group, well off what this ship's valves show, and the " +
		"valves set with it then come back the other way. One valve may have its own reason; several at once have the " +
		"gauge, and every valve set on a wrong gauge goes back into the engine wrong. " +
		"Valves of all setting classes count together, each against the ship's own loss in as many hours. That loss, what " +
		"rounds differ by, gauge, holder and position are estimated together and compared with one another and with " +
		"chance; a round that failed as a whole tells less of its gauge, as its fuel lowers readings too. " +
		"A shift within what two such gauges may differ by names neither: a comparison with a better gauge does. " +
		"Compare the gauge before setting anything more; what it turns out to be is written in the gauge's file. " +
		measuredGauge,
	Source:  recurringSource,
	Example: "7 readings with PG-02 in ME1 2022-03-16 were 21 ± 5 bar high",
	Grade:   Action,
	Whole: func(c *Case) {
		all := c.Recurring()
		for i := range all.Pressures {
			if p := &all.Pressures[i]; p.Kind == recurring.ByGauge {
				c.Report(gaugeOff(all, p))
			}
		}
	},
}

func gaugeOff(all *recurring.Recurring, p *recurring.Pressures) Finding {
	tested, set, excused := 0, 0, true
	first := &all.Visits[p.Visits[0]]
	for n, i := range p.Visits {
		excused = excused && all.Visits[i].Excused
		if p.Sign[n] < 0 {
			set++
			continue
		}
		if tested++; tested == 1 {
			first = &all.Visits[i]
		}
	}
	round := all.RoundOf(p.Visits[0])
	for _, i := range p.Visits {
		if &all.Visits[i] == first {
			round = all.RoundOf(i)
		}
	}
	o := first.Overhaul
	found := o.AsFound.Opening.Median()
	way := "high"
	if p.Bar < 0 {
		way = "low"
	}
	f := Finding{Place: o.AsFound.Opening.Place, About: About{Round: round.Name, Instrument: p.Name},
		Related: pressuresMoved(all, p),
		Next:    fmt.Sprintf("compare %s with a better gauge before setting anything more", p.Name)}
	off := offBy(found.Quantity, p)
	what := fmt.Sprintf("%s with %s in %s", numbered(tested, "reading", "readings"), p.Name, round.Name)
	if tested == 0 {
		what = fmt.Sprintf("%s with %s before %s", numbered(set, "setting", "settings"), p.Name, round.Name)
	}
	f.Message = fmt.Sprintf("%s were %s %s", what, off, way)
	f.Evidence = []string{"k = 2, against this ship's own loss in as many hours", chanceLine(p.Chance, false, p.Asked)}
	if tested > 0 && set > 0 {
		f.Evidence = append(f.Evidence, fmt.Sprintf("%s with it then came back the other way",
			numbered(set, "valve set", "valves set")))
	}
	switch {
	case excused:
		f.Grade, f.Next = Note, "explained: "+p.Name+" is on record as out of tolerance for that time"
	case p.Within:
		f.Grade = Note
		f.Message = fmt.Sprintf("%s and %s differ by %s", p.Name, otherGauge(all, p), off)
		f.Evidence = append(f.Evidence, "two gauges of their class may differ by as much: neither is named")
		f.Next = "compare both with a better gauge"
	case p.Rival != nil:
		f.Grade = Advice
		f.Evidence = append(f.Evidence, fmt.Sprintf("%s %s explains it as well", p.Rival.Kind, p.Rival.Name))
		f.Next = decides(p.Kind, p.Rival.Kind)
	}
	return f
}

// offBy is by how much pressures are off, with the uncertainty of that, in the unit of a reading: "21 ± 5 bar".
func offBy(found measure.Quantity, p *recurring.Pressures) string {
	return fmt.Sprintf("%s ± %s", strings.TrimSuffix(found.Like(max(p.Bar, -p.Bar)).String(), " "+found.Unit().Name),
		found.Like(p.Uncertainty))
}

// otherGauge is the gauge that the readings were held against: the one that set the valves, or the same one before.
func otherGauge(all *recurring.Recurring, p *recurring.Pressures) string {
	for n, i := range p.Visits {
		v := &all.Visits[i]
		for _, g := range []string{v.Set, v.Tested} {
			if (p.Sign[n] > 0 && g == v.Set || p.Sign[n] < 0 && g == v.Tested) && g != "" && g != p.Name {
				return g
			}
		}
	}
	return "its own readings at other times"
}

// usualShift is the ship's normal as it is written beside a setting: "-20 ± 7 bar".
func usualShift(setting measure.Quantity, n recurring.Normal) string {
	middle := setting.Like(n.Median).Signed()
	return strings.TrimSuffix(middle, " "+setting.Unit().Name) + " ± " + setting.Like(n.Spread).String()
}
