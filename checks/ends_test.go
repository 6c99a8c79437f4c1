package checks

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// TestChecksKeepTheirIDs holds the permanent ids and versions of the checks against the list of those ever given out: an
// answer in a book knows its check by them. A new check is a new line (-update writes it); a line never goes and never
// changes but for a raised version. Outside source: none.
func TestChecksKeepTheirIDs(t *testing.T) {
	const name = "testdata/ids.txt"
	var is []string
	for _, k := range All() {
		is = append(is, fmt.Sprint(k.ID(), " ", k.Version))
	}
	slices.Sort(is)
	if len(slices.Compact(slices.Clone(is))) != len(is) {
		t.Error("two checks have one id")
	}
	text, err := os.ReadFile(name)
	if err != nil && !*update {
		t.Fatal(err)
	}
	for _, line := range strings.Split(strings.TrimSpace(string(text)), "\n") {
		id, _, _ := strings.Cut(line, " ")
		if line != "" && !slices.ContainsFunc(is, func(l string) bool { return strings.HasPrefix(l, id+" ") && l >= line }) {
			t.Errorf("the id and version %q were given out and are no check's now: state FirstNamed", line)
		}
	}
	if *update && !t.Failed() {
		if err := os.WriteFile(name, []byte(strings.Join(is, "\n")+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if got := strings.Join(is, "\n") + "\n"; got != string(text) && !t.Failed() {
		t.Error("a check is new or its version was raised: run with -update, and look at the difference")
	}
}

// TestNeverEnded names the checks whose findings no later overhaul and no removal ends. The list is the page that decides
// what a finding is; common practice, no source.
func TestNeverEnded(t *testing.T) {
	want := []string{
		"changed-after-countersigning", "taken-out", "not-theirs-to-change", "limits-rewritten", "limit-loosened", "writer-unknown", "clock-jump", // changed, history rewritten
		"record-alike", "figures-on-limit", "readings-always-equal", // copied figures
		"part-in-two-places",    // one serial in two places
		"marking-not-permitted", // nozzle marking
		"deferral-run-out",      // a deferral exceeded
		"leak-check",            // leak check or shields
		"crack-not-condemned", "condemned-part-returns",
		"keep-for-claim", // parts held for a claim
		"instrument-not-proven", "gauge-in-doubt",
		"condition-of-class",
	}
	var got []string
	for _, k := range All() {
		if k.Ends.Never {
			got = append(got, k.Name)
		}
	}
	slices.Sort(want)
	slices.Sort(got)
	if !slices.Equal(got, want) {
		t.Errorf("never ended:\n got %v\nwant %v", got, want)
	}
}

// laterOverhaul is an overhaul on the last day of the book that leaves nothing to be wished, of the valve that is in a
// position, or of one on the bench: everything tested, looked at and measured, nozzle and spring renewed, face ground,
// pocket faced.
func laterOverhaul(h, n, newer string, p logbook.Position, day logbook.Day, counter float64) (name, text string) {
	removed, fitted, dir := "", "", "overhauls/spares/"
	if p.Engine != "" {
		at := fmt.Sprintf("engine: %s, cylinder: %s, date: %s, counter: %.0f h", p.Engine, p.Cylinder, day, counter)
		removed = "removed: {" + at + ", reason: planned, rings_out: 1}\n"
		fitted = "fitted: {" + at + ", pocket_faced: yes, rings_in: 1, protrusion: 12.0 mm, " +
			"clamp_nuts: {torque: 80 N·m, steps: 3, wrench: TW-1}, leak_check: cold warm loaded, shields: refitted}\n"
		dir = "overhauls/" + logbook.FileName(p.Engine) + "/c" + p.Cylinder + "/"
	}
	test := func(key string, bar int) string {
		return fmt.Sprintf("%s: {date: %s, bench: B-1, gauge: PG-1, oil: 20 °C, connection: clean, opening_pressure: "+
			"[%d bar, %d bar, %d bar], seat: {state: dry}, leak_down: {from: 280 bar, to: 230 bar, time: 12.0 s}, "+
			"spray: {open: 8, pattern: even}}\n", key, day, bar, bar+1, bar+1)
	}
	return fmt.Sprint(dir, day, "-", logbook.FileName(h), ".md"), "---\nholder: \"" + h + "\"\nnozzle: {found: \"" + n +
		"\", left: \"" + newer + "\"}\n" + removed + test("as_found", 300) +
		allInspected + "\n" +
		"measured: {lift: 0.53 mm, holder_wear: 0.01 mm, spring_length: 50.0 mm}\n" +
		"decided: {nozzle: renew, holder: grind, spring: renew, why: \"age\"}\n" +
		"assembled: {nozzle_nut: {torque: 300 N·m, steps: 2, wrench: TW-1, lubricant: thread paste}, " +
		"seals: {adjusting_screw: renewed, body: renewed, pocket: renewed}}\n" + test("as_left", 322) + fitted + "by: a.two\n---\n"
}

// overhauledSince is a book with such an overhaul of the valve that a finding is about, or of the one in its position.
func overhauledSince(t *testing.T, files fstest.MapFS, r *Report, f Finding) *logbook.Book {
	t.Helper()
	all := maps.Clone(files)
	at, holder, nozzle := logbook.Position{}, f.About.Holder, f.About.Nozzle
	for _, s := range r.Book.Lives().ServicePeriods {
		switch {
		case s.To != 0:
		case f.Subject.Name == s.Position.String(), f.Subject.Name == s.Holder, f.Subject.Name == s.Nozzle:
			at, holder, nozzle = s.Position, s.Holder, s.Nozzle
		}
	}
	if f.Subject.Kind == OfNozzle {
		nozzle = f.Subject.Name
	}
	if p, ok := (&Case{Book: r.Book}).position(f.Subject.Name); ok && at.Engine == "" { // empty: fit one first
		at, holder, nozzle = p, "H-98", "N-98"
		total, _ := r.Book.TotalOn(at.Engine, r.Today-1)
		fit := fmt.Sprintf("---\nholder: H-98\nnozzle: {left: N-98}\nfitted: {engine: %s, cylinder: %s, date: %s, counter: %.0f h}\n---\n",
			at.Engine, at.Cylinder, r.Today-1, total)
		all["overhauls/spares/"+(r.Today-1).String()+"-h-98.md"] = &fstest.MapFile{Data: []byte(fit)}
	}
	total, _ := r.Book.TotalOn(at.Engine, r.Today)
	name, text := laterOverhaul(holder, nozzle, "N-4711", at, r.Today, total)
	all[name] = &fstest.MapFile{Data: []byte(text)}
	b, err := logbook.Read(all)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestEnds takes every record on which a check must speak, has the valve overhauled once more as well as can be, and asks
// what has become of the finding: work that is named closes it, and nothing else does. Outside source: the table is the
// checks' own word on what ends them; common practice, no source.
func TestEnds(t *testing.T) {
	base := folder(t, "testdata/base")
	for _, k := range All() {
		stepwise := slices.ContainsFunc(k.Ends.Ways, func(w Way) bool { return w.work != nil }) || k.Ends == pocketCleared || k.Ends == causeFound
		cases, err := filepath.Glob(filepath.Join("testdata", k.Name, "*"))
		if err != nil {
			t.Fatal(err)
		}
		opened, closed := 0, 0
		for _, file := range cases {
			files, trail := caseFiles(t, base, file)
			b, err := logbook.Read(files)
			if err != nil {
				continue
			}
			before := Run(b, Options{Only: []*Check{k}, Trail: trail})
			for _, f := range before.Findings {
				if f.Check == k.Name && !before.Applies(k) {
					t.Errorf("%s: %s speaks where it is said not to apply", file, k.Name)
				}
				if f.Check != k.Name || f.State != Open || f.Subject.Kind == OfRecord && k.Subject != OfRecord {
					continue
				}
				opened++
				after := Run(overhauledSince(t, files, before, f), Options{Only: []*Check{k}, Trail: trail})
				for _, g := range after.Findings {
					if g.Place == f.Place && g.Check == f.Check {
						if g.State == ClosedByWork {
							closed++
						}
						if (k.Ends.Never || !stepwise && k.Ends.Ways[0].fact == nil) && g.State != Open {
							t.Errorf("%s: %s of %s is %s by %q; no overhaul ends it", file, f.Message, f.Subject, g.State, g.Ended.Words)
						}
						if g.slip && g.State != Open {
							t.Errorf("%s: %q is %s by %q; the figure cannot be right", file, g.Message, g.State, g.Ended.Words)
						}
						if stepwise && !g.slip && g.State != ClosedByWork {
							t.Errorf("%s: %q of %s is %s after an overhaul that leaves nothing to be wished", file, f.Message, f.Subject, g.State)
						}
					}
				}
			}
		}
		if stepwise && (opened == 0 || closed == 0) {
			t.Errorf("%s: %d findings opened on its records and %d closed by an overhaul; both must be shown", k.Name, opened, closed)
		}
	}
}

// TestFindingsStayWithTheirSubject follows findings of the example vessel whose valve has moved on since: they are with
// the place or part they are about, and where that is now. Source: the vessel was invented so.
func TestFindingsStayWithTheirSubject(t *testing.T) {
	r := Run(exampleVessel(t), Options{})
	mayStop(t, exampleVessel(t), Options{}, r.Findings)
	for _, x := range []struct{ check, record, subject, where, ended string }{
		{"rings", "2024-04-02-h-118", "pocket ME2-6", "pocket of ME2-6", "2024-01-24-h-106"},
		{"protrusion", "2023-09-05-h-118", "pocket ME2-6", "pocket of ME2-6", "2024-01-24-h-106"},
		{"seal-not-renewed", "2022-07-27-h-116", "holder H-116", "H-116, in ME2-4", "2023-02-12-h-116"},
		{"leak-down-lost", "2023-02-12-h-117", "nozzle N-2033", "N-2033, in ME1-5", "2024-04-02-h-117"},
		{"exhaust-and-pmax", "2023-10-04-h-102", "position ME2-2", "ME2-2", "2023-10-03-h-120"},
		{"marking-not-permitted", "2023-11-22-h-107", "nozzle N-X381", "N-X381, scrapped on 2024-02-08", ""},
		{"deferral-run-out", "2023-06-25-h-102", "nozzle N-2024", "N-2024, scrapped on 2023-10-04", "on the weekly list since"},
		{"colon-in-number", "2022-09-29-h-103", "record 2022-09-29-h-103", "2022-09-29-h-103", ""},
	} {
		fs := fired(r.Findings, x.check)[x.record]
		if len(fs) == 0 {
			t.Errorf("%s says nothing of %s", x.check, x.record)
			continue
		}
		f := &fs[0]
		if f.Subject.String() != x.subject || r.Where(f) != x.where || (x.ended == "") != r.IsOpen(f) ||
			!strings.HasSuffix(f.Ended.Words, x.ended) {
			t.Errorf("%s of %s: %s, %s, %s by %q; want %s, %s, by %q", x.check, x.record, f.Subject, r.Where(f), f.State,
				f.Ended.Words, x.subject, x.where, x.ended)
		}
	}
}

// TestStatesOfAPastDay asks for the states on days on which they were others. Source: the vessel was invented so.
func TestStatesOfAPastDay(t *testing.T) {
	b := exampleVessel(t)
	for _, x := range []struct {
		day, check, record string
		state              State
		counts             bool
	}{
		{"2022-08-15", "seal-not-renewed", "2022-07-27-h-116", Open, true},
		{"2022-06-01", "seal-not-renewed", "2022-07-27-h-116", Open, false}, // not yet
		{"2023-02-20", "seal-not-renewed", "2022-07-27-h-116", ClosedByWork, false},
		{"2023-07-10", "effective-lift-over", "2023-06-25-h-102", Deferred, false},
		{"2023-08-20", "effective-lift-over", "2023-06-25-h-102", Open, true}, // the deferral has run out
		{"2023-10-10", "effective-lift-over", "2023-06-25-h-102", ClosedByWork, false},
	} {
		r := Run(b, Options{On: day(t, x.day)})
		fs := fired(r.Findings, x.check)[x.record]
		if len(fs) != 1 || fs[0].State != x.state || r.IsOpen(&fs[0]) != x.counts {
			t.Errorf("%s: %s of %s: %v, want %s, counted %v", x.day, x.check, x.record, fs, x.state, x.counts)
		}
	}
}
