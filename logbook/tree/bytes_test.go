package tree

import (
	"fmt"
	"strings"
	"testing"
)

// Each stretch of a record is told for what it is, and a remark that stands deeper than the next key is none of its own.
func TestStretches(t *testing.T) {
	src := []byte("---\n# top\na: 1 # so\n  # deeper\nb: {c: 'x # y'}\n# of d\nd: &e 2\n---\nbody\n")
	o := Of(src, func(t Trouble) int { return t.Line })
	names := map[SpanKind]string{Fence: "fence", Blank: "", Remark: "remark", Key: "key", Sign: "sign", Text: "text", Rest: "rest", Body: "body"}
	var got []string
	for _, s := range o.All() {
		if name := names[s.Kind]; name != "" {
			got = append(got, fmt.Sprintf("%s %q", name, strings.TrimSpace(string(src[s.From:s.To]))))
		}
	}
	const want = `fence "---", remark "# top", key "a", sign ":", text "1", remark "# so", remark "# deeper", key "b", sign ":", sign "{", ` +
		`key "c", sign ":", text "'x # y'", sign "}", remark "# of d", key "d", sign ":", rest "&e 2", fence "---", body "body"`
	if all := strings.Join(got, ", "); all != want {
		t.Errorf("stretches\n%s\nwant\n%s", all, want)
	}
	below := o.Root.Below
	for i, from := range []string{"# top\na", "b: {", "# of d\nd"} {
		if at := o.Above(below[i]); !strings.HasPrefix(string(src[at:]), from) {
			t.Errorf("the entry of %s begins at %q, want %q", below[i].Key, src[at:], from)
		}
	}
	if odd := below[2].Odd; odd == nil || *odd != (Odd{Anchor, "&e"}) || !below[2].Vague || !strings.Contains(o.Doubt, "anchor") {
		t.Errorf("the anchor is %+v, in doubt for %q", odd, o.Doubt)
	}
}

// A tab that indents is as wide as two spaces, any other as wide as a letter.
func TestPassed(t *testing.T) {
	for _, c := range []struct {
		line    string
		columns int
		at      int
		ok      bool
	}{
		{"abc", 2, 2, true}, {"\ta\tb", 2, 1, true}, {"\ta\tb", 4, 3, true}, {" \té=", 4, 4, true}, {"ab\r\n", 3, 2, false}, {"", 0, 0, true},
		{"", 1, 0, false}, {"ab", 3, 2, false}, {"ab\nc", 3, 2, false}, {"ab\rc", 3, 2, false}, {"a\t", 2, 2, true},
	} {
		if at, ok := Passed([]byte(c.line), c.columns); at != c.at || ok != c.ok {
			t.Errorf("Passed(%q, %d) = %d, %t, want %d, %t", c.line, c.columns, at, ok, c.at, c.ok)
		}
	}
}

// What YAML allows and a record does not is told as it is shown.
func TestOdd(t *testing.T) {
	for text, want := range map[string]Odd{
		"a: &x 1": {Anchor, "&x"}, "b: &y 1\na: *y": {Alias, "*y"}, "a: !!str 1": {Tag, "!!str"}, "a: !own 1": {Tag, "!own"}, "a: <<": {Merge, "<<"},
	} {
		n := new(Reader).ReadBroken(text+"\n", func(t Trouble) int { return t.Line })
		if last := n.Below[len(n.Below)-1]; last.Odd == nil || *last.Odd != want {
			t.Errorf("%s: %+v, want %+v", text, last.Odd, want)
		}
	}
	n := new(Reader).ReadBroken("x: &y {b: 1}\na: {<<: *y}\n", func(t Trouble) int { return t.Line })
	if key := n.Below[1].Below[0].OddKey; key == nil || *key != (Odd{Merge, "<<"}) {
		t.Errorf("the merge key is %+v", key)
	}
}

// A record of the largest size is taken apart, one byte more is not.
func TestLargest(t *testing.T) {
	for more, read := range map[int]bool{0: true, 1: false} {
		src := "---\na: 1\n---\n"
		src += strings.Repeat("x", Largest+more-len(src))
		if o := Of([]byte(src), func(t Trouble) int { return t.Line }); (o.Doubt == "") != read {
			t.Errorf("of %d bytes more than the most: %q", more, o.Doubt)
		}
	}
}
