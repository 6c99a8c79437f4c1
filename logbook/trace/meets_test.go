package trace_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// stock is a table of the stores with these rows.
func stock(rows ...string) string {
	return "date,item,change\n" + strings.Join(append(rows, ""), "\n")
}

const stores = "stores/stock.csv"

// What a merge may do to rows and values, and what it may not.
func TestMergesKeepRowsAndValues(t *testing.T) {
	all := []string{shore, berg, ivanov}
	base, a, b := "2024-01-01,nozzle,+4", "2024-01-02,nozzle,+5", "2024-01-03,ring,-1"
	two := func(result string) func() *tale {
		return func() *tale {
			s := found(all...)
			s.by(berg, stores, stock(base))
			x := s.from([]int{1}, ivanov, stores, stock(base, a))
			y := s.from([]int{1}, berg, stores, stock(base, b))
			s.from([]int{x, y}, berg, stores, result)
			return s
		}
	}
	moved := "overhauls/me1/c2/2024-01-01-h-1.md"
	for _, c := range []struct {
		name string
		tell func() *tale
		want string // of the headline
	}{
		{"both rows", two(stock(base, a, b)), "proved"},
		{"both rows, in another order", two(stock(b, base, a)), "proved"},
		{"both rows, saved with semicolons", two(strings.ReplaceAll(stock(base, a, b), ",", ";")), "proved"},
		{"a row dropped in the merge", two(stock(base, b)), "drops stores/stock.csv as commit"},
		{"a row of both dropped in the merge", two(stock(a, b)), "drops stores/stock.csv as commit"},
		{"a row changed in the merge", two(stock(base, "2024-01-02,nozzle,+6", b)), "drops stores/stock.csv as commit"},
		{"a row changed in the merge, another added", two(stock(base, "2024-01-02,nozzle,+6", b, "2024-01-04,ring,-1")), "drops stores/stock.csv as commit"},
		{"a row taken out, told in a remark", two(stock(base, b, "# counted twice: "+a)), "proved"},
		{"a row of two equal ones dropped in the merge", func() *tale {
			s := found(all...)
			s.by(berg, stores, stock(base, base))
			x := s.from([]int{1}, ivanov, stores, stock(base, base, a))
			y := s.from([]int{1}, berg, stores, stock(base, base, b))
			s.from([]int{x, y}, berg, stores, stock(base, a, b))
			return s
		}, "drops stores/stock.csv as commit"},
		{"a row that one side had taken out", func() *tale {
			s := found(all...)
			s.by(berg, stores, stock(base, a))
			x := s.from([]int{1}, ivanov, stores, stock(base))
			y := s.from([]int{1}, berg, stores, stock(base, a, b))
			s.from([]int{x, y}, berg, stores, stock(base, b))
			return s
		}, "proved"},
		{"equal rows of both sides, which git makes one", func() *tale {
			s := found(all...)
			x := s.from([]int{0}, ivanov, stores, stock(base))
			y := s.from([]int{0}, berg, stores, stock(base), "decisions/1.md", overhaul())
			s.from([]int{x, y}, berg, "decisions/1.md", overhaul())
			return s
		}, "proved"},
		// Both sides merged the other's work, the rows in another order, and went on.
		{"bags that crossed", func() *tale {
			s := found(all...)
			x := s.from([]int{0}, ivanov, stores, stock(a))
			y := s.from([]int{0}, berg, stores, stock(b))
			xy := s.from([]int{x, y}, ivanov, stores, stock(a, b))
			yx := s.from([]int{y, x}, berg, stores, stock(b, a))
			on := s.from([]int{yx}, berg, stores, stock(b, a, base))
			s.from([]int{xy, on}, ivanov, stores, stock(b, a, base))
			return s
		}, "proved"},
		{"bags that crossed, and one took a row out", func() *tale {
			s := found(all...)
			x := s.from([]int{0}, ivanov, stores, stock(a))
			y := s.from([]int{0}, berg, stores, stock(b))
			xy := s.from([]int{x, y}, ivanov, stores, stock(a, b))
			yx := s.from([]int{y, x}, berg, stores, stock(b, a))
			on := s.from([]int{yx}, berg, stores, stock(b))
			s.from([]int{xy, on}, ivanov, stores, stock(b))
			return s
		}, "proved"},
		{"bags that crossed, and a merge takes the other's row out", func() *tale {
			s := found(all...)
			x := s.from([]int{0}, ivanov, stores, stock(a))
			y := s.from([]int{0}, berg, stores, stock(b))
			xy := s.from([]int{x, y}, ivanov, stores, stock(a, b))
			yx := s.from([]int{y, x}, berg, stores, stock(b))
			s.from([]int{xy, yx}, ivanov, stores, stock(a, b))
			return s
		}, "drops stores/stock.csv as commit"},
		{"a table of the chief's joined by an engineer", func() *tale {
			s := found(all...)
			x := s.from([]int{0}, berg, "crew.csv", "id,name\na,A\n")
			y := s.from([]int{0}, shore, "crew.csv", "id,name\nb,B\n")
			s.from([]int{x, y}, ivanov, "crew.csv", "id,name\na,A\nb,B\n")
			return s
		}, "proved"},
		{"a table of the chief's joined by an engineer who adds to it", func() *tale {
			s := found(all...)
			x := s.from([]int{0}, berg, "crew.csv", "id,name\na,A\n")
			y := s.from([]int{0}, shore, "crew.csv", "id,name\nb,B\n")
			s.from([]int{x, y}, ivanov, "crew.csv", "id,name\na,A\nb,B\nc,C\n")
			return s
		}, "crew.csv is for chief or superintendent"},
		{"an engineer takes in what a superintendent and a chief let in", func() *tale {
			s := found(all...)
			x := s.from([]int{0}, shore, "hands/signers", lines(shore, berg, ivanov)+line("second@chief-engineer", []string{"engineer", "chief"}, "", ""))
			y := s.from([]int{0}, berg, "hands/signers", lines(shore, berg, ivanov, reyes))
			m := s.from([]int{x, y}, ivanov, "hands/signers", lines(shore, berg, ivanov, reyes)+line("second@chief-engineer", []string{"engineer", "chief"}, "", ""))
			s.from([]int{m}, reyes, record, overhaul())
			return s
		}, "proved"},
		{"a value changed in a merge", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul("a", "1"))
			x := s.from([]int{1}, ivanov, record, overhaul("a", "2"))
			y := s.from([]int{1}, berg, record, overhaul("a", "1", "b", "1"))
			s.from([]int{x, y}, berg, record, overhaul("a", "3", "b", "1"))
			return s
		}, "drops " + record + " as commit"},
		{"a value changed in a merge that only one side's record met", func() *tale {
			s := found(all...)
			x := s.from([]int{0}, ivanov, record, overhaul("a", "1"))
			y := s.from([]int{0}, berg, "decisions/1.md", overhaul())
			s.from([]int{x, y}, berg, record, overhaul("a", "2"), "decisions/1.md", overhaul())
			return s
		}, "drops " + record + " as commit"},
		{"a record moved on one side, and changed in the merge", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul("a", "1"))
			x := s.from([]int{1}, ivanov, record, "->"+moved)
			y := s.from([]int{1}, berg, record, overhaul("a", "1", "b", "1"))
			s.from([]int{x, y}, berg, moved, overhaul("a", "2", "b", "1"))
			return s
		}, "drops " + record + " as commit"},
		{"a value that both changed, decided by whoever merges", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul("a", "1"))
			x := s.from([]int{1}, ivanov, record, overhaul("a", "2"))
			y := s.from([]int{1}, berg, record, overhaul("a", "3"))
			s.from([]int{x, y}, berg, record, overhaul("a", "3", "why", "read again"))
			return s
		}, "proved"},
		{"the other side's version is itself a merge", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul("a", "1"))
			x := s.from([]int{1}, ivanov, record, overhaul("a", "1", "b", "1"))
			y := s.from([]int{1}, berg, record, overhaul("a", "1", "c", "1"))
			xy := s.from([]int{x, y}, ivanov, record, overhaul("a", "1", "b", "1", "c", "1"))
			yx := s.from([]int{y, x}, berg, record, overhaul("a", "1", "b", "1", "c", "1"))
			s.from([]int{xy, yx}, ivanov)
			return s
		}, "proved"},
		{"a version that is a merge, dropped", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul("a", "1"))
			x := s.from([]int{1}, ivanov, record, overhaul("a", "1", "b", "1"))
			y := s.from([]int{1}, berg, record, overhaul("a", "1", "c", "1"))
			xy := s.from([]int{x, y}, ivanov, record, overhaul("a", "1", "b", "1", "c", "1"))
			s.from([]int{y, xy}, berg)
			return s
		}, "drops " + record + " as commit"},
	} {
		dir, ids := c.tell().book(t)
		if trail := read(t, dir, ids); trail.Proved != (c.want == "proved") || !strings.Contains(trail.Headline, c.want) {
			t.Errorf("%s: %s; want %q", c.name, trail.Headline, c.want)
		}
	}
}

// A row that a merge by lines doubles, or brings back, is a fact at its line until somebody takes it out; so is one that two sides
// brought alike.
func TestRepeatedRows(t *testing.T) {
	a, b, c := "2024-01-02,nozzle,+5", "2024-01-03,ring,-1", "2024-01-04,ring,-2"
	crossed := func(s *tale) (xy, yx int) {
		x := s.from([]int{0}, ivanov, stores, stock(a))
		y := s.from([]int{0}, berg, stores, stock(b))
		return s.from([]int{x, y}, ivanov, stores, stock(a, b)), s.from([]int{y, x}, berg, stores, stock(b, a))
	}
	for _, k := range []struct {
		name string
		tell func(s *tale)
		want string // line, first, whether a merge put it there
	}{
		{"nothing", func(s *tale) { crossed(s); s.from([]int{3, 4}, berg) }, ""},
		{"doubled", func(s *tale) { xy, yx := crossed(s); s.from([]int{xy, yx}, berg, stores, stock(a, b, a)) }, "4 2 true;"},
		{"doubled, and taken out again", func(s *tale) {
			xy, yx := crossed(s)
			s.from([]int{xy, yx}, berg, stores, stock(a, b, a))
			s.by(ivanov, stores, stock(b, a))
		}, ""},
		{"doubled on both sides, and taken out on both", func(s *tale) {
			xy, yx := crossed(s)
			m := s.from([]int{xy, yx}, berg, stores, stock(a, b, a))
			p := s.from([]int{m}, berg, stores, stock(b, a))
			q := s.from([]int{m}, ivanov, stores, stock(a, b))
			s.from([]int{p, q}, berg)
		}, ""},
		{"corrected on one side, and back", func(s *tale) {
			s.by(berg, stores, stock(a))
			x := s.from([]int{1}, ivanov, stores, stock(c))
			y := s.from([]int{1}, berg, stores, stock(a, b))
			s.from([]int{x, y}, berg, stores, stock(c, a, b))
		}, "3 0 true;"},
		{"brought by both sides", func(s *tale) {
			x := s.from([]int{0}, ivanov, stores, stock(a))
			y := s.from([]int{0}, berg, stores, stock(b, a))
			s.from([]int{x, y}, berg, stores, stock(b, a, a))
		}, "4 3 false;"},
		{"written twice by one", func(s *tale) { s.by(berg, stores, stock(a)); s.by(berg, stores, stock(a, a)) }, ""},
	} {
		s := found(shore, berg, ivanov)
		k.tell(s)
		dir, ids := s.book(t)
		trail := read(t, dir, ids)
		got := ""
		for _, r := range trail.Repeated {
			got += fmt.Sprint(r.Line, " ", r.First, " ", r.Merge >= 0, ";")
			if r.Path != stores || r.Merge >= 0 && len(trail.Commits[r.Merge].Parents) < 2 || slices.Contains(r.By, -1) {
				t.Errorf("%s: %+v", k.name, r)
			}
		}
		if got != k.want || !trail.Proved {
			t.Errorf("%s: %q, %s; want %q", k.name, got, trail.Headline, k.want)
		}
	}
}
