package rounds

import (
	"cmp"
	"fmt"
	"math"
	"path"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/draft"
	"needlebook/logbook/keys"
)

// Result is what a table makes of a book.
type Result struct {
	Records []Record // in the order of the rows; those that stay as they are left out
	Doubts  []Doubt  // in the order of the rows
	Notes   []string // what somebody should know before it is written
	Idle    []string // cylinders of which nothing was done yet
	// Out is the record of the valve that came out, by cylinder; those of which nothing was done are left out
	Out map[logbook.Position]string
}

// Record is one record with what the table adds.
type Record struct {
	Path   string
	Holder string
	Was    []byte // nil for a new one
	Is     []byte
	Wrote  []Value
}

// Value is one value that was added, as the record has it.
type Value struct{ Key, Text string }

// Doubt is a cell that is not written, or a row.
type Doubt struct {
	Line     int
	Position logbook.Position
	Key      string // empty for the row as a whole
	Cell     string
	Why      string
}

// String is a doubt in a line, without its place.
func (d Doubt) String() string {
	if d.Key == "" {
		return d.Why
	}
	return fmt.Sprintf("%s %s: %s", d.Key, orBlank(d.Cell), d.Why)
}

// Take works out what a table makes of the records of a round. src gives the bytes of a file of the book as they are
// now. seen names who has countersigned one, and nobody by an empty text: what such a record has is not added to.
func Take(b *logbook.Book, t *Table, src func(path string) ([]byte, error), seen func(path string) string) (Result,
	error) {
	k := &taking{b: b, t: t, src: src, seen: seen, dates: ordered(t), docs: map[string]*doc{}}
	k.Out = map[logbook.Position]string{}
	for _, r := range t.Rows { // a spare is tested before it is fitted, wherever its row is
		if k.ofSpare(r) {
			k.spareRow(k.lineOf(r))
		}
	}
	var in []fitting // a valve comes out before it goes into another cylinder, wherever its row is
	for _, r := range t.Rows {
		if k.ofSpare(r) {
			continue
		}
		if l, ok := k.cylinder(r); ok {
			out, err := k.out(l)
			if err != nil {
				return Result{}, err
			}
			in = append(in, fitting{l, out})
		}
	}
	for _, f := range in {
		if err := k.in(f.line, f.out); err != nil {
			return Result{}, err
		}
	}
	slices.SortStableFunc(k.order, func(a, b *doc) int { return cmp.Compare(a.line(), b.line()) })
	k.readings()
	for _, d := range k.order {
		if err := k.write(d); err != nil {
			return Result{}, err
		}
	}
	slices.SortStableFunc(k.Doubts, func(a, b Doubt) int { return cmp.Compare(a.Line, b.Line) })
	return k.Result, nil
}

type taking struct {
	Result
	b     *logbook.Book
	t     *Table
	src   func(string) ([]byte, error)
	seen  func(string) string
	dates order
	docs  map[string]*doc // by path
	order []*doc
}

// doc is one record while it is filled in.
type doc struct {
	path    string
	sheet   *draft.Sheet
	rec     *logbook.Overhaul // nil for a new one
	entries []entry
	blank   []string // keys of which the table has a column, and nothing in the cell
	unsure  []Doubt  // of this record
	spare   bool     // new, of a valve whose build is on no record
	tested  bool     // of a spare that nobody opened, tested again as it lay
}

// entry is a value that a cell states.
type entry struct {
	key, text, cell string
	remark          string // behind the value, for whoever reads the record
	line            int
	at              logbook.Position
	given           bool // as the book filled it in: no work of anybody
}

// line is the first line of the table that says something of a record.
func (d *doc) line() int {
	first := math.MaxInt
	for _, e := range d.entries {
		first = min(first, e.line)
	}
	for _, x := range d.unsure {
		first = min(first, x.Line)
	}
	return first
}

func (d *doc) entry(key string) string {
	for _, e := range d.entries {
		if e.key == key {
			return e.text
		}
	}
	return ""
}

// line is a row with its cylinder.
type line struct {
	Row
	at logbook.Position
}

func (k *taking) doubt(l line, key, cell, format string, args ...any) Doubt {
	d := Doubt{l.Line, l.at, key, cell, fmt.Sprintf(format, args...)}
	k.Doubts = append(k.Doubts, d)
	return d
}

func (k *taking) note(format string, args ...any) {
	k.Notes = append(k.Notes, fmt.Sprintf(format, args...))
}

// fitting is a row whose valve that goes in is still to be taken, with the record of the one that came out.
type fitting struct {
	line
	out *doc
}

func (k *taking) ofSpare(r Row) bool {
	cylinder, _ := k.t.cell(r, Cylinder)
	return strings.EqualFold(cylinder, Spare)
}

// lineOf is a row with the cylinder that it names.
func (k *taking) lineOf(r Row) line {
	engine, _ := k.t.cell(r, Engine)
	cylinder, _ := k.t.cell(r, Cylinder)
	return line{r, logbook.Position{Engine: engine, Cylinder: cylinder}}
}

// cylinder finds the cylinder of the book that a row is of, and doubts a row that names none or breaks off.
func (k *taking) cylinder(r Row) (line, bool) {
	l := k.lineOf(r)
	at := slices.IndexFunc(k.b.Positions(), func(p logbook.Position) bool {
		return strings.EqualFold(p.Engine, l.at.Engine) && strings.EqualFold(p.Cylinder, l.at.Cylinder)
	})
	if at < 0 {
		k.doubt(l, "", "", "the book has no cylinder %q of an engine %q", l.at.Cylinder, l.at.Engine)
		return l, false
	}
	l.at = k.b.Positions()[at]
	return l, !k.short(l)
}

// short doubts a row that breaks off.
func (k *taking) short(l line) bool {
	if l.Short > 0 {
		k.doubt(l, "", "", "the row has %s fewer than the first line names: the file was not saved whole",
			logbook.Counted(l.Short, "cell"))
	}
	return l.Short > 0
}

// goesIn says that a key is of the valve that goes in.
func goesIn(key string) bool {
	top, _, _ := strings.Cut(key, ".")
	return top == "fitted" || top == "fitted_by" || top == "running_after"
}

// named are the keys that say which valve is meant: what the plan wrote there is no work done.
var named = []string{Engine, Cylinder, keys.FittedHolder, keys.FittedNozzle}

// take reads the cells of a row that are of the valve that comes out, or of the one that goes in.
func (k *taking) take(l line, d *doc, in bool) {
	for i, c := range k.t.Columns {
		if strings.HasPrefix(c.Key, "#") || slices.Contains(named, c.Key) || goesIn(c.Key) != in ||
			slices.IndexFunc(k.t.Columns, func(x Column) bool { return x.Key == c.Key }) != i {
			continue
		}
		cells, units := k.stated(l.Row, c.Key)
		if len(cells) == 0 {
			d.blank = append(d.blank, c.Key)
			continue
		}
		f, _ := logbook.KindNamed("overhaul").Field(c.Key)
		var remark string
		if f.Shape != logbook.ShapeText && f.Shape != logbook.ShapeTexts {
			cells, remark = remarked(cells)
		}
		if f.Shape == logbook.ShapeDate {
			cells[0] = k.dates.one(cells[0])
		}
		text, why := written(c.Key, f, cells, units)
		if why != "" {
			d.unsure = append(d.unsure, k.doubt(l, c.Key, strings.Join(cells, " / "), "%s", why))
			continue
		}
		d.entries = append(d.entries, entry{key: c.Key, text: text, cell: strings.Join(cells, " / "), remark: remark,
			line: l.Line, at: l.at})
	}
}

// remarked takes the remarks out of cells: what is behind a blank and a #, as in a record.
func remarked(cells []string) (values []string, remark string) {
	for _, c := range cells {
		value, behind, has := strings.Cut(c, " #")
		if value = strings.TrimSpace(value); !has || value == "" {
			values = append(values, c)
			continue
		}
		values = append(values, value)
		remark = strings.TrimPrefix(remark+"; "+strings.TrimSpace(behind), "; ")
	}
	return values, remark
}

// stated are the cells of a key in a row that have something in them, each with the unit of its column.
func (k *taking) stated(r Row, key string) (cells, units []string) {
	for i, c := range k.t.Columns {
		if c.Key == key && r.Cells[i] != "" {
			cells, units = append(cells, r.Cells[i]), append(units, unitOf(c))
		}
	}
	return cells, units
}

// out takes what the row says of the valve that came out. It is nil where nothing of it was done, or nobody can tell
// which valve it was.
func (k *taking) out(l line) (*doc, error) {
	holder, _ := k.t.cell(l.Row, "holder")
	dated, _ := k.t.cell(l.Row, keys.RemovedDate)
	d := &doc{}
	k.take(l, d, false)
	day, err := logbook.ParseDay(d.entry(keys.RemovedDate))
	switch {
	case holder == "" && len(d.entries)+len(d.unsure) == 0:
		return nil, nil
	case holder == "":
		k.doubt(l, "holder", "", "the serial as it is stamped: nothing of the row is written without")
		return nil, nil
	case err != nil && dated == "":
		k.doubt(l, keys.RemovedDate, "", "the day of the removal: nothing of the row is written without")
		return nil, nil
	case err != nil, d.entry("holder") == "":
		return nil, nil // the cell is in doubt, and said so
	case !k.knownHolder(l, "holder", holder):
		return nil, nil
	case k.testedAsSpare(holder):
		k.doubt(l, "holder", holder, "the row of a spare has it too: read both stamps")
		return nil, nil
	case k.alsoOut(l, holder) > 0:
		k.doubt(l, "holder", holder, "line %d has it too: read both stamps", k.alsoOut(l, holder))
		return nil, nil
	}
	k.sheetOf(l, d, holder, day)
	d.compare()
	if !d.worked() {
		k.Idle = append(k.Idle, l.at.String())
		return nil, nil
	}
	k.condemned(l, d)
	if d.rec == nil && d.sheet.Nozzle != "" && d.entry(keys.NozzleFound) != "" &&
		!same(keys.NozzleFound, d.entry(keys.NozzleFound), d.sheet.Nozzle) {
		k.note("%s: nozzle %s came out, and the book has %s there", l.at, Plain(d.entry(keys.NozzleFound), ""),
			d.sheet.Nozzle)
	}
	k.Out[l.at] = d.path
	return k.keep(d), nil
}

// alsoOut is the line of another cylinder out of which the same holder came; 0 for none.
func (k *taking) alsoOut(l line, holder string) int {
	for _, r := range k.t.Rows {
		other, _ := k.t.cell(r, "holder")
		at := k.lineOf(r).at
		elsewhere := !strings.EqualFold(at.Engine, l.at.Engine) || !strings.EqualFold(at.Cylinder, l.at.Cylinder)
		if other == holder && elsewhere && !k.ofSpare(r) {
			return r.Line
		}
	}
	return 0
}

// keep enters a record among those of this table, once.
func (k *taking) keep(d *doc) *doc {
	if before := k.docs[d.path]; before != nil {
		k.twice(before, d)
		before.entries = append(before.entries, d.entries...)
		before.unsure = append(before.unsure, d.unsure...)
		before.blank = append(before.blank, d.blank...)
		return before
	}
	k.docs[d.path] = d
	k.order = append(k.order, d)
	return d
}

// twice takes out what two rows say of one record: what both say alike is written once, what they do not is in doubt.
func (k *taking) twice(before, d *doc) {
	for _, e := range slices.Clone(d.entries) {
		of := func(x entry) bool { return x.key == e.key }
		at := slices.IndexFunc(before.entries, of)
		if at < 0 {
			continue
		}
		first := before.entries[at]
		d.entries = slices.DeleteFunc(d.entries, of)
		if first.text != e.text {
			before.entries = slices.DeleteFunc(before.entries, of)
			l := line{Row: Row{Line: e.line}, at: e.at}
			before.unsure = append(before.unsure, k.doubt(l, e.key, first.cell+" and "+e.cell,
				"lines %d and %d are of one valve and differ", first.line, e.line))
		}
	}
}

// knownHolder says that the book knows a holder; one that it does not is told, with what a spreadsheet may have done.
func (k *taking) knownHolder(l line, key, holder string) bool {
	all := k.b.Lives().Holders()
	for _, p := range k.b.Parts {
		if p.Kind.Is("holder") {
			all = append(all, p.Number())
		}
	}
	if slices.Contains(all, holder) {
		return true
	}
	why := "no such holder: read the stamp; a new one gets its file parts/" + holder + ".md first"
	if was := noughtsLost(holder, all); was != "" {
		why = "no such holder; a spreadsheet takes the noughts of " + was + " away"
	} else if powers.MatchString(holder) {
		why = "a spreadsheet made a power of ten of the serial"
	} else if near := logbook.Nearest(holder, all); near != "" {
		why = "no such holder, the nearest is " + near + ": read the stamp; a new one gets its file first"
	}
	k.doubt(l, key, holder, "%s", why)
	return false
}

// sheetOf finds the record that has begun of a valve out of a cylinder about a day, else the sheet of a new one.
func (k *taking) sheetOf(l line, d *doc, holder string, day logbook.Day) {
	within := int(k.b.Settings().RoundWithin.Float())
	for _, o := range k.b.Overhauls {
		r := o.Removed
		at := logbook.Position{Engine: r.Engine.Written, Cylinder: r.Cylinder.Written}
		if at != l.at || r.Date.Day == 0 || r.Date.Day.Days(day) > within || day.Days(r.Date.Day) > within {
			continue
		}
		if o.Holder.Written == holder {
			d.rec, d.sheet, d.path = o, draft.Of(k.b, o), o.Path
			return
		}
		k.note("%s: %s has begun for holder %s, and the table has %s: take the one out that is wrong", l.at, o.Path,
			o.Holder, holder)
	}
	s, err := draft.At(k.b, l.at, day)
	if err != nil || s.Holder != holder {
		if err == nil {
			k.note("%s: holder %s came out, and the book has %s there%s", l.at, holder, s.Holder, k.sits(holder))
		}
		s = draft.Read(k.b, l.at, holder, day)
	}
	d.sheet, d.path = s, s.Path
}

// sits says where a holder is by the book, behind another such clause; empty where it is nowhere.
func (k *taking) sits(holder string) string {
	for _, s := range k.b.Lives().OfHolder(holder) {
		if s.To == 0 {
			return ", and " + holder + " in " + s.Position.String()
		}
	}
	return ""
}

// worked says that a row holds something that the book did not fill in.
func (d *doc) worked() bool {
	if d.rec != nil || len(d.unsure) > 0 {
		return true
	}
	return slices.ContainsFunc(d.entries, func(e entry) bool {
		return !e.given && e.key != "holder" && e.key != keys.NozzleFound && e.key != keys.RemovedDate
	})
}

// compare marks the values that the book fills in by itself.
func (d *doc) compare() {
	for i, e := range d.entries {
		d.entries[i].given = e.text == d.sheet.Known[e.key]
	}
}

// built are the groups of a record that no valve has that is out of use.
var built = []string{"assembled", "as_left", "stored"}

// condemned holds back what is said of the build of a holder that is out of use, and a nozzle that is said to go back
// although it was not to.
func (k *taking) condemned(l line, d *doc) {
	holder := k.outOfUse(d, "holder", d.sheet.Holder)
	drop := func(why string, which func(key string) bool) {
		d.entries = slices.DeleteFunc(d.entries, func(e entry) bool {
			if top, _, _ := strings.Cut(e.key, "."); which(e.key) && !e.given {
				if x := k.doubt(l, e.key, e.cell, "%s", why); !slices.Contains(built, top) {
					d.unsure = append(d.unsure, x)
				}
			}
			return which(e.key)
		})
	}
	if holder != "" {
		drop(holder, func(key string) bool {
			top, _, _ := strings.Cut(key, ".")
			return slices.Contains(built, top) || key == keys.NozzleLeft || key == keys.NozzleMarking
		})
		return
	}
	word, found := d.entry(keys.DecidedNozzle), cmp.Or(d.entry(keys.NozzleFound), d.sheet.Known[keys.NozzleFound])
	if d.rec != nil {
		word, found = cmp.Or(word, d.rec.Decided.Nozzle.Written), cmp.Or(d.rec.Nozzle.Found.Written, found)
	}
	left := d.entry(keys.NozzleLeft)
	if word != "condemn" && word != "renew" || left == "" {
		return
	}
	if Plain(left, "") == Plain(found, "") {
		drop("decided "+word+" for this nozzle: name the one that was built in", func(key string) bool {
			return key == keys.NozzleLeft
		})
	}
}

// outOfUse says why a part is not built up or fitted: condemned in this table, in its record, or elsewhere in the book.
func (k *taking) outOfUse(d *doc, kind, serial string) string {
	if d != nil && (d.entry(keys.DecidedHolder) == "condemn" || d.rec != nil && d.rec.Decided.Holder.Is("condemn")) {
		return "the holder is condemned: it is not built up again"
	}
	if e, ended := k.b.EndBy(kind, serial, k.b.Today()); ended && (d == nil || e.By == nil || e.By != d.rec) {
		return fmt.Sprintf("%s %s was %s: it is not built up again", kind, serial, e)
	}
	return ""
}

// in takes what the row says of the fitting, into the record of the valve that went in.
func (k *taking) in(l line, out *doc) error {
	d := &doc{}
	k.take(l, d, true)
	if len(d.entries)+len(d.unsure) == 0 {
		return nil
	}
	holder, _ := k.t.cell(l.Row, keys.FittedHolder)
	switch {
	case holder == "":
		k.doubt(l, keys.FittedHolder, "", "which valve went in: nothing of the fitting is written without")
		return nil
	case !k.knownHolder(l, keys.FittedHolder, holder):
		k.leftOut(l, d)
		return nil
	}
	own := k.recordOf(holder, out)
	if why := k.mayNotFit(l, own, holder); why != "" {
		k.doubt(l, keys.FittedHolder, holder, "%s", why)
		k.leftOut(l, d)
		return nil
	}
	k.fittedRecord(l, d, own, holder)
	d.compare()
	at := entry{line: l.Line, at: l.at}
	for key, text := range map[string]string{keys.FittedEngine: l.at.Engine, keys.FittedCylinder: l.at.Cylinder} {
		f, _ := logbook.KindNamed("overhaul").Field(key)
		at.key, at.cell, at.text = key, text, quoted(f, text)
		d.entries = append(d.entries, at)
	}
	k.nozzleIn(l, d, own)
	rank := keyRank()
	slices.SortStableFunc(d.entries, func(a, b entry) int { return cmp.Compare(rank[a.key], rank[b.key]) })
	k.keep(d)
	return nil
}

// leftOut says how much of a fitting is not written because nobody can tell which valve it was.
func (k *taking) leftOut(l line, d *doc) {
	k.note("%s: %s of the fitting not written, for the holder is in doubt", l.at,
		logbook.Counted(len(d.entries), "cell is", "cells are"))
}

// keyRank is where a key stands in a record.
func keyRank() map[string]int {
	rank := map[string]int{}
	for i, key := range valueKeys() {
		rank[key] = i
	}
	return rank
}

// recordOf is the record of this table that a holder is in; nil where it is in none.
func (k *taking) recordOf(holder string, first *doc) *doc {
	if first != nil && first.sheet.Holder == holder {
		return first
	}
	for _, d := range k.order {
		if d.sheet.Holder == holder {
			return d
		}
	}
	return nil
}

// mayNotFit says why a valve cannot have gone in; empty where it can.
func (k *taking) mayNotFit(l line, own *doc, holder string) string {
	if why := k.outOfUse(own, "holder", holder); why != "" {
		return why
	}
	for _, d := range k.order {
		if other := d.entry(keys.FittedCylinder); other != "" && d.sheet.Holder == holder && !same(keys.FittedCylinder, other,
			l.at.Cylinder) {
			return "it went into cylinder " + Plain(other, "") + " by this table"
		}
	}
	if own != nil {
		return ""
	}
	for _, s := range k.b.Lives().OfHolder(holder) {
		if s.To == 0 && s.Position != l.at {
			return "it sits in " + s.Position.String() + " by the book: its removal comes first, or read the stamp"
		}
	}
	return ""
}

// fittedRecord finds the record that the fitting belongs into: the last of the valve, whether or not it is of this
// table; of a valve whose build is on no record a new one.
func (k *taking) fittedRecord(l line, d, own *doc, holder string) {
	if own != nil {
		d.path, d.sheet, d.rec = own.path, own.sheet, own.rec
		return
	}
	all := k.b.Lives().Benches(holder)
	if len(all) > 0 {
		o := all[len(all)-1]
		d.rec, d.sheet, d.path = o, draft.Of(k.b, o), o.Path
		return
	}
	day, _ := logbook.ParseDay(d.entry(keys.FittedDate))
	day = cmp.Or(day, k.b.Today())
	s, err := draft.OfHolder(k.b, holder, day)
	if err != nil || s.Position != (logbook.Position{}) { // it sits here by the book
		s = draft.Read(k.b, logbook.Position{}, holder, day)
		s.Path = path.Join(logbook.Builds, day.String()+"-"+logbook.FileName(holder)+".md")
	}
	d.sheet, d.path, d.spare = s, s.Path, true
	k.note("%s: the book has no record of the build of %s, so a record of its fitting alone begins", l.at, holder)
}

// nozzleIn keeps the nozzle that was read at the engine where it is another than the record has.
func (k *taking) nozzleIn(l line, d, own *doc) {
	read, _ := k.t.cell(l.Row, keys.FittedNozzle)
	if read == "" {
		return
	}
	by := d.sheet.Nozzle
	if own != nil {
		by = cmp.Or(Plain(own.entry(keys.NozzleLeft), ""), d.sheet.Nozzle)
	}
	if d.rec != nil {
		by = cmp.Or(d.rec.Nozzle.Left.Written, by)
	}
	if by != "" && by != read {
		k.doubt(l, keys.FittedNozzle, read, "%s", k.otherNozzle(read, d.sheet.Holder, by))
	}
}

// otherNozzle says why a nozzle cannot be the one that went in with a holder.
func (k *taking) otherNozzle(read, holder, by string) string {
	for _, d := range k.order {
		word, found := d.entry(keys.DecidedNozzle), Plain(d.entry(keys.NozzleFound), "")
		if d.rec != nil {
			word, found = cmp.Or(word, d.rec.Decided.Nozzle.Written), cmp.Or(found, d.rec.Nozzle.Found.Written)
		}
		if found == read && (word == "condemn" || word == "renew") {
			return fmt.Sprintf("decided %s for it; the record of %s has nozzle %s: read the stamp", word, holder, by)
		}
	}
	if e, ended := k.b.EndBy("nozzle", read, k.b.Today()); ended {
		return fmt.Sprintf("it was %s; the record of %s has nozzle %s: read the stamp", e, holder, by)
	}
	return fmt.Sprintf("the record of %s has nozzle %s: read the stamp, and put the record right by hand", holder, by)
}
