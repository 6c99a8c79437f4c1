package evidence_test

import (
	"bytes"
	"fmt"
	"io/fs"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/checks/evidence"
	"needlebook/checks/judging"
	"needlebook/logbook"
)

// engineOf is one engine of an invented ship: what its limits state, the interval it runs at, and how the valves that came out of it were.
type engineOf struct {
	id, limits string // limits: the lines of a revision that bound the interval
	interval   string // on the engine, in book.md
	opened     int    // valves opened, each at this age
	age        int
	bad        int // of these
}

// ship writes a book: each engine has as many cylinders as it had valves opened, all opened on one day.
func ship(accepts string, engines ...engineOf) fstest.MapFS {
	fs := fstest.MapFS{}
	put := func(name, text string) { fs[name] = &fstest.MapFile{Data: []byte(text)} }
	book, fitted := "---\nvessel: Trial\nengines:\n", ""
	for _, e := range engines {
		var cylinders []string
		for c := range e.opened {
			cylinders = append(cylinders, strconv.Itoa(c+1))
			serial := fmt.Sprintf("%s-%d", e.id, c+1)
			fitted += fmt.Sprintf("    - {engine: %s, cylinder: %d, holder: \"H%s\", nozzle: \"N%s\", counter: 1000 h, since: 0 h, nozzle_hours: 0 h, left: 300 bar}\n", e.id, c+1, serial, serial)
			form := "even"
			if c < e.bad {
				form = "uneven"
			}
			put(fmt.Sprintf("overhauls/%s/c%d/2021-01-01-h%s.md", strings.ToLower(e.id), c+1, strings.ToLower(serial)), fmt.Sprintf(`---
holder: "H%s"
nozzle: {found: "N%s"}
removed: {engine: %s, cylinder: %d, date: 2021-01-01, counter: %d h, reason: planned}
as_found: {date: 2021-01-01, opening_pressure: [%d bar], seat: {at: 260 bar, for: 10 s, state: dry}, spray: {open: 9, pattern: %s}}
decided: {nozzle: reuse, holder: reuse}
---
`, serial, serial, e.id, c+1, 1000+e.age, 280+c%3, form))
		}
		book += fmt.Sprintf("  - {id: %s, cylinders: [%s], limits: %s", e.id, strings.Join(cylinders, ", "), strings.ToLower(e.id))
		if e.interval != "" {
			book += ", interval: " + e.interval
		}
		book += "}\n"
		put("limits/"+strings.ToLower(e.id)+".md", "---\ntype: T\nrevisions:\n  - from: 2019-01-01\n    source: manual of "+e.id+"\n    opening_pressure: {used: 300 +10/-0 bar, as_found: {cause: 240 bar}}\n    seat: {allow: damp}\n    holes: {count: 9}\n"+e.limits+"---\n")
		put("hours/"+strings.ToLower(e.id)+".csv", fmt.Sprintf("date,counter_h,note\n2020-01-01,1000,\n2021-01-01,%d,\n", 1000+e.age))
	}
	put("book.md", book+"opening:\n  date: 2020-01-01\n  fitted:\n"+fitted+accepts+"---\n")
	return fs
}

// evidenceOf is the evidence of a sound book.
func evidenceOf(t *testing.T, fs fstest.MapFS) *evidence.Evidence {
	t.Helper()
	e := bookOf(t, fs)
	for _, p := range e.Book.Problems {
		t.Errorf("the book of the test is not sound: %s", p)
	}
	return e
}

func bookOf(t *testing.T, fs fs.FS) *evidence.Evidence {
	t.Helper()
	b, err := logbook.Read(fs)
	if err != nil {
		t.Fatal(err)
	}
	return evidence.New(b, b.Rounds(), judging.Judge(b), b.Today())
}

const accepts = "accepts: {failed_as_found: 10 %}\n"

// With nothing bad, the proposal goes as far as the trial step and the stated bounds, and never further. The bounds are the book's own;
// forty good of forty prove a tenth at 95 % (binomial, any text).
func TestProposalKeepsToTheBook(t *testing.T) {
	const step = 1.1 // the book's default for a trial
	for _, x := range []struct {
		name     string
		limits   string
		interval string
		word     string
		proposed float64
		says     string
	}{
		{"a bound far off", "    interval: 2000 h\n    interval_max: 4000 h\n", "2000 h", "try longer", 2000 * step, "one or two cylinders"},
		{"a bound within the step", "    interval_max: 2100 h\n", "2000 h", "try longer", 2100, "one or two cylinders"},
		{"a bound at the present interval", "    interval_max: 2000 h\n", "2000 h", "keep", 2000, "allows no more than 2000 h"},
		{"only the maker's interval", "    interval: 2000 h\n", "", "keep", 2000, "allows no more than 2000 h"},
		{"no bound at all", "", "2000 h", "keep", 2000, "states no bound of maker or class"},
		{"run longer than the bound", "    interval_max: 1500 h\n", "2000 h", "shorten", 1500, "allows no more"},
		{"run longer than the maker's interval", "    interval: 1800 h\n", "2000 h", "shorten", 1800, "allows no more"},
		{"a longest below the usual", "    interval: 2000 h\n    interval_max: 1600 h\n", "2000 h", "shorten", 1600, "contradicts itself"},
		{"no interval", "", "", "keep", 0, "states no interval"},
	} {
		e := evidenceOf(t, ship(accepts, engineOf{id: "A", limits: x.limits, interval: x.interval, opened: 60, age: 2000}))
		r := e.Reviews(evidence.Ask{})[0]
		if r.Word != x.word || r.Proposed != x.proposed || !strings.Contains(r.Proposal, x.says) {
			t.Errorf("%s: %s, %v h: %q; want %s, %v h with %q", x.name, r.Word, r.Proposed, r.Proposal, x.word, x.proposed, x.says)
		}
	}
}

// A trial is of the step that the book allows, whatever the overhauls alone would carry, and of as many rounds as its cylinders need for
// the overhauls that prove the share: for a tenth at 95 % none bad of 29 (0.9^29 < 0.05 < 0.9^28; binomial, any text).
func TestSizeOfATrial(t *testing.T) {
	for _, c := range []struct{ limits, want string }{
		{"    interval: 2000 h\n    interval_max: 4000 h\n", " at 2200 h,"},
		{"    interval: 2000 h\n    interval_max: 2100 h\n", " at 2100 h,"},
	} {
		e := evidenceOf(t, backInService(c.limits, 12))
		lead := strings.Join(e.Paper(evidence.Ask{}).Lead, "\n")
		if !strings.Contains(lead, c.want) || !strings.Contains(lead, "29 such overhauls, none bad, in 15 rounds") {
			t.Errorf("%q: %s", c.limits, lead)
		}
	}
}

// hours are the running hours named in a text.
var hours = regexp.MustCompile(`(\d+) h\b`)

// Whatever was found, in whatever book, nothing that is proposed names an age beyond what the book allows: not the proposal, not the trial,
// not the decision record, not the age of least cost. No outside source: the promise itself.
func TestNothingIsProposedBeyondTheBounds(t *testing.T) {
	for _, bound := range []int{800, 1500, 1990, 2000, 2010, 2150, 2600} {
		for _, kind := range []string{"    interval_max: %d h\n", "    interval: %d h\n", "    interval: 3000 h\n    interval_max: %d h\n"} {
			for _, bad := range []int{0, 1, 6, 60} {
				e := evidenceOf(t, ship(accepts, engineOf{id: "A", limits: fmt.Sprintf(kind, bound), interval: "2000 h", opened: 60, age: 2000, bad: bad}))
				ask := evidence.Ask{Planned: 1, Failed: 1.5, BadHour: 0.00001}
				r := e.Reviews(ask)[0]
				if r.Proposed > float64(bound) {
					t.Errorf("bound %d, %d bad: proposes %v h", bound, bad, r.Proposed)
				}
				decision := r.Decision("DR-1")
				_, written, _ := strings.Cut(decision, "interval: ")
				p := e.Paper(ask)
				texts := []string{"interval: " + strings.SplitN(written, "\n", 2)[0]}
				for _, l := range p.Lead {
					if strings.HasPrefix(l, "a trial") {
						texts = append(texts, l)
					}
				}
				for _, row := range p.Table("survival").Rows {
					texts = append(texts, row[len(row)-1].Text)
				}
				for _, text := range texts {
					for _, m := range hours.FindAllStringSubmatch(text, -1) {
						if h, _ := strconv.Atoi(m[1]); h > bound {
							t.Errorf("bound %d, %d bad: %q", bound, bad, text)
						}
					}
				}
			}
		}
	}
}

// Two engine types on one ship are two reviews: each with its own interval, bounds, overhauls and limits; a name narrows it to one.
func TestTypesAreReviewedApart(t *testing.T) {
	e := evidenceOf(t, ship(accepts,
		engineOf{id: "ME", limits: "    interval: 2000 h\n    interval_max: 4000 h\n", opened: 40, age: 2000},
		engineOf{id: "AE", limits: "    interval: 1000 h\n", opened: 20, age: 1000, bad: 10}))
	rs := e.Reviews(evidence.Ask{})
	if len(rs) != 2 || rs[0].Present != 2000 || rs[1].Present != 1000 || rs[0].Word != "try longer" || rs[1].Word != "shorten" || rs[1].Allowed != 1000 || rs[0].Full.Bad() != 0 || rs[1].Full.Bad() != 10 {
		for _, r := range rs {
			t.Errorf("type %s: present %v, allowed %v, %d bad at full age, %s: %s", r.Type, r.Present, r.Allowed, r.Full.Bad(), r.Word, r.Proposal)
		}
	}
	p := e.Paper(evidence.Ask{})
	if p.Table("overhauls-me") == nil || p.Table("overhauls-ae") == nil {
		t.Error("the tables of the types do not carry their names")
	}
	one := e.Paper(evidence.Ask{Type: "ae"})
	if one.Table("overhauls") == nil || one.Table("overhauls-me") != nil {
		t.Error("a type that is named is not the only one shown")
	}
}

// Each line of drift belongs to one type, keeps the unit of its limit, and is drawn within its frame. No outside source.
func TestDriftKeepsToItsTypeAndUnit(t *testing.T) {
	fs := ship(accepts, engineOf{id: "ME", limits: "    interval: 2000 h\n", opened: 12, age: 2000}, engineOf{id: "AE", limits: "    interval: 1000 h\n", opened: 6, age: 1000})
	psi := bytes.ReplaceAll(fs["limits/ae.md"].Data, []byte("used: 300 +10/-0 bar, as_found: {cause: 240 bar}"), []byte("used: 4350 +150/-0 psi, as_found: {cause: 3480 psi}"))
	fs["limits/ae.md"] = &fstest.MapFile{Data: psi}
	p := evidenceOf(t, fs).Paper(evidence.Ask{Plots: true})
	for table, want := range map[string][2]string{"drift-me": {"opening pressure lost, used setting, bar", "12"}, "drift-ae": {"opening pressure lost, used setting, psi", "6"}} {
		row := p.Table(table).Rows[0]
		if row[0].Text != want[0] || row[3].Text != want[1] {
			t.Errorf("%s begins with %q over %q readings, want %q over %q", table, row[0].Text, row[3].Text, want[0], want[1])
		}
	}
}
