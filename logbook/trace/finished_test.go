package trace_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/joining"
	"needlebook/logbook/trace"
)

// Who may sign a merge that was left to somebody is answered alike before it is signed and when the history is judged: what the one
// refuses the other holds against its signer, and what it takes is proved.
func TestWhoMayFinishAMerge(t *testing.T) {
	const record = "overhauls/me1/c1/2024-01-01-h-1.md"
	crew := func(rows string) string { return "id,name\na,A\n" + rows }
	limits := func(value string) string { return "---\ntype: QZ\nnote: " + value + "\n---\n" }
	for _, c := range []struct {
		name, path, base, one, two, result string
		may                                []string
	}{
		{"a record alone", record, overhaul("by", "a"), overhaul("by", "b"), overhaul("by", "c"), overhaul("by", "d"), []string{berg, ivanov}},
		{"the crew joined", "crew.csv", crew(""), crew("b,B\n"), crew("c,C\n"), "", []string{berg, ivanov}},
		{"the crew joined, and one more", "crew.csv", crew(""), crew("b,B\n"), crew("c,C\n"), crew("b,B\nc,C\nd,D\n"), []string{berg}},
		{"the limits of both", "limits/qz2.md", limits("1"), limits("2"), limits("3"), limits("4"), []string{shore}},
	} {
		for _, who := range []string{shore, berg, ivanov} {
			s, with := found(shore, berg, ivanov), func(text, by string) []string {
				if c.path == "crew.csv" { // a record that waits keeps the merge open
					return []string{c.path, text, record, overhaul("by", by)}
				}
				return []string{c.path, text}
			}
			s.by(shore, with(c.base, "a")...)
			y := s.from([]int{1}, shore, with(c.two, "c")...)
			s.from([]int{1}, shore, with(c.one, "b")...)
			dir, ids := s.book(t)
			d := exchange.Draft{Message: "merge", Author: exchange.Person{Name: who, Email: "x@y", When: zero.Add(9e12)}, Signer: key(who)}
			any := func(string) string { return "" }
			taken, err := joining.TakeIn(t.Context(), dir, ids[y], d, any)
			if err != nil || len(taken.Conflicts) == 0 {
				t.Fatalf("%s: %v, %+v", c.name, err, taken)
			}
			for _, k := range taken.Conflicts {
				text := overhaul("by", "d")
				if k.Sides.Path == c.path {
					text = c.result
				}
				settle(t, dir, k.Sides.Path, text)
			}
			if c.path == "crew.csv" && c.result != "" { // as somebody with git adds to what was joined
				write(t, dir, c.path, c.result)
				if out, ok := oracle(t, dir, nil, "git", "add", c.path); !ok {
					t.Fatal(out)
				}
			}
			_, err = joining.FinishMerge(dir, d, func(p string) string { return trace.NotHis(p, roles[who]) })
			var notHis *joining.NotAllowedError
			taking := err == nil
			if err != nil && !errors.As(err, &notHis) {
				t.Fatalf("%s by %s: %v", c.name, who, err)
			}
			if !taking {
				if _, err := joining.FinishMerge(dir, d, any); err != nil {
					t.Fatal(err)
				}
			}
			trail := read(t, dir, ids)
			stands := trail.Commits[len(trail.Commits)-1].Stands
			may := false
			for _, m := range c.may {
				may = may || m == who
			}
			if taking != may || stands != may {
				t.Errorf("%s by %s: taken %v, proved %v, want %v: %+v", c.name, who, taking, stands, may, trail.Commits[len(trail.Commits)-1])
			}
		}
	}
}

// settle decides one file of an open merge.
func settle(t *testing.T, dir, path, text string) {
	t.Helper()
	lies, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(path)))
	if err == nil {
		_, err = joining.Resolve(dir, path, lies, []byte(text))
	}
	if err != nil {
		t.Fatal(err)
	}
}
