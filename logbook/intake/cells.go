package intake

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// dittos say that a cell holds what stands above; nothings that it holds nothing.
var (
	dittos   = strings.Fields(`" "" '' ´´ ` + "``" + ` ” “ „ ″ 〃 ,, -"- -''- do. do ditto dto dto. id. idem sda s.d.a.`)
	nothings = strings.Fields("- -- --- – — ./. n/a n.a. na n.m. nm k.a. s/d s.d. tad ... not_measured " +
		"nicht_gemessen no_medido no_medida tidak_diukur non_mesure not_taken none")
)

func isDitto(text string) bool {
	return slices.Contains(dittos, strings.ToLower(strings.ReplaceAll(text, " ", "")))
}

func isNothing(text string) bool {
	return slices.Contains(nothings, strings.ToLower(strings.Join(strings.Fields(text), "_")))
}

var (
	quantityForm = regexp.MustCompile("^([-+−]?[0-9.,]*[0-9][0-9.,'’ \u00a0\u202f\u2009]*?)\\s*([^0-9.,'’\\s].*)$")
	moreForm     = regexp.MustCompile(`^(?:>=?|≥)\s*([0-9].*)$`)
)

// amount is a quantity as a record writes it; unit is the one of a bare number.
func (c *column) amount(x cell, text string) (written, why string) {
	more := ""
	if m := moreForm.FindStringSubmatch(text); m != nil && c.field.Cut {
		more, text = logbook.MoreThan, m[1]
	}
	number, unit := text, ""
	if m := quantityForm.FindStringSubmatch(text); m != nil {
		number, unit = strings.TrimSpace(m[1]), strings.TrimSpace(m[2])
	}
	if !numberForm.MatchString(number) {
		return "", c.expected()
	}
	if unit != "" && measure.Find(c.field.Kind, unit) == nil {
		return "", "a number and a unit: " + strings.Join(measure.UnitsOf(c.field.Kind), ", ")
	}
	power := 0
	if unit == "" {
		unit, power = scaled(c.unit)
	}
	if number, why = c.habit.number(x, number, c.field.Kind, c.whole); why != "" {
		if unit != "" && strings.HasPrefix(why, "digits") {
			why += fmt.Sprintf("; then the unit: %s %s", strings.Trim(text, " "), unit)
		}
		return "", why
	}
	if unit == "" {
		return number, noUnit
	}
	if written = more + shifted(number, power) + " " + unit; !x.said && more == "" && c.far(written) {
		return "", "the value, typed again if it is right: it is far from the others of its column"
	}
	return written, ""
}

// How far a value may be from the median of its column before somebody is asked, and of how many: from memory. A slip
// of the decimal sign or of the unit is ten times off or more.
const (
	farTimes  = 4
	leastFar  = 4
	seldomNil = 3 // of a column, one in so many is nought where nought is a value
)

// far says that a value cannot be told from a slip: nought where hardly any is, or several times the others.
func (c *column) far(written string) bool {
	q, _ := measure.Parse(strings.TrimPrefix(written, logbook.MoreThan), c.field.Kind)
	if !q.Valid() || c.median == nil {
		return false
	}
	m, nils, n := c.median()
	switch v := math.Abs(q.Float()); {
	case n < leastFar || m == 0:
		return false
	case v == 0:
		return nils*seldomNil < n
	default:
		return v > m*farTimes || v*farTimes < m
	}
}

// medianOf is the median of a column's values, without their signs, how many are nought and how many there are.
func (c *column) medianOf(rows []row) (median float64, nils, n int) {
	var all []float64
	for _, r := range rows {
		x := r.at(c.at)
		if x.text == "" || isNothing(x.text) {
			continue
		}
		for _, part := range split(c, x) {
			part.said = true
			written, why := c.amount(part, strings.TrimSpace(part.text))
			if q, _ := measure.Parse(strings.TrimPrefix(written, logbook.MoreThan), c.field.Kind); why == "" && q.Valid() {
				if all = append(all, math.Abs(q.Float())); all[len(all)-1] == 0 {
					nils++
				}
			}
		}
	}
	if len(all) == 0 {
		return 0, 0, 0
	}
	slices.Sort(all)
	return all[len(all)/2], nils, len(all)
}

// noUnit is why a bare number cannot be taken: the question is one about its column.
const noUnit = "a unit"

func (c *column) expected() string {
	switch c.field.Shape {
	case logbook.ShapeDate:
		return "a date, such as 2016-08-09"
	case logbook.ShapeWord:
		return "one of: " + strings.Join(c.field.Words, ", ")
	case logbook.ShapeAmount, logbook.ShapeAmounts:
		return "a number and a unit, such as 10 " + strings.TrimSpace(c.unitOf())
	case logbook.ShapeNumber, logbook.ShapeNumbers:
		return "a number"
	}
	return "a text"
}

// unitOf is the unit that is shown in examples.
func (c *column) unitOf() string {
	if unit, _ := scaled(c.unit); unit != "" {
		return unit
	}
	return c.field.Unit
}

var (
	numberMarks = regexp.MustCompile(`^(?i:no|nr|n°|nº|num|s/n|sn|#)[.:]?\s*([0-9].*|[.:#]\s*.*)$`)
	cylinderPre = strings.Fields("cylinder cyl unit zylinder zyl cilindro cil silinder sil cylindre cilinder no nr n c z")
	doubtful    = regexp.MustCompile(`\?|^[0-9.]+[eE][+-]?[0-9]+$|[-=]>|→|[(;,]| / `)
)

// identity is a serial, the name of an engine, a cylinder or a position as the book has it.
func (c *column) identity(b *logbook.Book, x cell) (text, why string) {
	t := strings.Join(strings.Fields(x.text), " ")
	sure := !strings.Contains(t, "?")
	switch c.field.As {
	case "engine":
		for _, e := range b.Vessel.Engines {
			if sure && together(e.ID.Written) == together(t) {
				return e.ID.Written, ""
			}
		}
		return "", "an engine of book.md: " + strings.Join(enginesOf(b), ", ")
	case "cylinder":
		words := strings.Fields(fold(t))
		for len(words) > 1 && slices.Contains(cylinderPre, words[0]) {
			words = words[1:]
		}
		bare := strings.Join(words, "")
		if n := len(bare); n > 1 && strings.IndexByte("cz", bare[0]) >= 0 && strings.Trim(bare[1:], "0123456789") == "" {
			bare = bare[1:]
		}
		for _, p := range b.Positions() {
			if w := together(p.Cylinder); sure && (w == bare || w == strings.TrimLeft(bare, "0")) {
				return p.Cylinder, ""
			}
		}
		return "", "a cylinder of book.md"
	case "position":
		if p, ok := positionOf(b, t); ok && sure {
			return p.Engine + "\x00" + p.Cylinder, ""
		}
		return "", "an engine and cylinder of book.md, such as " + b.Positions()[0].String()
	}
	if doubtful.MatchString(t) || !x.said && c.field.As == "" && !strings.ContainsAny(t, "0123456789") {
		return "", "a serial, as it is stamped"
	}
	if m := numberMarks.FindStringSubmatch(t); m != nil && c.field.As == "" {
		t = strings.TrimLeft(m[1], ".:# ")
	}
	return t, ""
}

func enginesOf(b *logbook.Book) (all []string) {
	for _, e := range b.Vessel.Engines {
		all = append(all, e.ID.Written)
	}
	return all
}

// positionOf is the one position that a text may name: ME1-3, ME1/3, ME 1 cyl 3.
func positionOf(b *logbook.Book, text string) (p logbook.Position, ok bool) {
	words := slices.DeleteFunc(strings.Fields(fold(text)), func(w string) bool { return slices.Contains(cylinderPre, w) })
	n := 0
	for _, x := range b.Positions() {
		engine, cylinder := strings.Fields(fold(x.Engine)), together(x.Cylinder)
		for at := 1; at < len(words); at++ {
			last := strings.TrimLeft(strings.Join(words[at:], ""), "0")
			if strings.Join(words[:at], "") == strings.Join(engine, "") && (last == cylinder || last == "c"+cylinder) {
				p, ok = x, true
				n++
			}
		}
	}
	return p, ok && n == 1
}
