package logbook

import "reflect"

// Said is one key of a thing of a book, such as a record, a row or a part: what is written there, and the block that it
// belongs to.
type Said struct {
	Key   string // of its kind of file, with those above it: "as_found.leak_down.time"
	Leaf  *Leaf
	Block *Leaf // of the block above; nil at the top
	Value any   // *Amount, *Amounts, *Number, *Date, *Word, *Serial, *Band … as it is read; nil for a block
}

// Says goes through every key that a thing may have by its schema, written or not, blocks before what is in them; thing
// is a pointer to a type with schema tags. Lists of blocks are left out: each of their items is a thing of its own.
func Says(thing any, do func(Said)) {
	v := reflect.ValueOf(thing).Elem()
	sayFields(v, fieldsOf(v.Type()), nil, do)
}

func sayFields(v reflect.Value, fields []Field, block *Leaf, do func(Said)) {
	for i := range fields {
		f := &fields[i]
		if f.List {
			continue
		}
		x := v.Field(f.index)
		s := Said{Key: f.path, Leaf: leafOf(x), Block: block}
		if f.Shape != ShapeBlock {
			s.Value = x.Addr().Interface()
			do(s)
			continue
		}
		do(s)
		sayFields(x, f.Fields, s.Leaf, do)
	}
}
