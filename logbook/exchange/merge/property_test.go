package merge

import (
	"bytes"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	_ "needlebook/example-vessel/invent/draw"
	"needlebook/logbook"
)

// item is a record in the making: a value, a group, or a list, laid out in one of several ways.
type item struct {
	key, above, behind string
	value              string // as written
	items              []*item
	list, flow         bool
}

// nasty are values as people and machines write them: what quotes, brackets, colons and marks do to a reader.
var nasty = []string{"300 bar", `"it's: odd, {really}"`, `'a ''b'' # c'`, `"esc \" , } ] \\"`, "not measured (lens broken)", "", "~", "0340", "2024-04-02", "Ø 0.35 mm",
	`"日本 # x"`, "<<<<<<< x", "-5", `"=======: y"`, "'---'"}

var blockOnly = []string{"|\n%s  several\n%s\n%s  # lines\n", "don't, you know", ">-\n%s  folded\n%s  text\n"}

func drawValue(t *rapid.T, flow bool) string {
	if !flow && rapid.IntRange(0, 6).Draw(t, "block only") == 0 {
		return rapid.SampledFrom(blockOnly).Draw(t, "value")
	}
	return rapid.SampledFrom(nasty).Draw(t, "value")
}

var keys = []string{"holder", "as_found", "gauge", "measured", "corrections", "tries", "photos", "date", "what", "by", "opening_pressure", "unheard_of"}

var remarkNumber int

func drawItem(t *rapid.T, key string, depth int, flow bool) *item {
	it := &item{key: key, flow: flow || rapid.IntRange(0, 2).Draw(t, "flow") == 0}
	remarkNumber++
	if !flow && rapid.IntRange(0, 5).Draw(t, "above") == 0 {
		it.above = fmt.Sprintf("# above%d it's", remarkNumber)
	}
	if !flow && rapid.IntRange(0, 5).Draw(t, "behind") == 0 {
		it.behind = fmt.Sprintf(" # behind%d, }", remarkNumber)
	}
	switch kind := rapid.IntRange(0, 3).Draw(t, "kind"); {
	case depth > 2 || kind < 2:
		it.value = drawValue(t, flow)
	case kind == 2:
		it.items = drawItems(t, depth+1, it.flow)
	default:
		it.list = true
		for range rapid.IntRange(1, 3).Draw(t, "items") {
			it.items = append(it.items, drawItem(t, "", depth+1, it.flow))
		}
	}
	if strings.Contains(it.value, "%s") {
		it.behind = ""
	}
	return it
}

func drawItems(t *rapid.T, depth int, flow bool) []*item {
	var all []*item
	for _, k := range rapid.SliceOfNDistinct(rapid.SampledFrom(keys), 1, 4, rapid.ID).Draw(t, "keys") {
		all = append(all, drawItem(t, k, depth, flow))
	}
	return all
}

func (it *item) copy() *item {
	c := *it
	c.items = nil
	for _, x := range it.items {
		c.items = append(c.items, x.copy())
	}
	return &c
}

// write lays an item out.
func (it *item) write(b *strings.Builder, indent string) {
	if it.above != "" {
		b.WriteString(indent + it.above + "\n")
	}
	head := it.key + ":"
	if it.key == "" {
		head = "-"
	}
	b.WriteString(indent + head)
	switch {
	case it.items == nil && strings.Contains(it.value, "%s"):
		b.WriteString(" " + strings.ReplaceAll(it.value, "%s", indent))
		return
	case it.items == nil && it.value == "":
	case it.items == nil:
		b.WriteString(" " + it.value)
	case it.flow:
		b.WriteString(" ")
		it.inBrackets(b)
	default:
		b.WriteString(it.behind + "\n")
		for _, x := range it.items {
			x.write(b, indent+"  ")
		}
		return
	}
	b.WriteString(it.behind + "\n")
}

func (it *item) inBrackets(b *strings.Builder) {
	if it.items == nil {
		b.WriteString(it.value)
		return
	}
	open, end := "{", "}"
	if it.list {
		open, end = "[", "]"
	}
	b.WriteString(open)
	for i, x := range it.items {
		if i > 0 {
			b.WriteString(", ")
		}
		if !it.list {
			b.WriteString(x.key + ": ")
		}
		if it.list && x.items == nil && x.value == "" {
			b.WriteString("~")
		}
		x.inBrackets(b)
	}
	b.WriteString(end)
}

type draft struct {
	root    []*item
	remarks []string
	eol     string
}

func (d draft) text() []byte {
	var b strings.Builder
	b.WriteString("---\n")
	for _, it := range d.root {
		it.write(&b, "")
	}
	b.WriteString("---\n" + strings.Join(d.remarks, ""))
	return []byte(strings.ReplaceAll(b.String(), "\n", d.eol))
}

var remarkLines = []string{"\n", "plain\n", "=======\n", "<<<<<<< HEAD\n", "---\n", "# head\n", "- [ ] 0,76 Bar\n", "  indented: yes\n"}

// edit is one hand's work between two syncs.
func (d draft) edit(t *rapid.T, name string) draft {
	out := draft{eol: d.eol, remarks: slices.Clone(d.remarks)}
	for _, it := range d.root {
		out.root = append(out.root, it.copy())
	}
	var all []*[]*item
	for range rapid.IntRange(1, 3).Draw(t, name) {
		all = all[:0]
		var walk func(list *[]*item)
		walk = func(list *[]*item) {
			all = append(all, list)
			for _, it := range *list {
				if it.items != nil {
					walk(&it.items)
				}
			}
		}
		walk(&out.root)
		list := rapid.SampledFrom(all).Draw(t, "list")
		at := rapid.IntRange(0, len(*list)-1).Draw(t, "at")
		one := (*list)[at]
		flow := one.flow && slices.ContainsFunc(all, func(l *[]*item) bool { return l == list && l != &out.root })
		remarkNumber++
		switch rapid.IntRange(0, 5).Draw(t, "what") {
		case 0, 1:
			if one.items == nil && !strings.Contains(one.value, "%s") {
				one.value = rapid.SampledFrom(nasty[:12]).Draw(t, "value")
			}
		case 2:
			if len(*list) > 1 {
				*list = slices.Delete(*list, at, at+1)
			}
		case 3:
			k := one.key
			if k != "" {
				k = rapid.SampledFrom(keys).Draw(t, "key")
			}
			if !slices.ContainsFunc(*list, func(x *item) bool { return k != "" && x.key == k }) {
				*list = slices.Insert(*list, at, drawItem(t, k, 2, flow || inBrackets(out.root, list)))
			}
		case 4:
			if !inBrackets(out.root, list) && !strings.Contains(one.value, "%s") {
				one.behind = fmt.Sprintf(" # behind%d", remarkNumber)
			}
		default:
			out.remarks = edited(t, "remarks", out.remarks, []string{"ours or theirs\n", "=======\n", ">>>>>>> x\n", "---\n"})
		}
	}
	return out
}

// inBrackets says whether a list of items is laid out in brackets.
func inBrackets(root []*item, list *[]*item) bool {
	for _, it := range root {
		if it.items != nil && (&it.items == list && it.flow || it.flow && contains(it.items, list) || inBrackets(it.items, list)) {
			return true
		}
	}
	return false
}

func contains(items []*item, list *[]*item) bool {
	return slices.ContainsFunc(items, func(it *item) bool { return &it.items == list || contains(it.items, list) })
}

var place = regexp.MustCompile(`\[[0-9]+\]`)

// said counts the values of a text, by key without the places in lists, the lines of its remarks, and the marks of its comments;
// of a text without keys its lines.
func said(text []byte, keys bool) map[string]int {
	all := map[string]int{}
	if !keys {
		for _, l := range lines(text) {
			all[l]++
		}
		return all
	}
	for _, v := range logbook.Values(text) {
		if v.Path == "remarks" {
			continue
		}
		all[place.ReplaceAllString(v.Path, "[]")+" = "+v.Written]++
	}
	for _, m := range comment.FindAllString(string(text), -1) {
		all[m]++
	}
	if _, body, ok := bytes.Cut(bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))[4:], []byte("\n---\n")); ok {
		for _, l := range lines(body) {
			all["line "+l]++
		}
	}
	return all
}

var comment = regexp.MustCompile(`(above|behind)[0-9]+`)

// decided takes git's markers out of a text, keeping one side: written anew, so that the markers are read as git reads them.
func decided(text []byte, ours bool) []byte {
	size := 0
	for _, l := range lines(text) {
		if strings.HasPrefix(l, "<<<<<<<") && strings.HasSuffix(strings.TrimRight(l, "\r\n"), " aboard") {
			size = len(l) - len(strings.TrimLeft(l, "<"))
		}
	}
	if size == 0 {
		return text
	}
	var out []string
	in := byte(0)
	for _, l := range lines(text) {
		bare := strings.TrimRight(l, "\r\n")
		switch {
		case bare == strings.Repeat("<", size)+" aboard":
			in = '<'
		case bare == strings.Repeat("=", size) && in == '<':
			in = '='
		case bare == strings.Repeat(">", size)+" ashore" && in == '=':
			in = 0
		case in == 0 || (in == '<') == ours:
			out = append(out, l)
		}
	}
	return joined(out)
}

// Whatever either side wrote stands in the proposal, or in its part of a contradiction; what nobody wrote stands nowhere; and what
// one side took out is gone, unless the other changed it.
func TestNothingIsLostAndNothingInvented(t *testing.T) {
	whole, proposals, apart, judged := 0, 0, 0, 0
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		d := draft{root: drawItems(t, 0, false), eol: rapid.SampledFrom([]string{"\n", "\n", "\n", "\r\n"}).Draw(t, "eol"),
			remarks: rapid.SliceOfN(rapid.SampledFrom(remarkLines), 0, 6).Draw(t, "remarks")}
		a, z := d.edit(t, "ours"), d.edit(t, "theirs")
		base, us, them := d.text(), a.text(), z.text()
		if rapid.IntRange(0, 9).Draw(t, "begun twice") == 0 {
			base = nil
		}
		if bytes.Equal(us, them) || bytes.Equal(us, base) || bytes.Equal(them, base) {
			return
		}
		out := File(Sides{Path: "overhauls/me1/c1/2024-04-02-h-115.md", Base: base, Ours: us, Theirs: them, Here: "aboard", There: "ashore"})
		if out.Clean {
			t.Fatalf("a record that both sides changed is merged silently")
		}
		switch {
		case out.Plain != "":
			whole++
		case out.Text != nil:
			proposals++
		default:
			apart++
		}
		keys := out.Plain == ""
		was := map[string]int{}
		if base != nil {
			was = said(base, keys)
		}
		one, two := said(us, keys), said(them, keys)
		for i, side := range []map[string]int{one, two} {
			text := decided(out.Marked, i == 0)
			got := said(text, keys)
			for what, n := range side {
				if n > was[what] && got[what] == 0 {
					t.Fatalf("side %d wrote %q, which is lost\nbase:\n%s\nours:\n%s\ntheirs:\n%s\nmarked (%s):\n%s", i, what, base, us, them, out.Plain, out.Marked)
				}
			}
			for what, n := range got {
				if n > one[what]+two[what] {
					t.Fatalf("nobody wrote %q\nbase:\n%s\nours:\n%s\ntheirs:\n%s\nmarked (%s):\n%s", what, base, us, them, out.Plain, out.Marked)
				}
			}
		}
		if out.Text != nil && out.Plain == "" {
			got := said(out.Text, true)
			for what, n := range was {
				if strings.Contains(what, " = ") && !strings.Contains(what, "[]") && n == 1 && got[what] > 0 && (one[what] == 0 && two[what] == 1 || one[what] == 1 && two[what] == 0) {
					t.Fatalf("%q was taken out by one side and stands\nbase:\n%s\nours:\n%s\ntheirs:\n%s\nproposal:\n%s", what, base, us, them, out.Text)
				}
			}
			if base != nil && asGit(t, dir, base, us, them, out.Text) {
				judged++
			}
		}
	})
	t.Logf("%d by lines, %d proposals, %d of them held against git, %d contradictions", whole, proposals, judged, apart)
	if whole > proposals || proposals == 0 || apart == 0 || judged == 0 {
		t.Errorf("%d by lines, %d proposals, %d of them held against git, %d contradictions: the test looks at too little", whole, proposals, judged, apart)
	}
}

// asGit holds a proposal against git's merge by lines, where that is clean and reads as a record without a key twice, and says
// whether it did. Where a line repeats, in a text or in what git makes of them, there are several ways to read a change, and a line
// that both sides added in two places stands twice at git's: there git is no judge. The dashes around the front matter repeat in
// every record; git is asked with lines in their place that do not.
func asGit(t *rapid.T, dir string, base, us, them, text []byte) bool {
	want, clean := gitMerge(t, dir, fenced(base), fenced(us), fenced(them))
	if !clean || repeats(fenced(base)) || repeats(fenced(us)) || repeats(fenced(them)) || repeats(want) {
		return false
	}
	want = bytes.Replace(bytes.Replace(want, []byte("--- opens"), []byte("---"), 1), []byte("--- closes"), []byte("---"), 1)
	if logbook.TreeOf(want).Doubt != "" {
		return false
	}
	if a, b := said(want, true), said(text, true); !maps.Equal(a, b) {
		t.Fatalf("git merges to something else\nbase:\n%s\nours:\n%s\ntheirs:\n%s\ngit:\n%s\nproposal:\n%s", base, us, them, want, text)
	}
	return true
}

// fenced is a record whose two lines of dashes differ.
func fenced(text []byte) []byte {
	text = bytes.Replace(text, []byte("---"), []byte("--- opens"), 1)
	return bytes.Replace(text, []byte("\n---"), []byte("\n--- closes"), 1)
}

// repeats says that a line stands twice in a text; blank lines count.
func repeats(text []byte) bool {
	all := lines(text)
	slices.Sort(all)
	return len(slices.Compact(all)) < len(lines(text))
}

func FuzzFile(f *testing.F) {
	f.Add([]byte(record), []byte(strings.Replace(record, "ME2", "ME1", 1)), []byte(strings.Replace(record, "PG-01", "PG-02", 1)))
	f.Add([]byte("---\na: 1\n---\n"), []byte("---\na: 2\n---\n"), []byte("---\na: 3\n---"))
	f.Add([]byte("---\na:\n- b: 1\n---\n"), []byte("---\na:\n- b: 2\n---\n"), []byte("---\na:\n- b: 1\n  c: {d: [1,], \"e\":\"f\"}\n---\n"))
	f.Fuzz(func(t *testing.T, base, us, them []byte) {
		out := File(Sides{Path: "overhauls/me1/c1/x.md", Base: base, Ours: us, Theirs: them, Here: "aboard", There: "ashore"})
		if out.Text != nil && !bytes.Equal(out.Text, out.Marked) {
			t.Errorf("a proposal that is not what lies in the folder")
		}
		if bytes.Equal(base, us) && base != nil && out.Plain == "" && !bytes.Equal(out.Text, withLineEnd(them, lineEnd(us))) {
			t.Errorf("only theirs changed, but %q came of it, want %q", out.Text, them)
		}
		if bytes.Equal(base, them) && base != nil && out.Plain == "" && !bytes.Equal(out.Text, us) {
			t.Errorf("only ours changed, but %q came of it, want %q", out.Text, us)
		}
	})
}
