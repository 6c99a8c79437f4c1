package site

import (
	"reflect"
	"strings"
	"sync"

	"needlebook/logbook"
)

// The schema of the records stands in the tags of their types. The pages follow it, so that a field that the schema gains is
// shown without anything being changed here.

// field is one key of the schema.
type field struct {
	key, name, as string
	index         int
	block, list   bool  // a group of keys; a list of groups
	each          bool  // a list of single values
	leaf          []int // where the leaf stands within the field, or within one block of the list
	fields        []field
}

var fieldPlans sync.Map // reflect.Type → []field

func fieldsOf(t reflect.Type) []field {
	if known, ok := fieldPlans.Load(t); ok {
		return known.([]field)
	}
	var fields []field
	for i := range t.NumField() {
		sf := t.Field(i)
		key, ok := sf.Tag.Lookup("key")
		if !ok {
			continue
		}
		f := field{key: key, name: strings.ReplaceAll(key, "_", " "), as: sf.Tag.Get("as"), index: i}
		inner := sf.Type
		if inner.Kind() == reflect.Slice {
			f.list, inner = true, inner.Elem()
		}
		if leaf, ok := inner.FieldByName("Leaf"); ok {
			f.leaf = leaf.Index
		}
		if block, ok := inner.FieldByName("Block"); ok && block.Anonymous {
			f.block, f.fields = true, fieldsOf(inner)
		} else if _, ok := inner.FieldByName("Each"); ok {
			f.each = true
		}
		fields = append(fields, f)
	}
	fieldPlans.Store(t, fields)
	return fields
}

// leafAt is one key of a record that is present: with a value, or with the reason why there is none.
type leafAt struct {
	field field
	leaf  *logbook.Leaf
	value reflect.Value
}

// text is the value as written.
func (l leafAt) text() string {
	if l.leaf.Not != "" {
		return l.leaf.Written
	}
	if l.field.each {
		if items := l.items(); len(items) > 0 {
			return strings.Join(items, " · ")
		}
		return "none"
	}
	return l.leaf.Written
}

// items are the single values of a list as written.
func (l leafAt) items() []string {
	list := l.value.FieldByName("Each")
	items := make([]string, list.Len())
	for i := range items {
		items[i] = list.Index(i).FieldByName("Written").String()
	}
	return items
}

func (f field) leafOf(v reflect.Value) *logbook.Leaf {
	return v.FieldByIndex(f.leaf).Addr().Interface().(*logbook.Leaf)
}

// eachLeaf walks over everything present in an overhaul, blocks not counted, in the order of the schema.
func eachLeaf(o *logbook.Overhaul, do func(leafAt)) {
	v := reflect.ValueOf(o).Elem()
	walk(v, fieldsOf(v.Type()), do)
}

func walk(v reflect.Value, fields []field, do func(leafAt)) {
	for _, f := range fields {
		fv := v.Field(f.index)
		switch {
		case f.block && f.list:
			for i := range fv.Len() {
				walk(fv.Index(i), f.fields, do)
			}
		case f.block:
			leaf := f.leafOf(fv)
			if !leaf.Present() {
				continue
			}
			if leaf.Not != "" { // the block as a whole
				do(leafAt{f, leaf, fv})
			}
			walk(fv, f.fields, do)
		default:
			if leaf := f.leafOf(fv); leaf.Present() {
				do(leafAt{f, leaf, fv})
			}
		}
	}
}
