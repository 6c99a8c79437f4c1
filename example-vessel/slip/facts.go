package slip

import (
	"path"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"needlebook/logbook"
)

// Value is one value of a book as it was read.
type Value struct {
	Place   logbook.Place
	Key     string // with those above it, the numbers of lists left out: "as_found.opening_pressure[]"
	Written string
	Means   string  // what was read, in base units; two values that mean the same are the same
	Number  float64 // in the base unit of its kind
	Shape   Shape
}

// Shape is what kind of value it is.
type Shape uint8

// The shapes that slips and model tell apart.
const (
	Prose Shape = iota
	Amount
	Count
	Date
	Word
	Name // a serial or an id
	Band
)

// Facts are all values of a book as it was read, in the order of its files.
type Facts struct {
	Values []Value
	Rows   []string // each row of a table and each file, in one text with what all of its values mean
}

// Gather takes every value out of a book.
func Gather(b *logbook.Book) *Facts {
	f := &Facts{}
	f.walk(reflect.ValueOf(b.Vessel))
	for _, name := range sorted(b.Limits) {
		f.file(b.Limits[name].Path, reflect.ValueOf(*b.Limits[name]))
	}
	for _, id := range sorted(b.Instruments) {
		f.file(b.Instruments[id].Path, reflect.ValueOf(*b.Instruments[id]))
	}
	for _, engine := range sorted(b.Hours) {
		for _, r := range b.Hours[engine] {
			f.file(r.Place.Path, reflect.ValueOf(r))
		}
	}
	each(f, b.Overhauls, func(o *logbook.Overhaul) string { return o.Path })
	each(f, b.Parts, func(p *logbook.Part) string { return p.Path })
	each(f, b.Deferrals, func(d *logbook.Deferral) string { return d.Path })
	each(f, b.Decisions, func(d *logbook.Decision) string { return d.Path })
	each(f, b.Handovers, func(h *logbook.Handover) string { return h.Path })
	rows(f, b.Running)
	rows(f, b.Bunkers)
	rows(f, b.Stock)
	rows(f, b.Crew)
	return f
}

func each[T any](f *Facts, all []*T, where func(*T) string) {
	for _, x := range all {
		f.file(where(x), reflect.ValueOf(*x))
	}
}

func rows[T any](f *Facts, all []T) {
	for _, x := range all {
		v := reflect.ValueOf(x)
		f.file(v.FieldByName("Place").Interface().(logbook.Place).Path, v)
	}
}

// file takes the values of one file or row.
func (f *Facts) file(where string, v reflect.Value) {
	first := len(f.Values)
	f.walk(v)
	text := []string{where}
	for _, x := range f.Values[first:] {
		text = append(text, x.Key+"="+x.Means)
	}
	f.Rows = append(f.Rows, strings.Join(text, "\x00"))
}

var leafType = reflect.TypeFor[logbook.Leaf]()

// walk goes down to the values.
func (f *Facts) walk(v reflect.Value) {
	switch v.Kind() {
	case reflect.Slice:
		for i := range v.Len() {
			f.walk(v.Index(i))
		}
	case reflect.Struct:
		if leaf := v.FieldByName("Leaf"); leaf.IsValid() && leaf.Type() == leafType {
			if f.leaf(v, leaf.Interface().(logbook.Leaf)) {
				return
			}
		}
		t := v.Type()
		for i := range t.NumField() {
			if t.Field(i).IsExported() && !t.Field(i).Anonymous {
				f.walk(v.Field(i))
			}
		}
	}
}

// leaf takes one value; false where it is a block or a list of values.
func (f *Facts) leaf(v reflect.Value, l logbook.Leaf) bool {
	x := Value{Place: l.Place, Key: plainKey(l.Key), Written: l.Written, Means: l.Written}
	number := func(n float64, ok bool) {
		x.Number, x.Means = n, "unread "+l.Written
		if ok {
			x.Means = strconv.FormatFloat(n, 'g', 9, 64)
		}
	}
	switch q := v.Interface().(type) {
	case logbook.Amount:
		x.Shape = Amount
		if q.Valid() {
			number(q.Float(), true)
		} else {
			number(0, false)
		}
	case logbook.Number:
		x.Shape = Count
		number(q.Value, q.Valid)
	case logbook.Date:
		x.Shape = Date
		x.Number, x.Means = float64(q.Day), q.Day.String()
	case logbook.Word:
		x.Shape = Word
	case logbook.Serial:
		x.Shape = Name
	case logbook.Text:
	case logbook.Band:
		x.Shape, x.Means = Band, "unread "+l.Written
		if q.Span.Valid() {
			x.Means = end(q.Span.Low.Valid(), q.Span.Low.Float) + ".." + end(q.Span.High.Valid(), q.Span.High.Float)
		}
	case logbook.Relation:
		x.Shape, x.Means = Band, "unread "+l.Written
		if q.Relative.Valid() {
			x.Means = q.Base + end(true, q.Offset.Float)
		}
	default:
		return false
	}
	if l.Not != "" {
		x.Means = l.Not
	}
	if l.Written != "" || l.Not != "" {
		f.Values = append(f.Values, x)
	}
	return true
}

func end(valid bool, value func() float64) string {
	if !valid {
		return ""
	}
	return strconv.FormatFloat(value(), 'g', 9, 64)
}

// plainKey is a key without the numbers of list items.
func plainKey(key string) string {
	var out strings.Builder
	inside := false
	for _, r := range key {
		if r == '[' {
			inside = true
			out.WriteString("[]")
		}
		if !inside {
			out.WriteRune(r)
		}
		if r == ']' {
			inside = false
		}
	}
	return out.String()
}

// kindOf is the kind of a file by its path: the folder, or the name of one at the top.
func kindOf(name string) string {
	if top, _, below := strings.Cut(name, "/"); below {
		return top
	}
	return path.Base(name)
}

func sorted[V any](m map[string]V) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// Same says that two books mean the same: each value of the one is in the same file of the other.
func (f *Facts) Same(g *Facts) bool {
	a, b := slices.Clone(f.lines()), slices.Clone(g.lines())
	slices.Sort(a)
	slices.Sort(b)
	return slices.Equal(a, b)
}

func (f *Facts) lines() []string {
	all := slices.Clone(f.Rows)
	for _, v := range f.Values {
		if v.Place.Path == "book.md" {
			all = append(all, v.Key+"="+v.Means)
		}
	}
	return all
}
