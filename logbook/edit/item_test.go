package edit_test

import (
	"testing"

	"needlebook/logbook/edit"
)

func TestAddItem(t *testing.T) {
	for _, c := range []struct{ name, src, want string }{
		{"none yet", "---\nholder: H\nby: x\n---\nr\n", "---\nholder: H\ncorrections:\n  - {n: 2}\nby: x\n---\nr\n"},
		{"in a list of lines", "---\ncorrections:\n  - {n: 1} # y\n\n# z\nby: x\n---\n", "---\ncorrections:\n  - {n: 1} # y\n  - {n: 2}\n\n# z\nby: x\n---\n"},
		{"behind an item of several lines", "---\ncorrections:\n- n: 1\n  m: 2\nby: x\n---\n", "---\ncorrections:\n- n: 1\n  m: 2\n- {n: 2}\nby: x\n---\n"},
		{"in brackets", "---\ncorrections: [{n: 1}]\n---\n", "---\ncorrections: [{n: 1}, {n: 2}]\n---\n"},
		{"in empty brackets", "---\ncorrections: []\n---\n", "---\ncorrections: [{n: 2}]\n---\n"},
		{"the key alone", "---\ncorrections:\nby: x\n---\n", "---\ncorrections:\n  - {n: 2}\nby: x\n---\n"},
		{"line ends stay", "---\r\nby: x\r\n---\r\n", "---\r\ncorrections:\r\n  - {n: 2}\r\nby: x\r\n---\r\n"},
	} {
		got, err := edit.AddItem([]byte(c.src), "corrections", "{n: 2}", []string{"holder", "corrections", "by"})
		if err != nil || string(got) != c.want {
			t.Errorf("%s: %q, %v; want %q", c.name, got, err, c.want)
		}
	}
	for _, src := range []string{"no dashes\n", "---\ncorrections: {n: 1}\n---\n"} {
		if got, err := edit.AddItem([]byte(src), "corrections", "{n: 2}", nil); err == nil {
			t.Errorf("AddItem(%q) = %q, want an error", src, got)
		}
	}
}
