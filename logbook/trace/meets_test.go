package trace_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"needlebook/logbook"
)

// holdsMark says that a trail says something of one of its commits, or in its headline.
func holdsMark(trail *logbook.Trail, words string) bool {
	return strings.Contains(trail.Headline, words) || slices.ContainsFunc(trail.Commits, func(c logbook.Commit) bool {
		return strings.Contains(strings.Join(c.Marks, "\n"), words) || slices.ContainsFunc(c.Changes, func(p logbook.PathChange) bool {
			return strings.Contains(p.NotHis, words)
		})
	})
}

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
			x := s.from([]int{0}, shore, "signers/allowed_signers", lines(shore, berg, ivanov)+line("second@chief-engineer", []string{"engineer", "chief"}, "", ""))
			y := s.from([]int{0}, berg, "signers/allowed_signers", lines(shore, berg, ivanov, reyes))
			m := s.from([]int{x, y}, ivanov, "signers/allowed_signers", lines(shore, berg, ivanov, reyes)+line("second@chief-engineer", []string{"engineer", "chief"}, "", ""))
			s.from([]int{m}, reyes, record, overhaul())
			return s
		}, "proved"},
		{"an engineer joins two declarations", twoDeclared(t, ivanov, "ab"), "proved"},
		{"an engineer joins two declarations in the other order", twoDeclared(t, ivanov, "ba"), "proved"},
		{"a chief joins the office's declaration of an office's key", twoDeclared(t, berg, "ab"), "proved"},
		{"an engineer joins two declarations and drops one", twoDeclared(t, ivanov, "b"), "drops signers/withdrawn as commit"},
		{"an engineer joins two declarations and makes one", twoDeclared(t, ivanov, "abc"), "signers/withdrawn is for chief or superintendent"},
		{"a chief keeps his side of two declarations", twoDeclared(t, berg, "kept"), "drops signers/withdrawn as commit"},
		{"a superintendent ends a declaration in a merge", twoDeclared(t, shore, "c"), "proved"},
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
		{"a line that quotes, told in quotes", quoting("Line 2.\n\nLine 1 was \"Line 1 \\\"as read\\\".\"\n"), "proved"},
		{"a line that quotes, not told", quoting("Line 2.\n\nLine 1 was \"Line 1\".\n"), "drops handovers/a.md as commit"},
		{"put back to what the other side changed since", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul("a", "1"))
			x := s.from([]int{1}, ivanov, record, overhaul("a", "2"))
			s.from([]int{1}, berg, record, overhaul("a", "3"))
			y := s.by(berg, record, overhaul("a", "1"))
			s.from([]int{x, y}, berg, record, overhaul("a", "2"))
			return s
		}, "proved"},
		{"put back where the other side had taken it out before", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul("a", "1", "b", "1"))
			s.by(ivanov, record, overhaul("b", "1"))
			x := s.from([]int{2}, ivanov, "overhauls/me1/c2/2024-01-01-h-9.md", overhaul("a", "1"))
			y := s.from([]int{2}, berg, record, overhaul("a", "1", "b", "1"))
			s.from([]int{x, y}, ivanov, record, overhaul("b", "1"))
			return s
		}, "drops " + record + " as commit"},
		{"put back on both sides", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul("a", "1", "b", "1"))
			s.from([]int{1}, ivanov, record, overhaul("b", "1"))
			x := s.by(ivanov, record, overhaul("a", "1", "b", "1"))
			s.from([]int{1}, berg, record, overhaul("b", "1"))
			y := s.by(berg, record, overhaul("a", "1", "b", "1"))
			s.from([]int{x, y}, ivanov, record, overhaul("b", "1"))
			return s
		}, "drops " + record + " as commit"},
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

// quoting is a history in which one side quotes, the other writes something else, and the merge has a text of its own.
func quoting(result string) func() *tale {
	return func() *tale {
		s := found(shore, berg, ivanov)
		x := s.from([]int{0}, ivanov, "handovers/a.md", "Line 1 \"as read\".\n")
		y := s.from([]int{0}, berg, "handovers/a.md", "Line 2.\n")
		s.from([]int{x, y}, berg, "handovers/a.md", result)
		return s
	}
}

// twoDeclared is a history in which two sides declared a key each, none of which signs after that, and somebody
// merges: the office's one of a superintendent (a), the chief's one of an engineer (b); c is a third.
func twoDeclared(t *testing.T, who, result string) func() *tale {
	return func() *tale {
		s := &tale{}
		second := line(reyes, []string{"superintendent"}, "20240101", "")
		s.by(shore, "signers/allowed_signers", lines(shore, berg, ivanov)+second+line(nobody, []string{"engineer"}, "20240101", ""))
		text := map[rune]string{}
		for letter, name := range map[rune]string{'a': reyes, 'b': nobody, 'c': "third@engineer"} {
			text[letter] = print(name) + " compromised last-good=none stolen\n"
		}
		x := s.from([]int{0}, shore, "signers/withdrawn", text['a'])
		y := s.from([]int{0}, berg, "signers/withdrawn", text['b'])
		if result == "kept" {
			s.from([]int{y, x}, who)
			return s
		}
		joined := ""
		for _, letter := range result {
			joined += text[letter]
		}
		s.from([]int{x, y}, who, "signers/withdrawn", joined)
		return s
	}
}

// Two sides narrowed, confirmed or took out the line of one key. Whoever joins them takes what ends first; who may
// change the line decides.
func TestMergesOfOneLine(t *testing.T) {
	const june, july, may = "20240601", "20240701", "20240501"
	his := func(before string) string { return line(ivanov, roles[ivanov], "20240101", before) }
	said := func(l, remark string) string { return strings.TrimSuffix(l, "\n") + " " + remark + "\n" }
	chiefs := func(before string) string { return line(ivanov, []string{"engineer", "chief"}, "20240101", before) }
	const notHis, drops, out = "signers/allowed_signers is for chief or superintendent", "drops signers/allowed_signers as commit", ""
	for _, c := range []struct {
		name           string
		base, one, two string // his line before, as the superintendent has it, as the chief has it
		who, result    string
		want           string
	}{
		{"the earlier end, by the superintendent", his(""), his(june), his(july), shore, his(june), "proved"},
		{"the earlier end, by an engineer", his(""), his(june), his(july), reyes, his(june), "proved"},
		{"the earlier end of the other side, by an engineer", his(""), his(july), his(june), reyes, his(june), "proved"},
		{"the later end, by an engineer", his(""), his(june), his(july), reyes, his(july), notHis},
		{"the later end of the other side, by an engineer", his(""), his(july), his(june), reyes, his(july), notHis},
		{"the later end, by the chief", his(""), his(june), his(july), berg, his(july), "proved"},
		{"the later end, by the superintendent", his(""), his(july), his(june), shore, his(july), "proved"},
		{"a third end, by the superintendent", his(""), his(june), his(july), shore, his(may), "proved"},
		{"a later third end, by the chief", his(""), his(june), his(july), berg, his("20240801"), "proved"},
		{"a third end, by an engineer", his(""), his(june), his(july), reyes, his(may), notHis},
		{"the line of before, by an engineer", his(""), his(june), his(july), reyes, his(""), drops},
		{"the line of before, by the superintendent", his(""), his(june), his(july), shore, his(""), "proved"},
		{"taken out by the chief's merge", his(""), his(june), his(july), berg, out, "proved"},
		{"taken out by an engineer's merge", his(""), his(june), his(july), reyes, out, drops},
		{"confirmed and narrowed, the narrower, by an engineer", said(his(""), "key pending"), his(""), said(his(june), "key pending"), reyes, said(his(june), "key pending"), "proved"},
		{"confirmed and narrowed, the confirmed, by an engineer", said(his(""), "key pending"), his(""), said(his(june), "key pending"), reyes, his(""), notHis},
		{"confirmed and narrowed, both, by the superintendent", said(his(""), "key pending"), his(""), said(his(june), "key pending"), shore, his(june), "proved"},
		{"two remarks, one of them, by an engineer", his(""), said(his(""), "ashore"), said(his(""), "aboard"), reyes, said(his(""), "aboard"), "proved"},
		{"taken out on one side and narrowed on the other, out, by an engineer", his(""), out, his(june), reyes, out, "proved"},
		{"taken out on one side and narrowed on the other, narrowed, by an engineer", his(""), out, his(june), reyes, his(june), drops},
		{"taken out on one side and narrowed on the other, narrowed, by the superintendent", his(""), out, his(june), shore, his(june), drops},
		{"signed off on one side and narrowed on the other, the latter by the superintendent", his(""), his(noon), his(june), shore, his(june), drops},
		{"taken out on one side, and let in anew by the superintendent's merge", his(""), out, his(june), shore, his(july), "proved"},
		{"taken out on one side, and let in anew by an engineer's merge", his(""), out, his(june), reyes, his(july), notHis},
		{"narrowed on one side, wide again in the chief's merge", his(""), his(june), his(""), berg, his(""), drops},
		{"made chief and narrowed, as the chief has it, by an engineer", his(""), chiefs(""), his(june), reyes, his(june), "proved"},
		{"made chief and narrowed, the chief, by an engineer", his(""), chiefs(""), his(june), reyes, chiefs(""), notHis},
		{"made chief and narrowed, made chief, by the chief", his(""), chiefs(""), his(june), berg, chiefs(""), "a chief lets engineers in or out"},
		{"a key let in under two names, one of them, by an engineer", out, his(""), strings.Replace(his(""), ivanov, "petrov@engineer", 1), reyes, his(""), notHis},
		{"a key let in under two names, one of them, by the superintendent", out, his(""), strings.Replace(his(""), ivanov, "petrov@engineer", 1), shore, his(""), "proved"},
		{"a key let in under two names, one of them, by the chief", out, his(""), strings.Replace(his(""), ivanov, "petrov@engineer", 1), berg, his(""), "proved"},
		{"the key under another name, by an engineer", his(""), his(june), his(july), reyes, strings.Replace(his(june), ivanov, "petrov@engineer", 1), notHis},
	} {
		for _, other := range []bool{false, true} { // either side first
			all := lines(shore, berg, reyes)
			s := &tale{}
			s.by(shore, "signers/allowed_signers", all+c.base)
			x := s.from([]int{0}, shore, "signers/allowed_signers", all+c.one+"# ashore\n")
			y := s.from([]int{0}, berg, "signers/allowed_signers", all+c.two+"# aboard\n")
			sides := []int{x, y}
			if other {
				sides = []int{y, x}
			}
			s.from(sides, c.who, "signers/allowed_signers", all+c.result+"# ashore\n# aboard\n")
			dir, ids := s.book(t)
			trail := read(t, dir, ids)
			if trail.Proved != (c.want == "proved") || !holdsMark(trail, c.want) {
				t.Errorf("%s: %s; want %q", c.name, trail.Headline, c.want)
			}
			// whose line comes back is told by the commit that took it out
			if gone := drops + " " + ids[x][:12]; c.one == out && c.want == drops && !holdsMark(trail, gone) {
				t.Errorf("%s: nothing says %q: %q", c.name, gone, trail.Commits[len(ids)-1].Marks)
			}
		}
	}
}

// Remarks of the register, and a line of no form, are for the office and the chief to take out, in a text of the merge's own: what is one
// side's text is nobody's decision. A merge by an engineer that leaves one out is named.
func TestRemarksOfTheRegister(t *testing.T) {
	const kept, ashore, aboard, formless = "# kept\n", "# ashore\n", "# aboard\n", "* ssh-ed25519 AAAA\n"
	for _, c := range []struct {
		name, more, who, result string
		drops                   bool
	}{
		{"all of them, by an engineer", "", reyes, kept + ashore + aboard, false},
		{"without the one of before, by an engineer", "", reyes, ashore + aboard, true},
		{"without the one of before, by the chief", "", berg, ashore + aboard, false},
		{"without the one of before, by the superintendent", "", shore, ashore + aboard, false},
		{"one side's text, by an engineer", "", reyes, kept + ashore, true},
		{"one side's text, by the chief", "", berg, kept + ashore, true},
		{"one side's text, by the superintendent", "", shore, kept + ashore, true},
		{"without a line of no form, by the chief", formless, berg, kept + ashore + aboard, true},
		{"without a line of no form, by the superintendent", formless, shore, kept + ashore + aboard, false},
	} {
		all := lines(shore, berg, reyes)
		s := &tale{}
		s.by(shore, "signers/allowed_signers", all+kept)
		x := s.from([]int{0}, shore, "signers/allowed_signers", all+kept+ashore)
		y := s.from([]int{0}, berg, "signers/allowed_signers", all+kept+aboard+c.more)
		merge := s.from([]int{x, y}, c.who, "signers/allowed_signers", all+c.result)
		dir, ids := s.book(t)
		trail := read(t, dir, ids)
		marks := strings.Join(trail.Commits[merge].Marks, "\n")
		if strings.Contains(marks, "drops signers/allowed_signers as commit") != c.drops || trail.Proved != (!c.drops && c.more == "") {
			t.Errorf("%s: %s; the merge: %q", c.name, trail.Headline, marks)
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
