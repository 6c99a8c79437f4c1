package logbook

import (
	"reflect"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"needlebook/logbook/tree"
)

// decoder fills one record from the nodes of its front matter. Every value keeps its place; every problem is kept, not
// only the first.
type decoder struct {
	*document
}

// decode reads the front matter of d into out, a pointer to a struct with schema tags.
func (d *document) decode(out any) {
	d.read(out)
	d.proved(reflect.TypeOf(out).Elem())
	provenOrder(d.problems)
}

func (d *document) read(out any) {
	defer d.release()
	dec := decoder{d}
	root := d.nodes()
	if root == nil {
		return
	}
	if root.Kind != tree.Group {
		dec.at(root, "", SlipShape, shown(root), "keys with values, one a line", "", false)
		return
	}
	v := reflect.ValueOf(out).Elem()
	dec.block(root, v, fieldsOf(v.Type()), "")
}

// proved takes back what was proposed for a line that is no YAML where the line, so typed, is still wrong. A file with
// many such lines is broken as a whole: beyond a few, nothing is proposed.
func (d *document) proved(t reflect.Type) {
	const few = 20
	tried := 0
	for i := range d.problems {
		if p := &d.problems[i]; p.Slip == SlipYAML && p.Type != "" {
			tried++
			p.proposeOnly(func(string) bool { return tried <= few && d.endedBy(*p, t) })
			if l, ok := keyedLine(p.Found); ok && l.textWithColon() && p.Type == "" {
				if key, _, _ := strings.Cut(l.Rest, ":"); keyNames()[key] {
					p.Expected = "a line of its own for " + key
				}
			}
		}
	}
}

// endedBy says that a problem of a line ends with its proposal: the line is read then, and so is what the proposal puts
// in quotes.
func (d *document) endedBy(p Problem, t reflect.Type) bool {
	lines := strings.SplitAfter(d.front, "\n")
	i := p.Place.Line - d.line - 1
	if i < 0 || i >= len(lines) {
		return false
	}
	line, ok := p.Retyped(lines[i])
	lines[i] = line
	again := &document{path: d.path, front: strings.Join(lines, ""), line: d.line}
	again.read(reflect.New(t).Interface())
	return ok && !slices.ContainsFunc(again.problems, func(q Problem) bool {
		known := slices.ContainsFunc(d.problems, func(o Problem) bool {
			return o.Slip == q.Slip &&
				o.Place.Line == q.Place.Line
		})
		if q.Place.Line == p.Place.Line {
			return q.Slip == SlipYAML || !q.Read && q.Type == "" && strings.Contains(p.Type, `"`+q.Found+`"`)
		}
		return q.Slip == SlipYAML && !known
	})
}

// trouble reports what keeps the front matter from being read as it stands; of broken YAML it returns the line whose
// block is left out, so that the rest of the record is still read.
func (d *document) trouble(t tree.Trouble) (line int) {
	switch t.Kind {
	case tree.Indented:
		expected := "two spaces"
		if t.Found[0] != '\t' {
			expected = "a plain space"
		}
		d.problem(d.line+t.Line, t.Column, SlipTab, t.Found, expected, tree.PlainIndent.Replace(t.Found), true)
	case tree.Undecided:
		d.problem(d.line+t.Line, t.Column, SlipYAML, t.Found, "one text: two sides wrote here, and nobody has decided yet",
			"", false)
	default:
		return d.reportYAML(t)
	}
	return 0
}

// at reports a problem at a value, atKey at its key.
func (dec decoder) at(n *tree.Node, key, slip, found, expected, typed string, read bool) {
	dec.report(dec.placeOf(n), key, slip, found, expected, typed, read)
}

func (dec decoder) atKey(n *tree.Node, key, slip, found, expected, typed string) {
	dec.report(dec.placeOfKey(n), key, slip, found, expected, typed, false)
}

func (dec decoder) report(at Place, key, slip, found, expected, typed string, read bool) {
	p := amiss(slip, found, expected, typed, read)
	p.Place, p.Key = at, key
	dec.problems = append(dec.problems, p)
}

// placeOf is a value's place in the file. The column counts characters; an anchor or tag counts as the value's
// beginning.
func (dec decoder) placeOf(n *tree.Node) Place {
	return Place{dec.path, n.Line + dec.line, max(n.Column, 1)}
}

func (dec decoder) placeOfKey(n *tree.Node) Place {
	return Place{dec.path, n.KeyLine + dec.line, max(n.KeyColumn, 1)}
}

func shown(n *tree.Node) string {
	switch n.Kind {
	case tree.Group:
		return "a group of keys"
	case tree.List:
		return "a list"
	}
	return n.Value
}

// block fills a struct from a group of keys.
func (dec decoder) block(n *tree.Node, v reflect.Value, fields []Field, prefix string) {
	seen := mentions{}
	for i := 0; i < len(n.Below); i++ {
		entry := n.Below[i]
		f := fieldNamed(fields, entry.Key)
		full := fullKey(prefix, entry.Key, f)
		if dec.forbidden(entry.OddKey, dec.placeOfKey(entry), full) || dec.forbidden(entry.Odd, dec.placeOf(entry), full) {
			continue
		}
		if first := seen.first(entry); first != nil {
			p := Problem{Place: dec.placeOfKey(entry), Slip: SlipRepeatedKey, Key: full, Found: entry.Key,
				Expected: "each key once", Related: dec.placeOfKey(first)}
			dec.problems = append(dec.problems, p)
			// Neither of the two is believed: the value is struck from the record until one is gone.
			if f != nil {
				fv := v.Field(f.index)
				fv.SetZero()
				if l := leafOf(fv); l != nil {
					*l = Leaf{Place: dec.placeOfKey(first), Key: full, present: true}
				}
			}
			continue
		}
		if f == nil {
			dec.unknown(n, i, fields, full, v.Type())
			continue
		}
		if entries, list := dec.rowOf(n, i, f, full); entries > 0 {
			*leafOf(v.Field(f.index)) = Leaf{Place: dec.placeOf(entry), Key: full, present: true}
			if list != nil {
				dec.value(list, v.Field(f.index), f, full)
			}
			i += entries - 1
			continue
		}
		dec.value(entry, v.Field(f.index), f, full)
	}
}

// fullKey is a key with those above it.
func fullKey(prefix, key string, f *Field) string {
	switch {
	case prefix == "":
		return key
	case f != nil && len(f.path) == len(prefix)+1+len(key) && strings.HasPrefix(f.path, prefix):
		return f.path
	}
	return prefix + "." + key
}

// mentions are the keys of one block that were met: a handful nearly always, so that a list is quicker than a map.
type mentions struct {
	few  [32]*tree.Node
	n    int
	many map[string]*tree.Node
}

// first is the earlier mention of a key; nil where this is the first, which is kept then.
func (m *mentions) first(entry *tree.Node) *tree.Node {
	for _, k := range m.few[:m.n] {
		if k.Key == entry.Key {
			return k
		}
	}
	switch {
	case m.n < len(m.few):
		m.few[m.n] = entry
		m.n++
		return nil
	case m.many == nil:
		m.many = map[string]*tree.Node{}
	}
	if k := m.many[entry.Key]; k != nil {
		return k
	}
	m.many[entry.Key] = entry
	return nil
}

func leafOf(v reflect.Value) *Leaf {
	if v.Kind() == reflect.Struct && v.CanAddr() {
		if h, ok := v.Addr().Interface().(interface{ leaf() *Leaf }); ok {
			return h.leaf()
		}
	}
	return nil
}

func fieldNamed(fields []Field, key string) *Field {
	for i := range fields {
		if fields[i].Key == key {
			return &fields[i]
		}
	}
	return nil
}

// forbidden reports what YAML allows and a record does not: anchors, aliases, merge keys, tags.
func (dec decoder) forbidden(odd *tree.Odd, at Place, key string) bool {
	if odd == nil {
		return false
	}
	slip, expected := SlipAnchor, ""
	switch odd.Kind {
	case tree.Alias:
		expected = "the value itself, written out"
	case tree.Anchor:
		expected = "the value without an anchor"
	case tree.Merge:
		expected = "the keys themselves, written out"
	default:
		slip, expected = SlipTag, "the value without a tag"
	}
	dec.report(at, key, slip, odd.Text, expected, "", false)
	return true
}

// joined reports a key and its value in one, for want of the blank behind the colon.
func (dec decoder) joined(text string, at Place, fields []Field, key string) bool {
	name, value, ok := strings.Cut(text, ":")
	if ok = ok && fieldNamed(fields, name) != nil && !strings.Contains(value, ":"); ok {
		dec.report(at, key, SlipYAML, text, "a blank behind the colon", name+": "+value, false)
	}
	return ok
}

// unknown reports a key that the block does not have, with the nearest one that it has.
func (dec decoder) unknown(n *tree.Node, i int, fields []Field, full string, block reflect.Type) {
	entry := n.Below[i]
	if n.Style == tree.Brackets && i >= 1 && entry.Null {
		if before := n.Below[i-1]; strings.Contains(before.Value, "(") && strings.HasSuffix(entry.Key, ")") {
			whole := before.Value + ", " + entry.Key
			dec.at(before, full, SlipBrokenReason, whole, "quotes around a text that holds a comma", `"`+whole+`"`, false)
			return
		}
	}
	if dec.joined(entry.Key, dec.placeOfKey(entry), fields, full) {
		return
	}
	names, free := make([]string, len(fields)), []string{}
	for j, f := range fields {
		if names[j] = f.Key; !hasKey(n, f.Key) {
			free = append(free, f.Key)
		}
	}
	expected := "one of: " + strings.Join(names, ", ")
	near := nearest(entry.Key, free)
	if f := fieldNamed(fields, near); f != nil && dec.fits(entry, f, block.Field(f.index).Type) {
		expected = near
	} else {
		near = ""
	}
	dec.atKey(entry, full, SlipUnknownKey, entry.Key, expected, near)
}

// fits says that a value can stand in a field of a type: its keys are the field's, and what is amiss in it as a whole
// was read all the same or has a proposal.
func (dec decoder) fits(value *tree.Node, f *Field, t reflect.Type) bool {
	alone := decoder{&document{path: dec.path, front: dec.front, line: dec.line}}
	alone.value(value, reflect.New(t).Elem(), f, f.Key)
	return !slices.ContainsFunc(alone.problems, func(p Problem) bool {
		return (p.Key == f.Key || p.Slip == SlipUnknownKey) && !p.Read && p.Type == "" &&
			(len(p.Meant) == 0 || p.Slip == SlipWord) // any word may be meant, and none of them was
	})
}

// hasKey says that a group has a key among its first hundred, which is more than any block of a book has.
func hasKey(n *tree.Node, key string) bool {
	return slices.ContainsFunc(n.Below[:min(len(n.Below), 100)], func(e *tree.Node) bool { return e.Key == key })
}

// value fills one field from its node.
func (dec decoder) value(n *tree.Node, v reflect.Value, f *Field, key string) {
	if f.Shape == ShapeBlock {
		dec.blocks(n, v, f, key)
		return
	}
	leaf := leafOf(v)
	*leaf = Leaf{Place: dec.placeOf(n), Key: key}
	if n.Kind == tree.Value {
		if n.Null {
			dec.remarked(n, f, key)
			dec.null(n, f, key)
			return
		}
		if inner := withinCurly(n); inner != "" && f.Shape != ShapeText && f.Shape != ShapeTexts {
			dec.at(n, key, SlipCurly, n.Value, `straight quotes: of curly ones YAML makes a part of the value`,
				`"`+inner+`"`, true)
			within, known := strings.Index(n.Value, inner), len(dec.problems)
			defer func() { // what is amiss within the quotes
				for i := range dec.problems[known:] {
					dec.problems[known+i].At += within
				}
			}()
			straight := *n
			straight.Value, straight.Style = inner, tree.Double
			n = &straight
		}
		leaf.Written, leaf.present = n.Value, true
		if f.Shape == ShapeText {
			leaf.Written = plainBlanks.Replace(n.Value)
		}
		if dec.absence(n, leaf) {
			return
		}
	} else {
		leaf.present = true
	}
	switch f.Shape {
	case ShapeAmounts, ShapeNumbers, ShapeTexts, ShapeSerials, ShapeWords:
		dec.list(n, v, f, key)
	default:
		if n.Kind != tree.Value {
			leaf.present = false
			dec.at(n, key, SlipShape, shown(n), "a single value", "", false)
			return
		}
		dec.scalar(n, v, f, key)
	}
}

// remarked reports a value that YAML takes for a remark: #1 behind a key. A remark proper has a blank behind its #.
func (dec decoder) remarked(n *tree.Node, f *Field, key string) {
	if n.Value != "" || n.Line < 1 || !strings.Contains(dec.front, " #") {
		return
	}
	lines := strings.SplitN(dec.front, "\n", n.Line+1)
	m := hashed.FindStringSubmatchIndex(lines[min(n.Line, len(lines))-1])
	if m == nil {
		return
	}
	text := lines[n.Line-1]
	found := text[m[2]:m[3]]
	p := Problem{Place: Place{dec.path, n.Line + dec.line, utf8.RuneCountInString(text[:m[2]]) + 1}, Slip: SlipShape,
		Key: key, Found: found, Expected: "the value: what begins with # is a remark"}
	switch {
	case nothingThere.MatchString(found):
		p.Expected = "the value: " + found + " is what a spreadsheet shows for none"
	case f.Shape == ShapeText || f.Shape == ShapeTexts || f.Shape == ShapeSerial || f.Shape == ShapeSerials:
		p.Expected, p.Type = "quotes around a value that begins with #: without them it is a remark", `"`+found+`"`
	}
	dec.problems = append(dec.problems, p)
}

// null reports ~ and null: to YAML they say that there is no value, and nobody who fills in a record means that without
// a reason. A key with nothing behind it is one that is still to be filled in.
func (dec decoder) null(n *tree.Node, f *Field, key string) {
	if !n.Null || n.Value == "" {
		return
	}
	typed := `"not known (why)"`
	switch f.Shape {
	case ShapeAmount, ShapeAmounts, ShapeNumber, ShapeNumbers:
		typed = `"not measured (why)"`
	}
	dec.at(n, key, SlipReason, n.Value, "the value, or why there is none", typed, true)
}

var hashed = regexp.MustCompile(`(?:^|[:-]) +(#[^\s#"][^"]*?|##+) *$`)

// withinCurly is what a plain scalar has between typographic quotes at its ends; empty where none stand there.
func withinCurly(n *tree.Node) string {
	const curly = "“”„‟‘’‚‛"
	first, _ := utf8.DecodeRuneInString(n.Value)
	last, _ := utf8.DecodeLastRuneInString(n.Value)
	if n.Style.Quoted() ||
		!strings.ContainsRune(curly+`"'`, first) || !strings.ContainsRune(curly+`"'`, last) ||
		!strings.ContainsRune(curly, first) && !strings.ContainsRune(curly, last) {
		return ""
	}
	inner := strings.Trim(n.Value, curly+`"' `)
	if strings.ContainsAny(inner, `"\`) {
		return ""
	}
	return inner
}

// blocks fills a block or a list of blocks.
func (dec decoder) blocks(n *tree.Node, v reflect.Value, f *Field, key string) {
	if f.List {
		items := []*tree.Node{n}
		if n.Kind == tree.List {
			items = n.Below
		} else if n.Kind == tree.Value {
			if !n.Null {
				dec.at(n, key, SlipShape, n.Value, "a list, one item a line behind a dash", "", false)
			}
			dec.null(n, f, key)
			return
		}
		for i, item := range items {
			one := reflect.New(v.Type().Elem()).Elem()
			full := f.item(key, i)
			if dec.forbidden(item.Odd, dec.placeOf(item), full) {
				continue
			}
			dec.oneBlock(item, one, f, full)
			v.Set(reflect.Append(v, one))
		}
		return
	}
	dec.oneBlock(n, v, f, key)
}

func (dec decoder) oneBlock(n *tree.Node, v reflect.Value, f *Field, key string) {
	leaf := leafOf(v)
	*leaf = Leaf{Place: dec.placeOf(n), Key: key, present: true}
	switch n.Kind {
	case tree.Group:
		dec.block(n, v, f.Fields, key)
	case tree.Value:
		if n.Null {
			leaf.present = false
			dec.null(n, f, key)
			return
		}
		leaf.Written = n.Value
		if dec.absence(n, leaf) {
			return
		}
		if f.Short != "" {
			short := fieldNamed(f.Fields, f.Short)
			dec.value(n, v.Field(short.index), short, key)
			return
		}
		leaf.present = false
		if dec.joined(n.Value, dec.placeOf(n), f.Fields, key) {
			return
		}
		dec.at(n, key, SlipShape, n.Value, "a group of keys such as {"+f.Fields[0].Key+": …}, or a reason: not done (why)",
			"", false)
	default:
		leaf.present = false
		dec.at(n, key, SlipShape, shown(n), "a group of keys", "", false)
	}
}

var nothing = regexp.MustCompile(`^(?i)(none|nil|no|-|–)$`)

// list fills a list of scalars; a single value is a list of one.
func (dec decoder) list(n *tree.Node, v reflect.Value, f *Field, key string) {
	items := []*tree.Node{n}
	switch n.Kind {
	case tree.List:
		items = n.Below
	case tree.Group:
		leafOf(v).present = false
		dec.at(n, key, SlipShape, shown(n), "a list such as [a, b, c]", "", false)
		return
	}
	// an empty list, as people say it
	if n.Kind == tree.Value && f.Shape == ShapeNumbers && nothing.MatchString(n.Value) {
		dec.at(n, key, SlipWord, n.Value, "[], a list of none", "[]", true)
		return
	}
	single := n.Kind == tree.Value
	if len(items) == 1 && items[0].Kind == tree.Value && f.Shape != ShapeTexts {
		if meant, ok := dec.unlisted(items[0], f, key, !single); ok {
			items, single = meant, false
		}
	}
	each := v.FieldByName("Each")
	one := *f
	switch f.Shape {
	case ShapeAmounts:
		one.Shape = ShapeAmount
	case ShapeNumbers:
		one.Shape = ShapeNumber
	case ShapeTexts:
		one.Shape = ShapeText
	case ShapeSerials:
		one.Shape = ShapeSerial
	case ShapeWords:
		one.Shape = ShapeWord
	}
	each.Grow(len(items))
	for i, item := range items {
		full := key
		if !single {
			full = f.item(key, i)
		}
		if dec.forbidden(item.Odd, dec.placeOf(item), full) {
			continue
		}
		each.SetLen(each.Len() + 1)
		dec.value(item, each.Index(each.Len()-1), &one, full)
	}
}

// Absences are the words that may follow "not" where a value is missing, as alternatives of a pattern: not measured
// (why).
const Absences = `measured|done|looked at|noted|counted|taken|recorded|known|read|readable|tested|checked|applicable|available|stated|given|yet`

var absent = regexp.MustCompile(`^(?i)(not\s+(?:` + Absences + `))\s*(?:\((.*?)\)?\s*)?$`)

// absence reads "not measured (why)".
func (dec decoder) absence(n *tree.Node, leaf *Leaf) bool {
	text := strings.TrimSpace(n.Value)
	if len(text) < len("not") || !strings.EqualFold(text[:len("not")], "not") {
		return false
	}
	m := absent.FindStringSubmatch(text)
	if m == nil {
		return false
	}
	leaf.Not, leaf.Why = strings.ToLower(m[1]), strings.TrimSpace(m[2])
	if leaf.Why == "why" { // what a message says to type, typed as it stands
		leaf.Why = ""
	}
	if leaf.Why == "" {
		dec.at(n, leaf.Key, SlipReason, n.Value, "the reason in brackets", `"`+leaf.Not+` (why)"`, true)
	}
	return true
}
