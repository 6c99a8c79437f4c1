package logbook

import (
	"maps"
	"reflect"
	"slices"
	"strings"

	"needlebook/logbook/tree"
)

// WithDefaults fills the settings that the book does not state, that could not be read, or of which the lower bound is
// above the upper one, with their defaults. A value that comes from a default has no place.
func (s Settings) WithDefaults() Settings {
	v := reflect.ValueOf(&s).Elem()
	reversed := map[string]bool{}
	for _, pair := range s.Reversed() {
		reversed[pair[0].Key], reversed[pair[1].Key] = true, true
	}
	for _, f := range fieldsOf(v.Type()) {
		fv := v.Field(f.index)
		if stated(fv) && !reversed[f.Key] || f.Default == "" {
			continue
		}
		fv.SetZero()
		dec := decoder{&document{path: "settings"}}
		dec.value(&tree.Node{Value: f.Default}, fv, &f, "settings."+f.Key)
		if len(dec.problems) > 0 {
			panic("logbook: default of setting " + f.Key + ": " + dec.problems[0].String())
		}
		leafOf(fv).Place = Place{}
	}
	return s
}

// bounds are how the keys of two settings end that are the bounds of one thing.
var bounds = [][2]string{{"_low", "_high"}, {"_least", "_most"}}

// Reversed are the pairs of stated settings of which the lower bound is above the upper one.
func (s *Settings) Reversed() (pairs [][2]Said) {
	by := map[string]Said{}
	Says(s, func(x Said) {
		if a, ok := x.Value.(*Amount); ok && a.Stated() && a.Valid() {
			by[x.Key] = x
		}
	})
	for _, key := range slices.Sorted(maps.Keys(by)) {
		for _, ends := range bounds {
			stem, is := strings.CutSuffix(key, ends[0])
			high, stated := by[stem+ends[1]]
			if is && stated && by[key].Value.(*Amount).Float() > high.Value.(*Amount).Float() {
				pairs = append(pairs, [2]Said{by[key], high})
			}
		}
	}
	return pairs
}

// Settings are the book's settings with the defaults filled in. They are not to be changed.
func (b *Book) Settings() *Settings {
	if b.settings == nil { // a book that was not read
		s := b.Vessel.Settings.WithDefaults()
		return &s
	}
	return b.settings
}

// stated says that a setting stands in the book with a value that could be read.
func stated(v reflect.Value) bool {
	switch x := v.Addr().Interface().(type) {
	case *Amount:
		return x.Stated() && x.Quantity.Valid()
	case *Number:
		return x.Stated() && x.Valid
	case *Band:
		return x.Stated() && x.Span.Valid()
	}
	return leafOf(v).Stated()
}
