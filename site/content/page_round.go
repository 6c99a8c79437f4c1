package content

import (
	"slices"

	"needlebook/checks"
	"needlebook/checks/recurring"
	"needlebook/logbook"
	"needlebook/logbook/keys"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// roundPage sets the valves of one round side by side, and against what this ship's valves showed before.
func (w *Writer) roundPage(n int) *page.Page {
	r := w.Rounds[n]
	p := &page.Page{Name: w.at.RoundAt[n], Title: "round " + r.Name, Kind: "round", Head: "Round " + r.Name,
		Way: []page.Step{{To: address.Rounds, Text: "rounds"}, {Text: r.Name}}}
	t := page.Words(page.UpperFirst(page.Counted(len(r.Overhauls), "one valve", "valves"))).Say(" of ").Say(r.Engine).
		Say(", first removal on ").Say(r.First.String()).Say(".")
	if job := r.Job(); job != "" {
		t = t.Say(" ").Say(page.UpperFirst(job)).Say(".")
	}
	if n > 0 || n+1 < len(w.Rounds) {
		t = t.Say(" ")
		if i := w.sameEngine(n, -1); i >= 0 {
			t = t.Say("Before it: ").Link(w.at.RoundAt[i], w.Rounds[i].Name).Say(". ")
		}
		if i := w.sameEngine(n, 1); i >= 0 {
			t = t.Say("After it: ").Link(w.at.RoundAt[i], w.Rounds[i].Name).Say(".")
		}
	}
	t = t.Say(" ").Link(w.at.Sheet[n], "The sheet of this round, filled in").Say(", for the printer.")
	p.Add(lead(t), w.openFindings(w.OfRound(r), "this round and its records", checks.OfRound, checks.OfRecord),
		w.againstNormal(r), w.sideBySide(r))
	return p
}

// sameEngine is the next round of the same engine in one direction; -1 for none.
func (w *Writer) sameEngine(n, step int) int {
	for i := n + step; i >= 0 && i < len(w.Rounds); i += step {
		if w.Rounds[i].Engine == w.Rounds[n].Engine {
			return i
		}
	}
	return -1
}

// againstNormal is what each valve of the round lost or gained since it was set, on the band that this ship's earlier
// valves of a like age showed.
func (w *Writer) againstNormal(r logbook.Round) page.Block {
	s := page.Under("Against this ship's normal",
		from("Opening pressure as found less as left before, valve by valve. The band is the middle "+
			"of this ship's earlier valves of the same setting and a like age, with twice their spread."))
	n := len(s.Blocks)
	for _, a := range w.Recurring().Against {
		if a.Round.Name == r.Name && a.Round.Engine == r.Engine {
			s.Add(w.differences(r, a))
		}
	}
	if len(s.Blocks) == n {
		s.Add(quiet("Too few valves that compare, here or before: there is no normal to hold them against."))
	}
	return s
}

// differences is the chart of one setting class, with its numbers.
func (w *Writer) differences(r logbook.Round, a recurring.RoundShift) page.Block {
	c := page.Differences{Setting: a.Class.String(), Normal: page.Normal{Known: true, Median: a.Normal.Median,
		Spread: a.Normal.Spread}}
	for _, o := range r.Overhauls {
		c.Columns = append(c.Columns, o.Removed.Cylinder.Written)
	}
	t := page.NewTable(page.Listed, "cylinder", "valve", "left at", "as found", "difference")
	for _, sh := range a.Shifts {
		o := sh.Overhaul
		cylinder, holder, to := o.Removed.Cylinder.Written, o.Holder.Written, w.at.Overhaul[o]
		c.Points = append(c.Points, page.Point{X: float64(slices.Index(r.Overhauls, o)), Y: sh.Bar, Found: true, To: to,
			Words: "cylinder " + cylinder + ", " + holder + ": " + page.SignedBar(sh.Bar)})
		t.Row(page.Plainly(cylinder), page.Plainly(holder), page.Value(sh.Left.Opening.String()),
			page.Quantity(page.Link(to, sh.Found.String())), page.Value(page.SignedBar(sh.Bar)))
	}
	words := page.Words("Mean ").Say(page.SignedBar(a.Mean)).Say("; normal ").Say(page.SignedBar(a.Normal.Median)).
		Say(", spread ").
		Say(page.Fixed(a.Normal.Spread, 1)).Say(" bar, from ").Int(a.Normal.N).Say(" earlier valves.")
	return &page.Charted{Caption: a.Class.String() + " setting", Chart: c,
		Blocks: []page.Block{page.Fold{Summary: page.Words("the numbers"), Blocks: []page.Block{t}}, para(words)}}
}

// besideOneAnother is how many valves are side by side on an A4 sheet; those of a larger round go on in a further
// table.
const besideOneAnother = 8

// sideBySide sets the valves beside one another, a column each.
func (w *Writer) sideBySide(r logbook.Round) page.Block {
	s := page.Under("Side by side")
	for some := range slices.Chunk(r.Overhauls, besideOneAnother) {
		s.Add(w.beside(some))
	}
	s.Add(w.leftOut(r))
	return s
}

// compared is a line of the table of valves side by side: the verdict on a key.
type compared struct{ name, key string }

var (
	comparedFound = []compared{{"opening as found", facts.OpeningPressure.Found}, {"seat as found", keys.AsFoundSeatState},
		{"leak-down as found", facts.LeakDown.Found}, {"spray as found", keys.AsFoundSpray},
		{"lift", facts.NozzleStroke.Found},
		{"holder wear", facts.HolderWear.Found}, {"effective lift", facts.EffectiveStroke.Found}}
	comparedLeft = []compared{{"opening as left", facts.OpeningPressure.Left}, {"seat as left", keys.AsLeftSeatState},
		{"leak-down as left", facts.LeakDown.Left}, {"spray as left", keys.AsLeftSpray}}
)

func (w *Writer) beside(valves []*logbook.Overhaul) page.Block {
	t := page.NewTable(page.Side, "cylinder")
	for _, o := range valves {
		t.Columns = append(t.Columns, page.Link(w.at.Overhaul[o], page.OrDash(o.Removed.Cylinder.Written)))
	}
	row := func(name string, cell func(o *logbook.Overhaul) page.Text) {
		cells := []page.Cell{page.RowHead(page.Words(name))}
		for _, o := range valves {
			cells = append(cells, page.Said(cell(o)))
		}
		t.Row(cells...)
	}
	judged := func(all []compared) {
		for _, q := range all {
			row(q.name, func(o *logbook.Overhaul) page.Text { return w.judgedValue(o, q.key) })
		}
	}
	row("holder", func(o *logbook.Overhaul) page.Text { return w.holder(o.Holder.Written) })
	row("nozzle", w.nozzlePair)
	row("ran", func(o *logbook.Overhaul) page.Text { return page.Words(stayHours(w.Lives.ClosedBy(o))) })
	judged(comparedFound)
	row("exhaust before", func(o *logbook.Overhaul) page.Text {
		return page.Words(page.OrDash(o.AsFound.RunningBefore.Exhaust.Written))
	})
	row("decided", func(o *logbook.Overhaul) page.Text { return page.Words(facts.Decision(o)) })
	judged(comparedLeft)
	row("fitted to", func(o *logbook.Overhaul) page.Text {
		if !o.Fitted.Stated() {
			return page.Words("–")
		}
		return w.position(facts.FittedTo(o))
	})
	row("done by", func(o *logbook.Overhaul) page.Text { return page.Words(page.OrDash(o.By.Written)) })
	row("open findings", w.gravestOf)
	return t
}

// nozzlePair is the nozzle that a valve was found with, and the one that it was left with.
func (w *Writer) nozzlePair(o *logbook.Overhaul) page.Text {
	t := w.nozzle(o.Nozzle.Found.Written)
	if left := o.Nozzle.Left; left.Stated() && left.Written != o.Nozzle.Found.Written {
		t = t.Say(" → ").Then(w.nozzle(left.Written))
	}
	return t
}

// leftOut names the cylinders of the engine that the round left out: a gap must be seen. Nil for none.
func (w *Writer) leftOut(r logbook.Round) page.Block {
	e := w.Book.Engine(r.Engine)
	if e == nil || len(r.Overhauls) < 2 {
		return nil
	}
	done := map[string]bool{}
	for _, o := range r.Overhauls {
		done[o.Removed.Cylinder.Written] = true
	}
	var left page.Text
	for _, c := range e.Cylinders.Each {
		if done[c.Written] {
			continue
		}
		if len(left) > 0 {
			left = left.Say(", ")
		}
		left = left.Link(w.at.To(logbook.Position{Engine: r.Engine, Cylinder: c.Written}), c.Written)
	}
	if len(left) == 0 {
		return nil
	}
	return para(page.Words("Not in this round: cylinder ").Then(left).Say("."))
}
