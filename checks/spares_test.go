package checks

import (
	"maps"
	"strings"
	"testing"
	"testing/fstest"

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
