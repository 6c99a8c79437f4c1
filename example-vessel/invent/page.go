package invent

import (
	"strings"
	"unicode"
)

// entry is one key of a front matter with what stands there: a text, a group of keys, or a list.
type entry struct {
	key   string
	text  string
	shape shape
	kids  []*entry
	plain bool // the text stands as it is, with no quotes added: for slips of writing
}

type shape uint8

const (
	single shape = iota
	group
	list
	identity // a single text that is a name and no number
)

// text is a key with a single value; no entry where the value is empty.
func text(key, value string) *entry {
	if value == "" {
		return nil
	}
	return &entry{key: key, text: value}
}

// ident is a key with an identity.
func ident(key, value string) *entry {
	if value == "" {
		return nil
	}
	return &entry{key: key, text: value, shape: identity}
}

// keys is a group of keys; entries that are not there are left out.
func keys(key string, kids ...*entry) *entry { return gather(key, group, kids) }

// items is a list.
func items(key string, kids ...*entry) *entry { return gather(key, list, kids) }

func gather(key string, s shape, kids []*entry) *entry {
	e := &entry{key: key, shape: s}
	for _, k := range kids {
		if k != nil {
			e.kids = append(e.kids, k)
		}
	}
	return e
}

// texts is a list of single values.
func texts(key string, values ...string) *entry {
	e := &entry{key: key, shape: list}
	for _, v := range values {
		e.kids = append(e.kids, &entry{text: v})
	}
	return e
}

func amounts(key string, values []amount) *entry {
	e := &entry{key: key, shape: list}
	for _, v := range values {
		e.kids = append(e.kids, &entry{text: v.String()})
	}
	return e
}

// at finds an entry by its key with those above it, "as_left.leak_down.time"; nil where there is none.
func (e *entry) at(path string) *entry {
	for _, key := range strings.Split(path, ".") {
		var next *entry
		for _, k := range e.kids {
			if k.key == key {
				next = k
			}
		}
		if e = next; e == nil {
			return nil
		}
	}
	return e
}

// set writes another text at a key that is there, or adds the key to a group that is; false where there is no such
// group.
func (e *entry) set(path, value string) bool {
	if x := e.at(path); x != nil {
		x.text, x.kids = value, nil
		if x.shape != identity {
			x.shape = single
		}
		return true
	}
	above, key := e, path
	if i := strings.LastIndexByte(path, '.'); i >= 0 {
		above, key = e.at(path[:i]), path[i+1:]
	}
	if above == nil || above.shape != group {
		return false
	}
	above.kids = append(above.kids, text(key, value))
	return true
}

// drop takes a key out; false where it was not there.
func (e *entry) drop(path string) bool {
	above, key := e, path
	if i := strings.LastIndexByte(path, '.'); i >= 0 {
		above, key = e.at(path[:i]), path[i+1:]
	}
	if above == nil {
		return false
	}
	for i, k := range above.kids {
		if k.key == key {
			above.kids = append(above.kids[:i:i], above.kids[i+1:]...)
			return true
		}
	}
	return false
}

// style is how one person writes.
type style struct {
	oneLine int    // groups of at most so many values stand on one line
	wide    int    // and only where that line is not longer
	quote   string // the quotes it puts round identities; none where they can do without
	double  bool   // double quotes where quotes are needed
	indent  int
	gaps    bool // blank lines between the blocks
	crlf    bool
}

// page is one Markdown file of the book.
type page struct {
	path  string
	front *entry
	body  string
	style *style
	marks map[string]string         // comments by key with those above it
	spoil []func(src string) string // slips made on the written text
}

// source is the text of the page.
func (p *page) source() []byte {
	var b strings.Builder
	b.WriteString("---\n")
	for _, k := range p.front.kids {
		p.write(&b, k, 0, k.key)
		if p.style.gaps && k.shape == group {
			b.WriteString("\n")
		}
	}
	b.WriteString("---\n")
	if p.body != "" {
		b.WriteString("\n" + p.body + "\n")
	}
	src := b.String()
	for _, f := range p.spoil {
		src = f(src)
	}
	if p.style.crlf {
		src = strings.ReplaceAll(src, "\n", "\r\n")
	}
	return []byte(src)
}

func (p *page) write(b *strings.Builder, e *entry, depth int, path string) {
	pad := strings.Repeat(" ", depth*p.style.indent)
	if e.shape == single || e.shape == identity || p.fits(e) {
		b.WriteString(pad + e.key + ": " + p.flow(e, false) + p.mark(path) + "\n")
		return
	}
	b.WriteString(pad + e.key + ":" + p.mark(path) + "\n")
	for _, k := range e.kids {
		if e.shape == group {
			p.write(b, k, depth+1, path+"."+k.key)
			continue
		}
		if k.shape != group || len([]rune(p.flow(k, false))) <= max(p.style.wide, 160) {
			b.WriteString(pad + "  - " + p.flow(k, false) + "\n")
			continue
		}
		var item strings.Builder
		for _, x := range k.kids {
			p.write(&item, x, 0, path+"."+x.key)
		}
		lines := strings.Split(strings.TrimSuffix(item.String(), "\n"), "\n")
		b.WriteString(pad + "  - " + strings.Join(lines, "\n"+pad+"    ") + "\n")
	}
}

func (p *page) mark(path string) string {
	if m := p.marks[path]; m != "" {
		return "   # " + m
	}
	return ""
}

// fits says that a group or list goes on one line.
func (p *page) fits(e *entry) bool {
	if e.shape == list && (len(e.kids) == 0 || e.kids[0].shape == single) {
		return true
	}
	return e.shape == group && e.values() <= p.style.oneLine && len([]rune(p.flow(e, false))) <= p.style.wide
}

func (e *entry) values() int {
	n := 0
	for _, k := range e.kids {
		n += max(k.values(), 1)
	}
	return n
}

// flow writes an entry on one line; inside says that it stands between brackets already.
func (p *page) flow(e *entry, inside bool) string {
	switch e.shape {
	case single, identity:
		if e.plain {
			return e.text
		}
		return p.style.scalar(e.text, e.shape == identity, inside)
	case list:
		var all []string
		for _, k := range e.kids {
			all = append(all, p.flow(k, true))
		}
		return "[" + strings.Join(all, ", ") + "]"
	}
	var all []string
	for _, k := range e.kids {
		all = append(all, k.key+": "+p.flow(k, true))
	}
	return "{" + strings.Join(all, ", ") + "}"
}

// scalar quotes a text where YAML needs it, or the hand does it always.
func (s *style) scalar(text string, name, inside bool) string {
	switch {
	case name && (s.quote != "" || !plainName(text)):
		if s.quote == "" {
			return quoted(text, s.double)
		}
		return quoted(text, s.quote == `"`)
	case plainText(text):
		return text
	}
	return quoted(text, s.double || !inside && strings.Contains(text, "'"))
}

var escaped = strings.NewReplacer(`\`, `\\`, `"`, `\"`)

func quoted(text string, double bool) string {
	if double {
		return `"` + escaped.Replace(text) + `"`
	}
	return "'" + strings.ReplaceAll(text, "'", "''") + "'"
}

// plainName says that no reader of YAML takes the identity for a number, a truth value or a date.
func plainName(text string) bool {
	return len(text) > 3 && unicode.IsLetter([]rune(text)[0]) && strings.ContainsAny(text, "-/.") && plainText(text)
}

// plainText says that the text means itself in YAML without quotes, between brackets too.
func plainText(text string) bool {
	r := []rune(text)
	if len(r) == 0 || !unicode.IsLetter(r[0]) && !unicode.IsDigit(r[0]) && !(len(r) > 1 && (r[0] == '+' || r[0] == '-') &&
		unicode.IsDigit(r[1])) {
		return false
	}
	for _, c := range r {
		if !unicode.IsLetter(c) && !unicode.IsMark(c) && !unicode.IsDigit(c) &&
			!strings.ContainsRune(" ._/()·°%²³+-'±–×", c) && c < 0x80 {
			return false
		}
	}
	return r[len(r)-1] != ' '
}
