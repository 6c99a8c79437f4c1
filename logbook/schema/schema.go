// Package schema writes the schema of a book's files as JSON Schema (draft 2020-12), so that editors that know the
// standard complete and check a record while it is typed. The schema itself is the one of package logbook; nothing is
// added here. What a value means, and whether it is good, is left to the reader and the checks.
//
// Begin with Files.
package schema

import (
	"bytes"
	"encoding/json"
	"path"
	"regexp"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// Folder is where a book keeps its schemas; the reader passes over it.
const Folder = "schema"

// File is one schema: its path in the book and its text.
type File struct {
	Path string // "schema/overhaul.json"
	Text []byte // ends in one line feed
}

// Files are the schemas of every kind of file, in the order of logbook.Kinds. The same program writes the same bytes.
func Files() []File {
	var files []File
	for _, k := range logbook.Kinds() {
		files = append(files, File{path.Join(Folder, k.Name+".json"), Of(k)})
	}
	return files
}

// Of is the schema of one kind of file. Of a Markdown file it describes the front matter, of a table one row, its cells
// under the names of the columns. Keys stand in the order of the work.
func Of(k logbook.FileKind) []byte {
	doc := object{
		{"$schema", "https://json-schema.org/draft/2020-12/schema"},
		{"title", k.Name},
		{"description", k.Doc + ": " + k.Where},
	}
	w := writer{table: k.Table}
	doc = append(doc, w.group(k.Fields)...)
	compact, err := json.Marshal(doc)
	if err != nil {
		panic("schema: " + err.Error())
	}
	var out bytes.Buffer
	if err := json.Indent(&out, compact, "", "  "); err != nil {
		panic("schema: " + err.Error())
	}
	return append(out.Bytes(), '\n')
}

// object keeps its members in order, which is the order in which editors offer keys.
type object []member

type member struct {
	name  string
	value any
}

// MarshalJSON writes the members in their order.
func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, m := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		var text bytes.Buffer
		enc := json.NewEncoder(&text)
		enc.SetEscapeHTML(false)
		if err := enc.Encode(m.name); err != nil {
			return nil, err
		}
		text.WriteByte(':')
		if err := enc.Encode(m.value); err != nil {
			return nil, err
		}
		b.Write(text.Bytes())
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

type writer struct{ table bool }

// group is an object with these keys and no others.
func (w writer) group(fields []logbook.Field) object {
	var keys object
	for _, f := range fields {
		keys = append(keys, member{f.Key, w.field(f)})
	}
	return object{{"type", "object"}, {"additionalProperties", false}, {"properties", keys}}
}

// field is what may stand at one key: its value, nothing yet, or the reason why there is none.
func (w writer) field(f logbook.Field) object {
	doc := f.Doc
	if f.Shape == logbook.ShapeBand || f.Shape == logbook.ShapeRelation {
		doc += ": " + f.How()
	}
	if f.Default != "" {
		doc += "; " + f.Default + " where the book states none (" + f.Source + ")"
	}
	if w.table {
		return object{{"description", doc}, {"anyOf", append(w.cell(f), object{{"const", ""}})}}
	}
	return object{{"description", doc}, {"anyOf", append(w.value(f), nothing, absence)}}
}

var (
	nothing = object{{"type", "null"}}
	absence = object{{"type", "string"}, {"pattern", `^[Nn]ot +(` + logbook.Absences + `) *(\(.*\)?)? *$`}}
	text    = object{{"type", []string{"string", "number", "boolean"}}}
	day     = object{{"type", "string"},
		{"pattern", `^\d{4}-\d{2}-\d{2}([T ]\d{2}:\d{2}(:\d{2})?(Z|[+-]\d{2}:?\d{2})?)?$`}}
)

const number = `[+-]?(0|[1-9]\d*)(\.\d+)?`

// bare is a number without a unit; how many of a thing there were is a whole one.
func bare(f logbook.Field) object {
	if f.Count {
		return object{{"type", "integer"}, {"minimum", 0}}
	}
	return object{{"type", "number"}}
}

// value lists the forms of a value in front matter.
func (w writer) value(f logbook.Field) []object {
	switch f.Shape {
	case logbook.ShapeBlock:
		group := w.group(f.Fields)
		if f.List {
			return []object{{{"type", "array"}, {"items", object{{"anyOf", []object{group, nothing, absence}}}}}, group}
		}
		forms := []object{group}
		for _, inner := range f.Fields {
			if inner.Key == f.Short {
				forms = append(forms, w.value(inner)...)
			}
		}
		return forms
	case logbook.ShapeSerial:
		return []object{serial(f)}
	case logbook.ShapeWord:
		return []object{words(f)}
	case logbook.ShapeDate:
		return []object{day}
	case logbook.ShapeAmount:
		more := ""
		if f.Cut {
			more = "(" + logbook.MoreThan + ")?"
		}
		return []object{written(more + number + ` *(` + units(f.Kind) + `)`)}
	case logbook.ShapeBand:
		return []object{written(`.*\d.*(` + units(f.Kind) + `)( *\.\.)?`)}
	case logbook.ShapeRelation:
		return []object{written(`(opening *([+-] *` + number + ` *(` + units(f.Kind) + `))?|` + number + ` *(` +
			units(f.Kind) + `))`)}
	case logbook.ShapeNumber:
		return []object{bare(f)}
	case logbook.ShapeAmounts:
		return oneOrMany(written(number + ` *(` + units(f.Kind) + `)`))
	case logbook.ShapeNumbers:
		return oneOrMany(bare(f))
	case logbook.ShapeTexts:
		return oneOrMany(text)
	case logbook.ShapeSerials:
		return oneOrMany(serial(f))
	case logbook.ShapeWords:
		return oneOrMany(words(f))
	}
	return []object{text}
}

// cell lists the forms of a cell of a table: text always.
func (w writer) cell(f logbook.Field) []object {
	switch f.Shape {
	case logbook.ShapeNumber:
		return []object{written(number)}
	case logbook.ShapeDate:
		return []object{day}
	}
	return []object{{{"type", "string"}}}
}

func oneOrMany(one object) []object {
	return []object{{{"type", "array"}, {"items", object{{"anyOf", []object{one, nothing, absence}}}}}, one}
}

func written(pattern string) object {
	return object{{"type", "string"}, {"pattern", "^" + pattern + "$"}}
}

// serial is text; the number of a cylinder may stand without quotes.
func serial(f logbook.Field) object {
	if f.As == "" {
		return object{{"type", "string"}}
	}
	return object{{"type", []string{"string", "integer"}}}
}

// words is the closed list; readers of YAML 1.1 take yes and no for truth values.
func words(f logbook.Field) object {
	var list []any
	for _, word := range f.Words {
		list = append(list, word)
	}
	if len(f.Words) == 2 && f.Words[0] == "yes" {
		list = append(list, true, false)
	}
	return object{{"enum", list}}
}

// units are the unit's names as the book writes them; any unit where the field takes any.
func units(k measure.Kind) string {
	if k == 0 {
		return `[^\d\s].*`
	}
	var names []string
	for _, u := range measure.UnitsOf(k) {
		names = append(names, regexp.QuoteMeta(u))
	}
	return strings.Join(names, "|")
}
