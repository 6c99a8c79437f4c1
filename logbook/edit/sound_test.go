package edit

import (
	"strings"
	"testing"

	"needlebook/logbook"
)

// Whatever a reader proposes, a text in which a value says something else is not taken, and of several fragments the good ones are.
func TestSoundRefusesAnotherMeaning(t *testing.T) {
	const name, src = "limits/t.md", "---\nrevisions:\n  - from: 2024-01-01\n    leak_down: {as_left: 2,5 s .., new: 3,5 s ..}\n---\n"
	before, problems := logbook.Meanings(name, []byte(src))
	pg := pageOf(name, []byte(src))
	put := func(was, is string) fragment {
		at := strings.Index(src, was)
		return fragment{at, at + len(was), is, problems[0]}
	}
	good, other := put("3,5", "3.5"), put("2,5 s ..", "2.5 s .. 40 s")
	refused := 0
	some := pg.sound(before, problems, []fragment{other, good}, func(f fragment) {
		refused++
		if f.put != other.put {
			t.Errorf("refused %q", f.put)
		}
	})
	if refused != 1 || len(some) != 1 || some[0].put != good.put {
		t.Errorf("%d refused, taken %+v; want the one that keeps the meaning", refused, some)
	}
}
