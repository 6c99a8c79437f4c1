package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/checks/deciding"
	"needlebook/example-vessel/invent"
	"needlebook/logbook"
)

// TestSpares: one function answers whether a spare is ready: by its record, by what became of its parts, and by the age of its test.
// Common practice, no source.
func TestSpares(t *testing.T) {
	base := honest(t)
	report := func(on string, more ...string) (*logbook.Book, *Report) {
		files := maps.Clone(base)
		for i := 0; i < len(more); i += 2 {
			files[more[i]] = &fstest.MapFile{Data: []byte(strings.ReplaceAll(more[i+1], "\n", "\r\n"))}
		}
		b, err := logbook.Read(files)
		if err != nil {
			t.Fatal(err)
		}
		day, _ := logbook.ParseDay(on)
		return b, Run(b, Options{On: day, Only: []*Check{condemnedPartReturns}})
	}
	_, now := report("2024-06-24")
	var spare *logbook.Overhaul
	for _, s := range now.Spares {
		if s.State.Yes() && s.Overhaul != nil {
			spare = s.Overhaul
		}
	}
	if spare == nil {
		t.Fatalf("no spare is ready: %v", now.Spares)
	}
	if got := now.Decisions[spare.Stem].Ready.String(); got != "yes" {
		t.Errorf("ready: %s", got)
	}
	_, later := report("2024-12-01")
	if got := later.Decisions[spare.Stem].Ready; got.Yes() || !strings.HasPrefix(got.String(), "test again before fitting: tested ") {
		t.Errorf("half a year later ready: %s", got)
	}
	for kind, serial := range map[string]string{"holder": spare.Holder.Written, "nozzle": spare.Nozzle.Left.Written} {
		b, gone := report("2024-06-24", "parts/"+logbook.FileName(serial)+".md", "---\nserial: \""+serial+"\"\nkind: "+kind+"\ncondemned: {date: 2024-06-24, why: cracked}\n---\n")
		if got := gone.Decisions[spare.Stem].Ready; got.Yes() || !strings.Contains(got.String(), "the "+kind+" was condemned on 2024-06-24") {
			t.Errorf("%s condemned, ready: %s", kind, got)
		}
		for _, s := range gone.Spares {
			if s.Holder == spare.Holder.Written {
				t.Errorf("%s condemned, and still booked as ready", kind)
			}
		}
		if e, ok := b.EndOf(kind, serial); !ok || e.By != nil {
			t.Errorf("the end of %s %s is not known", kind, serial)
		}
	}
	// Built up again after an overhaul condemned it: the next record is not ready either, nor the valve in it.
	b, again := report("2024-06-24", "overhauls/spares/2024-06-20-h-109.md", "---\nholder: \"H-109\"\nnozzle: {left: \"N-2999\"}\nas_left:\n  date: 2024-06-20\n  opening_pressure: [320 bar, 320 bar, 320 bar]\n---\n")
	if got := again.Decisions["2024-06-20-h-109"].Ready.String(); !strings.HasPrefix(got, "no, because the holder was condemned on 2022-10-14") {
		t.Errorf("H-109, condemned in 2022, ready: %s", got)
	}
	for _, r := range b.Lives().Rack(again.Today) {
		if r.Holder == "H-109" {
			t.Error("H-109 lies ready")
		}
	}
}

// TestReadyMeansReady goes over every spare of the example vessel and of invented ships with what is planted in them: the
// record of a spare and the list of spares say the same, and none is ready about whose parts a stop is open or that is out
// of use. A nozzle that leaked in another holder is no better in this one. Outside source: common practice, no source.
func TestReadyMeansReady(t *testing.T) {
	agree := func(name string, r *Report) (ready, not int) {
		stops := map[Subject]Finding{}
		for _, f := range r.Open() {
			if f.Grade == Stop {
				stops[f.Subject] = f
			}
		}
		for _, s := range r.Spares {
			if s.Overhaul != nil && r.Decisions[s.Overhaul.Stem].Ready.String() != s.State.String() {
				t.Errorf("%s: %s is ready: %q by the list of spares, %q by its record", name, s.Holder, s.State, r.Decisions[s.Overhaul.Stem].Ready)
			}
			if !s.State.Yes() {
				not++
				continue
			}
			ready++
			for _, part := range []Subject{{OfHolder, s.Holder}, {OfNozzle, s.Nozzle}} {
				if f, stop := stops[part]; stop {
					t.Errorf("%s: %s is ready, and open is: %s", name, s.Holder, f.Message)
				}
				if e, ended := r.Book.EndBy(part.Kind.String(), part.Name, r.Today); ended {
					t.Errorf("%s: %s is ready, and %s is %s", name, s.Holder, part, e)
				}
			}
		}
		return ready, not
	}
	ready, not := agree("the example vessel", Run(exampleVessel(t), Options{}))
	ships := 4
	if long {
		ships = 60
	}
	faults := invent.Faults()
	for i := range ships {
		some := []string{faults[7*i%len(faults)], faults[(11*i+40)%len(faults)]}
		v := invent.Vessel(uint64(8100+i), invent.Options{Overhauls: 30, Faults: some})
		b, err := logbook.Read(v.FS())
		if err != nil {
			t.Fatal(err)
		}
		yes, no := agree(fmt.Sprint("seed ", 8100+i), Run(b, Options{}))
		ready, not = ready+yes, not+no
	}
	if t.Logf("%d spares ready, %d not", ready, not); ready == 0 || not == 0 {
		t.Errorf("%d spares ready, %d not: both must be tried", ready, not)
	}
	files, _ := caseFiles(t, folder(t, "testdata/base"), "testdata/seat-leaks-as-left/drop.md")
	files["overhauls/spares/2023-01-01-h-60.md"] = &fstest.MapFile{Data: []byte("---\nholder: H-60\nnozzle: {left: N-1}\n" +
		"as_left: {date: 2023-12-01, opening_pressure: [305 bar]}\nstored: {date: 2023-12-01}\n---\n")}
	b, err := logbook.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	r := Run(b, Options{Only: []*Check{seatLeaksAsLeft}})
	if i := slices.IndexFunc(r.Spares, func(s deciding.Spare) bool { return s.Holder == "H-60" }); i < 0 || !strings.Contains(r.Spares[i].State.String(), r.Open()[0].Message) {
		t.Errorf("N-1 leaked in H-1 and lies in H-60: %+v", r.Spares)
	}
}
