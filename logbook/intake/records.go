package intake

import (
	"cmp"
	"path"
	"slices"
	"strconv"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/edit"
	"needlebook/logbook/keys"
)

// record writes what a row gives. What the reader of records does not take is asked about and left out; the rest stays.
func (s *sheet) record(r row, values map[string][]given, waits bool) {
	for key, all := range values {
		if slices.ContainsFunc(all, func(g given) bool { return g.text == "" }) {
			delete(values, key) // some of its readings are asked about
		} else if len(all) > 1 && key != keyRemarks && !many(all[0].column.field.Shape) {
			s.askTwo(r, key, all)
			delete(values, key)
		}
	}
	if values[keys.ReconstructedFrom] == nil {
		from := s.source(r) + digestMark + s.digest
		values[keys.ReconstructedFrom] = []given{{&column{at: -1}, cell{}, from}}
	}
	body := s.body(values[keyRemarks])
	delete(values, keyRemarks)
	rec := Record{Row: s.named(strconv.Itoa(r.number))}
	var o *logbook.Overhaul
	for {
		var problems []logbook.Problem
		if rec.Text, rec.Read, o, problems = text(values, body); len(problems) == 0 {
			break
		}
		wait, dropped := s.drop(r, values, problems)
		if waits = waits || wait; !dropped {
			q := s.question(r.number, -1, "row "+strconv.Itoa(r.number))
			q.Ask, q.Waits = problems[0].Expected+"; a dash passes the row over", true
			s.ask(q, func(string) string { return "a dash, or the row put right in the sheet" })
			waits = true
			break
		}
	}
	if !waits && s.place(r, o, &rec) {
		s.Records = append(s.Records, rec)
	}
}

// askTwo asks about a value that two columns give.
func (s *sheet) askTwo(r row, key string, all []given) {
	q := s.question(r.number, all[1].column.at, letters(max(0, all[1].column.at))+strconv.Itoa(r.number))
	q.Cell, q.Ask = all[1].cell.text, "one value for "+key+"; the map gives it two"
	s.ask(q, func(string) string { return "a line of the map taken out" })
}

// text writes a record and reads it again.
func text(values map[string][]given, body string) (src []byte, read []string, o *logbook.Overhaul,
	problems []logbook.Problem) {
	var b strings.Builder
	b.WriteString("---\n")
	for _, f := range overhaul() {
		b.WriteString(lines(f, f.Key, "", values))
	}
	b.WriteString("---\n" + body)
	src, made := edit.Correct("overhauls/import.md", []byte(b.String()), func(string) bool { return true })
	for _, c := range made {
		read = append(read, strings.TrimSpace(c.Was)+" read as "+strings.TrimSpace(c.Is))
	}
	o, problems = logbook.ReadOverhaul("overhauls/import.md", src)
	return src, read, o, problems
}

// drop takes the values out that the reader of records does not take, and asks about each. An answer that can be taken
// goes in instead.
func (s *sheet) drop(r row, values map[string][]given, problems []logbook.Problem) (waits, dropped bool) {
	for _, p := range problems {
		key, nth, _ := strings.Cut(p.Key, "[")
		all := values[key]
		n, _ := strconv.Atoi(strings.TrimSuffix(nth, "]"))
		if len(all) == 0 || n >= len(all) {
			continue
		}
		g, what := all[n], s.question(r.number, all[n].column.at, "row "+strconv.Itoa(r.number)+" "+key)
		if g.column.at >= 0 {
			what.At = s.named(letters(g.column.at) + strconv.Itoa(r.number))
		}
		what.Cell, what.Ask, what.Waits, what.Row = g.cell.text, p.Expected, identifies(key), r.String()
		answer, ok := s.ask(what, func(a string) string { return refused(values, key, n, a) })
		dropped = true
		if ok && answer != NotTaken {
			all[n].text = answer
			continue
		}
		waits = waits || !ok && identifies(key)
		delete(values, key)
	}
	return waits, dropped
}

// refused says why a value cannot be taken in the place of another.
func refused(values map[string][]given, key string, n int, answer string) string {
	tried := map[string][]given{key: slices.Clone(values[key])}
	tried[key][n].text = answer
	_, _, _, problems := text(tried, "")
	for _, p := range problems {
		if strings.HasPrefix(p.Key, key) {
			return p.Expected
		}
	}
	return ""
}

// digestMark parts the row that a record comes from, and the bytes of the table.
const digestMark = ", SHA-256 "

// source says which row a record comes from.
func (s *sheet) source(r row) string {
	row := "row " + strconv.Itoa(r.number)
	if s.grid.Name != "" {
		row = "worksheet " + s.grid.Name + ", " + row
	}
	return s.src.Name + ", " + row
}

// body is what the remarks of a row say; of several columns, and of one that is not called so, with its name.
func (s *sheet) body(all []given) string {
	text := ""
	for _, g := range all {
		said := strings.ReplaceAll(g.text, "\n---", "\n ---")
		if m, ok := means(bareName(g.column.Column)); !ok || m.key != keyRemarks {
			said = g.column.Column + ": " + said
		}
		text += "\n" + said + "\n"
	}
	return text
}

// complete gives a row what its record cannot be filed without: the engine from a title, and what somebody answered for
// what is blank. It is false where the record waits.
func (s *sheet) complete(r row, values map[string][]given) bool {
	need := []string{keyHolder}
	for key := range values {
		if strings.HasPrefix(key, "removed.") {
			need = []string{keyHolder, keys.RemovedEngine, keys.RemovedCylinder, keys.RemovedDate}
		}
	}
	if len(need) > 1 && values[keys.RemovedEngine] == nil && s.engine != "" && !s.has(keys.RemovedEngine) {
		values[keys.RemovedEngine] = []given{{&column{at: -1}, cell{}, s.engine}}
	}
	whole := true
	for _, key := range need {
		if values[key] != nil {
			continue
		}
		if values[keyRemovedPosition] != nil && (key == keys.RemovedEngine || key == keys.RemovedCylinder) {
			whole = false // the position is asked about
			continue
		}
		answer, ok := s.missing(r, key)
		if whole = whole && ok; ok {
			values[key] = []given{{&column{at: -1}, cell{}, answer}}
		}
	}
	return whole
}

// missing asks for what a row does not have: its engine once for the worksheet, where no column has engines.
func (s *sheet) missing(r row, key string) (answer string, ok bool) {
	f, _, _ := keyed(key)
	c := &column{Entry: Entry{Key: key, field: f}, at: -1, whole: &s.numbers, dates: &s.dates, order: yearFirst}
	q := s.question(r.number, -1, "row "+strconv.Itoa(r.number)+" "+key)
	q.Row = r.String()
	if i := slices.IndexFunc(s.columns, func(c *column) bool { return c.Key == key && c.at >= 0 }); i >= 0 {
		c = s.columns[i]
		q = s.question(r.number, c.at, letters(c.at)+strconv.Itoa(r.number))
		q.Row = r.String()
	} else if s.keyless(key) {
		return "", false // one of the columns that are asked about may have it
	} else if key == keys.RemovedEngine {
		if q = s.question(0, -1, "engine"); s.section > 0 {
			q = s.question(s.section, -1, "engine from row "+strconv.Itoa(s.section))
		}
	}
	_, q.Ask = c.read(s, cell{text: "?"})
	q.Ask, q.Waits = cmp.Or(q.Ask, c.expected())+"; it is blank, a dash passes the row over", true
	answer, ok = s.ask(q, func(a string) string {
		_, why := c.read(s, cell{text: a, said: true})
		return why
	})
	if !ok || answer == NotTaken {
		return "", false
	}
	answer, _ = c.read(s, cell{text: answer, said: true})
	return answer, true
}

// keyless says that somebody has still to say what a column is, and that it may be one of these keys.
func (s *sheet) keyless(any ...string) bool {
	return slices.ContainsFunc(s.columns, func(c *column) bool {
		offered := func(key string) bool { return slices.Contains(c.offered, key) }
		return c.Key == "" && c.at >= 0 && (len(c.offered) == 0 || slices.ContainsFunc(any, offered))
	})
}

// place finds where a record belongs. It is false where the row has to be put right, or is passed over.
func (s *sheet) place(r row, o *logbook.Overhaul, rec *Record) bool {
	q := s.question(r.number, -1, "row "+strconv.Itoa(r.number))
	q.Waits, q.Row = true, r.String()
	stem := o.Day().String() + "-" + logbook.FileName(o.Holder.Written)
	there, first := s.book.Overhaul(stem), s.stems[stem]
	at := logbook.Position{Engine: o.Removed.Engine.Written, Cylinder: o.Removed.Cylinder.Written}
	switch {
	case o.Day() == 0 && s.keyless(keys.RemovedDate, keys.AsLeftDate, keys.FittedDate):
		return false
	case o.Day() == 0:
		q.Ask = "a date of the removal or of the build"
	case o.Removed.Present() && !slices.Contains(s.book.Positions(), at):
		q.Cell, q.Ask = at.String(), "an engine and cylinder of book.md"
	case first != "":
		q.Cell, q.Ask = stem, "one row for each overhaul; row "+first+" is the same holder on the same day"
	case there != nil && !s.fromHere(r, there):
		q.Cell, q.Ask = stem, "an overhaul that the book does not hold yet"
	default:
		folder := logbook.Builds
		if o.Removed.Present() {
			folder = logbook.FolderOf(at)
		}
		rec.Path = path.Join(folder, stem+".md")
		s.stems[stem] = rec.Row
		return true
	}
	q.Ask += "; a dash passes the row over"
	s.ask(q, func(string) string { return "a dash, or the row put right in the sheet" })
	return false
}

// fromHere says that a record of the book was made of this row.
func (s *sheet) fromHere(r row, o *logbook.Overhaul) bool {
	from, _, _ := strings.Cut(o.Reconstructed.From.Written, digestMark)
	return from == s.source(r)
}

func many(s logbook.Shape) bool {
	return slices.Contains([]logbook.Shape{logbook.ShapeAmounts, logbook.ShapeNumbers, logbook.ShapeTexts,
		logbook.ShapeSerials, logbook.ShapeWords}, s)
}

// lines are the lines of one key and those below it that have values.
func lines(f logbook.Field, full, indent string, values map[string][]given) string {
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
		quoted[i] = scalar(f, v.text)
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
		if !(r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || strings.ContainsRune(" .+-%°·µ²", r)) {
			plain = false
		}
	}
	if plain && v != "-" && !strings.HasPrefix(v, "- ") && !strings.HasPrefix(v, "%") {
		return v
	}
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`, "\r", `\r`, "\t", `\t`).Replace(v) + `"`
}
