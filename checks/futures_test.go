package checks

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// future is a book as it goes on: what happens later is laid over it, day by day.
type future struct {
	*rand.Rand
	t       *testing.T
	files   fstest.MapFS
	trail   *logbook.Trail
	k       *Check
	f       Finding
	day     logbook.Day
	n       int
	happens []string
}

// book reads the book as it is now.
func (w *future) book() *logbook.Book {
	w.t.Helper()
	b, err := logbook.Read(w.files)
	if err != nil {
		w.t.Fatal(err)
	}
	return b
}

func (w *future) put(path, text string) { w.files[path] = &fstest.MapFile{Data: []byte(text)} }

// add adds lines to a file, which begins with a heading where it is new.
func (w *future) add(path, head, lines string) {
	if x := w.files[path]; x != nil {
		head = strings.TrimSuffix(string(x.Data), "\n") + "\n"
	}
	w.put(path, head+lines)
}

// valve is a valve that is fitted: that of the finding in two of three cases, where it is.
func (w *future) valve() *logbook.ServicePeriod {
	var fitted []*logbook.ServicePeriod
	for _, s := range w.book().Lives().ServicePeriods {
		if s.To != 0 {
			continue
		}
		name := w.f.Subject.Name
		if (name == s.Holder || name == s.Nozzle || name == s.Position.String() || s.Holder == w.f.About.Holder) && w.IntN(3) > 0 {
			return s
		}
		fitted = append(fitted, s)
	}
	if len(fitted) == 0 {
		return nil
	}
	return fitted[w.IntN(len(fitted))]
}

func (w *future) total(p logbook.Position) float64 {
	total, _ := w.book().TotalOn(p.Engine, w.day)
	return total
}

// unentitled are persons who may not answer integrity and safety: an engineer, whoever signed it, a chief.
var unentitled = []string{"b.three", "c.one", "a.two", "z.unknown"}

// laterFacts are what happens in the life of a ship and ends none of it.
var laterFacts = map[string]func(w *future){
	"removal": func(w *future) {
		if s := w.valve(); s != nil {
			w.put(fmt.Sprintf("overhauls/%s/c%s/%s-%s-out.md", logbook.FileName(s.Engine), s.Cylinder, w.day, logbook.FileName(s.Holder)),
				fmt.Sprintf("---\nholder: %q\nnozzle: {found: %q}\nremoved: {engine: %s, cylinder: %s, date: %s, counter: %.0f h, reason: planned, rings_out: 1}\n---\n",
					s.Holder, s.Nozzle, s.Engine, s.Cylinder, w.day, w.total(s.Position)))
		}
	},
	"overhaul": func(w *future) {
		if s := w.valve(); s != nil {
			w.n++
			name, text := laterOverhaul(s.Holder, s.Nozzle, fmt.Sprint("N-47", w.n), s.Position, w.day, w.total(s.Position))
			w.put(name, text)
		}
	},
	"refit": func(w *future) {
		b := w.book()
		for _, p := range b.Positions() {
			if b.Lives().At(p, w.day) != nil {
				continue
			}
			w.n++
			holder, nozzle := fmt.Sprint("H-6", w.n), fmt.Sprint("N-6", w.n)
			if k, h := w.k, w.f.About.Holder; w.IntN(2) == 0 && h != "" && k != partInTwoPlaces && k != condemnedPartReturns {
				holder, nozzle = h, w.f.About.Nozzle // the valve of the finding, wherever it came from
			}
			w.put(fmt.Sprintf("overhauls/spares/%s-%s-in.md", w.day, logbook.FileName(holder)),
				fmt.Sprintf("---\nholder: %q\nnozzle: {left: %q}\nfitted: {engine: %s, cylinder: %s, date: %s, counter: %.0f h, rings_in: 1, "+
					"leak_check: cold warm loaded, shields: refitted}\n---\n", holder, nozzle, p.Engine, p.Cylinder, w.day, w.total(p)))
			return
		}
	},
	"sale of a spare": func(w *future) {
		kind, serial := "nozzle", "N-900"
		if w.k.Ends != scrapped && (w.f.Subject.Kind == OfHolder || w.f.Subject.Kind == OfNozzle) {
			kind, serial = w.f.Subject.Kind.String(), w.f.Subject.Name
		}
		path := "parts/" + logbook.FileName(serial) + ".md"
		if w.files[path] == nil {
			w.put(path, fmt.Sprintf("---\nserial: %q\nkind: %s\nscrapped: {date: %s, why: sold}\n---\n", serial, kind, w.day))
		}
	},
	"relief of the crew": func(w *future) {
		crew := strings.ReplaceAll(string(w.files["crew.csv"].Data), ",2030-01-01", ","+w.day.String())
		w.n++
		w.put("crew.csv", strings.TrimSuffix(crew, "\n")+fmt.Sprintf("\nc.n%[1]d,C. N,chief engineer,%[2]s,\na.n%[1]d,A. N,second engineer,%[2]s,\n", w.n, w.day))
	},
	"new limits": func(w *future) {
		text := string(w.files["limits/4t20.md"].Data)
		i := strings.Index(text[3:], "\n---") + 4
		w.put("limits/4t20.md", text[:i]+fmt.Sprintf("  - from: %s\n    source: service letter\n    markings: [\"8x0.30\", \"8x0.32\", \"6x0.20\"]\n"+
			"    leak_down: {from: opening - 25 bar, fall: 50 bar, oil: 20 °C, as_left: 3.0 .. 60 s, as_found: 1.0 s ..}\n"+
			"    nozzle_life: {renew: 2000 h, never: 20000 h}\n    effective_lift: {max: 0.95 mm, safety: yes}\n    holder_wear: {max: 0.50 mm}\n", w.day)+text[i:])
	},
	"a new gauge": func(w *future) {
		w.n++
		w.put(fmt.Sprintf("instruments/pg-8%d.md", w.n), fmt.Sprintf("---\nid: PG-8%d\nkind: gauge\nmeasures: pressure\nrange: 0 .. 600 bar\n"+
			"division: 5 bar\nclass: 0.6\ncalibrated: %s\ncalibrated_until: 2049-01-01\n---\n", w.n, w.day))
	},
	"an answer of one without the right": func(w *future) {
		who := unentitled[w.IntN(len(unentitled))]
		if w.k.Ends.Answer == Aboard && w.f.Grade < Stop {
			who = []string{"b.three", "z.unknown"}[w.IntN(2)] // the others may
		}
		w.add("answers.csv", answersHead, answerLine(w.f, w.k.Version, w.day.String(), "looked into", who, ""))
	},
	"an answer to an earlier version": func(w *future) {
		w.add("answers.csv", answersHead, answerLine(w.f, w.k.Version-1, w.day.String(), "looked into", "s.four", ""))
	},
	"an answer to other facts": func(w *future) {
		f := w.f
		f.Text = "0123456789ab"
		w.add("answers.csv", answersHead, answerLine(f, w.k.Version, w.day.String(), "looked into", "s.four", ""))
	},
	"a merge": func(w *future) {
		text := *w.trail
		w.trail = &text
		w.trail.Commits = append(slices.Clone(text.Commits), logbook.Commit{ID: strings.Repeat(fmt.Sprint(w.n%10), 40), Parents: []int{0, len(text.Commits) - 1},
			State: logbook.Signed, Person: "c.one", Roles: []string{"chief"}, Stands: true, Stated: w.day.Time()})
	},
	"stores": func(w *future) {
		w.add("stores/stock.csv", "date,item,part_no,serial,change,on_order,due,price,lead_days,note\n", fmt.Sprintf("%s,seal kit,P-9,,4,,,,,\n", w.day))
	},
	"fuel": func(w *future) {
		w.add("fuel/bunkers.csv", "stem,received,in_use_from,in_use_to,grade\n", fmt.Sprintf("Knot Quay,%[1]s,%[1]s,,RMG\n", w.day))
	},
}

// neverEnded are the open findings that no later work may end, on the records of each check: books with their history.
func neverEnded(t *testing.T) (all []future) {
	base := folder(t, "testdata/base")
	for _, k := range All() {
		if !k.Ends.Never {
			continue
		}
		cases, _ := filepath.Glob(filepath.Join("testdata", k.Name, "*"))
		for _, name := range cases {
			files, trail := caseFiles(t, base, name)
			b, err := logbook.Read(files)
			if err != nil {
				continue
			}
			for _, f := range Run(b, Options{Only: []*Check{k}, Trail: trail}).Findings {
				if f.Check == k.Name && f.State == Open {
					all = append(all, future{t: t, files: files, trail: trail, k: k, f: f, day: b.Today()})
				}
			}
		}
	}
	return all
}

// TestNothingEndsIt lets random things happen later in books with findings of safety and integrity, and asks after each
// that the finding is there and open, with the same subject. What does end each is shown by TestLives, TestCorrected and
// TestAnswered. Outside source: common practice, no source.
func TestNothingEndsIt(t *testing.T) {
	opened := neverEnded(t)
	names := slices.Sorted(maps.Keys(laterFacts))
	futures := len(opened)
	if long {
		futures = 2000
	}
	told, ended := map[string]bool{}, 0
	for i := range futures {
		w := opened[i%len(opened)]
		w.Rand, w.files = rand.New(rand.NewPCG(uint64(i), 11)), maps.Clone(w.files)
		if w.files["crew.csv"] == nil {
			continue
		}
		w.add("crew.csv", "", ashoreLine)
		for range 1 + w.IntN(5) {
			w.day += logbook.Day(1 + w.IntN(400))
			name := names[w.IntN(len(names))]
			laterFacts[name](&w)
			w.happens = append(w.happens, name)
		}
		state := gone
		for _, g := range Run(w.book(), Options{Only: []*Check{w.k}, Trail: w.trail}).Findings {
			same := g.Subject == w.f.Subject && g.Place.Path == w.f.Place.Path
			if w.k == gaugeInDoubt { // later readings may tell which of two gauges it is, of the same readings
				same = len(g.Related) > 0 && slices.ContainsFunc(w.f.Related, func(r Related) bool {
					return slices.ContainsFunc(g.Related, func(x Related) bool { return x.Place == r.Place })
				})
			}
			if g.Check == w.f.Check && same && state != Open {
				state = g.State
			}
		}
		if state == Open {
			continue
		}
		if ended++; !told[w.k.Name+state.String()] {
			told[w.k.Name+state.String()] = true
			t.Errorf("%d: %s: %q of %s is %s after %q", i, w.k.Name, w.f.Message, w.f.Subject, state, w.happens)
		}
	}
	t.Logf("%d findings that no later work ends, %d futures: %d ended", len(opened), futures, ended)
}
