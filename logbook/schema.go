package logbook

import (
	"cmp"
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"sync"

	"needlebook/logbook/measure"
)

// Field describes one key of a kind of file: what the reader accepts there, and what the help says of it.
type Field struct {
	Key     string
	Shape   Shape
	Kind    measure.Kind // for amounts and bands; 0 for an amount of any kind
	Unit    string       // the unit that is written by habit; empty where none
	Words   []string     // for words: the closed list
	As      string       // for serials: engine, cylinder, hand, instrument or plain; empty for a serial stamped on a part
	Count   bool         // for numbers: how many of a thing, so a whole number
	Counted bool         // for serials: a count stands for as many, named 1, 2, 3 …
	Cut     bool         // for amounts: a reading may be cut off, "more than 60 s"
	Lone    string       // for bands: what one value alone stands for, loneValue or loneEnd; empty where it is no band
	Short   string       // key of the block for which a plain value may stand alone
	Doc     string
	Default string   // for settings
	Source  string   // for settings: where the default comes from
	List    bool     // a list of blocks
	Same    []string // of a list of blocks: the keys by which two items are the same one
	Fields  []Field  // for blocks
	part    string   // of an inspected place: the part that it belongs to
	said    string   // how a place is named to a person
	index   int
	path    string   // the key with those above it, from the top of its kind of file
	items   []string // the same for each item of a list; a longer list makes more
}

// How says how a value is written, where the documentation alone does not: its words, the plain form of a limit, its
// unit.
func (f Field) How() string {
	switch {
	case len(f.Words) > 0:
		return strings.Join(f.Words, " | ")
	case f.Shape == ShapeBand:
		unit := f.Unit
		if unit == "any" {
			unit = "UNIT"
		}
		return fmt.Sprintf("LOW to HIGH %s, at least LOW %[1]s, at most HIGH %[1]s, or NOMINAL +UP/-DOWN %[1]s", unit)
	case f.Shape == ShapeRelation:
		return "opening - NUMBER " + f.Unit + ", or NUMBER " + f.Unit
	case f.Cut:
		return "in " + f.Unit + ", or " + MoreThan + "NUMBER " + f.Unit
	case f.Unit != "" && f.Unit != "any":
		return "in " + f.Unit
	}
	return ""
}

// item is the key of an item of a list.
func (f *Field) item(key string, i int) string {
	if key == f.path && i < len(f.items) {
		return f.items[i]
	}
	return key + "[" + strconv.Itoa(i) + "]"
}

const (
	loneValue = "value" // itself, with its tolerance in another key
	loneEnd   = "end"   // the end of a scale, which of a pressure gauge begins at nought
)

// Shape is what stands at a key.
type Shape uint8

// The shapes of values.
const (
	ShapeBlock Shape = iota + 1
	ShapeText
	ShapeSerial
	ShapeWord
	ShapeDate
	ShapeAmount
	ShapeAmounts
	ShapeNumber
	ShapeNumbers
	ShapeTexts
	ShapeSerials
	ShapeWords
	ShapeBand
	ShapeRelation
)

var shapes = map[reflect.Type]Shape{
	reflect.TypeFor[Text](): ShapeText, reflect.TypeFor[Serial](): ShapeSerial, reflect.TypeFor[Word](): ShapeWord,
	reflect.TypeFor[Words](): ShapeWords,
	reflect.TypeFor[Date]():  ShapeDate, reflect.TypeFor[Amount](): ShapeAmount, reflect.TypeFor[Amounts](): ShapeAmounts,
	reflect.TypeFor[Number](): ShapeNumber, reflect.TypeFor[Numbers](): ShapeNumbers, reflect.TypeFor[Texts](): ShapeTexts,
	reflect.TypeFor[Serials](): ShapeSerials, reflect.TypeFor[Band](): ShapeBand,
	reflect.TypeFor[Relation](): ShapeRelation,
}

var schemas sync.Map // reflect.Type → []Field

// fieldsOf is the schema of a struct type, read once from its tags.
func fieldsOf(t reflect.Type) []Field {
	if known, ok := schemas.Load(t); ok {
		return known.([]Field)
	}
	fields := fieldsBelow(t, "")
	schemas.Store(t, fields)
	return fields
}

func schemaOf[T any]() []Field { return fieldsOf(reflect.TypeFor[T]()) }

// fieldsBelow is the schema of a struct that stands below a key: every field knows its whole key, so that reading a
// record makes none.
func fieldsBelow(t reflect.Type, prefix string) []Field {
	var fields []Field
	for i := range t.NumField() {
		sf := t.Field(i)
		key, ok := sf.Tag.Lookup("key")
		if !ok {
			continue
		}
		f := Field{Key: key, Count: sf.Tag.Get("count") != "", Cut: sf.Tag.Get("cut") != "",
			Lone: sf.Tag.Get("lone"), Counted: sf.Tag.Get("counted") != "",
			Unit: sf.Tag.Get("unit"), As: sf.Tag.Get("as"), Short: sf.Tag.Get("short"), Doc: sf.Tag.Get("doc"),
			Default: sf.Tag.Get("default"), Source: sf.Tag.Get("source"), part: sf.Tag.Get("part"),
			said: cmp.Or(sf.Tag.Get("said"), strings.ReplaceAll(key, "_", " ")), index: i, path: prefix + key}
		for n := range 4 {
			f.items = append(f.items, f.path+"["+strconv.Itoa(n)+"]")
		}
		if w := sf.Tag.Get("words"); w != "" {
			f.Words = strings.Split(w, "|")
		}
		if f.Unit == "any" {
			f.Unit = ""
		} else if f.Unit != "" {
			f.Kind = kindOfTag(f.Unit)
		}
		elem := sf.Type
		if f.Shape = shapes[elem]; f.Shape == 0 {
			f.Shape = ShapeBlock
			if elem.Kind() == reflect.Slice {
				f.List, elem = true, elem.Elem()
				if same := sf.Tag.Get("same"); same != "" {
					f.Same = strings.Split(same, ",")
				}
			}
			f.Fields = fieldsBelow(elem, f.path+".")
		}
		fields = append(fields, f)
	}
	return fields
}

// kindOfTag is the kind behind a unit in a schema tag: "h" is running hours and "K" a difference there, "min" a time.
func kindOfTag(unit string) measure.Kind {
	k, ok := measure.KindOf(unit)
	if !ok {
		panic("logbook: unit " + unit + " in a schema tag is not known")
	}
	return k
}

// FileKind is one kind of file in a book, with its schema.
type FileKind struct {
	Name   string // "overhaul"
	Where  string // "overhauls/<engine>/<cylinder>/<date>-<holder>.md"
	Table  bool   // a CSV file, whose fields are its columns
	Doc    string
	Fields []Field
}

// Kinds lists every kind of file of a book that carries fields, in the order of the book's description.
func Kinds() []FileKind {
	return []FileKind{
		{"book", "book.md", false, "the vessel, her engines, the opening state and the settings", schemaOf[Vessel]()},
		{"limits", "limits/<valve-type>.md", false, "limits and settings of one type of valve, by revision",
			schemaOf[Limits]()},
		{"overhaul", "overhauls/<engine>/<cylinder>/<date>-<holder>.md", false, "one valve's visit to the workshop",
			schemaOf[Overhaul]()},
		{"part", "parts/<serial>.md", false, "one nozzle or holder", schemaOf[Part]()},
		{"instrument", "instruments/<id>.md", false, "one gauge, micrometer, wrench or bench", schemaOf[Instrument]()},
		{"hours", "hours/<engine>.csv", true, "readings of the hour counter", schemaOf[Reading]()},
		{"running", "running/<engine>.csv", true, "running data of the cylinders", schemaOf[Run]()},
		{"bunkers", "fuel/bunkers.csv", true, "fuel burned", schemaOf[Bunker]()},
		{"stock", "stores/stock.csv", true, "parts and consumables", schemaOf[StockMove]()},
		{"crew", CrewFile, true, "who is aboard", schemaOf[CrewPeriod]()},
		{"heads", HeadsFile, true, "cylinder heads that the ship exchanged", schemaOf[HeadExchange]()},
		{"answers", "answers.csv", true, "what was found and cannot be made good, answered", schemaOf[Answer]()},
		{"deferral", "deferrals/<id>.md", false, "a limit knowingly exceeded", schemaOf[Deferral]()},
		{"decision", "decisions/<id>.md", false, "an interval, a trial, a practice", schemaOf[Decision]()},
		{"handover", "handovers/<date>-<rank>.md", false, "a handover", schemaOf[Handover]()},
		{"countersignature", "countersigned/<record>.<name>.md", false, "a chief has seen a text", schemaOf[Seen]()},
		{"review", "reviews/<record>.<name>.md", false, "a superintendent has seen a text", schemaOf[Seen]()},
	}
}

// KindNamed is the kind of a name.
func KindNamed(name string) FileKind {
	for _, k := range Kinds() {
		if k.Name == name {
			return k
		}
	}
	panic("logbook: no kind of file " + name)
}

// Walk goes through the fields of a kind, those of a block behind the block, each with the keys above it.
func (k FileKind) Walk(do func(path string, f Field)) { walkFields(k.Fields, do) }

func walkFields(fields []Field, do func(path string, f Field)) {
	for _, f := range fields {
		do(f.path, f)
		walkFields(f.Fields, do)
	}
}

// KindOf is the kind of the file at a path of the book; ok is false where no kind has files there.
func KindOf(name string) (kind FileKind, ok bool) {
	top, _, nested := strings.Cut(name, "/")
	for _, k := range Kinds() {
		where, _, in := strings.Cut(k.Where, "/")
		if where == top && in == nested && (!strings.HasSuffix(k.Where, ".csv") || strings.HasSuffix(name, ".csv")) {
			return k, true
		}
	}
	return FileKind{}, false
}

// Field is the field of a key with those above it, such as "as_found.opening_pressure[0]"; ok is false where the kind
// has none.
func (k FileKind) Field(key string) (f Field, ok bool) {
	fields := k.Fields
	for part := range strings.SplitSeq(key, ".") {
		part, _, _ = strings.Cut(part, "[")
		at := fieldNamed(fields, part)
		if at == nil {
			return Field{}, false
		}
		f, fields = *at, at.Fields
	}
	return f, true
}
