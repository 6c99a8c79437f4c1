package logbook

import (
	"reflect"

	"needlebook/logbook/tree"
)

// WithDefaults fills the settings that the book does not state, or that could not be read, with their defaults. A value
// that comes from a default has no place.
func (s Settings) WithDefaults() Settings {
	v := reflect.ValueOf(&s).Elem()
	for _, f := range fieldsOf(v.Type()) {
		fv := v.Field(f.index)
		if stated(fv) || f.Default == "" {
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
