package intake

import (
	"crypto/sha256"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// Result is what a table leads to.
type Result struct {
	Records   []Record
	Questions []Question // open ones, in the order of the sheet
	Unused    []string   // columns that are not taken over
	Passed    []string   // rows that are no records, each with its text
	answered  []Question
	kept      []string // answers that nothing asks for any more
}

// Record is one overhaul record, with what is certain of its row.
type Record struct {
	Path string
	Text []byte
	Row  string   // of the table: 7, 2016!7
	Read []string // how cells were read that were not written as the book writes them
}

// Source is a table and where it comes from.
type Source struct {
	Name  string
	Grids []Grid
	Bytes []byte
}

// reading is one conversion on its way.
type reading struct {
	*Result
	book    *logbook.Book
	src     Source
	answers Answers
	asked   map[string]asked
	used    map[string]bool
	stems   map[string]string // rows by the stem of their record
	digest  string
}

// Convert turns the rows of a table into records of the book. The same rows, map and answers make the same bytes.
func Convert(b *logbook.Book, m Map, src Source, answers Answers) (Result, error) {
	r := &reading{Result: &Result{}, book: b, src: src, answers: answers, asked: map[string]asked{},
		used: map[string]bool{}, stems: map[string]string{}, digest: fmt.Sprintf("%x", sha256.Sum256(src.Bytes))}
	var sheets []*sheet
	for i := range src.Grids {
		s, err := r.open(i, m)
		if err != nil {
			return *r.Result, err
		}
		if s != nil {
			sheets = append(sheets, s)
		}
	}
	if len(sheets) == 0 {
		return *r.Result, fmt.Errorf("no worksheet has the columns that the map names: %s",
			strings.Join(sorted(m.columns()), ", "))
	}
	for _, s := range sheets {
		s.habits()
	}
	for _, s := range sheets {
		s.states()
		for i := range s.rows {
			s.take(s.rows[i])
		}
	}
	r.sorted()
	return *r.Result, nil
}

func sorted(set map[string]bool) (all []string) {
	for name := range set {
		all = append(all, name)
	}
	slices.Sort(all)
	return all
}

// sheet is one worksheet with its columns.
type sheet struct {
	*reading
	grid    *Grid
	index   int
	head    heading
	rows    []row
	columns []*column
	over    int    // row of another heading, which ends the sheet; 0 for none
	section int    // row of a title that names no engine; 0 for none
	engine  string // that a title or a row of its own names
	numbers numberHabit
	dates   dateHabit
}

// column is one entry of the map, with what its cells have in common.
type column struct {
	Entry
	at      int // column of the grid; -1 for a value of every record
	words   map[string]string
	unit    string
	order   string
	years   int
	middle  int      // year of the middle day of a column of days; -1 for too few
	offered []string // keys that it may be, where somebody has to say
	habit   numberHabit
	whole   *numberHabit // of the sheet
	dates   *dateHabit
	// median is that of its values, how many are nought, and how many there are; worked out once, when the unit is known
	median func() (median float64, nils, n int)
	first  map[string]int // by word, the first row that has it
	shown  string         // examples of what it holds
	above  cell           // the last cell that held something
}

// open finds the columns of a worksheet. A worksheet of several that has none of them is passed over.
func (r *reading) open(index int, m Map) (*sheet, error) {
	g := &r.src.Grids[index]
	own := m.of(g.Name)
	wanted := own.columns()
	head, known := g.heading(wanted)
	if known == 0 && len(r.src.Grids) > 1 {
		if len(g.rows) > 0 {
			r.Passed = append(r.Passed, fmt.Sprintf("worksheet %q has none of the columns", g.Name))
		}
		return nil, nil
	}
	s := &sheet{reading: r, grid: g, index: index, head: head, rows: g.below(head)}
	words := map[[2]string]map[string]string{}
	for _, e := range own {
		if e.Column != "" && !slices.Contains(head.names, e.Column) {
			return nil, fmt.Errorf("the table has no column %q, which the map names; it has %s", e.Column,
				strings.Join(head.names, ", "))
		}
		if e.Written != "" {
			of := [2]string{e.Column, e.Key}
			if words[of] == nil {
				words[of] = map[string]string{}
			}
			words[of][together(e.Written)] = e.Value
			continue
		}
		c := &column{Entry: e, at: slices.Index(head.names, e.Column), whole: &s.numbers, dates: &s.dates}
		if e.Column == "" {
			c.at = -1
		}
		s.columns = append(s.columns, c)
	}
	for _, c := range s.columns {
		c.words = words[[2]string{c.Column, c.Key}]
	}
	for i, name := range head.names {
		if name != "" && !wanted[name] {
			r.Unused = append(r.Unused, s.named(name))
		} else if c := s.of(i); c != nil && c.Key == NotTaken {
			r.Unused = append(r.Unused, s.named(name))
		}
	}
	return s, nil
}

func (s *sheet) of(at int) *column {
	i := slices.IndexFunc(s.columns, func(c *column) bool { return c.at == at })
	if i < 0 {
		return nil
	}
	return s.columns[i]
}

// named is a name within the source: of several worksheets, with theirs.
func (s *sheet) named(what string) string {
	if len(s.src.Grids) > 1 {
		return s.grid.Name + "!" + what
	}
	return what
}

func (s *sheet) question(number, column int, what string) Question {
	q := Question{At: s.named(what), rank: [3]int{s.index, number, column}}
	if column >= 0 && column < len(s.head.names) {
		q.Column = s.head.names[column]
	}
	return q
}

// habits reads what the columns have in common: first the keys that somebody had to say, then how numbers and dates are
// written.
func (s *sheet) habits() {
	for _, c := range s.columns {
		if c.at >= 0 && c.Key == "" {
			s.askKey(c)
		}
	}
	for _, c := range s.columns {
		for _, r := range s.rows {
			switch x := r.at(c.at); {
			case c.at < 0 || x.text == "":
			case c.field.Shape == logbook.ShapeDate:
				s.dates.take(x)
			case c.field.Shape == logbook.ShapeAmount, c.field.Shape == logbook.ShapeAmounts:
				for _, part := range split(c, x) {
					c.habit.take(part)
					s.numbers.take(part)
				}
			}
		}
	}
}

func (s *sheet) askKey(c *column) {
	q := s.question(0, c.at, letters(c.at)+" key")
	q.Cell = s.seen(c)
	q.Ask = "the key of a record, or - for none"
	if c.offered = candidates(c.Column, contentsOf(s.rows, c.at)); len(c.offered) > 0 {
		q.Ask = "the key: " + strings.Join(c.offered, ", ") + ", or - for none"
	}
	answer, ok := s.ask(q, func(a string) string {
		f, _, ok := keyed(a)
		if !ok || f.Shape == logbook.ShapeBlock {
			return "a key of a record: needlebook schema overhaul lists them"
		}
		return ""
	})
	if ok && answer != NotTaken {
		c.field, c.Key, _ = keyed(answer)
	}
}

// seen are the first different texts of a column.
func (s *sheet) seen(c *column) string {
	if c.shown == "" {
		c.shown = examples(s.rows, c.at)
	}
	return c.shown
}

func examples(rows []row, at int) string {
	var some []string
	for _, r := range rows {
		if t := r.at(at).text; t != "" && !slices.Contains(some, t) && len(t) < 40 {
			if some = append(some, t); len(some) == 3 {
				break
			}
		}
	}
	return strings.Join(some, " | ")
}

// states asks what a column needs that its cells do not say: its unit, the order of its dates, the century.
func (s *sheet) states() {
	for _, c := range s.columns {
		switch {
		case c.field.Shape == logbook.ShapeDate:
			order, years, _ := strings.Cut(c.Form, " ")
			c.order = order
			c.years, _ = strconv.Atoi(years)
			if c.order == "" {
				c.order = s.dates.order()
			}
		case c.Form != "":
			c.unit = c.Form
		case c.at >= 0 && s.head.units[c.at] != "" && c.fits(s.head.units[c.at]):
			c.unit = s.head.units[c.at]
		case c.field.Unit == "h":
			c.unit = c.field.Unit
		}
		if c.at >= 0 && measureOf(c.Entry) {
			c.median = s.median(c)
		}
	}
	if !s.has(keys.RemovedEngine) && !s.has(keyRemovedPosition) {
		s.engine = s.engineAbove()
	}
}

func (s *sheet) has(key string) bool {
	return slices.ContainsFunc(s.columns, func(c *column) bool { return c.Key == key })
}

// engineAbove is the engine of a sheet that has no column for it: the only one of the book, or the only one that the
// name of the worksheet or its titles name.
func (s *sheet) engineAbove() string {
	if all := enginesOf(s.book); len(all) == 1 {
		return all[0]
	}
	found := s.engineIn(s.grid.Name)
	for _, r := range s.head.above {
		for _, c := range r.cells {
			switch e := s.engineIn(c.text); {
			case e == "" || e == found:
			case found != "":
				return ""
			default:
				found = e
			}
		}
	}
	return found
}

// besideEngine are the words that a title has beside an engine's name and that change nothing of it.
var besideEngine = strings.Fields("port starboard stbd ps sb main engine aux auxiliary overhaul overhauling fuel " +
	"records list sheet and for haupt motor einspritz")

// engineIn is the engine that a text names, where every other word of it is a plain one of such titles. In "not ME2"
// and "spares from ME1" is none.
func (s *sheet) engineIn(text string) string {
	words := unlinked(fold(text))
	for _, e := range enginesOf(s.book) {
		for from := range words {
			for to := from + 1; to <= len(words) && to <= from+3; to++ {
				rest := slices.Concat(words[:from], words[to:])
				if strings.Join(words[from:to], "") == together(e) && !slices.ContainsFunc(rest, besides) {
					return e
				}
			}
		}
	}
	return ""
}

// besides says that a word of a title is none of the plain ones, in the singular or another form.
func besides(word string) bool {
	plain := func(known string) bool { return strings.HasPrefix(word, known) && len(word) <= len(known)+2 }
	if slices.ContainsFunc(besideEngine, plain) || slices.Contains(fillers, word) {
		return false
	}
	return !slices.ContainsFunc(columnNames(), func(p phrase) bool {
		return (p.means == keyHolder || p.means == keys.RemovedEngine) && slices.ContainsFunc(p.words, plain)
	})
}

// median works a column's out once for each unit that it is read in.
func (s *sheet) median(c *column) func() (float64, int, int) {
	known, unit := false, ""
	var m float64
	var nils, n int
	return func() (float64, int, int) {
		if !known || unit != c.unit {
			known, unit = true, c.unit
			m, nils, n = c.medianOf(s.rows)
		}
		return m, nils, n
	}
}
