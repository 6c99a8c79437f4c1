package facts

import (
	"reflect"
	"testing"

	"needlebook/logbook"
)

// TestFieldsFollowTheSchema compares the plan of the pages with the schema of logbook, key by key.
func TestFieldsFollowTheSchema(t *testing.T) {
	var compare func(path string, mine []Field, theirs []logbook.Field)
	compare = func(path string, mine []Field, theirs []logbook.Field) {
		if len(mine) != len(theirs) {
			t.Errorf("%s: %d keys, the schema has %d", path, len(mine), len(theirs))
			return
		}
		for i, f := range mine {
			if f.Key != theirs[i].Key || f.As != theirs[i].As || f.Block != (theirs[i].Shape == logbook.ShapeBlock) || f.List != theirs[i].List {
				t.Errorf("%s%s differs from the schema's %+v", path, f.Key, theirs[i])
			}
			compare(path+f.Key+".", f.Fields, theirs[i].Fields)
		}
	}
	compare("", FieldsOf(reflect.TypeFor[logbook.Overhaul]()), overhaulSchema())
}

func overhaulSchema() []logbook.Field {
	for _, k := range logbook.Kinds() {
		if k.Name == "overhaul" {
			return k.Fields
		}
	}
	return nil
}
