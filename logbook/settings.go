package logbook

import (
	"reflect"

	"go.yaml.in/yaml/v4"
)

// WithDefaults fills the settings that the book does not state with their defaults. A value that comes from a default has no
// place.
func (s Settings) WithDefaults() Settings {
	v := reflect.ValueOf(&s).Elem()
	for _, f := range fieldsOf(v.Type()) {
		fv := v.Field(f.index)
		if leafOf(fv).Stated() || f.Default == "" {
			continue
		}
		dec := decoder{&document{path: "settings"}}
		dec.value(&yaml.Node{Kind: yaml.ScalarNode, Value: f.Default}, fv, &f, "settings."+f.Key)
		if len(dec.problems) > 0 {
			panic("logbook: default of setting " + f.Key + ": " + dec.problems[0].String())
		}
		leafOf(fv).Place = Place{}
	}
	return s
}
