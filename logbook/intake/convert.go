package intake

import (
	"fmt"
	"path"
	"slices"
	"sort"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/edit"
	"needlebook/logbook/keys"
)

// Result is what a table leads to.
type Result struct {
	Records []Record
	Doubts  []Uncertainty // by line, then in the order of the map
	Unused  []string      // columns that the map does not name, in the order of the table
}

// Record is one overhaul record, free of doubt.
type Record struct {
	Path string
	Text []byte
	Line int      // line of the table it comes from
	Read []string // how cells were read that were not written as the book writes them
}

// Uncertainty is a cell that cannot be taken over as it stands.
type Uncertainty struct {
	Line   int
	Column string // empty for the line as a whole
	Cell   string
	Why    string // what is expected
}

// Convert turns each line of a table into a record of the book. name is the table's, for the record to say where it
// comes from.
func Convert(b *logbook.Book, m Map, name string, src []byte) (Result, error) {
	t, err := table(src)
	if err != nil {
		return Result{}, err
	}
	var r Result
	used := map[string]bool{}
	for _, e := range m {
		if e.Column != "" && !slices.Contains(t.names, e.Column) {
			return r, fmt.Errorf("the table has no column %q, which the map names; it has %s", e.Column,
				strings.Join(t.names, ", "))
		}
		used[e.Column] = true
	}
	for _, n := range t.names {
		if !used[n] {
			r.Unused = append(r.Unused, n)
		}
	}
	r.Doubts = t.ragged
	stems := map[string]int{}
	for _, l := range t.rows {
		rec, doubts := m.convert(b, name, l, t.commas)
		stem := strings.TrimSuffix(path.Base(rec.Path), ".md")
		switch first := stems[stem]; {
		case len(doubts) > 0:
		case b.Overhaul(stem) != nil:
			doubts = append(doubts, Uncertainty{l.line, "", stem, "an overhaul that the book does not hold yet"})
		case first != 0:
			doubts = append(doubts, Uncertainty{l.line, "", stem,
				fmt.Sprintf("one line for each overhaul; line %d is the same holder on the same day", first)})
		}
		if r.Doubts = append(r.Doubts, doubts...); len(doubts) == 0 {
			stems[stem] = l.line
			r.Records = append(r.Records, rec)
		}
	}
	sort.SliceStable(r.Doubts, func(i, j int) bool { return r.Doubts[i].Line < r.Doubts[j].Line })
	return r, nil
}

func (m Map) convert(b *logbook.Book, name string, l line, commas bool) (rec Record, doubts []Uncertainty) {
	values, columns := map[string][]string{}, map[string]Entry{}
	for _, e := range m {
		cell := e.Value
		if e.Column != "" {
			cell = l.cell(e.Column)
		}
		if cell == "" {
			continue
		}
		text, why := e.written(cell, commas)
		if why != "" {
			doubts = append(doubts, Uncertainty{l.line, e.Column, cell, why})
			continue
		}
		columns[fmt.Sprintf("%s[%d]", e.Key, len(values[e.Key]))] = e
		columns[e.Key] = e
		values[e.Key] = append(values[e.Key], text)
		if len(values[e.Key]) > 1 && !many(e.field.Shape) {
			doubts = append(doubts, Uncertainty{l.line, e.Column, cell, "one value for " + e.Key + "; the map gives it two"})
		}
	}
	if values[keys.ReconstructedFrom] == nil {
		values[keys.ReconstructedFrom] = []string{fmt.Sprintf("%s, line %d", name, l.line)}
	}
	var text strings.Builder
	text.WriteString("---\n")
	for _, f := range overhaul() {
		text.WriteString(lines(f, f.Key, "", values))
	}
	text.WriteString("---\n")
	rec.Line, rec.Text = l.line, []byte(text.String())
	fixed, made := edit.Correct("overhauls/import.md", rec.Text, func(string) bool { return true })
	for _, c := range made {
		rec.Read = append(rec.Read, strings.TrimSpace(c.Was)+" read as "+strings.TrimSpace(c.Is))
	}
	rec.Text = fixed
	o, problems := logbook.ReadOverhaul("overhauls/import.md", fixed)
	for _, p := range problems {
		e := columns[p.Key]
		cell := e.Value
		if e.Column != "" {
			cell = l.cell(e.Column)
		}
		doubts = append(doubts, Uncertainty{l.line, e.Column, cell, p.Expected})
	}
	doubts = append(doubts, m.place(b, l, o, &rec)...)
	return rec, doubts
}

// place finds where the record belongs, and doubts one that the book has no place for.
func (m Map) place(b *logbook.Book, l line, o *logbook.Overhaul, rec *Record) (doubts []Uncertainty) {
	uncertainty := func(why string) { doubts = append(doubts, Uncertainty{l.line, "", "", why}) }
	if !o.Holder.Stated() {
		uncertainty("a holder")
	}
	if o.Day() == 0 {
		uncertainty("a date of the removal or of the build")
	}
	folder := logbook.Builds
	if o.Removed.Present() {
		at := logbook.Position{Engine: o.Removed.Engine.Written, Cylinder: o.Removed.Cylinder.Written}
		if !slices.Contains(b.Positions(), at) {
			uncertainty(fmt.Sprintf("an engine and cylinder of book.md, not %q and %q", at.Engine, at.Cylinder))
			return doubts
		}
		folder = logbook.FolderOf(at)
	}
	rec.Path = path.Join(folder, o.Day().String()+"-"+logbook.FileName(o.Holder.Written)+".md")
	return doubts
}

func many(s logbook.Shape) bool {
	return slices.Contains([]logbook.Shape{logbook.ShapeAmounts, logbook.ShapeNumbers, logbook.ShapeTexts,
		logbook.ShapeSerials, logbook.ShapeWords}, s)
}

// lines are the lines of one key and those below it that have values.
func lines(f logbook.Field, full, indent string, values map[string][]string) string {
	if f.Shape == logbook.ShapeBlock {
		if f.List {
			return ""
		}
		inside := ""
		for _, x := range f.Fields {
			inside += lines(x, full+"."+x.Key, indent+"  ", values)
		}
		if inside == "" {
			return ""
		}
		return indent + f.Key + ":\n" + inside
	}
	all := values[full]
	if len(all) == 0 {
		return ""
	}
	quoted := make([]string, len(all))
	for i, v := range all {
		quoted[i] = scalar(f, v)
	}
	text := quoted[0]
	if many(f.Shape) {
		text = "[" + strings.Join(quoted, ", ") + "]"
	}
	return indent + f.Key + ": " + text + "\n"
}

// scalar is a value as YAML reads it back whatever it holds.
func scalar(f logbook.Field, v string) string {
	plain := f.Shape != logbook.ShapeText && f.Shape != logbook.ShapeTexts && f.Shape != logbook.ShapeSerial &&
		f.Shape != logbook.ShapeSerials
	for _, r := range v {
		if !(r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || strings.ContainsRune(" .+-%°·", r)) {
			plain = false
		}
	}
	if plain && v != "-" && !strings.HasPrefix(v, "- ") && !strings.HasPrefix(v, "%") {
		return v
	}
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`, "\r", `\r`, "\t", `\t`).Replace(v) + `"`
}
