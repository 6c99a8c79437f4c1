package content

import (
	"math"
	"slices"
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// source is a limits revision that verdicts of a page rest on.
type source struct {
	text     string
	revision logbook.Day
}

// verdicts are all of a record in the order of the bench: value as written, limit, scale and verdict, beside the valve
// in section. A value leads to its line, a limit to its own, a verdict to its working.
func (w *Writer) verdicts(o *logbook.Overhaul) page.Block {
	list := w.Judged.Worked(o)
	if len(list) == 0 {
		return nil
	}
	t := page.NewTable(page.Verdicts, "quantity", "value", "limit", "scale", "verdict")
	for i := range list {
		v := &list[i]
		behind := w.at.Behind[o].At(address.KeyID(v.Key))
		judged := page.Text{}.Leading(behind, verdict(v))
		if c, no := w.settingOf(o, v); !no {
			if doubted := w.doubtedSetting(c); len(doubted) > 0 {
				judged = judged.Say(" ").Then(doubted)
			}
		}
		t.Rows = append(t.Rows, page.Row{ID: address.KeyID(v.Key), Cells: []page.Cell{page.RowHead(page.Words(v.Name)),
			w.valueCell(v), w.limitCell(v), page.Holding(nil, scale(v)),
			page.Marked(judged)}})
	}
	s := page.Under("Verdicts", &page.Box{Style: page.Beside, Blocks: append([]page.Block{t}, w.section(o)...)},
		sourcesOf(list))
	s.TitleID = "verdicts"
	return s
}

// sourcesOf are the limits revisions that verdicts rest on, in the order in which they are met; nil for none.
func sourcesOf(list []judging.Verdict) page.Block {
	var sources []source
	items := page.List{Style: page.Sources, Ordered: true}
	for i := range list {
		src := source{list[i].Source, list[i].Revision}
		if src.text == "" || slices.Contains(sources, src) {
			continue
		}
		sources = append(sources, src)
		items.Items = append(items.Items, page.Item{Text: page.Words(src.String())})
	}
	if len(sources) == 0 {
		return nil
	}
	return items
}

func (s source) String() string {
	if s.revision == 0 {
		return s.text
	}
	return s.text + ", in force from " + s.revision.String()
}

// workings are how each verdict came about, from which limit, and the commit that set its value.
func (w *Writer) workings(o *logbook.Overhaul) page.Block {
	list := w.Judged.Worked(o)
	if len(list) == 0 {
		return nil
	}
	t := page.NewTable(page.Listed, "quantity", "verdict", "how it was worked out", "limit from", "set by")
	for i := range list {
		v := &list[i]
		limit := page.Cell{}
		if v.Source != "" {
			limit = page.Said(page.Link(w.at.Line(v.LimitPlace), source{v.Source, v.Revision}.String()))
		}
		t.Rows = append(t.Rows, page.Row{ID: address.KeyID(v.Key), Cells: []page.Cell{
			page.RowHead(page.Link(w.at.Overhaul[o].At(address.KeyID(v.Key)), v.Name)), page.Marked(verdict(v)),
			page.Said(w.working(o, v)), limit, w.setBy(o, v)}})
	}
	return page.Under("How each verdict was worked out", t)
}

// valueCell is a judged value as written, as a link to its line, and beside it what was judged where that is another.
func (w *Writer) valueCell(v *judging.Verdict) page.Cell {
	if text := v.Shown(); text != "" {
		return page.Quantity(page.Link(w.at.Line(v.Place), text))
	}
	return page.Value("–")
}

func (w *Writer) limitCell(v *judging.Verdict) page.Cell {
	if v.LimitText == "" {
		return page.Value("–")
	}
	return page.Quantity(page.Link(w.at.Line(v.LimitPlace), v.LimitText))
}

// scale is a value against its limit; nil where the two do not compare.
func scale(v *judging.Verdict) page.Block {
	if !v.Value.Valid() || !v.Span.Valid() || v.Span.Kind() != v.Value.Kind() {
		return nil
	}
	s := page.Scale{Value: v.Value.Float(), Low: math.Inf(-1), High: math.Inf(1), U: v.U, Out: v.Result.Out(),
		Left: strings.HasPrefix(v.Key, "as_left.") || strings.HasPrefix(v.Key, "assembled.")}
	if v.Span.Low.Valid() {
		s.Low = v.Span.Low.Float()
	}
	if v.Span.High.Valid() {
		s.High = v.Span.High.Float()
	}
	return s
}

// settingOf is the commit that gave a value its text, nil where none holds it; no is true where there is no value that
// one could have set.
func (w *Writer) settingOf(o *logbook.Overhaul, v *judging.Verdict) (c *logbook.Commit, no bool) {
	if !v.Value.Valid() && (v.Written == "" || v.Result == judging.NotMeasured) {
		return nil, true
	}
	if c = w.SetBy(o.Path, writtenKey(v.Key)); c == nil { // the reason why there is no value may stand for a whole block
		c = w.SetBy(o.Path, keyAt(o, v.Place))
	}
	return c, false
}

// doubtedSetting is why nobody answers for a value; nil where somebody does.
func (w *Writer) doubtedSetting(c *logbook.Commit) page.Text {
	switch {
	case c == nil && w.Trail.UnderGit:
		return page.In(page.Loud, "not committed")
	case c != nil && !c.State.Speaks():
		return page.In(page.Loud, string(c.State))
	}
	return nil
}

// setBy is the commit that gave a value its text, and who signed it.
func (w *Writer) setBy(o *logbook.Overhaul, v *judging.Verdict) page.Cell {
	c, no := w.settingOf(o, v)
	if no {
		return page.Plainly("–")
	}
	doubted := w.doubtedSetting(c)
	if c == nil {
		return page.Said(doubted)
	}
	t := w.commit(c)
	switch {
	case len(doubted) > 0:
		t = t.Say(" ").Then(doubted)
	case c.AdoptedBy != "":
		t = t.Say(" ").In(page.By, "adopted")
	case c.Person != "":
		t = t.Say(" ").In(page.By, c.Person)
	}
	return page.Said(t)
}

// keyAt is the key of what a record says at a place; empty where it says nothing there.
func keyAt(o *logbook.Overhaul, at logbook.Place) (key string) {
	logbook.Says(o, func(s logbook.Said) {
		if s.Leaf.Present() && s.Leaf.Place == at && at.Line > 0 {
			key = s.Key
		}
	})
	return key
}

// writtenKey is the key under which the judged value stands in the record. A worked-out value rests on what it was
// worked out from.
func writtenKey(key string) string {
	switch key {
	case facts.EffectiveStroke.Found:
		return "measured"
	case "nozzle_hours":
		return keys.NozzleFound
	case "as_found.opening_pressure/look":
		return facts.OpeningPressure.Found
	}
	return key
}

// working is how a verdict came about, a line a step.
func (w *Writer) working(o *logbook.Overhaul, v *judging.Verdict) page.Text {
	var lines []page.Text
	for _, line := range v.Working {
		lines = append(lines, page.Words(line))
	}
	if v.Margin.Valid() {
		lines = append(lines, page.Words("margin ").Say(v.Margin.String()))
	}
	if v.Safety {
		lines = append(lines, page.Words("a safety limit: uncertainty counts against the part"))
	}
	if v.Why != "" {
		lines = append(lines, page.Words(v.Why))
	}
	if v.Instrument != "" {
		lines = append(lines, w.readWith(o, v))
	}
	for _, f := range w.Found.Record[o] {
		if f.Place == v.Place && v.Place.Line > 0 {
			lines = append(lines, grade(f.Grade).Say(" ").Link(w.at.OfCheck(f.Check), f.Check))
		}
	}
	var t page.Text
	for i, line := range lines {
		if i > 0 {
			t = t.Break()
		}
		t = t.Then(line)
	}
	return t
}

// readWith is the instrument of a value, and whether it was wrong then.
func (w *Writer) readWith(o *logbook.Overhaul, v *judging.Verdict) page.Text {
	t := page.Words("read with ").Link(w.at.Instrument[v.Instrument], v.Instrument)
	if i := w.Book.Instruments[v.Instrument]; i != nil {
		if _, wrong := judging.WrongOn(i, facts.DayOf(o, v.Key)); wrong {
			t = t.Say(", ").Link(w.at.Instrument[v.Instrument].At("found-wrong"), "found wrong in that time")
		}
	}
	return t
}
