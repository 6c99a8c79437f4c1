package logbook

import (
	"reflect"
	"strings"
)

// PlaceOf is where a value stands in the record, by its key as [Values] gives it: "as_left.leak_down.time". Where the
// value is gone it is the place of the nearest key above it, at last the record's first line.
func (o *Overhaul) PlaceOf(key string) Place {
	for key != "" {
		if p, ok := placeOf(reflect.ValueOf(o).Elem(), key); ok {
			return p
		}
		key = key[:max(strings.LastIndexAny(key, ".["), 0)]
	}
	return o.Opening
}

func placeOf(v reflect.Value, key string) (Place, bool) {
	switch v.Kind() {
	case reflect.Slice:
		for i := range v.Len() {
			if p, ok := placeOf(v.Index(i), key); ok {
				return p, true
			}
		}
	case reflect.Struct:
		if l := leafOf(v); l != nil && l.Key == key && l.Present() {
			return l.Place, true
		}
		for i := range v.NumField() {
			f := v.Type().Field(i)
			if _, schema := f.Tag.Lookup("key"); schema || f.Name == "Each" {
				if p, ok := placeOf(v.Field(i), key); ok {
					return p, true
				}
			}
		}
	}
	return Place{}, false
}

// PlaceNaming is where a record names a file of the book; its first line where only its remarks do.
func (o *Overhaul) PlaceNaming(name string) Place {
	for _, photo := range o.Photos.Each {
		if photo.Written == name {
			return photo.Place
		}
	}
	for i := range o.Papers {
		if o.Papers[i].Photo.Written == name {
			return o.Papers[i].Photo.Place
		}
	}
	for i := range o.Logs {
		if o.Logs[i].Log.Written == name {
			return o.Logs[i].Log.Place
		}
	}
	return o.Opening
}

// Amounts lists every quantity that stands in a record, readable or not, in the order of its keys; readings one by one.
// A block that was not done stands for its quantities, with its reason.
func (o *Overhaul) Amounts() []Amount {
	var all []Amount
	var walk func(v reflect.Value)
	walk = func(v reflect.Value) {
		switch x := v.Interface().(type) {
		case Amount:
			if x.Present() {
				all = append(all, x)
			}
			return
		case Amounts:
			all = append(all, x.Each...)
			return
		}
		switch v.Kind() {
		case reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i))
			}
		case reflect.Struct:
			if l := leafOf(v); l != nil && l.Not != "" {
				all = append(all, Amount{Leaf: *l})
				return
			}
			for _, f := range fieldsOf(v.Type()) {
				walk(v.Field(f.index))
			}
		}
	}
	walk(reflect.ValueOf(o).Elem())
	return all
}
