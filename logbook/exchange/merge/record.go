package merge

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/tree"
)

// merger puts two texts of one record together, key by key. Each entry of the front matter is carried over with its
// bytes; where the two sides contradict each other, both stand.
type merger struct {
	fields []Field
	// held are the values that the text must hold when every contradiction is decided for ours, and for theirs: it is read
	// again at the end and held against them.
	held [2][]leaf
}

// node is one entry in one of the three texts, or none.
type node struct {
	src []byte
	*tree.Node
}

// lead, core and tail are the remarks above an entry, its key and value, and what stands behind the value; all is the
// three.
func (n node) lead() []byte { return n.cut(func() (int, int) { return n.From, n.KeyAt }) }
func (n node) core() []byte { return n.cut(func() (int, int) { return n.KeyAt, n.ValueEnd }) }
func (n node) tail() []byte { return n.cut(func() (int, int) { return n.ValueEnd, n.To }) }
func (n node) all() []byte  { return n.cut(func() (int, int) { return n.From, n.To }) }

// head is the key up to the value, or to the first entry below it.
func (n node) head() []byte { return n.cut(func() (int, int) { return n.KeyAt, n.ValueAt }) }

func (n node) cut(extent func() (from, to int)) []byte {
	if !n.there() {
		return nil
	}
	from, to := extent()
	return n.src[from:to]
}

func (n node) there() bool { return n.Node != nil }

func (n node) below() []node {
	if !n.there() {
		return nil
	}
	return nodes(n.src, n.Below)
}

func nodes(src []byte, entries []*tree.Node) []node {
	list := make([]node, len(entries))
	for i, e := range entries {
		list[i] = node{src, e}
	}
	return list
}

// column is where a key or dash stands in its line, from 0.
func (n node) column() int { return n.KeyAt - 1 - bytes.LastIndexByte(n.src[:n.KeyAt], '\n') }

// behindDash says that an entry stands behind the dash of a list.
func (n node) behindDash() bool {
	return len(bytes.TrimSpace(n.src[n.KeyAt-n.column():n.KeyAt])) > 0
}

// leaf is one single value with its path.
type leaf struct{ path, written string }

// leaves are the single values of an entry, in the order of the text.
func (n node) leaves(path string) []leaf {
	if !n.there() {
		return nil
	}
	if n.Kind == tree.Value {
		return []leaf{{path, n.Value}}
	}
	var all []leaf
	for i, e := range n.below() {
		all = append(all, e.leaves(under(path, e.Key, i))...)
	}
	return all
}

// under is the path of the entry below a path: by its key, or as an item of a list by its place.
func under(path, key string, i int) string {
	switch {
	case key == "":
		return fmt.Sprintf("%s[%d]", path, i)
	case path == "":
		return key
	}
	return path + "." + key
}

// same says that two values are the same, however they are spelled. Remarks among the entries of a group count as part
// of it.
func same(a, b node) bool {
	if !a.there() || !b.there() || a.Kind != b.Kind {
		return a.there() == b.there() && !a.there()
	}
	if a.Kind == tree.Value {
		return a.Value == b.Value && a.Null == b.Null
	}
	return bytes.Equal(a.core(), b.core()) ||
		!bytes.ContainsRune(a.core(), '#') && !bytes.ContainsRune(b.core(), '#') && slices.Equal(a.leaves(""), b.leaves(""))
}

// record merges the front matter by its keys and the free text by its lines; without a base nothing was there before.
// Where that cannot be done without doubt it says why.
func (m *merger) record(fields []logbook.Field, base, us, them []byte) (p pieces, why string) {
	l := [3]*tree.Tree{{Root: &tree.Node{}}, nil, nil}
	for i, src := range [][]byte{base, us, them} {
		if src == nil {
			continue
		}
		if l[i] = logbook.TreeOf(src); l[i].Doubt != "" {
			return nil, l[i].Doubt
		}
	}
	p.texts(base[:l[0].Front], us[:l[1].Front], them[:l[2].Front], false, nil)
	if !m.block(&p, "", &logbook.Field{Fields: fields}, nodes(base, l[0].Root.Below),
		nodes(us, l[1].Root.Below), nodes(them, l[2].Root.Below)) {
		return nil, "its keys are laid out in two ways"
	}
	p.texts(base[l[0].Close:l[0].Body], us[l[1].Close:l[1].Body], them[l[2].Close:l[2].Body], false, nil)
	p.texts(base[l[0].Body:], us[l[1].Body:], them[l[2].Body:], true, func(s section, kept bool) {
		f := Field{Path: "remarks", Base: squeezed(s.b...), Ours: squeezed(s.o...), Theirs: squeezed(s.t...),
			Contradicted: s.who == apart && !kept}
		switch {
		case s.who == theirs:
			f.Proposed = f.Theirs
		case s.who != apart:
			f.Proposed = f.Ours
		case kept:
			f.Proposed = squeezed(append(slices.Clone(s.o), s.t...)...)
		}
		if f.Base != f.Ours || f.Base != f.Theirs {
			m.fields = append(m.fields, f)
		}
	})
	return p, m.check(p)
}

// squeezed is a text on one line.
func squeezed(lines ...string) string {
	return strings.Join(strings.Fields(strings.Join(lines, " ")), " ")
}

// check reads the merged text again, decided for either side, and compares its values with those that were put into it.
func (m *merger) check(p pieces) string {
	for i, who := range []side{ours, theirs} {
		src := p.as(who)
		t := logbook.TreeOf(src)
		if t.Doubt != "" {
			return "put together by its keys, " + t.Doubt
		}
		var got []leaf
		for _, n := range nodes(src, t.Root.Below) {
			got = append(got, n.leaves(n.Key)...)
		}
		if !slices.EqualFunc(got, m.held[i], func(a, b leaf) bool {
			return a.written == b.written &&
				plain(a.path) == plain(b.path)
		}) {
			return "put together by its keys, it reads otherwise"
		}
	}
	return ""
}

// plain is a path without the places in lists, which are not the same on both sides.
func plain(path string) string {
	var b strings.Builder
	depth := 0
	for _, r := range path {
		switch r {
		case '[':
			depth++
		case ']':
			depth--
		}
		if depth == 0 || r == '[' {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// took notes that an entry stands as one side has it.
func (m *merger) took(path string, b, o, t, chosen node) {
	was, is, other := values(b.leaves(path)), values(o.leaves(path)), values(t.leaves(path))
	now := values(chosen.leaves(path))
	seen := map[string]bool{}
	for _, list := range [][]leaf{b.leaves(path), o.leaves(path), t.leaves(path)} {
		for _, l := range list {
			f := Field{Path: l.path, Base: was[l.path], Ours: is[l.path], Theirs: other[l.path], Proposed: now[l.path]}
			if !seen[l.path] && (f.Base != f.Ours || f.Base != f.Theirs) {
				m.fields = append(m.fields, f)
			}
			seen[l.path] = true
		}
	}
	for i := range m.held {
		m.held[i] = append(m.held[i], chosen.leaves(path)...)
	}
}

func values(list []leaf) map[string]string {
	all := map[string]string{}
	for _, l := range list {
		all[l.path] = l.written
	}
	return all
}

// contradiction notes an entry that both sides changed, and not to the same.
func (m *merger) contradiction(path string, b, o, t node) {
	m.fields = append(m.fields, Field{Path: path, Base: b.shown(), Ours: o.shown(), Theirs: t.shown(), Contradicted: true})
	m.held[0] = append(m.held[0], o.leaves(path)...)
	m.held[1] = append(m.held[1], t.leaves(path)...)
}

// try makes a step that may turn out impossible; then nothing of it is left.
func (m *merger) try(p *pieces, step func(*pieces) bool) bool {
	n, fields, held := len(*p), len(m.fields), [2]int{len(m.held[0]), len(m.held[1])}
	if step(p) {
		return true
	}
	*p, m.fields = (*p)[:n], m.fields[:fields]
	for i := range held {
		m.held[i] = m.held[i][:held[i]]
	}
	return false
}

// block merges the entries of a group or list in block style. It is false where they are not laid out alike.
func (m *merger) block(p *pieces, path string, f *logbook.Field, b, o, t []node) bool {
	steps, ok := plan(f, b, o, t)
	if !ok || len(o) == 0 || len(t) == 0 {
		return false
	}
	for _, list := range [][]node{b, o, t} {
		for _, n := range list {
			if n.column() != o[0].column() {
				return false
			}
		}
		// The first may stand behind a dash, where no other can.
		if len(list) > 0 && list[0].behindDash() != o[0].behindDash() {
			return false
		}
	}
	first := steps[0]
	if o[0].behindDash() && (first.o.Node != o[0].Node || first.t.Node != t[0].Node) {
		return false
	}
	for i, s := range steps {
		at := under(path, s.key(), i)
		switch {
		case !s.o.there() && !s.t.there(): // both took it out
			m.took(at, s.b, s.o, s.t, node{})
		case s.o.there() && s.t.there():
			m.entry(p, at, fieldOf(f, s.key()), s.b, s.o, s.t)
		default:
			m.oneSided(p, at, s)
		}
	}
	return true
}

// oneSided is an entry that one side does not have: it added, took out, or took out what the other changed.
func (m *merger) oneSided(p *pieces, path string, s step) {
	mine := s.o
	if !mine.there() {
		mine = s.t
	}
	switch {
	case !s.b.there():
		p.add(mine.all())
		m.took(path, s.b, s.o, s.t, mine)
	case bytes.Equal(s.b.all(), mine.all()):
		m.took(path, s.b, s.o, s.t, node{})
	default:
		p.apart(s.o.all(), s.t.all())
		m.contradiction(path, s.b, s.o, s.t)
	}
}

// entry merges an entry in block style that both sides have.
func (m *merger) entry(p *pieces, path string, f *logbook.Field, b, o, t node) {
	switch {
	case bytes.Equal(o.all(), t.all()), b.there() && bytes.Equal(b.all(), t.all()):
		p.add(o.all())
		m.took(path, b, o, t, o)
	case b.there() && bytes.Equal(b.all(), o.all()):
		p.add(t.all())
		m.took(path, b, o, t, t)
	default:
		p.texts(b.lead(), o.lead(), t.lead(), true, nil)
		m.core(p, path, f, b, o, t)
		p.texts(b.tail(), o.tail(), t.tail(), false, nil)
	}
}

// core merges key and value of an entry that both sides have.
func (m *merger) core(p *pieces, path string, f *logbook.Field, b, o, t node) {
	chosen := node{}
	switch {
	case same(o, t) && b.there() && bytes.Equal(b.core(), o.core()):
		chosen = t // spelled otherwise
	case same(o, t), b.there() && same(b, t):
		chosen = o
	case b.there() && same(b, o):
		chosen = t
	}
	if chosen.there() {
		p.add(chosen.core())
		m.took(path, b, o, t, chosen)
		return
	}
	if !m.try(p, func(p *pieces) bool { return m.inside(p, path, f, b, o, t) }) {
		p.apart(o.core(), t.core())
		m.contradiction(path, b, o, t)
	}
}

// inside merges what stands below a key, entry by entry, where all three texts lay it out in the same way.
func (m *merger) inside(p *pieces, path string, f *logbook.Field, b, o, t node) bool {
	if o.Kind == tree.Value || o.Kind != t.Kind || o.Style != t.Style || b.there() &&
		(o.Kind != b.Kind || o.Style != b.Style) {
		return false
	}
	head := o.head()
	switch {
	case bytes.Equal(o.head(), t.head()), b.there() && bytes.Equal(b.head(), t.head()):
	case b.there() && bytes.Equal(b.head(), o.head()):
		head = t.head()
	default:
		return false
	}
	p.add(head)
	if o.Style == tree.Brackets {
		return m.flow(p, path, f, b, o, t)
	}
	return m.block(p, path, f, b.below(), o.below(), t.below())
}

// flow merges a group or list in brackets. It is false where remarks stand between the brackets, or where one side took
// out what the other changed.
func (m *merger) flow(p *pieces, path string, f *logbook.Field, b, o, t node) bool {
	steps, ok := plan(f, b.below(), o.below(), t.below())
	if !ok {
		return false
	}
	gaps := map[*tree.Node][]byte{} // what stands before each entry but the first
	for _, n := range []node{b, t, o} {
		if !n.there() {
			continue
		}
		at := n.ValueAt
		for i, e := range n.below() {
			if i > 0 {
				gaps[e.Node] = n.src[at:e.From]
			}
			if bytes.ContainsRune(n.src[at:e.From], '#') {
				return false
			}
			at = e.To
		}
		if bytes.ContainsRune(n.src[at:n.ValueEnd], '#') {
			return false
		}
	}
	opening, closing := brackets(o)
	p.add(opening)
	first := true
	for i, s := range steps {
		at := under(path, s.key(), i)
		if !s.o.there() && !s.t.there() {
			m.took(at, s.b, s.o, s.t, node{})
			continue
		}
		one := s.o
		if !one.there() {
			one = s.t
		}
		lone := !s.o.there() || !s.t.there()
		if lone && s.b.there() {
			if !bytes.Equal(s.b.all(), one.all()) {
				return false
			}
			m.took(at, s.b, s.o, s.t, node{})
			continue
		}
		gap := []byte(", ")
		for _, n := range []node{s.t, s.o} {
			if g, ok := gaps[n.Node]; ok && n.there() {
				gap = g
			}
		}
		if !first {
			p.add(gap)
		}
		first = false
		if lone {
			p.add(one.all())
			m.took(at, s.b, s.o, s.t, one)
		} else {
			m.core(p, at, fieldOf(f, s.key()), s.b, s.o, s.t)
		}
	}
	p.add(closing)
	return true
}

// brackets are the opening one with what stands before the first entry, and the closing one with what stands behind the
// last.
func brackets(n node) (opening, closing []byte) {
	list := n.below()
	if len(list) == 0 {
		return n.src[n.ValueAt : n.ValueAt+1], n.src[n.ValueAt+1 : n.ValueEnd]
	}
	return n.src[n.ValueAt:list[0].From], n.src[list[len(list)-1].To:n.ValueEnd]
}

func fieldOf(f *logbook.Field, key string) *logbook.Field {
	if f == nil || key == "" { // an item of a list has the fields of the list
		return f
	}
	for i := range f.Fields {
		if f.Fields[i].Key == key {
			return &f.Fields[i]
		}
	}
	return nil
}
