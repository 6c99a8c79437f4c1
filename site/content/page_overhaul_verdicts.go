package content

import (
	"math"
	"slices"
	"strconv"
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

// verdicts are all of a record in the order of the bench: value as written, limit, scale, verdict with its working,
// where the limit comes from, and the commit that set the value.
func (w *Writer) verdicts(o *logbook.Overhaul) page.Block {
	list := w.Judged.Worked(o)
	if len(list) == 0 {
		return nil
	}
	t := page.NewTable(page.Verdicts, "quantity", "value", "limit", "scale", "verdict", "from", "set by")
	var sources []source // numbered from 1 in the order they are met
	for i := range list {
		v := &list[i]
		from := page.Cell{}
		if v.Source != "" {
			n := slices.Index(sources, source{v.Source, v.Revision})
			if n < 0 {
				n, sources = len(sources), append(sources, source{v.Source, v.Revision})
			}
			from = page.To(w.at.Line(v.LimitPlace), strconv.Itoa(n+1))
		}
		t.Rows = append(t.Rows, page.Row{ID: address.KeyID(v.Key), Cells: []page.Cell{page.RowHead(page.Words(v.Name)),
			valueCell(v),
			w.limitCell(v), page.Holding(nil, scale(v)), w.working(o, v), from, w.setBy(o, v)}})
	}
	s := page.Under("Verdicts", t)
	if len(sources) == 0 {
		return s
	}
	items := page.List{Style: page.Sources, Ordered: true}
	for _, src := range sources {
		text := page.Words(src.text)
		if src.revision != 0 {
			text = text.Say(", in force from ").Say(src.revision.String())
		}
		items.Items = append(items.Items, page.Item{Text: text})
	}
	s.Add(items)
	return s
}

// valueCell is a judged value as written, as a link to its line, and beside it what was judged where that is another.
func valueCell(v *judging.Verdict) page.Cell {
	if text := v.Shown(); text != "" {
		return page.Quantity(page.Link(onPage(v.Place), text))
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

// setBy is the commit that gave a value its text, and who signed it.
func (w *Writer) setBy(o *logbook.Overhaul, v *judging.Verdict) page.Cell {
	if !v.Value.Valid() && (v.Written == "" || v.Result == judging.NotMeasured) {
		return page.Plainly("–")
	}
	c := w.SetBy(o.Path, writtenKey(v.Key))
	if c == nil { // the reason why there is no value may stand for a whole block
		c = w.SetBy(o.Path, keyAt(o, v.Place))
	}
	if c == nil {
		if w.Trail.UnderGit {
			return page.Said(page.In(page.Loud, "not committed"))
		}
		return page.Cell{}
	}
	t := w.commit(c)
	switch {
	case !c.State.Speaks():
		t = t.Say(" ").In(page.Loud, string(c.State))
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

// working is the verdict, and behind it how it came about: closed, for who wants to look.
func (w *Writer) working(o *logbook.Overhaul, v *judging.Verdict) page.Cell {
	if len(v.Working) == 0 && v.Why == "" && v.Instrument == "" && !v.Margin.Valid() {
		return page.Marked(verdict(v))
	}
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
	return page.Holding(nil, page.Fold{Summary: verdict(v), Blocks: []page.Block{page.List{Items: page.Items(lines...)}}})
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
