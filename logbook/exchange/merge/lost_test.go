package merge

import (
	"fmt"
	"testing"
)

// What a hand leaves out of a file without keys is told line by line.
func TestLostLines(t *testing.T) {
	out := File(Sides{Path: "readme.md", Base: []byte("one\ntwo\nthree\n"), Ours: []byte("one\nour two\n"), Theirs: []byte("one\ntheir two\nthree\n")})
	for text, want := range map[string]string{
		"one\nour two\n":                   "[{line 2 their two three}]",
		"one\nour two\ntheir two\nthree\n": "[]",
		"one\n":                            "[{line 2 our two} {line 2 their two three}]",
	} {
		if got := fmt.Sprint(out.Lost([]byte(text))); got != want {
			t.Errorf("Lost(%q) = %s, want %s", text, got, want)
		}
	}
}
