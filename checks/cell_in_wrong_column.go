package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"needlebook/logbook"
)

var cellInWrongColumn = &Check{
	Name:    "cell-in-wrong-column",
	Subject: OfRecord,
	Ends:    writing,
	Version: 2,
	Level:   Vessel,
	Doc: "A cell of a table holds what the other lines have in another column: a rank where the name belongs, a part " +
		"number where the item is named. Two cells were exchanged, or one too many or too " +
		"few pushed the rest aside; or it is not what the others of its column are: an id that is not made from the name " +
		"as all others are, a part number that one line alone has. The stores count what is named by its item, and a " +
		"person is found by the id: put the cells into their columns.",
	Source:  "our own rule",
	Example: `"seal kit" is in column part_no; 12 other lines have it in item`,
	Grade:   Action,
	Whole: func(c *Case) {
		var crew, stock, bunkers [][]cell
		for _, r := range c.Book.Crew {
			crew = append(crew, []cell{{"id", r.ID.Leaf}, {"name", r.Name.Leaf}, {"rank", r.Rank.Leaf}})
		}
		for _, r := range c.Book.Stock {
			stock = append(stock, []cell{{"item", r.Item.Leaf}, {"part_no", r.PartNo.Leaf}, {"serial", r.Serial.Leaf},
				{"note", r.Note.Leaf}})
		}
		for _, r := range c.Book.Bunkers {
			bunkers = append(bunkers, []cell{{"stem", r.Stem.Leaf}, {"grade", r.Grade.Leaf}, {"note", r.Note.Leaf}})
		}
		fuels := map[string]int{}
		for _, r := range c.Book.Running {
			fuels[r.Fuel.Written]++
		}
		for _, table := range [][][]cell{crew, stock, bunkers} {
			c.cellsElsewhere(table, fuels)
		}
		if !c.idsOfNames() {
			c.namesOfTwo()
		}
		c.numbersOfItems()
		c.serialsAsNumbers()
		c.nearlyAsOthers()
	},
}

// cellsElsewhere reports texts that stand in one column once and in another at least twice, one a line. A fuel that the
// running data name is a grade.
func (c *Case) cellsElsewhere(rows [][]cell, fuels map[string]int) {
	times := map[string]map[string]int{} // by text, by column
	for _, row := range rows {
		for _, x := range row {
			if w := x.leaf.Written; w != "" {
				if times[w] == nil {
					times[w] = map[string]int{}
				}
				times[w][x.column]++
				times[w]["grade"] = max(times[w]["grade"], fuels[w])
			}
		}
	}
	var all []misplaced
	same := map[[2]string]int{}
	for _, row := range rows {
		if m, ok := cellElsewhere(row, times); ok {
			all = append(all, m)
			same[[2]string{m.column, m.other}]++
		}
	}
	for _, m := range all {
		k := [2]string{m.column, m.other}
		f := Finding{Place: m.leaf.Place, Message: fmt.Sprintf("%q is in column %s; %s in %s", m.leaf.Written, m.column,
			numbered(m.there, "other line has it", "other lines have it"), m.other),
			Next: "put the cells of this line into their columns"}
		switch n := same[k]; {
		case n == 0:
			continue // said with the first
		case n > 2 && 2*n > len(rows):
			f.Message = fmt.Sprintf("%q and %s more are in column %s, and belong in %s", m.leaf.Written,
				numbered(n-1, "line", "lines"), m.column, m.other)
			f.Next = "are the heads or the cells of the two columns exchanged?"
			same[k] = 0
		}
		c.Report(f)
	}
}

// misplaced is a cell whose text other lines have in another column.
type misplaced struct {
	cell
	other string
	there int
}

func cellElsewhere(row []cell, times map[string]map[string]int) (misplaced, bool) {
	for _, x := range row {
		for _, other := range row {
			here, there := times[x.leaf.Written][x.column], times[x.leaf.Written][other.column]
			if other.column != x.column && here > 0 && there >= 2 && there >= 2*here {
				return misplaced{x, other.column, there}, true
			}
		}
	}
	return misplaced{}, false
}

// namesOfTwo reports a name that stands behind two ids whose ranks differ: the columns of names and ranks are
// exchanged.
func (c *Case) namesOfTwo() {
	first := map[string]int{}
	for i, r := range c.Book.Crew {
		if !r.Name.Present() {
			continue
		}
		j, known := first[r.Name.Written]
		if !known {
			first[r.Name.Written] = i
			continue
		}
		if was := c.Book.Crew[j]; was.ID.Written != r.ID.Written && was.Rank.Written != r.Rank.Written {
			c.Report(Finding{Place: r.Name.Place, Message: fmt.Sprintf("%q is the name of both %s and %s", r.Name.Written,
				was.ID.Written, r.ID.Written), Related: []Related{{was.Name.Place, "the other"}},
				Next: "are the columns name and rank exchanged? correct the first line, or the name"})
			return
		}
	}
}

// idsOfNames reports the ids that are not made from the name, where most of the list are, and once those made from what
// is in the column of ranks; it says whether names are there.
func (c *Case) idsOfNames() (ranked bool) {
	made, odd := map[string]bool{}, map[string]int{}
	var ranks []logbook.CrewPeriod // whose name is in the column of ranks
	for i, r := range c.Book.Crew {
		if !r.ID.Stated() || !r.Name.Present() {
			continue
		}
		if madeFrom(r.ID.Written, r.Name.Written) {
			made[r.ID.Written] = true
		} else if madeFrom(r.ID.Written, r.Rank.Written) {
			if !slices.ContainsFunc(c.findings, func(f Finding) bool {
				return f.Place.Path == r.Place.Path &&
					f.Place.Line == r.Place.Line
			}) {
				ranks = append(ranks, r)
			}
		} else if _, known := odd[r.ID.Written]; !known {
			odd[r.ID.Written] = i
		}
	}
	if len(ranks) > 0 {
		f := Finding{Place: ranks[0].Rank.Place, Message: fmt.Sprintf("%q is in column rank; id %s is made from it",
			ranks[0].Rank.Written, ranks[0].ID.Written), Next: "put the cells, or the heads of the columns, where they belong"}
		if more := len(ranks) - 1; more > 0 {
			f.Message += ", as in " + numbered(more, "line", "lines") + " more"
		}
		c.Report(f)
	}
	switch {
	case float64(len(made)) >= c.Settings.SetLeast.Value && len(odd)*2 <= len(made):
	case len(odd) == 1 && len(made) > 0: // of few, what is nearly made from the name
		for id, i := range odd {
			if logbook.Nearest(id, idsFrom(c.Book.Crew[i].Name.Written)) == "" {
				return len(ranks) > 0
			}
		}
	default:
		return len(ranks) > 0
	}
	for i, r := range c.Book.Crew {
		if first, is := odd[r.ID.Written]; is && first == i {
			c.Report(Finding{Place: r.ID.Place, Message: fmt.Sprintf("id %s is not made from the name %s; %s", r.ID.Written,
				r.Name.Written, numbered(len(made), "other is", "others are")),
				Next: "correct the id or the name; are two cells exchanged?"})
		}
	}
	return len(ranks) > 0
}

// idMarks takes away what parts the words of an id.
var idMarks = strings.NewReplacer(".", "", "-", "", "_", "")

// idsFrom are the ids that are made from a name in plain letters: the name, or the last one with initials or without.
func idsFrom(name string) []string {
	words := strings.FieldsFunc(plainLetters(name), func(r rune) bool { return !unicode.IsLetter(r) })
	if len(words) == 0 {
		return nil
	}
	initials, last := "", words[len(words)-1]
	for _, w := range words[:len(words)-1] {
		initials += w[:1]
	}
	return []string{initials + last, last, strings.Join(words, ""), last + initials}
}

// madeFrom says that an id is made from a name.
func madeFrom(id, name string) bool {
	is := strings.TrimRight(id, "0123456789") // of two of one name the second has a number
	if strings.HasSuffix(is, ".") {
		return false // decimals of a spreadsheet
	}
	return slices.Contains(idsFrom(name), idMarks.Replace(is))
}

// barred are letters that no mark above or below makes.
var barred = strings.NewReplacer("ł", "l", "ø", "o", "đ", "d", "ð", "d", "æ", "ae", "œ", "oe", "ß", "ss", "þ", "th",
	"ı", "i")

// plainLetters are the small letters of a text without their marks.
func plainLetters(text string) string {
	return barred.Replace(strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return r
	}, norm.NFD.String(strings.ToLower(text))))
}

// numberOf is a part number with what it is of.
type numberOf struct {
	item   string
	number logbook.Text
}

// numbersOfItems reports a part number that one line alone has and that is nearly the one of the same item elsewhere:
// in the stores, and in overhauls of the seals and of each kind of part.
func (c *Case) numbersOfItems() {
	var all []numberOf
	for _, m := range c.Book.Stock {
		all = append(all, numberOf{m.Item.Written, m.PartNo})
	}
	for _, o := range c.Book.Overhauls {
		all = append(all, numberOf{"the seals", o.Assembled.Seals.PartNo})
		for _, p := range o.Assembled.Parts {
			all = append(all, numberOf{p.Part.Written + " used", p.PartNo})
		}
	}
	times := map[string]map[string]int{} // by item, by part number
	for _, x := range all {
		if x.number.Stated() {
			if times[x.item] == nil {
				times[x.item] = map[string]int{}
			}
			times[x.item][x.number.Written]++
		}
	}
	for _, x := range all {
		is, of := x.number.Written, times[x.item]
		if of[is] != 1 {
			continue
		}
		for _, other := range slices.Sorted(maps.Keys(of)) {
			if of[other] > 1 && (foldSerial(other) == foldSerial(is) || logbook.OneApart(other, is)) {
				f := Finding{Place: x.number.Place, About: aboutPath(c.Book, x.number.Place.Path), Message: fmt.Sprintf(
					"part_no %s of %s, in %s %s", is, x.item, numbered(of[other], "other line", "other lines"), other)}
				f.offer(typed(x.number.Leaf, other), " if that is meant")
				c.Report(f)
				break
			}
		}
	}
}

// serialsAsNumbers reports once a table of stores in which serials repeat and part numbers do not: a serial is one.
func (c *Case) serialsAsNumbers() {
	serials, numbers, rows := map[string]bool{}, map[string]bool{}, 0
	var first logbook.StockMove
	for _, m := range c.Book.Stock {
		if m.Serial.Stated() && m.PartNo.Stated() {
			if serials[m.Serial.Written], numbers[m.PartNo.Written] = true, true; rows == 0 {
				first = m
			}
			rows++
		}
	}
	if float64(rows) >= c.Settings.SetBaseline.Value && len(serials) < len(numbers) {
		c.Report(Finding{Place: first.Serial.Place, Message: fmt.Sprintf("%d lines have %s and %s: a serial is one", rows,
			numbered(len(serials), "serial", "serials"), numbered(len(numbers), "part number", "part numbers")),
			Next: "are the columns serial and part_no exchanged?"})
	}
}

// nearlyAsOthers reports a text of a column that one line alone has, and that is nearly one that several have: a
// letter, a dash or a blank lost.
func (c *Case) nearlyAsOthers() {
	columns := map[string][]logbook.Leaf{}
	add := func(column string, l logbook.Leaf) {
		if l.Stated() && l.Written != "" {
			columns[column] = append(columns[column], l)
		}
	}
	for _, r := range c.Book.Running {
		add("fuel", r.Fuel.Leaf)
	}
	for _, r := range c.Book.Bunkers {
		add("fuel", r.Grade.Leaf)
	}
	for _, o := range c.Book.Overhauls {
		add("fuel", o.AsFound.RunningBefore.Fuel.Leaf)
		add("fuel", o.RunningAfter.Fuel.Leaf)
		add("marking", o.Nozzle.Marking.Leaf)
	}
	for _, p := range c.Book.Parts {
		add("marking", p.Marking.Leaf)
	}
	for _, m := range c.Book.Stock {
		add("item", m.Item.Leaf)
	}
	for _, r := range c.Book.Crew {
		add("rank", r.Rank.Leaf)
	}
	for _, column := range slices.Sorted(maps.Keys(columns)) {
		times := map[string]int{}
		for _, l := range columns[column] {
			times[l.Written]++
		}
		for _, l := range columns[column] {
			if times[l.Written] > 1 {
				continue
			}
			for _, other := range slices.Sorted(maps.Keys(times)) {
				if (column == "fuel" || column == "item") && alphanumeric(other) == alphanumeric(l.Written) {
					continue // said by spelling-differs
				}
				if n := times[other]; other != l.Written && float64(n) >= c.Settings.SetLeast.Value &&
					digitsOf(other) == digitsOf(l.Written) && (logbook.OneApart(other, l.Written) ||
					strings.EqualFold(other, l.Written)) {
					f := Finding{Place: l.Place, Grade: Advice, About: aboutPath(c.Book, l.Place.Path),
						Message: fmt.Sprintf("%s %q, %s %q", column, l.Written, numbered(n, "other place has", "other places have"),
							other)}
					f.offer(typed(l, other), " if that is meant")
					c.Report(f)
					break
				}
			}
		}
	}
}

// digitsOf are the digits of a text.
func digitsOf(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsDigit(r) {
			return r
		}
		return -1
	}, text)
}

// alphanumeric are the letters and digits of a text, small.
func alphanumeric(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, text)
}
