package logbook

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"needlebook/logbook/measure"
	"needlebook/logbook/tree"
)

// A list belongs in brackets. People write three readings in a row, a count where the things are to be named, or leave
// the brackets out; what they mean is then told, and it is read where it can be nothing else.

var (
	unitApart = regexp.MustCompile(`([0-9])\s+([\pL°%µ"])`)
	conjoined = regexp.MustCompile(`\s*(?:\band\b|&|;)\s*|\s*,\s+|\s+,`)
	slashed   = regexp.MustCompile(`\s*/\s*`)
	countOf   = regexp.MustCompile(`^([0-9]{1,2})(?:\s*(?:-|–|\.\.|to)\s*([0-9]{1,2}))?$`)
)

// inARow are the items of a list that stands without brackets, as they are to be written; nil where the text is none.
func inARow(text string, f *Field) []string {
	row := conjoined.ReplaceAllString(text, ";")
	if f.Shape == ShapeAmounts || f.Shape == ShapeNumbers {
		row = unitApart.ReplaceAllString(row, "$1$2")
	}
	var items []string
	switch {
	case strings.Contains(row, ";"):
		items = strings.Split(row, ";")
	case f.Shape == ShapeSerials, f.Shape == ShapeWords:
		items = strings.Split(row, ",")
	case len(strings.Fields(row)) > 1:
		items = strings.Fields(row)
	case strings.Count(row, ",") > 1 || f.Shape == ShapeNumbers:
		items = strings.Split(row, ",")
	default:
		items = slashed.Split(row, -1)
	}
	for i := range items {
		items[i] = strings.TrimSpace(items[i])
	}
	if len(items) < 2 || slices.Contains(items, "") {
		return nil
	}
	switch f.Shape {
	case ShapeSerials, ShapeWords:
		return items
	case ShapeNumbers:
		return counted(items)
	}
	return readingsOf(items, f.Kind)
}

// counted are bare numbers, nil where one of them is none.
func counted(items []string) []string {
	for i, item := range items {
		n, slips := measure.ParseNumber(item, 0)
		if n == "" || len(slips) > 0 {
			return nil
		}
		items[i] = n
	}
	return items
}

// readingsOf are the readings of one test, of which the last has the unit or each; nil where they are not: those of one
// test are near one another.
func readingsOf(items []string, kind measure.Kind) []string {
	unit := strings.TrimLeft(items[len(items)-1], "0123456789., ")
	var least, most measure.Quantity
	for i, item := range items {
		q, _ := measure.Parse(item, kind)
		if !q.Valid() {
			q, _ = measure.Parse(item+" "+unit, kind)
		}
		if !q.Valid() || q.Float() <= 0 {
			return nil
		}
		if !least.Valid() || q.Compare(least) < 0 {
			least = q
		}
		if !most.Valid() || q.Compare(most) > 0 {
			most = q
		}
		items[i] = q.String()
	}
	const near = 3
	if most.Float() > near*least.Float() {
		return nil
	}
	return items
}

// bracketed is a list as it is written.
func bracketed(items []string) string { return "[" + strings.Join(items, ", ") + "]" }

// rowOf takes the items together that stand without brackets inside braces, where YAML makes keys without a value of
// all but the first: {opening_pressure: 300 bar, 305 bar, 310 bar}. It returns how many entries of the block they take,
// 0 for none, and the list where it is read.
func (dec decoder) rowOf(n *tree.Node, i int, f *Field, full string) (entries int, list *tree.Node) {
	first := n.Below[i]
	if n.Style != tree.Brackets || f.Shape != ShapeAmounts && f.Shape != ShapeNumbers || first.Kind != tree.Value {
		return 0, nil
	}
	row, end, more := first.Value, first.Column+len(first.Value), 0
	for _, next := range n.Below[i+1:] {
		if next.KeyLine != first.Line || !next.KeyAlone() {
			break
		}
		row += "," + strings.Repeat(" ", max(next.KeyColumn-end-1, 0)) + next.Key
		end, more = next.KeyColumn+len(next.Key), more+1
	}
	if more == 0 {
		return 0, nil
	}
	items := inARow(row, f)
	if items == nil {
		return 0, nil
	}
	list = &tree.Node{Kind: tree.List, Line: first.Line, Column: first.Column}
	for _, item := range items {
		one := *first
		one.Value = item
		list.Below = append(list.Below, &one)
	}
	read := certain(row, items)
	dec.at(first, full, SlipShape, row, "brackets around a list", bracketed(items), read)
	if read {
		return more + 1, list
	}
	return more + 1, nil
}

// certain says that a row can be nothing but a list: three of a thing, or commas between them. Two numbers may be the
// ends of a range.
func certain(row string, items []string) bool { return len(items) > 2 || conjoined.MatchString(row) }

// cylindersMeant are the cylinders that a count of them means: 6, or 1-6. It is nil where the text is none; a single
// cylinder is itself.
func cylindersMeant(text string) (all []string) {
	m := countOf.FindStringSubmatch(text)
	if m == nil {
		return nil
	}
	first, last := 1, 0
	last, _ = strconv.Atoi(m[1])
	if m[2] != "" {
		first = last
		last, _ = strconv.Atoi(m[2])
	}
	if last-first < 1 {
		return nil
	}
	for c := first; c <= last; c++ {
		all = append(all, strconv.Itoa(c))
	}
	return all
}

// unlisted reports a single value that stands where a list belongs and is more than one item; it is read where it can
// be nothing else. ok is false where the value may be the only item of its list. inside says that brackets are around
// it.
func (dec decoder) unlisted(n *tree.Node, f *Field, key string, inside bool) (items []*tree.Node, ok bool) {
	var all []string
	read, expected := false, "brackets around a list"
	if f.Counted && !inside {
		all, expected = cylindersMeant(strings.TrimSpace(n.Value)),
			"the cylinders by name, in brackets: a count does not name them"
		read = all != nil
	}
	if all == nil {
		if f.Shape == ShapeAmounts {
			if q, _ := parseAny(n.Value, f.Kind); q.Valid() {
				return nil, false
			}
		}
		if all = inARow(n.Value, f); all == nil {
			return nil, false
		}
		read = certain(n.Value, all)
	}
	typed := bracketed(all)
	if inside {
		expected, typed = "commas between the items of a list", strings.Join(all, ", ")
	}
	dec.at(n, key, SlipShape, n.Value, expected, typed, read)
	if !read {
		return nil, true
	}
	for _, item := range all {
		one := *n
		one.Value = item
		items = append(items, &one)
	}
	return items, true
}
