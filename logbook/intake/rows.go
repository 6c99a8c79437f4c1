package intake

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
	"needlebook/logbook/measure"
)

// given is one value of a record on its way.
type given struct {
	column *column
	cell   cell
	text   string // empty where it is asked about
}

// take makes a record of a row.
func (s *sheet) take(r row) {
	filled := r.filled()
	if s.over == 0 && s.another(r, filled) {
		s.over = r.number
		q := s.question(r.number, -1, "row "+strconv.Itoa(r.number))
		q.Waits, q.Row = true, r.String()
		q.Ask = "one heading in a sheet: put the rows from here on into a sheet of their own; a dash passes them over"
		s.ask(q, func(string) string { return "a dash, or the sheet in two" })
	}
	switch {
	case s.over > 0:
		return
	case len(filled) > 0 && !slices.ContainsFunc(filled, func(c int) bool { return !r.at(c).struck }):
		s.Passed = append(s.Passed, fmt.Sprintf("row %s, struck through: %s", s.named(strconv.Itoa(r.number)), r))
		return
	case len(filled) == 0, s.alone(r, filled):
		for _, c := range s.columns {
			c.above = cell{} // nothing is carried over it
		}
		return
	case s.head.cells > 0 && r.more != s.head.cells:
		q := s.question(r.number, -1, "row "+strconv.Itoa(r.number))
		q.Waits, q.Cell = true, logbook.Counted(r.more, "cell")
		q.Ask = fmt.Sprintf("%d, as its heading has: put the row right in the sheet", s.head.cells)
		s.ask(q, func(string) string { return "a row with as many cells as the heading, in the sheet" })
		return
	}
	values, waits := map[string][]given{}, false
	for _, c := range s.columns {
		waits = !s.fill(c, r, values) || waits
	}
	waits = !s.complete(r, values) || waits
	s.record(r, values, waits)
}

// alone passes over a row with one text, which is a title of those below it. One that is an engine's name says theirs;
// after any other, but for a remark that runs on, nobody knows the engine.
func (s *sheet) alone(r row, filled []int) bool {
	if len(filled) > 1 || len(s.head.names) < 4 {
		return false
	}
	text, said := r.at(filled[0]).text, ""
	c := s.of(filled[0])
	switch engine := s.engineIn(text); {
	case c != nil && c.Key == keyRemarks, s.has(keys.RemovedEngine), s.has(keyRemovedPosition):
	case engine != "":
		s.engine, s.section, said = engine, 0, ", engine "+engine+" from there on"
	default:
		s.engine, s.section, said = "", r.number, ", the engine below is asked about"
	}
	s.Passed = append(s.Passed, fmt.Sprintf("row %s: %.80q%s", s.named(strconv.Itoa(r.number)), text, said))
	return true
}

// another is a heading of other columns in the middle of a sheet: what is below it cannot be read by the first.
func (s *sheet) another(r row, filled []int) bool {
	names := 0
	for _, c := range filled {
		text := r.at(c).text
		if m, ok := means(bareName(text)); slices.Contains(s.head.names, text) || ok && m.whole && headingCell(r.at(c)) {
			names++
		}
	}
	return names > 2 && names*3 >= len(filled)*2
}

// identifies says that a record cannot be filed without a value.
func identifies(key string) bool {
	return slices.Contains([]string{keyHolder, keys.RemovedEngine, keys.RemovedCylinder, keys.RemovedDate,
		keyRemovedPosition}, key)
}

// fill takes the cell of a column into the values of a record. It is false where the record waits for an answer.
func (s *sheet) fill(c *column, r row, values map[string][]given) bool {
	if c.Key == "" || c.Key == NotTaken {
		return true
	}
	if c.at < 0 {
		values[c.Key] = append(values[c.Key], given{c, cell{text: c.Value}, c.Value})
		return true
	}
	x := s.carried(c, r)
	if x.text == "" || c.Key != keyRemarks && isNothing(x.text) {
		return true
	}
	for _, part := range split(c, x) {
		text, ok := s.text(c, part, r)
		if !ok {
			values[c.Key] = append(values[c.Key], given{c, x, ""})
			return !identifies(c.Key)
		}
		if text == "" {
			continue
		}
		if c.field.As == "position" {
			side, _, _ := strings.Cut(c.Key, ".")
			engine, cylinder, _ := strings.Cut(text, "\x00")
			for key, v := range map[string]string{side + ".engine": engine, side + ".cylinder": cylinder} {
				f, _, _ := keyed(key)
				values[key] = append(values[key], given{&column{Entry: Entry{Key: key, field: f, Column: c.Column}, at: c.at},
					x, v})
			}
			continue
		}
		values[c.Key] = append(values[c.Key], given{c, x, text})
	}
	return true
}

// split are the readings of a cell that holds several, parted by strokes.
func split(c *column, x cell) []cell {
	if c.field.Shape != logbook.ShapeAmounts || x.stored || !strings.ContainsAny(x.text, "/;") || isNothing(x.text) {
		return []cell{x}
	}
	parts := strings.FieldsFunc(x.text, func(r rune) bool { return r == '/' || r == ';' })
	var all []cell
	for _, p := range parts {
		p = strings.TrimSpace(p)
		if !numberForm.MatchString(p) {
			if m := quantityForm.FindStringSubmatch(p); m == nil || len(all) != len(parts)-1 {
				return []cell{x}
			}
		}
		all = append(all, cell{text: p})
	}
	return all
}

// carried is the cell of a column, or the one above where a ditto, or the map for a blank, says so.
func (s *sheet) carried(c *column, r row) cell {
	x := r.at(c.at)
	switch {
	case isDitto(x.text) && (c.Carry == "" || c.above.text == ""):
		return x // which is asked about
	case x.text == "" && c.Carry == CarryBlanks, isDitto(x.text):
		return c.above
	}
	c.above = x
	return x
}

// text is what a record says for a cell; empty to leave it out. ok is false where that is asked.
func (s *sheet) text(c *column, x cell, r row) (text string, ok bool) {
	text, why := c.read(s, x)
	if isDitto(x.text) {
		why = "what is meant, typed out"
	}
	if why == "" {
		return text, true
	}
	q := s.question(r.number, c.at, letters(c.at)+strconv.Itoa(r.number))
	q.Cell, q.Ask, q.Waits, q.Row = x.text, why, identifies(c.Key), r.String()
	switch {
	case why == noUnit:
		units := strings.Join(unitsOf(c), ", ")
		return s.ofColumn(c, x, "unit", "the unit of this column: "+units, func(a string) string {
			if !c.fits(a) {
				return "one of " + units
			}
			c.unit = a
			return ""
		})
	case why == noOrder:
		return s.ofColumn(c, x, "order", dayFirst+" or "+monthFirst+": the order of its dates", func(a string) string {
			if a != dayFirst && a != monthFirst {
				return dayFirst + " or " + monthFirst
			}
			c.order = a
			return ""
		})
	case why == noYears:
		return s.ofColumn(c, x, "years", "the first year that two digits mean, such as 1990 for 1990 to 2089",
			func(a string) string {
				y, err := strconv.Atoi(a)
				if err != nil || !yearOK(a) {
					return "a year of four digits"
				}
				c.years = y
				return ""
			})
	case c.field.Shape == logbook.ShapeWord && !isDitto(x.text) && !strings.Contains(x.text, "?"):
		at := s.firstOf(c, x.text)
		q = s.question(at, c.at, letters(c.at)+strconv.Itoa(at))
		q.Cell, q.Ask = x.text, why+", here and wherever this column says it"
	}
	answer, ok := s.ask(q, func(a string) string {
		_, why := c.read(s, cell{text: a, said: true})
		return why
	})
	if !ok || answer == NotTaken {
		return "", ok
	}
	text, _ = c.read(s, cell{text: answer, said: true})
	return text, true
}

// ofColumn asks once for a column, and reads the cell again by the answer. What is asked of the dates is asked once for
// the whole table.
func (s *sheet) ofColumn(c *column, x cell, what, ask string, take func(string) string) (text string, ok bool) {
	q := s.question(0, c.at, letters(c.at)+" "+what)
	q.Cell = s.seen(c)
	if c.field.Shape == logbook.ShapeDate {
		q = Question{At: s.named("dates, " + what), rank: [3]int{s.index, 0, -1}}
	}
	q.Ask, q.Waits = ask, identifies(c.Key)
	answer, ok := s.ask(q, take)
	if !ok || answer == NotTaken {
		return "", ok
	}
	take(answer)
	return s.again(c, x)
}

// again reads a cell once more, when something of its column was answered.
func (s *sheet) again(c *column, x cell) (text string, ok bool) {
	text, why := c.read(s, x)
	switch why {
	case "":
		return text, true
	case noYears, noOrder, noUnit:
		return s.text(c, x, row{})
	}
	return "", false
}

// firstOf is the first row in which a column has a word; the rows are gone through once.
func (s *sheet) firstOf(c *column, word string) int {
	if c.first == nil {
		c.first = map[string]int{}
		for _, r := range s.rows {
			if said := together(r.at(c.at).text); c.first[said] == 0 {
				c.first[said] = r.number
			}
		}
	}
	return c.first[together(word)]
}

func unitsOf(c *column) []string {
	all := measure.UnitsOf(c.field.Kind)
	if c.field.Kind == measure.Length {
		all = append(all, "1/100 mm") // as the dial of a gauge is divided
	}
	return all
}

// read is a cell as a record writes it. why says what is doubtful.
func (c *column) read(s *sheet, x cell) (text, why string) {
	if strings.Contains(x.text, "?") && c.field.Shape != logbook.ShapeText && c.field.Shape != logbook.ShapeSerial {
		return "", c.expected()
	}
	switch c.field.Shape {
	case logbook.ShapeDate:
		if text, why = c.date(x); why == "" && !x.said && c.farOff(s, text) {
			return "", "this day, typed again if it is right: it is far from the others of its column"
		}
		return text, why
	case logbook.ShapeAmount, logbook.ShapeAmounts:
		return c.amount(x, strings.TrimSpace(x.text))
	case logbook.ShapeSerial, logbook.ShapeSerials:
		return c.identity(s.book, x)
	case logbook.ShapeWord:
		return c.word(x)
	case logbook.ShapeNumber, logbook.ShapeNumbers:
		if strings.Trim(x.text, "0123456789") != "" {
			return "", c.expected()
		}
	}
	return x.text, ""
}

// word is a word of the book, or what the map says for one that is none.
func (c *column) word(x cell) (text, why string) {
	folded := together(x.text)
	for written, is := range c.words {
		if written == folded && is == NotTaken {
			return "", ""
		} else if written == folded && is != "" {
			x.text, folded = is, together(is)
			break
		}
	}
	for _, w := range c.field.Words {
		if together(w) == folded {
			return w, ""
		}
	}
	return "", c.expected()
}
