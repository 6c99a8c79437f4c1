package intake

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"needlebook/logbook/measure"
)

// heading is where the rows of a table begin, and how its columns are named.
type heading struct {
	names []string // by column, each once; empty where a column has neither name nor contents
	units []string // by column, where the heading states one
	first int      // index of the first row below
	above []row    // titles
	cells int      // in a text table, how many cells each row has
}

const (
	deepestHeading = 40 // rows looked at: from memory
	mostLines      = 3
)

// heading finds the heading of a worksheet: the rows whose names are those that are wanted, or, where none are, those
// that the lexicon knows best. known is how many.
func (g *Grid) heading(wanted map[string]bool) (h heading, known int) {
	for i := range min(len(g.rows), deepestHeading) {
		for lines := 1; lines <= mostLines && i+lines <= len(g.rows); lines++ {
			if lines > 1 && wanted == nil && !g.together(i, i+lines) {
				continue
			}
			made := g.headed(i, i+lines)
			n := made.known(wanted)
			if n > known {
				h, known = made, n
			}
		}
	}
	return h, known
}

func (h heading) known(wanted map[string]bool) (n int) {
	for i, name := range h.names {
		_, ok := means(bareName(name))
		switch {
		case wanted != nil && wanted[name]:
			n += 4
		case wanted == nil && ok:
			n += 4
		case wanted != nil || name == "":
			continue
		}
		if h.units[i] != "" {
			n++ // of two headings that know as many names, the one that has their units
		}
	}
	return n
}

// together says that rows are lines of one heading: all but one of them hold nothing but units, numbers of readings,
// names and the words that tell two tests apart.
func (g *Grid) together(from, to int) bool {
	for i := from; i < to; i++ {
		r := g.rows[i]
		filled := r.filled()
		if len(filled) == 0 || i > from && r.number != g.rows[i-1].number+1 {
			return false
		}
		if i == from && (len(filled) < 2 && !g.partOfWidth(r) || !slices.ContainsFunc(filled, func(c int) bool {
			return aboutColumns(r.at(c).text)
		})) {
			return false // a title
		}
		for _, c := range filled {
			if !headingCell(r.at(c)) {
				return false
			}
		}
	}
	return true
}

// aboutColumns says that a text is of a heading: it names what columns hold, or which test they are of.
func aboutColumns(text string) bool {
	m, ok := means(bareName(text))
	return ok && m.whole || onlySides(text)
}

// partOfWidth says that a row with one text shows it over some columns: as found, over the readings of that test.
func (g *Grid) partOfWidth(r row) bool {
	m, _ := means(bareName(r.at(r.filled()[0]).text))
	return slices.ContainsFunc(g.merged, func(a area) bool { return a.top == r.number && a.left > 0 }) || m.whole
}

var (
	someData  = regexp.MustCompile(`[0-9]{3}|[0-9][.,:/-][0-9]`)
	fewDigits = regexp.MustCompile(`^#?[0-9]{1,2}\.?$`)
)

func headingCell(c cell) bool {
	rest, _ := splitUnit(c.text) // 1/100 mm is no date
	if c.day || someData.MatchString(rest) {
		return false
	}
	if fewDigits.MatchString(c.text) {
		return len(strings.Trim(c.text, "#.")) == 1
	}
	return true
}

// headed makes the names of a heading over some rows.
func (g *Grid) headed(from, to int) heading {
	h := heading{first: to, above: g.rows[:from], cells: g.rows[from].more}
	width := 0
	for _, r := range g.rows[from:] {
		width = max(width, len(r.cells))
	}
	seen := map[string]int{}
	for c := range width {
		name := strings.Join(g.lines(from, to, c), " / ")
		rest, unit := splitUnit(name)
		if rest == "" && slices.ContainsFunc(g.rows[to:], func(r row) bool { return r.at(c).text != "" }) {
			name = "column " + letters(c)
		}
		if seen[name]++; seen[name] > 1 && name != "" {
			name = fmt.Sprintf("%s (%d)", name, seen[name])
		}
		h.names, h.units = append(h.names, name), append(h.units, unit)
	}
	return h
}

// lines are what the lines of a heading say of a column. A line that parts the one above it into several columns stands
// below what is written to the left.
func (g *Grid) lines(from, to, column int) (all []string) {
	for i := from; i < to; i++ {
		r, text := g.rows[i], g.rows[i].at(column).text
		below := slices.ContainsFunc(g.rows[i+1:to], func(r row) bool { return r.at(column).text != "" })
		if text == "" && (below || g.covered(r.number, column) >= 0) {
			text = g.leftOf(r, column, g.rows[i+1:to])
		}
		if text = strings.Join(strings.Fields(text), " "); text != "" && !slices.Contains(all, text) {
			all = append(all, text)
		}
	}
	return all
}

// covered is the column whose text a row shows over this one too; -1 where it shows none.
func (g *Grid) covered(number, column int) int {
	for _, a := range g.merged {
		if a.top <= number && number <= a.bottom && a.left < column && column <= a.right {
			return a.left
		}
	}
	return -1
}

// leftOf is what a row says over a column by a text to the left. In a text table, which shows no cells as one, a text
// reaches as far as what is below it needs it.
func (g *Grid) leftOf(r row, column int, below []row) string {
	if at := g.covered(r.number, column); at >= 0 {
		return r.at(at).text
	}
	if slices.ContainsFunc(g.merged, func(a area) bool { return a.top == r.number && a.right > a.left }) {
		return "" // where cells are shown as one, the others are by themselves
	}
	under := ""
	for _, b := range below {
		under += " " + b.at(column).text
	}
	for c := column - 1; c >= 0; c-- {
		if text := r.at(c).text; text != "" {
			m, ok := means(under)
			if onlySides(under) || onlySides(text) && ok && strings.Contains(m.key, "@") {
				return text
			}
			return ""
		}
	}
	return ""
}

// onlySides says that a text has no word but those that tell two tests apart, count readings, or are a unit.
func onlySides(text string) bool {
	rest, _ := splitUnit(strings.TrimSpace(text))
	return !slices.ContainsFunc(strings.Fields(fold(rest)), func(w string) bool {
		return !slices.Contains(foundWords, w) && !slices.Contains(leftWords, w) && !slices.Contains(fillers, w) &&
			strings.Trim(w, "0123456789") != ""
	})
}

// repeats says that a row is a line of the heading again, as at the top of each page.
func (g *Grid) repeats(h heading, r row) bool {
	filled := r.filled()
	for i := len(h.above); i < h.first; i++ {
		line := g.rows[i]
		if len(filled) > 1 && !slices.ContainsFunc(filled, func(c int) bool { return line.at(c).text != r.at(c).text }) {
			return true
		}
	}
	return false
}

// below are the rows of the table that hold data.
func (g *Grid) below(h heading) (rows []row) {
	for _, r := range g.rows[h.first:] {
		if !g.repeats(h, r) {
			rows = append(rows, r)
		}
	}
	return rows
}

var (
	bracketed = regexp.MustCompile(`[\[(]\s*([^\])]+?)\s*[\])]`)
	doubled   = regexp.MustCompile(` \([0-9]+\)$`)
	// bareUnits are the units that are believed at the end of a name without brackets.
	bareUnits = strings.Fields("bar mm µm um mpa psi kgf/cm2 kgf/cm² kg/cm2 kg/cm² nm n·m sec s h °c min %")
	kinds     = []measure.Kind{measure.Pressure, measure.Length, measure.Torque, measure.Time, measure.Hours,
		measure.Temperature, measure.Share}
)

// bareName is the name of a column without its number among several of that name, and without its unit.
func bareName(name string) string {
	rest, _ := splitUnit(doubled.ReplaceAllString(name, ""))
	return rest
}

// splitUnit parts the unit from the name of a column.
func splitUnit(name string) (rest, unit string) {
	for _, m := range bracketed.FindAllStringSubmatch(name, -1) {
		if isUnit(m[1]) {
			return strings.TrimSpace(strings.Replace(name, m[0], " ", 1)), m[1]
		}
	}
	words := strings.Fields(name)
	if len(words) == 0 {
		return "", ""
	}
	last := words[len(words)-1]
	for at := max(0, len(words)-4); at < len(words)-1; at++ {
		if part := strings.Join(words[at:], " "); scaleForm.MatchString(part) && isUnit(part) {
			return strings.TrimRight(strings.Join(words[:at], " "), " /,"), part
		}
	}
	if _, power := scaled(last); power != 0 && isUnit(last) {
		return strings.TrimRight(strings.Join(words[:len(words)-1], " "), " /,"), last
	}
	if slices.Contains(bareUnits, strings.ToLower(last)) && (len(words) > 1 || isUnit(last)) {
		return strings.TrimRight(strings.Join(words[:len(words)-1], " "), " /,"), last
	}
	return name, ""
}

func isUnit(text string) bool {
	text, _ = scaled(text)
	return slices.ContainsFunc(kinds, func(k measure.Kind) bool { return measure.Find(k, text) != nil })
}
