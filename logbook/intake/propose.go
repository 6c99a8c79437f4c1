package intake

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
	"needlebook/logbook/measure"
)

// Propose makes a map of a table: by the names of its columns, in several languages, where their contents do not speak
// against it. A column whose name may mean more than one thing gets no key, and Convert asks.
func Propose(b *logbook.Book, src Source) (Map, error) {
	var all []Map
	for i := range src.Grids {
		g := &src.Grids[i]
		head, known := g.heading(nil)
		if known < leastKnown {
			continue
		}
		all = append(all, g.propose(b, head))
	}
	if len(all) == 0 {
		return nil, errors.New("no heading is known: write the map yourself, needlebook import --help shows how")
	}
	alike := all[0]
	for _, m := range all[1:] {
		if alike = joined(alike, m); alike == nil {
			return slices.Concat(all...), nil
		}
	}
	if len(all) > 1 || len(src.Grids) == 1 {
		for i := range alike {
			alike[i].Sheet = ""
		}
	}
	return alike, nil
}

// leastKnown is how well a heading has to be known, as heading counts: two names.
const leastKnown = 8

// joined is one map for two worksheets of the same columns, with the words of both; nil where they differ.
func joined(a, b Map) Map {
	plain := func(m Map) (columns Map) {
		for _, e := range m {
			if e.Written == "" {
				e.Sheet, e.Seen, e.field = "", "", logbook.Field{}
				columns = append(columns, e)
			}
		}
		return columns
	}
	if !slices.EqualFunc(plain(a), plain(b), func(x, y Entry) bool {
		x.field, y.field = logbook.Field{}, logbook.Field{}
		return x.Column == y.Column && x.Key == y.Key && x.Form == y.Form && x.Carry == y.Carry && x.Value == y.Value
	}) {
		return nil
	}
	for _, e := range b {
		there := func(x Entry) bool { return x.Column == e.Column && together(x.Written) == together(e.Written) }
		if e.Written == "" || slices.ContainsFunc(a, there) {
			continue
		}
		last := 0
		for i, x := range a {
			if x.Column == e.Column {
				last = i
			}
		}
		a = slices.Insert(a, last+1, e)
	}
	return a
}

func (g *Grid) propose(b *logbook.Book, h heading) Map {
	var m Map
	rows := g.below(h)
	taken := map[string]int{}
	for c, name := range h.names {
		if name == "" {
			continue
		}
		e := Entry{Sheet: g.Name, Column: name, Seen: examples(rows, c)}
		e.Key = keyFor(b, name, contentsOf(rows, c))
		if e.Key != "" && e.Key != NotTaken {
			e.field, e.Key, _ = keyed(e.Key)
			taken[e.Key]++
		}
		m = append(m, e)
	}
	for i := range m {
		e := &m[i]
		if taken[e.Key] > 1 && e.Key != keyRemarks && !many(e.field.Shape) {
			e.Key, e.field = "", logbook.Field{} // two columns claim it
		}
		e.Carry = carried(e.Key, rows, slices.Index(h.names, e.Column))
		if c := (&column{Entry: *e}); measureOf(*e) && c.fits(h.units[slices.Index(h.names, e.Column)]) {
			e.Form = h.units[slices.Index(h.names, e.Column)]
		} else if e.field.Unit == "h" {
			e.Form = e.field.Unit
		}
	}
	var whole Map
	for _, e := range m {
		whole = append(whole, e)
		whole = append(whole, wordsOf(e, rows, slices.Index(h.names, e.Column))...)
	}
	return whole
}

func measureOf(e Entry) bool {
	return e.field.Shape == logbook.ShapeAmount || e.field.Shape == logbook.ShapeAmounts
}

// contents is what a column holds.
type contents struct {
	rows, filled, days, numbers, letters int
	counting, rising                     bool
	last                                 float64
	texts                                []string
}

func contentsOf(rows []row, at int) contents {
	c := contents{counting: true, rising: true}
	var h numberHabit
	for _, r := range rows {
		x := r.at(at)
		if c.rows++; x.text == "" || isNothing(x.text) || isDitto(x.text) {
			continue
		}
		c.filled++
		c.texts = append(c.texts, x.text)
		number, why := "", "none"
		if numberForm.MatchString(x.text) {
			number, why = strings.Map(digitsOnly, x.text), ""
		}
		v, _ := strconv.ParseFloat(number, 64)
		switch {
		case x.day || yearFirstForm.MatchString(x.text) || dateForm.MatchString(x.text) || namedForm.MatchString(x.text):
			c.days++
		case why == "":
			c.numbers++
			c.counting = c.counting && v == float64(c.filled)
			c.rising = c.rising && v >= c.last
			c.last = v
		case quantityForm.MatchString(x.text):
			c.numbers++
			c.rising, c.counting = false, false
		default:
			c.letters++
			c.rising, c.counting = false, false
		}
		h.take(x)
	}
	return c
}

func digitsOnly(r rune) rune {
	if r >= '0' && r <= '9' {
		return r
	}
	return -1
}

// most says that a part of a column's cells is nearly all of them.
func (c contents) most(part int) bool { return part*3 >= c.filled*2 }

// keyFor is the key of a column; NotTaken for one that only counts its rows, empty where somebody has to say.
func keyFor(b *logbook.Book, name string, c contents) string {
	bare := bareName(name)
	m, ok := means(bare)
	if c.filled == 0 {
		return NotTaken
	}
	if c.counting && c.filled > 2 && (!ok || m.key == keyHolder) && c.numbers == c.filled {
		if !ok || c.filled == c.rows {
			return NotTaken // it numbers the rows
		}
	}
	if !ok {
		if c.most(c.days) || onlySides(bare) {
			return ""
		}
		return keyRemarks
	}
	if m.key == "?hours" && m.whole && c.rising && c.filled > 4 {
		return keys.RemovedCounter
	}
	if instead := wordsInstead[m.key]; instead != "" && m.whole && c.most(knownWords(instead, c.texts)) {
		return instead
	}
	if !m.whole || strings.ContainsAny(m.key, "?@") {
		return ""
	}
	f, full, _ := keyed(m.key)
	if f.As == "cylinder" && c.most(count(c.texts, func(t string) bool { _, ok := positionOf(b, t); return ok })) {
		return keyRemovedPosition
	}
	named := func(t string) bool {
		_, why := (&column{Entry: Entry{field: f}}).identity(b, cell{text: t})
		return why == ""
	}
	if !suits(f, c) || f.Shape == logbook.ShapeSerial && !c.most(count(c.texts, named)) {
		return ""
	}
	return full
}

// wordsInstead are the keys that a column of another key is about, where it holds their words.
var wordsInstead = map[string]string{"nozzle.@": keys.DecidedNozzle, keys.InspectedSpring: keys.DecidedSpring}

func knownWords(key string, texts []string) int {
	f, _, _ := keyed(key)
	return count(texts, func(t string) bool { return wordFor(f, t) != "" })
}

func count(texts []string, is func(string) bool) (n int) {
	for _, t := range texts {
		if is(t) {
			n++
		}
	}
	return n
}

// suits says that the contents of a column can be of a field.
func suits(f logbook.Field, c contents) bool {
	switch f.Shape {
	case logbook.ShapeDate:
		return c.most(c.days)
	case logbook.ShapeAmount, logbook.ShapeAmounts, logbook.ShapeNumber:
		return c.most(c.numbers)
	case logbook.ShapeWord:
		return c.most(c.letters)
	}
	return !c.most(c.days) || f.Shape == logbook.ShapeText
}

// candidates are the keys that are offered for a column: those its name may stand for, of a unit that its heading
// states; where there is none, all that have such a unit.
func candidates(name string, c contents) []string {
	_, unit := splitUnit(doubled.ReplaceAllString(name, ""))
	other := func(key string) bool {
		f, _, _ := keyed(key)
		return unit != "" && !(&column{Entry: Entry{field: f}}).fits(unit)
	}
	all := slices.DeleteFunc(suggestions(name, c), other)
	if len(all) == 0 && unit != "" {
		all = slices.DeleteFunc(amounts(overhaul(), ""), other)
	}
	return all
}

// amounts are the keys of all measured values of a record that stand once in it.
func amounts(fields []logbook.Field, above string) (all []string) {
	for _, f := range fields {
		switch {
		case f.Shape == logbook.ShapeAmount || f.Shape == logbook.ShapeAmounts:
			all = append(all, above+f.Key)
		case f.Shape == logbook.ShapeBlock && !f.List:
			all = append(all, amounts(f.Fields, above+f.Key+".")...)
		}
	}
	return all
}

func suggestions(name string, c contents) []string {
	m, ok := means(bareName(name))
	switch {
	case ok:
		return suggested(m.key)
	case c.most(c.days):
		return []string{keys.RemovedDate, keys.FittedDate, keys.AsLeftDate}
	case onlySides(name):
		return []string{keyHolder}
	}
	return nil
}

// suggested are the keys that a name may stand for.
func suggested(key string) []string {
	if key = strings.TrimPrefix(key, "?"); key == "hours" {
		return []string{keys.RemovedCounter, keys.RemovedHours}
	}
	var all []string
	for _, k := range keysOf(key) {
		if _, full, ok := keyed(k); ok {
			all = append(all, full)
		}
	}
	return all
}

// carriedKeys are those that sheets write once for several rows.
var carriedKeys = []string{keys.RemovedDate, keys.RemovedEngine, keys.RemovedCounter, keys.FittedDate,
	keys.RemovedReason, "by"}

// carried is how a column repeats what is above, as its cells show.
func carried(key string, rows []row, at int) string {
	blank, marks, all, first := 0, 0, 0, ""
	for _, r := range rows {
		x := r.at(at).text
		if len(r.filled()) < 2 {
			continue
		}
		if all++; all == 1 {
			first = x
		}
		if x == "" {
			blank++
		} else if isDitto(x) {
			marks++
		}
	}
	switch {
	case first != "" && blank > 1 && blank*3 >= all && blank < all && slices.Contains(carriedKeys, key):
		return CarryBlanks
	case marks > 0:
		return CarryDittos
	}
	return ""
}

// wordFor is the one word of a field that a text is known for.
func wordFor(f logbook.Field, text string) string {
	found := ""
	for _, w := range f.Words {
		if together(w) == together(text) {
			return w
		}
		if slices.Contains(wordNames()[together(text)], w) {
			if found != "" {
				return ""
			}
			found = w
		}
	}
	return found
}

// mostWords is how many different words a column of words may hold to be one: from memory.
const mostWords = 40

// wordsOf are the words of a column, each with what is known for it; one that is not known has no value, and is asked
// about.
func wordsOf(e Entry, rows []row, at int) (all Map) {
	if e.field.Shape != logbook.ShapeWord {
		return nil
	}
	said := map[string]string{}
	for _, r := range rows {
		x := r.at(at).text
		if x != "" && !isNothing(x) && !isDitto(x) && !strings.Contains(x, "?") && said[together(x)] == "" {
			said[together(x)] = x
		}
	}
	if len(said) > mostWords {
		return nil
	}
	for _, w := range slices.Sorted(maps.Keys(said)) {
		if value := wordFor(e.field, said[w]); together(value) != w {
			all = append(all, Entry{Sheet: e.Sheet, Column: e.Column, Key: e.Key, Written: said[w], Value: value,
				field: e.field})
		}
	}
	return all
}

// fits says that a unit is one of a column's kind.
func (c *column) fits(unit string) bool {
	unit, _ = scaled(unit)
	return unit != "" && measure.Find(c.field.Kind, unit) != nil
}

// Said is a line of a map as a person reads it.
func (e Entry) Said() string {
	what := e.Key
	switch {
	case e.Written != "":
		return fmt.Sprintf("    %q is %s", e.Written, logbook.Dash(e.Value))
	case e.Key == "":
		what = "asked"
	case e.Key == NotTaken:
		what = "not taken over"
	}
	if e.Form != "" {
		what += ", " + e.Form
	}
	if e.Carry != "" {
		what += ", " + e.Carry + " as above"
	}
	name := e.Column
	if e.Sheet != "" {
		name = e.Sheet + "!" + name
	}
	return fmt.Sprintf("  %s: %s (%s)", name, what, e.Seen)
}
