package site

import (
	"reflect"

	"needlebook/logbook"
)

// asWritten writes what the record says, block by block in the order of the hands: every key that is present, with its value or
// with the reason why there is none.
func (s *sheet) asWritten(o *logbook.Overhaul) {
	s.m("<section><h2>The record</h2>")
	s.blocks(o)
	s.m("</section>")
}

// blocks writes the keys of a file, a pointer to one of the book's types, block by block.
func (s *sheet) blocks(file any) {
	v := reflect.ValueOf(file).Elem()
	s.m(`<div class="blocks">`)
	var loose []leafAt
	for _, f := range fieldsOf(v.Type()) {
		fv := v.Field(f.index)
		switch {
		case f.key == "corrections": // they have a section of their own
		case f.block && f.list:
			for i := range fv.Len() {
				s.block(f, fv.Index(i))
			}
		case f.block:
			if f.leafOf(fv).Present() {
				s.block(f, fv)
			}
		default:
			if leaf := f.leafOf(fv); leaf.Present() {
				loose = append(loose, leafAt{f, leaf, fv})
			}
		}
	}
	if len(loose) > 0 {
		s.m("<div><h3>at large</h3><dl>")
		for _, l := range loose {
			s.entry(l)
		}
		s.m("</dl></div>")
	}
	s.m("</div>")
}

// block writes one block of the record under its name.
func (s *sheet) block(f field, v reflect.Value) {
	leaf := f.leafOf(v)
	s.m("<div><h3>").t(f.name).m("</h3>")
	if leaf.Not != "" {
		s.m("<p>").a(here(leaf.Place), leaf.Written).m("</p></div>")
		return
	}
	s.m("<dl>")
	s.entries(f.fields, v)
	s.m("</dl></div>")
}

func (s *sheet) entries(fields []field, v reflect.Value) {
	for _, f := range fields {
		fv := v.Field(f.index)
		switch {
		case f.block && f.list:
			for i := range fv.Len() {
				s.m("<dt>").t(f.name).m("</dt><dd>")
				s.inline(f, fv.Index(i))
				s.m("</dd>")
			}
		case f.block:
			if f.leafOf(fv).Present() {
				s.m("<dt>").t(f.name).m("</dt><dd>")
				s.inline(f, fv)
				s.m("</dd>")
			}
		default:
			if leaf := f.leafOf(fv); leaf.Present() {
				s.entry(leafAt{f, leaf, fv})
			}
		}
	}
}

func (s *sheet) entry(l leafAt) {
	s.m("<dt>").t(l.field.name).m("</dt><dd>").value(l).m("</dd>")
}

// inline writes a group within a block on one line: "from 275 bar · to 215 bar · time 11.2 s".
func (s *sheet) inline(f field, v reflect.Value) {
	if leaf := f.leafOf(v); leaf.Not != "" {
		s.t(leaf.Written)
		return
	}
	first := true
	for _, g := range f.fields {
		gv := v.Field(g.index)
		if g.list { // no block of the schema goes deeper than this
			continue
		}
		leaf := g.leafOf(gv)
		if !leaf.Present() {
			continue
		}
		if !first {
			s.m(` · `)
		}
		first = false
		if g.name != "value" {
			s.m("<i>").t(g.name).m("</i> ")
		}
		if g.block {
			s.inline(g, gv)
			continue
		}
		s.value(leafAt{g, leaf, gv})
	}
}

// value appends a value as written, as a link where it names something that has a page.
func (s *sheet) value(l leafAt) *sheet {
	text := l.text()
	switch l.field.as {
	case "instrument":
		return s.a(s.pages.instrument[text], text)
	case "hand":
		return s.t(text)
	}
	if l.leaf.Not == "" {
		switch l.field.key {
		case "holder":
			return s.a(s.pages.holder[text], text)
		case "nozzle", "found", "left":
			return s.a(s.pages.nozzle[text], text)
		case "deferral", "trial":
			return s.a(s.fileNamed(l.field.key, text), text)
		}
	}
	return s.t(text)
}

// fileNamed is the page of a deferral or a decision, by its id.
func (s *site) fileNamed(key, id string) ref {
	if key == "deferral" {
		for _, d := range s.Book.Deferrals {
			if d.ID.Written == id {
				return s.pages.file[d.Path]
			}
		}
	}
	for _, d := range s.Book.Decisions {
		if d.ID.Written == id {
			return s.pages.file[d.Path]
		}
	}
	return ""
}
