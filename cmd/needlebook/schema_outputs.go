package main

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strings"

	"needlebook/checks/paper"
	"needlebook/site/fleet"
)

// output is a format that other programs read.
type output struct {
	name, doc string
	of        reflect.Type
}

// outputs are all of them, by the names under which schema prints what they are made of.
var outputs = []output{
	{"check.json", "check --format json", reflect.TypeFor[checkJSON]()},
	{"verify.json", "verify --format json", reflect.TypeFor[verifyJSON]()},
	{"show.json", "show --format json", reflect.TypeFor[showJSON]()},
	{"card.json", "card --format json", reflect.TypeFor[cardJSON]()},
	{"paper.json", "round, due and the other papers with --format json", reflect.TypeFor[paper.Document]()},
	{"summary.json", "what every build of pages leaves beside them", reflect.TypeFor[fleet.Summary]()},
}

// schemaText is the format as JSON Schema (draft 2020-12). It takes keys that it does not name: within a number they
// are only added.
func (x output) schemaText() ([]byte, error) {
	s := schemaOf(x.of)
	s["$schema"], s["title"] = "https://json-schema.org/draft/2020-12/schema", "needlebook "+x.doc
	text, err := json.MarshalIndent(s, "", "  ")
	return append(text, '\n'), err
}

type schemaNode map[string]any

// schemaOf is what encoding/json makes of a type. A list, a map or a pointer that is always written may be null.
func schemaOf(t reflect.Type) schemaNode {
	switch t.Kind() {
	case reflect.Pointer:
		return schemaOf(t.Elem())
	case reflect.Slice:
		return schemaNode{"type": "array", "items": schemaOf(t.Elem())}
	case reflect.Array:
		return schemaNode{"type": "array", "items": schemaOf(t.Elem()), "minItems": t.Len(), "maxItems": t.Len()}
	case reflect.Map:
		return schemaNode{"type": "object", "additionalProperties": schemaOf(t.Elem())}
	case reflect.String:
		return schemaNode{"type": "string"}
	case reflect.Bool:
		return schemaNode{"type": "boolean"}
	case reflect.Float64:
		return schemaNode{"type": "number"}
	case reflect.Int, reflect.Int64:
		return schemaNode{"type": "integer"}
	case reflect.Struct:
		return fieldsOf(t)
	}
	panic(fmt.Sprintf("%s has no schema", t))
}

func fieldsOf(t reflect.Type) schemaNode {
	properties, required := schemaNode{}, []string{}
	for f := range t.Fields() {
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name == "" || name == "-" {
			continue
		}
		one := schemaOf(f.Type)
		if !strings.Contains(options, "omitempty") {
			required = append(required, name)
			if k := f.Type.Kind(); k == reflect.Pointer || k == reflect.Slice || k == reflect.Map {
				one["type"] = []string{one["type"].(string), "null"}
			}
		}
		properties[name] = one
	}
	return schemaNode{"type": "object", "properties": properties, "required": required}
}
