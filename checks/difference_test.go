package checks

import (
	"fmt"
	"strings"
	"testing"

	"needlebook/logbook"
)

func TestDifference(t *testing.T) {
	f := func(line int, check, record, message string) Finding {
		return Finding{Place: logbook.Place{Path: "overhauls/me1/c1/" + record + ".md", Line: line, Column: 1}, Check: check, Grade: Action, Message: message, About: About{Record: record}}
	}
	in := func(path string, x Finding) Finding { x.Place.Path = path; return x }
	graded := func(g Grade, x Finding) Finding { x.Grade = g; return x }
	limited := func(source string, x Finding) Finding {
		x.Limit = &Limit{Text: "6.0 s ..", Source: source}
		return x
	}
	of := func(text string, x Finding) Finding { x.Text = text; return x }
	telling := func(message string, x Finding) Finding {
		x.tells(f(9, "y", "a", message), follows)
		return x
	}
	answered := func(x Finding) Finding { x.State = Answered; return x }
	for _, c := range []struct {
		name        string
		before, now []Finding
		want        string // + new, - gone, ~ was > is
	}{
		{"nothing", nil, nil, ""},
		{"the first", nil, []Finding{f(3, "rings", "a", "two rings")}, "+ two rings"},
		{"the last", []Finding{f(3, "rings", "a", "two rings")}, nil, "- two rings"},
		{"only the line moved", []Finding{f(3, "rings", "a", "two rings")}, []Finding{f(9, "rings", "a", "two rings")}, ""},
		{"the record moved to another folder", []Finding{f(3, "rings", "a", "two rings")}, []Finding{in("overhauls/me2/c1/a.md", f(3, "rings", "a", "two rings"))}, ""},
		{"another record", []Finding{f(3, "rings", "a", "two rings")}, []Finding{f(3, "rings", "b", "two rings")}, "+ two rings - two rings"},
		{"another figure", []Finding{f(3, "leak-down-short", "a", "leak-down 3.1 s")}, []Finding{f(3, "leak-down-short", "a", "leak-down 4 s")}, "~ leak-down 3.1 s > leak-down 4 s"},
		{"other words", []Finding{f(3, "rings", "a", "two rings")}, []Finding{f(3, "rings", "a", "not counted")}, "~ two rings > not counted"},
		{"another grade", []Finding{f(3, "rings", "a", "two rings")}, []Finding{graded(Stop, f(3, "rings", "a", "two rings"))}, "~ two rings > two rings"},
		{"another limit", []Finding{limited("A", f(3, "x", "a", "short"))}, []Finding{limited("B", f(3, "x", "a", "short"))}, "~ short > short"},
		{"one slip of three put right", []Finding{f(1, "s", "a", `k "0,7"`), f(2, "s", "a", `l "0,8"`), f(3, "s", "a", `m "0,9"`)},
			[]Finding{f(1, "s", "a", `k "0,7"`), f(3, "s", "a", `m "0,9"`)}, `- l "0,8"`},
		{"one put right, another made", []Finding{f(1, "s", "a", `k "0,7"`), f(2, "s", "a", `l "0,8"`)}, []Finding{f(1, "s", "a", `k "0,5"`), f(3, "s", "a", `m "0,9"`), f(4, "s", "a", `n "0,9"`)},
			`+ m "0,9" + n "0,9" - l "0,8" ~ k "0,7" > k "0,5"`},
		{"a slip put right, another made", []Finding{f(2, "decimal-comma", "a", `k "0,7"`)}, []Finding{f(3, "decimal-comma", "a", `l "0,8"`)}, `+ l "0,8" - k "0,7"`},
		{"more days since", []Finding{of("1f", f(3, "x", "a", "not countersigned 167 days later"))},
			[]Finding{of("1f", f(3, "x", "a", "not countersigned 292 days later"))}, ""},
		{"the facts are others", []Finding{of("1f", f(3, "x", "a", "lift 0.7 mm"))}, []Finding{of("2f", f(3, "x", "a", "lift 0.8 mm"))},
			"~ lift 0.7 mm > lift 0.8 mm"},
		{"the facts are the same, the limit is another", []Finding{of("1f", limited("A", f(3, "x", "a", "short 3 s")))},
			[]Finding{of("1f", limited("B", f(3, "x", "a", "short 3 s")))}, "~ short 3 s > short 3 s"},
		{"the facts are the same, the state is another", []Finding{of("1f", f(3, "x", "a", "short 3 s"))},
			[]Finding{answered(of("1f", f(3, "x", "a", "short 3 s")))}, "~ short 3 s > short 3 s"},
		{"another is told under it", []Finding{of("1f", f(3, "x", "a", "short"))}, []Finding{telling("late", of("2f", f(3, "x", "a", "short")))},
			"~ short > short"},
		{"the same is told under it", []Finding{telling("late 3 d", of("1f", f(3, "x", "a", "short")))},
			[]Finding{telling("late 4 d", of("2f", f(3, "x", "a", "short")))}, ""},
		{"said twice, then once", []Finding{f(1, "s", "a", "x"), f(2, "s", "a", "x")}, []Finding{f(2, "s", "a", "x")}, "- x"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := Difference(c.before, c.now)
			var got []string
			for _, x := range d.New {
				got = append(got, "+ "+x.Message)
			}
			for _, x := range d.Gone {
				got = append(got, "- "+x.Message)
			}
			for _, x := range d.Changed {
				got = append(got, fmt.Sprintf("~ %s > %s", x.Was.Message, x.Is.Message))
			}
			if s := strings.Join(got, " "); s != c.want {
				t.Errorf("Difference gives %q, want %q", s, c.want)
			}
		})
	}
}
