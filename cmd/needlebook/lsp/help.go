package lsp

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// hover says what belongs at the key under the cursor: its meaning, the limit in force, the last value, and where the
// part has been.
func (p *page) hover(at position) any {
	key, written := p.keyAt(at)
	f, known := p.kind.Field(key)
	if !known {
		return nil
	}
	lines := []string{key + ": " + f.Doc}
	if how := f.How(); how != "" {
		lines = append(lines, how)
	}
	if sheet := p.sheet(); sheet != nil {
		for _, k := range []string{key, key + ".value"} {
			if l := sheet.Limit[k]; l != "" {
				lines = append(lines, "limit: "+l+" ("+sheet.Source+", in force from "+sheet.Revision.String()+")")
			}
			if l := sheet.Last[k]; l != "" {
				lines = append(lines, "last: "+l)
			}
		}
	}
	if p.book != nil {
		lines = append(lines, p.whereabouts(f, key, written)...)
	}
	return map[string]any{"contents": map[string]string{"kind": "plaintext", "value": strings.Join(lines, "\n")}}
}

// whereabouts says where a holder, nozzle or instrument has been, the newest first.
func (p *page) whereabouts(f logbook.Field, key, written string) (lines []string) {
	if i := p.book.Instruments[written]; i != nil && f.Shape == logbook.ShapeSerial &&
		(f.As == "instrument" || f.As == "plain") {
		line := i.Kind.Written
		if i.Until.Day != 0 {
			line += ", calibrated until " + i.Until.Day.String()
		}
		lines = []string{line}
		if o := p.record(); o != nil {
			if w, wrong := judging.WrongOn(i, o.Day()); wrong {
				lines = append(lines, fmt.Sprintf("found out of tolerance from %s to %s: %s", w.From,
					logbook.Dash(w.To.Written), w.Why))
			}
		}
		return lines
	}
	if f.Shape != logbook.ShapeSerial || f.As != "" {
		return nil
	}
	periods := p.book.Lives().OfHolder(written)
	if isNozzle(key) || len(periods) == 0 {
		if n := p.book.Lives().OfNozzle(written); len(n) > 0 {
			periods = n
		}
	}
	for _, s := range slices.Backward(periods) {
		line := fmt.Sprintf("%s from %s", s.Position, s.From)
		if s.To != 0 {
			line += " to " + s.To.String()
		}
		if s.HoursKnown {
			line += fmt.Sprintf(", %.0f h", s.Hours)
		}
		if lines = append(lines, line); len(lines) == 6 && len(periods) > 6 {
			return append(lines, fmt.Sprintf("and %d before", len(periods)-6))
		}
	}
	return lines
}

func isNozzle(key string) bool { return strings.Contains(key, "nozzle") }

// completion offers what may stand at the cursor: the keys of the block, or the words, names and units of the key.
func (p *page) completion(at position) []item {
	before := upTo(p.line(at.Line), at.Character)
	if p.kind.Table {
		return p.cellCompletion(at, before)
	}
	if !strings.Contains(before, ":") {
		fields := p.kind.Fields
		if path := p.blockAt(at.Line, indentOf(before)); path != "" {
			f, _ := p.kind.Field(path)
			fields = f.Fields
		}
		return names(fields)
	}
	full := p.blockAt(at.Line, indentOf(before))
	parts := strings.Split(before, "{")
	for i, part := range parts { // each group opened on this line
		part = strings.TrimPrefix(strings.TrimSpace(part[strings.LastIndexAny(part, ",}")+1:]), "- ")
		key, _, valued := strings.Cut(part, ":")
		if !valued { // a key is being typed within a group
			f, _ := p.kind.Field(full)
			return names(f.Fields)
		}
		if i == len(parts)-1 || strings.HasSuffix(strings.TrimSpace(part), ":") {
			full = join(full, strings.TrimSpace(key))
		}
	}
	f, known := p.kind.Field(full)
	if !known {
		return []item{}
	}
	return p.values(f, full, before)
}

func indentOf(line string) string { return line[:len(line)-len(strings.TrimLeft(line, " -"))] }

func (p *page) cellCompletion(at position, before string) []item {
	if p.line(at.Line) == p.head() {
		return names(p.kind.Fields)
	}
	column, _ := p.cellAt(at)
	f, known := p.kind.Field(column)
	if !known {
		return []item{}
	}
	items := p.values(f, column, before)
	for i := range items {
		items[i].Label = strings.Trim(items[i].Label, `"`) // a table needs no quotes around an identity
	}
	if f.Shape == logbook.ShapeDate && p.book != nil {
		if day := p.book.Today(); day != 0 {
			items = append(items, item{day.String(), "the last day of the book"})
		}
	}
	return items
}

var numberBefore = regexp.MustCompile(`[0-9]\s*([^\s0-9,{}\[\]:]*)$`)

// values offers what may stand as the value of a key.
func (p *page) values(f logbook.Field, full, before string) []item {
	items := []item{}
	for _, w := range f.Words {
		items = append(items, item{w, f.Doc})
	}
	switch f.Shape {
	case logbook.ShapeBlock:
		// a bare value for the group
		if short, ok := p.kind.Field(join(full, f.Short)); f.Short != "" && ok && numberBefore.MatchString(before) {
			return p.values(short, join(full, f.Short), before)
		}
		return offered(names(f.Fields), absences...)
	case logbook.ShapeAmount, logbook.ShapeAmounts, logbook.ShapeBand, logbook.ShapeRelation:
		if numberBefore.MatchString(before) && !p.kind.Table { // the column of a table names the unit
			units := measure.UnitsOf(f.Kind)
			if f.Unit != "" {
				units = append([]string{f.Unit}, units...)
			}
			for _, u := range units {
				items = offered(items, item{u, "unit of " + full})
			}
			return items
		}
		if p.kind.Name == "overhaul" {
			items = append(items, absences...)
		}
	}
	if sheet := p.sheet(); sheet != nil {
		for _, c := range strings.Split(sheet.Choice[full], " | ") {
			if c != "" {
				items = offered(items, item{c, "in date, or aboard, on that day"})
			}
		}
	}
	if p.book != nil && f.Shape == logbook.ShapeSerial && len(items) == 0 {
		items = append(items, serials(p.book, f, full)...)
	}
	return items
}

// absences are the ways to say that there is no value; the reason goes into the brackets.
var absences = []item{{"not measured ()", "with the reason in the brackets"},
	{"not done ()", "with the reason in the brackets"}, {"not looked at ()", "with the reason in the brackets"}}

// serials are the names that the book knows for an identity of this sort: those in the spares rack first.
func serials(b *logbook.Book, f logbook.Field, key string) (items []item) {
	add := func(detail string, quoted bool, names ...string) {
		for _, n := range names {
			if quoted {
				n = `"` + n + `"`
			}
			items = offered(items, item{n, detail})
		}
	}
	switch f.As {
	case "engine":
		for _, e := range b.Vessel.Engines {
			add("engine", false, e.ID.Written)
		}
	case "cylinder":
		for _, e := range b.Vessel.Engines {
			for _, c := range e.Cylinders.Each {
				add("cylinder of "+e.ID.Written, false, c.Written)
			}
		}
	case "instrument":
		add("instrument", false, slices.Sorted(maps.Keys(b.Instruments))...)
	case "person":
		for _, c := range b.Crew {
			add(c.Name.Written, false, c.ID.Written)
		}
	case "":
		for _, r := range b.Lives().Rack(b.Today()) {
			if !isNozzle(key) {
				add("in the spares rack", true, r.Holder)
			}
			if isNozzle(key) || key != "holder" {
				add("in the spares rack", true, r.Nozzle)
			}
		}
		if !isNozzle(key) {
			add("holder", true, b.Lives().Holders()...)
		}
		if isNozzle(key) || !strings.Contains(key, "holder") {
			add("nozzle", true, b.Lives().Nozzles()...)
		}
	}
	return items
}
