package merge

import (
	"fmt"
	"path"
	"slices"
	"strings"

	"needlebook/logbook/events"
)

// A Past is what is known of the items of both sides' texts: which commit brought each. Without one the base is
// all that both know.
type Past struct {
	*events.History
	Ours, Theirs *events.State
}

// table joins a table or a list item by item: what either side brought stands, what either took out goes, and what
// came to both from one commit stands once. Our text is kept byte for byte where theirs has nothing to say.
type table struct {
	Sides
	past   Past
	joint  *events.Joint
	comma  rune
	dates  int // the column of dates, by which our rows are in order; -1 where there is none
	eol    string
	theirs map[int]*events.Item // as theirs has it written
	pieces pieces
}

// entry is one item of the joined text: as ours has it written, or theirs in its place, or both where they
// contradict each other.
type entry struct {
	event        int
	ours, theirs string
	apart        bool
	date         string
}

// items joins both texts. It is left to a person where the names of the columns differ, or where both changed one row.
func (s Sides) items(eol string) Outcome {
	t := &table{Sides: s, eol: eol, dates: -1, comma: ',', theirs: map[int]*events.Item{}}
	ours, theirs := events.Of(s.Path, s.Ours), events.Of(s.Path, s.Theirs)
	if s.Past == nil {
		h := &events.History{}
		base := h.Next(0, nil, events.Of(s.Path, s.Base))
		s.Past = &Past{h, h.Next(1, base, ours), h.Next(2, base, theirs)}
	}
	t.past = *s.Past
	if path.Ext(s.Path) == ".csv" {
		_, t.comma = events.Table(s.Ours)
		mine, other := head(ours), head(theirs)
		if mine != nil && other != nil && mine.Text != other.Text {
			return s.byLines("its columns differ", eol)
		}
		t.dates = dateColumn(mine, ours)
	}
	for i, e := range t.past.Theirs.Live {
		t.theirs[e] = &theirs[i]
	}
	t.joint = t.past.Join(t.past.Ours, t.past.Theirs)
	return t.outcome(t.put(t.frame(ours)))
}

func head(items []events.Item) *events.Item {
	for i := range items {
		if items[i].Kind == events.Head {
			return &items[i]
		}
	}
	return nil
}

// dateColumn finds the column by whose dates the rows of a table are in order.
func dateColumn(head *events.Item, items []events.Item) int {
	if head == nil {
		return -1
	}
	at := slices.IndexFunc(head.Cells(), func(name string) bool {
		return name == "date" || name == "received" || name == "from"
	})
	last := ""
	for i := range items {
		if at < 0 || items[i].Kind != events.Row {
			continue
		}
		d := date(&items[i], at)
		if d == "" || d < last {
			return -1
		}
		last = d
	}
	return at
}

// date is the day in a column of a row, in a form that sorts; empty where none stands there.
func date(it *events.Item, column int) string {
	if it.Kind != events.Row || column < 0 {
		return ""
	}
	cells := it.Cells()
	if column >= len(cells) || len(cells[column]) < len("2006-01-02") {
		return ""
	}
	d := cells[column]
	for i, c := range []byte(d[:10]) {
		if (i == 4 || i == 7) != (c == '-') || c != '-' && (c < '0' || c > '9') {
			return ""
		}
	}
	return d
}

// frame is our text with what theirs did to our items.
func (t *table) frame(ours []events.Item) []entry {
	live := map[int]bool{}
	for _, e := range t.joint.Live {
		live[e] = true
	}
	instead := map[int]int{} // what theirs made of an item
	for _, f := range t.joint.Live {
		for o := f; o >= 0 && !t.past.Ours.Knows(f); o = t.past.Of(o) {
			if t.past.Ours.Knows(o) {
				instead[o] = f
				break
			}
		}
	}
	apart := map[int]int{}
	if path.Ext(t.Path) == ".csv" {
		for _, c := range t.joint.Apart {
			if c.Ours >= 0 {
				apart[c.Ours] = c.Theirs
			}
		}
	}
	var all []entry
	for i, e := range t.past.Ours.Live {
		at := entry{event: e, ours: t.ended(ours[i].Raw), date: date(&ours[i], t.dates)}
		at.theirs = at.ours
		f, contradicted := apart[e]
		twin, alike := t.joint.Alike[e]
		switch {
		case contradicted:
			at.theirs, at.apart = t.written(f), true
			delete(t.theirs, f)
		case live[e]:
			delete(t.theirs, e)
		case alike:
			delete(t.theirs, twin)
		default:
			f, changed := instead[e]
			if !changed || t.theirs[f] == nil {
				continue
			}
			at = entry{event: f, ours: t.written(f), theirs: t.written(f), date: date(t.theirs[f], t.dates)}
			delete(t.theirs, f)
		}
		all = append(all, at)
	}
	for f := range t.theirs {
		if _, alike := t.joint.Alike[f]; alike || !live[f] {
			delete(t.theirs, f)
		}
	}
	return all
}

// ended is a line with its end, so that it is not glued to what stands behind it.
func (t *table) ended(raw string) string {
	if raw != "" && !strings.HasSuffix(raw, "\n") {
		return raw + t.eol
	}
	return raw
}

// written is an item of theirs as it stands in our table: with our separator and our line ends.
func (t *table) written(f int) string {
	it := t.theirs[f]
	if it == nil {
		return ""
	}
	raw := it.Raw
	if _, comma := events.Table(t.Theirs); it.Kind == events.Row && comma != t.comma {
		raw = it.Respelled(t.comma)
	}
	return t.ended(string(withLineEnd([]byte(raw), t.eol)))
}

// put puts what only theirs brought into the frame: by its date, else behind what it stands behind there.
func (t *table) put(all []entry) []entry {
	removed := map[int]bool{} // ours took it out and theirs changed it
	if path.Ext(t.Path) == ".csv" {
		for _, c := range t.joint.Apart {
			removed[c.Theirs] = c.Ours < 0
		}
	}
	as := map[int]int{} // what stands in the frame for an event
	for _, e := range all {
		as[e.event] = e.event
	}
	for f, e := range t.joint.Alike {
		if _, stands := as[f]; stands {
			as[e] = f
		} else if _, stands := as[e]; stands {
			as[f] = e
		}
	}
	before := -1
	for _, f := range t.past.Theirs.Live {
		it := t.theirs[f]
		if it == nil {
			if e, stands := as[f]; stands {
				before = e
			}
			continue
		}
		e := entry{event: f, ours: t.written(f), theirs: t.written(f), date: date(it, t.dates)}
		if removed[f] {
			e.ours, e.apart = "", true
		}
		all = slices.Insert(all, t.where(all, e, before), e)
		before = f
	}
	return all
}

// where an item of theirs goes: behind what it stands behind there and what ours added behind that, unless the
// dates speak against it.
func (t *table) where(all []entry, e entry, before int) int {
	at := 0
	if i := slices.IndexFunc(all, func(x entry) bool { return x.event == before }); i >= 0 {
		at = i + 1
	}
	for at < len(all) && !t.past.Theirs.Knows(all[at].event) {
		at++
	}
	if e.date == "" || earlier(all[:at], e.date) && later(all[at:], e.date) {
		return at
	}
	for i := len(all) - 1; i >= 0; i-- {
		if all[i].date != "" && all[i].date <= e.date {
			return i + 1
		}
	}
	return max(0, slices.IndexFunc(all, func(x entry) bool { return x.date != "" }))
}

// earlier says that the last dated entry of a list is not later than a day, later that the first is not earlier.
func earlier(list []entry, day string) bool {
	for _, x := range slices.Backward(list) {
		if x.date != "" {
			return x.date <= day
		}
	}
	return true
}

func later(list []entry, day string) bool {
	for _, x := range list {
		if x.date != "" {
			return x.date >= day
		}
	}
	return true
}

// outcome writes the joined text, and says what was added twice and what both sides changed.
func (t *table) outcome(all []entry) Outcome {
	out := Outcome{}
	line, firsts := 1, map[string]int{}
	twice := map[string]bool{}
	for _, e := range t.joint.Twice {
		twice[t.past.Item(e).Text] = true
	}
	for _, e := range all {
		if e.apart {
			t.pieces.apart([]byte(e.ours), []byte(e.theirs))
			c := t.contradiction(e)
			out.Fields = append(out.Fields, c)
		} else {
			t.pieces.add([]byte(e.ours))
		}
		text := t.past.Item(e.event).Text
		if firsts[text] == 0 {
			firsts[text] = line
		} else if twice[text] {
			out.Twice = append(out.Twice, Twice{line, firsts[text], strings.TrimSpace(e.ours)})
		}
		line += strings.Count(e.ours, "\n")
	}
	for _, e := range t.joint.Live {
		if it := t.past.Item(e); it.Kind == events.Row {
			out.rows = append(out.rows, it)
		}
	}
	out.Text = t.pieces.as(ours)
	if out.Clean = t.pieces.clean(); !out.Clean {
		out.Marked, out.Text = t.pieces.marked(t.Here, t.There, t.eol), nil
		out.Plain = "both sides changed one row"
		if len(out.Fields) > 1 {
			out.Plain = fmt.Sprintf("both sides changed %d rows", len(out.Fields))
		}
	}
	return out
}

// contradiction is one row that both sides changed.
func (t *table) contradiction(e entry) Field {
	for _, c := range t.joint.Apart {
		if c.Ours == e.event || c.Ours < 0 && c.Theirs == e.event {
			was := t.past.Item(c.Was)
			return Field{Path: "row " + was.Key, Base: strings.Join(was.Cells(), ","),
				Ours: bare(e.ours), Theirs: bare(e.theirs), Contradicted: true}
		}
	}
	return Field{}
}

func bare(raw string) string { return strings.TrimRight(raw, "\r\n") }

// lostRows lists the rows that either side brought and a text holds neither as a row nor in a remark.
func (o Outcome) lostRows(text []byte) (all []Loss) {
	has, told := map[string]int{}, ""
	items, _ := events.Table(text)
	for i := range items {
		switch it := &items[i]; it.Kind {
		case events.Row:
			has[it.Text]++
		case events.Remark:
			told += squeezed(it.Text) + "\n"
		}
	}
	for _, it := range o.rows {
		row := strings.Join(it.Cells(), ",")
		if has[it.Text]--; has[it.Text] < 0 && !strings.Contains(told, squeezed(row)) {
			all = append(all, Loss{"row " + it.Key, row})
		}
	}
	return all
}
