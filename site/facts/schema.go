package facts

import (
	"reflect"
	"strings"
	"sync"

	"needlebook/logbook"
)

// The schema of the records stands in the tags of their types. The pages follow it, so that a field that the schema
// gains is shown without anything being changed here.

// Field is one key of the schema.
type Field struct {
	Key, Name, As string
	Index         int
	Block, List   bool // a group of keys; a list of groups
	Each          bool // a list of single values
	Fields        []Field

	leaf []int // where the leaf stands within the field, or within one block of the list
}

var fieldPlans sync.Map // reflect.Type → []Field

// FieldsOf are the keys of a type of the book, in the order of the schema.
func FieldsOf(t reflect.Type) []Field {
	if known, ok := fieldPlans.Load(t); ok {
		return known.([]Field)
	}
	var fields []Field
	for i := range t.NumField() {
		sf := t.Field(i)
		key, ok := sf.Tag.Lookup("key")
		if !ok {
			continue
		}
		f := Field{Key: key, Name: strings.ReplaceAll(key, "_", " "), As: sf.Tag.Get("as"), Index: i}
		inner := sf.Type
		if inner.Kind() == reflect.Slice {
			f.List, inner = true, inner.Elem()
		}
		if leaf, ok := inner.FieldByName("Leaf"); ok {
			f.leaf = leaf.Index
		}
		if block, ok := inner.FieldByName("Block"); ok && block.Anonymous {
			f.Block, f.Fields = true, FieldsOf(inner)
		} else if _, ok := inner.FieldByName("Each"); ok {
			f.Each = true
		}
		fields = append(fields, f)
	}
	fieldPlans.Store(t, fields)
	return fields
}

// LeafAt is one key of a record that is present: with a value, or with the reason why there is none.
type LeafAt struct {
	Field Field
	Leaf  *logbook.Leaf
	Value reflect.Value
}

// Text is the value as written, a limit in the plain form.
func (l LeafAt) Text() string {
	if l.Leaf.Not != "" {
		return l.Leaf.Written
	}
	if l.Field.Each {
		if items := l.Items(); len(items) > 0 {
			return strings.Join(items, " · ")
		}
		return "none"
	}
	if band, ok := l.Value.Interface().(logbook.Band); ok {
		return band.String()
	}
	return l.Leaf.Written
}

// Items are the single values of a list as written.
func (l LeafAt) Items() []string {
	list := l.Value.FieldByName("Each")
	items := make([]string, list.Len())
	for i := range items {
		items[i] = list.Index(i).FieldByName("Written").String()
	}
	return items
}

// LeafOf is the leaf of a field of a value: a block of keys has one as well.
func (f Field) LeafOf(v reflect.Value) *logbook.Leaf {
	return v.FieldByIndex(f.leaf).Addr().Interface().(*logbook.Leaf)
}

// EachLeaf walks over everything present in an overhaul, blocks not counted, in the order of the schema.
func EachLeaf(o *logbook.Overhaul, do func(LeafAt)) {
	v := reflect.ValueOf(o).Elem()
	walk(v, FieldsOf(v.Type()), do)
}

func walk(v reflect.Value, fields []Field, do func(LeafAt)) {
	for _, f := range fields {
		fv := v.Field(f.Index)
		switch {
		case f.Block && f.List:
			for i := range fv.Len() {
				walk(fv.Index(i), f.Fields, do)
			}
		case f.Block:
			leaf := f.LeafOf(fv)
			if !leaf.Present() {
				continue
			}
			if leaf.Not != "" { // the block as a whole
				do(LeafAt{f, leaf, fv})
			}
			walk(fv, f.Fields, do)
		default:
			if leaf := f.LeafOf(fv); leaf.Present() {
				do(LeafAt{f, leaf, fv})
			}
		}
	}
}
