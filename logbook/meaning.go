package logbook

import (
	"reflect"
	"strconv"
	"strings"
)

// Meaning is what the reader makes of one value of a file: what two texts must agree in to mean the same.
type Meaning struct {
	Key  string // with those above it, of a table the column
	Says string // a quantity with its unit, a day, a word; the text as written where nothing could be read
	At   Place
}

// unread stands before what could not be read.
const unread = "unread: "

// Read says that the reader made something of the value.
func (m Meaning) Read() bool { return !strings.HasPrefix(m.Says, unread) }

// Meanings reads one file of a book by its path and gives what each value says, in the order of the schema, with the
// remarks last; what is amiss in the writing comes with it, as [Problems] has it.
func Meanings(name string, src []byte) ([]Meaning, []Problem) {
	var all []Meaning
	if top, _, _ := strings.Cut(name, "/"); top == "overhauls" {
		o, problems := ReadOverhaul(name, src)
		SortProblems(problems)
		alone := newBook()
		alone.Overhauls, alone.byStem[o.Stem] = []*Overhaul{o}, o
		alone.ResolveParted(problems)
		means(&all, reflect.ValueOf(o).Elem())
		return append(all, Meaning{"remarks", o.Remarks, Place{name, o.BodyLine, 1}}), problems
	}
	b := newBook()
	b.place(name, src)
	b.ResolveParted(b.Problems)
	SortProblems(b.Problems)
	v := reflect.ValueOf(b).Elem()
	for i := range v.NumField() {
		if f := v.Type().Field(i); f.IsExported() && f.Name != "Files" && f.Name != "Problems" {
			means(&all, v.Field(i))
		}
	}
	return all, b.Problems
}

func means(all *[]Meaning, v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			means(all, v.Elem())
		}
		return
	case reflect.Map:
		for _, k := range v.MapKeys() { // of one file there is one
			means(all, v.MapIndex(k))
		}
		return
	case reflect.Slice:
		for i := range v.Len() {
			means(all, v.Index(i))
		}
		return
	case reflect.Struct:
	default:
		return
	}
	if !v.CanAddr() {
		w := reflect.New(v.Type()).Elem()
		w.Set(v)
		v = w
	}
	if l := leafOf(v); l != nil && l.Not != "" {
		*all = append(*all, Meaning{l.Key, l.Not + " (" + l.Why + ")", l.Place})
		return
	}
	if s, leaf := says(v); leaf {
		if l := leafOf(v); l.present || l.Written != "" {
			*all = append(*all, Meaning{l.Key, s, l.Place})
		}
		return
	}
	for _, f := range fieldsOf(v.Type()) {
		means(all, v.Field(f.index))
	}
	if each := v.FieldByName("Each"); each.IsValid() {
		means(all, each)
	}
	for i := range v.NumField() { // what a book's file holds beside its keys
		switch f := v.Type().Field(i); f.Name {
		case "Remarks":
			*all = append(*all, Meaning{Key: "remarks", Says: v.Field(i).String()})
		}
	}
}

// says is what a single value says; leaf is false for what is none.
func says(v reflect.Value) (s string, leaf bool) {
	read := false
	text := leafOf(v)
	switch x := v.Addr().Interface().(type) {
	case *Text, *Serial, *Word:
		return text.Written, true
	case *Date:
		s, read = x.Day.String()+" "+x.Time, x.Day != 0
	case *Amount:
		s, read = x.Quantity.String(), x.Quantity.Valid()
		if x.More {
			s = MoreThan + s
		}
	case *Number:
		s, read = strconv.FormatFloat(x.Value, 'g', -1, 64), x.Valid
	case *Band:
		s, read = x.Low.String()+" to "+x.High.String()+", "+x.Nominal.String(), x.Span.Valid()
	case *Relation:
		s, read = x.Relative.String(), x.Relative.Valid()
	default:
		return "", false
	}
	if !read {
		s = unread + text.Written
	}
	return strings.TrimSpace(s), true
}

// DayMeant is what a text says as a date, as [Meaning] has it.
func DayMeant(text string) string {
	var d Date
	fillDate(text, &d, func(Problem) {})
	d.Written = text
	s, _ := says(reflect.ValueOf(&d).Elem())
	return s
}
