package content

import (
	"reflect"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// valvesOnSheet is how many valves a sheet has room for in nine points; a larger round has another.
const valvesOnSheet = 9

// sheetPage is the sheet of a round as it was filled in: front and back, a column a valve, for the printer. It shows
// all that was recorded, in the order of the work.
func (w *Writer) sheetPage(n int) *page.Page {
	r := w.Rounds[n]
	p := &page.Page{Name: w.at.Sheet[n], Title: "round sheet " + r.Name, Kind: "roundsheet", Head: "Round sheet " + r.Name,
		Way: []page.Step{{To: address.Rounds, Text: "rounds"}, {To: w.at.RoundAt[n], Text: "round " + r.Name},
			{Text: "sheet"}}}
	p.Add(from("As it was recorded, a column a valve. What all valves have alike is in one line below its heading. " +
		"A mark: not within its limit."))
	for some := range slices.Chunk(r.Overhauls, valvesOnSheet) {
		p.Add(w.sheetSide(some, false), w.sheetSide(some, true))
	}
	return p
}

// sheetSide is the front of a sheet, as far as the decision, or its back, from the build to the fitting.
func (w *Writer) sheetSide(valves []*logbook.Overhaul, back bool) page.Block {
	t := page.NewTable(page.Side, "front", "limit")
	if back {
		t.Columns[0] = page.Words("back")
	}
	groups := make([]map[string]page.FieldGroup, len(valves))
	for i, o := range valves {
		head := page.Link(w.at.Overhaul[o], page.OrDash(o.Removed.Cylinder.Written)+" · "+page.OrDash(o.Holder.Written))
		t.Columns = append(t.Columns, head)
		groups[i] = map[string]page.FieldGroup{}
		for _, g := range w.fields(o).(page.Fields) {
			if _, twice := groups[i][g.Name]; !twice {
				groups[i][g.Name] = g
			}
		}
	}
	built := false
	for _, f := range facts.FieldsOf(reflect.TypeFor[logbook.Overhaul]()) {
		built = built || f.Key == "assembled"
		if f.Block && built == back {
			w.sheetGroup(t, f, valves, groups)
		}
	}
	s := page.Under("", t)
	if back {
		w.sheetSigned(t, valves)
		s.Style = page.Back
	}
	return s
}

// sheetGroup is one block of the records: a heading, what all valves have alike, and a row for each other key.
func (w *Writer) sheetGroup(
	t *page.Table, f facts.Field, valves []*logbook.Overhaul, groups []map[string]page.FieldGroup,
) {
	var alike page.Text
	var rows []page.Row
	for _, name := range entryNames(f, groups) {
		cells := make([]page.Text, len(valves))
		same := len(valves) > 1
		for i := range valves {
			cells[i] = page.Words(entryOf(groups[i][f.Name], name).String()) // on paper nothing leads on
			same = same && cells[i].String() == cells[0].String()
		}
		limit, out := w.sheetLimit(valves, cells, f.Key+"."+strings.ReplaceAll(name, " ", "_"))
		if same && limit == "" && !out {
			if len(alike) > 0 {
				alike = alike.Say("; ")
			}
			alike = alike.Say(name + " " + cells[0].String())
			continue
		}
		rows = append(rows, sheetRow(name, limit, cells, same && !out))
	}
	if len(alike)+len(rows) == 0 {
		return
	}
	t.Rows = append(t.Rows, page.Row{Cells: []page.Cell{page.RowHead(page.In(page.Bold, page.UpperFirst(f.Name))),
		{Wide: len(valves) + 1, Text: alike}}})
	t.Rows = append(t.Rows, rows...)
}

// sheetRow is a row of a sheet; what all valves have alike is written once, right across.
func sheetRow(name, limit string, cells []page.Text, same bool) page.Row {
	row := page.Row{Cells: []page.Cell{page.RowHead(page.Words(name)), page.Said(page.In(page.More, limit))}}
	if same {
		row.Cells = append(row.Cells, page.Cell{Wide: len(cells), Text: cells[0]})
		return row
	}
	for _, c := range cells {
		row.Cells = append(row.Cells, page.Said(c))
	}
	return row
}

// entryNames are the keys of a block that any valve has, in the order of the schema; the block's own name where a
// reason is in its place.
func entryNames(f facts.Field, groups []map[string]page.FieldGroup) []string {
	var names []string
	has := func(name string) bool {
		return slices.ContainsFunc(groups, func(g map[string]page.FieldGroup) bool {
			return len(entryOf(g[f.Name], name)) > 0
		})
	}
	if has(reason) {
		names = append(names, reason)
	}
	for _, k := range f.Fields {
		if has(k.Name) {
			names = append(names, k.Name)
		}
	}
	return names
}

// reason is the name under which the words that stand in the place of a block are shown.
const reason = "not done"

// entryOf is what a block says under a name; nil for nothing.
func entryOf(g page.FieldGroup, name string) page.Text {
	if name == reason {
		return g.Instead
	}
	var t page.Text
	for _, e := range g.Entries {
		if e.Name.String() == name {
			if len(t) > 0 {
				t = t.Say("; ")
			}
			t = t.Then(e.Says)
		}
	}
	return t
}

// sheetLimit is the limit of a row, and gives each value that is not within it the mark of its verdict.
func (w *Writer) sheetLimit(valves []*logbook.Overhaul, cells []page.Text, key string) (limit string, out bool) {
	for i, o := range valves {
		list := w.Judged.Of(o)
		for n := range list {
			v := &list[n]
			if v.Key != key && !strings.HasPrefix(v.Key, key+".") || len(cells[i]) == 0 {
				continue
			}
			if limit == "" {
				limit = v.LimitText
			}
			if v.Result.Out() {
				cells[i], out = cells[i].Say(" ").Then(verdict(v)), true
			}
		}
	}
	return limit, out
}

// sheetSigned are the rows of who did the work, who answers for it, and what is open on it.
func (w *Writer) sheetSigned(t *page.Table, valves []*logbook.Overhaul) {
	row := func(name string, cell func(o *logbook.Overhaul) page.Text) {
		cells := make([]page.Text, len(valves))
		any, same := false, len(valves) > 1
		for i, o := range valves {
			cells[i] = cell(o)
			any = any || len(cells[i]) > 0
			same = same && cells[i].String() == cells[0].String()
		}
		if any {
			t.Rows = append(t.Rows, sheetRow(name, "", cells, same))
		}
	}
	row("done by", func(o *logbook.Overhaul) page.Text { return page.Words(o.By.Written) })
	row("fitted by", func(o *logbook.Overhaul) page.Text { return page.Words(o.FittedBy.Written) })
	row("checked by", func(o *logbook.Overhaul) page.Text { return page.Words(o.CheckedBy.Written) })
	row("who answers for it", func(o *logbook.Overhaul) page.Text { return w.standing(o.Path) })
	row("open findings", w.gravestOf)
}
