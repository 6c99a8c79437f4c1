package main

import (
	"os"
	"regexp"
	"strings"
	"unicode/utf16"

	"needlebook/logbook"
	"needlebook/logbook/edit"
	"needlebook/logbook/form"
)

// keyAt is the key of the value on a line, the one under the cursor where there are several.
func keyAt(text string, at lspPosition) string {
	found, column := "", -1
	for _, v := range logbook.Values([]byte(text)) {
		if v.Line-1 != at.Line || v.Path == "remarks" {
			continue
		}
		runes := []rune(lineOf(text, at.Line))
		start := len(utf16.Encode(runes[:min(max(v.Column-1, 0), len(runes))]))
		if found == "" || start <= at.Character && start > column {
			found, column = v.Path, start
		}
	}
	if i := strings.Index(found, "["); i >= 0 && strings.HasSuffix(found, "]") {
		found = found[:i]
	}
	return found
}

// kindAt is the schema of a file of the book.
func kindAt(name string) []logbook.Field {
	top, _, _ := strings.Cut(name, "/")
	kind := map[string]string{"book.md": "book", "overhauls": "overhaul", "limits": "limits", "parts": "part", "instruments": "instrument",
		"deferrals": "deferral", "decisions": "decision", "handovers": "handover", "countersigned": "countersignature", "reviews": "review"}[top]
	for _, k := range logbook.Kinds() {
		if k.Name == kind {
			return k.Fields
		}
	}
	return nil
}

func fieldAt(fields []logbook.Field, key string) (f logbook.Field, ok bool) {
	first, rest, deeper := strings.Cut(key, ".")
	if i := strings.Index(first, "["); i >= 0 {
		first = first[:i]
	}
	for _, x := range fields {
		if x.Key == first && deeper {
			return fieldAt(x.Fields, rest)
		}
		if x.Key == first {
			return x, true
		}
	}
	return f, false
}

// sheetOf is what the book knows beside the blanks of an overhaul, from the unsaved text.
func sheetOf(dir, name, text string) (*form.Sheet, *logbook.Book) {
	book, err := logbook.Read(os.DirFS(dir))
	if err != nil {
		return nil, nil
	}
	if !strings.HasPrefix(name, "overhauls/") {
		return nil, book
	}
	o, _ := logbook.ReadOverhaul(name, []byte(text))
	return form.Of(book, o), book
}

// hover says what belongs at the key under the cursor: its meaning, the limit in force, the last value.
func (s *assistant) hover(uri string, at lspPosition) any {
	dir, name, ok := s.within(uri)
	key := keyAt(s.texts[uri], at)
	f, known := fieldAt(kindAt(name), key)
	if !ok || !known {
		return nil
	}
	lines := []string{key + ": " + f.Doc}
	if len(f.Words) > 0 {
		lines = append(lines, strings.Join(f.Words, " | "))
	}
	if sheet, _ := sheetOf(dir, name, s.texts[uri]); sheet != nil {
		for _, k := range []string{key, key + ".value"} {
			if l := sheet.Limit[k]; l != "" {
				lines = append(lines, "limit: "+l+" ("+sheet.Source+", in force from "+sheet.Edition.String()+")")
			}
			if l := sheet.Last[k]; l != "" {
				lines = append(lines, "last: "+l)
			}
		}
	}
	return map[string]any{"contents": map[string]string{"kind": "plaintext", "value": strings.Join(lines, "\n")}}
}

var keyLine = regexp.MustCompile(`^( *)(?:- )?([a-z_]+):`)

// completion offers what may stand at the cursor: the keys of the block, or the words and names of the key.
func (s *assistant) completion(uri string, at lspPosition) any {
	dir, name, ok := s.within(uri)
	if !ok {
		return nil
	}
	text := s.texts[uri]
	before := string(utf16.Decode(utf16.Encode([]rune(lineOf(text, at.Line)))[:min(at.Character, len(utf16.Encode([]rune(lineOf(text, at.Line)))))]))
	path := blockAt(text, at.Line, before)
	items := []lspItem{}
	if !strings.Contains(before, ":") {
		fields := kindAt(name)
		if path != "" {
			f, _ := fieldAt(fields, path)
			fields = f.Fields
		}
		for _, f := range fields {
			items = append(items, lspItem{f.Key, f.Doc})
		}
		return items
	}
	full := path
	for _, part := range strings.FieldsFunc(before, func(r rune) bool { return r == '{' }) { // each group opened on this line
		part = part[strings.LastIndexAny(part, ",}")+1:]
		key, _, valued := strings.Cut(strings.TrimSpace(part), ":")
		if !valued { // a key is being typed within a group
			f, _ := fieldAt(kindAt(name), full)
			for _, x := range f.Fields {
				items = append(items, lspItem{x.Key, x.Doc})
			}
			return items
		}
		full = join(full, key)
	}
	f, known := fieldAt(kindAt(name), full)
	if !known {
		return items
	}
	if f.Shape == logbook.ShapeBlock && strings.HasSuffix(strings.TrimSpace(before), "{") {
		for _, x := range f.Fields {
			items = append(items, lspItem{x.Key, x.Doc})
		}
	}
	for _, w := range f.Words {
		items = append(items, lspItem{w, f.Doc})
	}
	sheet, book := sheetOf(dir, name, text)
	if sheet != nil {
		for _, c := range strings.Split(sheet.Choice[full], " | ") {
			if c != "" {
				items = append(items, lspItem{c, "in date, or aboard, on that day"})
			}
		}
	}
	if book != nil && f.Shape == logbook.ShapeSerial && len(items) == 0 {
		items = append(items, serials(book, f)...)
	}
	return items
}

// serials are the names that the book knows for an identity of this sort.
func serials(b *logbook.Book, f logbook.Field) (items []lspItem) {
	add := func(detail string, quoted bool, names ...string) {
		for _, n := range names {
			if quoted {
				n = `"` + n + `"`
			}
			items = append(items, lspItem{n, detail})
		}
	}
	switch f.As {
	case "engine":
		add("engine", false, engines(b)...)
	case "cylinder":
		for _, e := range b.Vessel.Engines {
			for _, c := range e.Cylinders.Each {
				add("cylinder of "+e.ID.Written, false, c.Written)
			}
		}
	case "instrument":
		add("instrument", false, instruments(b)...)
	case "":
		for _, r := range b.Lives().Rack(b.Today()) {
			add("on the rack", true, r.Holder, r.Nozzle)
		}
		add("holder", true, holders(b)...)
		add("nozzle", true, nozzles(b)...)
	}
	return items
}

func join(above, key string) string {
	if above == "" {
		return key
	}
	return above + "." + key
}

// blockAt is the key of the block that a line lies in, by its indentation.
func blockAt(text string, line int, before string) string {
	indent := len(before) - len(strings.TrimLeft(before, " "))
	path := ""
	for i := line - 1; i >= 0 && indent > 0; i-- {
		m := keyLine.FindStringSubmatch(lineOf(text, i))
		if m != nil && len(m[1]) < indent {
			indent = len(m[1])
			if path == "" {
				path = m[2]
			} else {
				path = m[2] + "." + path
			}
		}
	}
	return path
}

// actions offers each correction that leaves no choice on the lines asked for.
func (s *assistant) actions(uri string, within lspRange) any {
	_, name, ok := s.within(uri)
	if !ok {
		return nil
	}
	actions := []map[string]any{}
	for _, slip := range edit.Safe {
		_, made := edit.Correct(name, []byte(s.texts[uri]), func(n string) bool { return n == slip })
		for _, c := range made {
			n := c.Line - 1
			if c.Line == 0 || n < within.Start.Line || n > within.End.Line || lineOf(s.texts[uri], n) != c.Was {
				continue
			}
			end := lspPosition{n, len(utf16.Encode([]rune(c.Was)))}
			actions = append(actions, map[string]any{"title": strings.TrimSpace(c.Is), "kind": "quickfix",
				"edit": map[string]any{"changes": map[string][]lspEdit{uri: {{lspRange{lspPosition{n, 0}, end}, c.Is}}}}})
		}
	}
	return actions
}

// outline lists the steps of the record.
func (s *assistant) outline(uri string) any {
	symbols := []lspSymbol{}
	lines := strings.Split(s.texts[uri], "\n")
	for i, l := range lines {
		l = strings.TrimPrefix(strings.TrimSuffix(l, "\r"), "\ufeff")
		if i > 0 && strings.TrimRight(l, " ") == "---" {
			break
		}
		if m := keyLine.FindStringSubmatch(l); m != nil && m[1] == "" {
			r := lspRange{lspPosition{i, 0}, lspPosition{i, len(utf16.Encode([]rune(l)))}}
			symbols = append(symbols, lspSymbol{m[2], 20, r, r})
		}
	}
	return symbols
}
