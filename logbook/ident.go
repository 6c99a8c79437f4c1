package logbook

import (
	"path"
	"reflect"
	"strings"
)

// idents reports instruments whose id is another than the name of their file. Where the records name the file's and
// none the id, or the id is that of another file, the instrument is filed under what they name: one slip in its file
// does not make it unknown to all of them.
func (b *Book) idents() {
	var named map[string]string // by file name, the ids that the book's records use
	for key, i := range b.Instruments {
		id := i.ID.Written
		stem := strings.TrimSuffix(path.Base(i.Path), ".md")
		if !i.ID.Stated() || FileName(id) == stem {
			continue
		}
		if named == nil {
			named = b.instrumentsNamed()
		}
		p := Problem{Place: i.ID.Place, Slip: SlipIdent, Key: i.ID.Key, Found: id,
			Expected: "the name of its file, or the file renamed to " + FileName(id) + ".md", Read: true}
		use := named[stem]
		_, own := named[FileName(id)]
		if aside := key == i.Path; aside {
			own = false
			delete(b.Instruments, key)
			if use == "" {
				p.Slip, p.Place, p.Expected, p.Read = SlipSameStem, i.Opening, "one file for each identity", false
				p.Related = b.Instruments[id].Opening
			}
		}
		if use != "" && !own && b.Instruments[use] == nil {
			filed := *i
			filed.ID.Written = use
			delete(b.Instruments, key)
			b.Instruments[use] = &filed
			p.Expected, p.Type, p.Meant, p.Len, p.Instead = use+", as its file and the records name it", use, []string{use},
				len(id), use
		}
		b.Problems = append(b.Problems, p)
	}
}

// instrumentsNamed are the ids of instruments that records and comparisons name, by how they stand in file names.
func (b *Book) instrumentsNamed() map[string]string {
	named := map[string]string{}
	var walk func(v reflect.Value)
	walk = func(v reflect.Value) {
		for _, f := range fieldsOf(v.Type()) {
			switch x := v.Field(f.index); {
			case f.List:
				for i := range x.Len() {
					walk(x.Index(i))
				}
			case f.Shape == ShapeBlock:
				walk(x)
			case f.As == "instrument" && f.Shape == ShapeSerial:
				if l := leafOf(x); l.Stated() {
					named[FileName(l.Written)] = l.Written
				}
			}
		}
	}
	for _, o := range b.Overhauls {
		walk(reflect.ValueOf(o).Elem())
	}
	for _, i := range b.Instruments {
		walk(reflect.ValueOf(i).Elem())
	}
	return named
}
