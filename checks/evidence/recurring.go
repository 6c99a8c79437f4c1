package evidence

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"needlebook/checks/judging"
	"needlebook/checks/paper"
	"needlebook/checks/recurring"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// RecurringPaper says recurring findings, and who and what does not.
func (e *Evidence) RecurringPaper() paper.Paper {
	found, asked := e.Associations()
	out := paper.Paper{Name: "recurring", Title: "Recurring findings: " + logbook.Listed(e.Book.Vessel.Called(),
		knownDay(e.today))}
	out.Lead = []string{fmt.Sprintf("compared with one another: holder, position, cylinder head, "+
		"nozzle batch, round, bunker, gauge, and nothing, %s in all; named is what the ship's own rate explains less "+
		"than once in %.0f, allowing for all that was asked", logbook.Counted(asked, "explanation"),
		100/e.settings.RecurringChance.Float())}
	stands := e.associations(found)
	if asked == 0 {
		stands.Empty = "nothing could be asked: too few valves are on record as opened and looked at"
	}
	out.Tables = []paper.Table{stands, e.wrongGauges(), e.oddRounds(), e.rejections()}
	out.Notes = []string{"what occurs with a finding need not cause it: look at the part, the gauge or the fuel " +
		"before saying so",
		"each line sets aside the records it explains before the next is asked",
		"a holder is named where it failed in two positions or more, a position where two holders or more failed in it",
		"opening pressures are held against what others set alike showed after as many hours",
		"no person is asked about: same bench, method and instrument is what a round has in common, and the gauge is asked"}
	return out
}

// pressure is the unit that the limits of the first type are written in: a ship that sets in psi reads her shifts in
// psi.
func (e *Evidence) pressure() scale {
	var low measure.Quantity
	if types := e.types(); len(types) > 0 {
		low = types[0].in.Opening.Used.Span.Low
	}
	return scaleOf(low, measure.Pressure)
}

func (e *Evidence) associations(found []Association) paper.Table {
	unit := e.pressure()
	t := paper.Table{Name: "recurring", Title: "recurring findings, the clearest first",
		Columns: []string{"what", "which", "occurs with", "of those with it", "of the others", "effect", "ran h, mean",
			"chance, allowing for all asked", "cannot be told from"},
		Empty: "nothing: chance explains what there is"}
	for _, a := range found {
		own, rest, effect := fmt.Sprintf("%d of %d", a.Bad, a.N), fmt.Sprintf("%d of %d", a.RestBad, a.RestN), "–"
		if a.With == withShift {
			own, rest = fmt.Sprintf("n %d", a.N), fmt.Sprintf("n %d", a.RestN)
			effect = unit.text("%+.0f", a.Effect) + unit.text(" ± %.0f ", a.Uncertainty) + unit.name
		} else if a.RestN > 0 && a.N > 0 {
			effect = fmt.Sprintf("%s against %s", percent(float64(a.Bad)/float64(a.N)),
				percent(float64(a.RestBad)/float64(a.RestN)))
		}
		ran := "not known"
		if a.Ran > 0 && a.Others > 0 {
			ran = fmt.Sprintf("%.0f against %.0f", a.Ran, a.Others)
		}
		which := paper.Text(a.Which)
		if a.Kind == aHolder {
			which = paper.Holder(a.Which)
		}
		t.Add(paper.Text(a.Kind), which, paper.Text(a.With), paper.Text(own), paper.Text(rest), paper.Text(effect),
			paper.Text(ran), paper.Text(chance(a.Chance, a.Least)), paper.Text(cmp.Or(a.Rival, "–")))
	}
	return t
}

// wrongGauges holds the times in which a gauge is on record as wrong against what the valves set or tested in them
// showed.
func (e *Evidence) wrongGauges() paper.Table {
	t := paper.Table{Name: "gauges",
		Title:   "gauges on record as wrong, and what their valves showed against the ship's normal",
		Columns: []string{"gauge", "from", "to", "valves", "n", "wrong by, expected", "seen", "explains it"},
		Empty:   "no gauge is on record as wrong"}
	for _, id := range slices.Sorted(maps.Keys(e.Book.Instruments)) {
		for _, w := range e.Book.Instruments[id].FoundWrong {
			e.wrongGauge(&t, id, w, "tested with it", func(s recurring.Shift) (measure.Quantity, bool) {
				return s.Found.Quantity, s.Overhaul.AsFound.Gauge.Written == id && s.LeftWrong == nil && s.FoundWrong != nil &&
					s.FoundWrong.From.Day == w.From.Day
			}, 1)
			e.wrongGauge(&t, id, w, "set with it", func(s recurring.Shift) (measure.Quantity, bool) {
				o := s.Left.Overhaul
				return s.Left.Opening, o != nil && o.AsLeft.Gauge.Written == id && s.FoundWrong == nil && s.LeftWrong != nil &&
					s.LeftWrong.From.Day == w.From.Day
			}, -1)
		}
	}
	return t
}

// wrongGauge adds one row: sign is 1 where a gauge that shows too much makes a valve seem to gain, -1 where it makes it
// seem to lose.
func (e *Evidence) wrongGauge(t *paper.Table, id string, w logbook.FoundWrong, how string,
	takes func(recurring.Shift) (shown measure.Quantity, ok bool), sign float64) {
	var seen, expected []float64
	for _, s := range e.Recurring.Shifts {
		shown, ok := takes(s)
		if !ok || s.Settled || s.Overhaul.Day() > e.today {
			continue
		}
		seen = append(seen, s.Bar-e.usual[s.Left.Class])
		if true_, known := judging.TrueValue(w, shown); known {
			expected = append(expected, sign*(shown.Float()-true_.Float()))
		}
	}
	if len(seen) == 0 {
		return
	}
	unit := e.pressure()
	is, want, says := recurring.Habit(seen, 0), "not stated", "not known by how much it was wrong"
	if len(expected) == len(seen) {
		x := recurring.Habit(expected, 0).Median
		want, says = unit.text("%+.0f ", x)+unit.name, "no"
		// half the expected shift, on its side, is nearer to it than to none
		if x != 0 && is.Median/x >= 0.5 {
			says = "yes"
		}
	}
	to := w.To.Written
	if to == "" {
		to = "–"
	}
	t.Add(paper.Instrument(id), paper.Text(w.From.Written), paper.Text(to), paper.Text(how), num(len(seen)),
		paper.Text(want), paper.Text(unit.text("%+.0f ", is.Median)+unit.name+", middle"), paper.Text(says))
}

// oddRounds are the rounds that came back odd as a whole, and what their valves shared. One round cannot tell these
// apart.
func (e *Evidence) oddRounds() paper.Table {
	t := paper.Table{Name: "rounds",
		Title: "rounds that came back odd as a whole, and what their valves shared (one round alone cannot tell " +
			"these apart)",
		Columns: []string{"round", "n", "what", "this ship's normal", "bunker", "gauge"}, Empty: "none"}
	for _, f := range e.Recurring.Fouled {
		if f.Round.First > e.today {
			continue
		}
		what, usual := fmt.Sprintf("%d of %d failed", len(f.Bad), f.Judged), fmt.Sprintf("%d of %d", f.By.RestOf, f.By.Rest)
		if f.Leak > 0 {
			what += fmt.Sprintf(", leak-down %.0f %%", 100*f.Leak)
			usual += ", leak-down 100 % at that age"
		}
		var fuel []string
		for _, u := range f.Bunkers {
			if 10*u.Days < u.Of { // as little as is not asked about above
				continue
			}
			fuel = append(fuel, fmt.Sprintf("%s (%d of %d d)", u.Bunker.Stem.Written, u.Days, u.Of))
		}
		t.Add(paper.Text(f.Round.Name), num(f.Judged), paper.Text(what), paper.Text(usual),
			paper.Text(cmp.Or(strings.Join(fuel, ", "), "not on record")), paper.Text(gaugesOf(f.Round.Overhauls)))
	}
	unit := e.pressure()
	for i := range e.Recurring.Pressures {
		p := &e.Recurring.Pressures[i]
		if p.Kind != recurring.ByGauge {
			continue
		}
		gauge := p.Name
		if p.Within {
			gauge += ", not told from the other"
		}
		t.Add(paper.Text(e.Recurring.RoundOf(p.Visits[0]).Name), num(len(p.Visits)),
			paper.Text("opening pressure "+unit.text("%+.0f ", p.Bar)+unit.name), paper.Text(unit.text("± %.0f ",
				p.Uncertainty)+unit.name), paper.Text("–"), paper.Text(gauge))
	}
	return t
}

// gaugesOf names the gauges that overhauls were tested with as found.
func gaugesOf(all []*logbook.Overhaul) string {
	var names []string
	for _, o := range all {
		if g := o.AsFound.Gauge.Written; g != "" && !slices.Contains(names, g) {
			names = append(names, g)
		}
	}
	slices.Sort(names)
	return cmp.Or(strings.Join(names, ", "), "not stated")
}

func chance(p float64, least bool) string {
	if least || p < 0.001 {
		return "under 0.001"
	}
	return fmt.Sprintf("%.3f", p)
}

// rejections counts nozzles taken out before their life, by holder and position.
func (e *Evidence) rejections() paper.Table {
	t := paper.Table{Name: "rejections", Title: "nozzles taken out of use, by holder",
		Columns: []string{"holder", "nozzles", "not explained", "explained by", "hours not known", "mean service h",
			"where"}, Empty: "none"}
	type sum struct {
		n, open, unjudged int
		hours             float64
		why               map[string]int
		where             []string
	}
	by := map[string]*sum{}
	for _, r := range e.Recurring.Rejections {
		if !r.Renewed || r.Overhaul.Day() > e.today {
			continue
		}
		s := by[r.Holder]
		if s == nil {
			s = &sum{why: map[string]int{}}
			by[r.Holder] = s
		}
		s.n++
		if period := e.lives.ClosedBy(r.Overhaul); period != nil {
			s.hours += period.Hours
		}
		s.where = append(s.where, r.Position.String())
		why := r.Explained
		if strings.HasPrefix(why, "not early") {
			why = "its hours"
		}
		switch {
		case r.Unjudged:
			s.unjudged++
		case why == "":
			s.open++
		default:
			s.why[why]++
		}
	}
	names := make([]string, 0, len(by))
	for h := range by {
		names = append(names, h)
	}
	slices.SortFunc(names, func(a, b string) int {
		return cmp.Or(by[b].open-by[a].open, by[b].n-by[a].n, strings.Compare(a, b))
	})
	for _, h := range names {
		s := by[h]
		var why []string
		for w, n := range s.why {
			why = append(why, fmt.Sprintf("%s (%d)", w, n))
		}
		slices.Sort(why)
		t.Add(paper.Holder(h), num(s.n), num(s.open), paper.Text(strings.Join(why, "; ")), num(s.unjudged),
			paper.Text(fmt.Sprintf("%.0f", s.hours/float64(s.n))), paper.Text(strings.Join(s.where, " ")))
	}
	return t
}
