package content

import (
	"math"
	"testing"

	"needlebook/logbook"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// TestEngineSheet holds the sheet of each engine of the example vessel against the book: every service period of every cylinder at its
// hours, every time in which a gauge read wrong, the replaced counter, each revision of the limits. What every story of the ship is
// told by is on it: the fuel, the gauge, the holder that wanders. No outside source: a sheet shows what was written.
func TestEngineSheet(t *testing.T) {
	w := exampleVessel(t)
	heavy := map[string]bool{}
	for name := range w.enginePages() {
		sheets := blocksOf[page.EngineSheet](w.enginePage(name))
		if len(sheets) != 1 {
			t.Fatalf("%s: %d sheets", name, len(sheets))
		}
		c := sheets[0]
		for i, at := range w.cylindersOf(name) {
			periods := w.Lives.InPosition(at)
			if c.Rows[i].Name != at.Cylinder || len(c.Rows[i].Bars) != len(periods) {
				t.Fatalf("%s: %d bars for %d valves", at, len(c.Rows[i].Bars), len(periods))
			}
			for j, b := range c.Rows[i].Bars {
				holdsPeriod(t, w, periods[j], b)
			}
		}
		counters := 0
		for _, r := range w.Book.Hours[name] {
			if _, replaced := r.Replaced(); replaced {
				counters++
			}
		}
		if len(c.Counters) != counters {
			t.Errorf("%s: %d counters were replaced, %d are shown", name, counters, len(c.Counters))
		}
		rows := map[string][]page.Bar{}
		last := ""
		for _, r := range c.Held {
			if r.Name != "" {
				last = r.Name
			}
			rows[last] = append(rows[last], r.Bars...)
		}
		if n := len(w.Book.LimitsOf(name).Revisions); len(rows["limits"]) != n || len(rows["gauges"]) == 0 || len(rows["trials"]) == 0 {
			t.Errorf("%s: %d of %d revisions, %d gauges, %d trials", name, len(rows["limits"]), n, len(rows["gauges"]), len(rows["trials"]))
		}
		for _, b := range rows["fuel"] {
			if b.Heavy {
				heavy[b.Name] = true
			}
		}
	}
	if !heavy["Gallowyn Reach"] || len(heavy) != 1 {
		t.Errorf("failures go with %v", heavy)
	}
}

// holdsPeriod holds a bar against the service period.
func holdsPeriod(t *testing.T, w *Writer, st *logbook.ServicePeriod, b page.Bar) {
	t.Helper()
	begin, _ := w.Book.TotalOn(st.Engine, st.From)
	end, _ := w.Book.TotalOn(st.Engine, w.Today)
	if st.To != 0 {
		end, _ = w.Book.TotalOn(st.Engine, st.To)
	}
	if math.Abs(b.From-begin) > 24 && st.Opened != nil || math.Abs(b.To-end) > 24 || b.Name != st.Holder {
		t.Errorf("%s: bar %+v of %s from %g to %g h", st.Position, b, st.Holder, begin, end)
	}
	beyond := false
	if o := st.Closed; o != nil {
		if b.Pulled != o.Removed.Reason.Is("symptom") || b.Page != w.at.Overhaul[o] {
			t.Errorf("%s: bar %+v of %s", st.Position, b, o.Stem)
		}
		for _, v := range w.Judged.Of(o) {
			of := v.Key == facts.OpeningPressure.Found || v.Key == facts.LeakDown.Found || v.Key == facts.EffectiveStroke.Found ||
				v.Key == facts.HolderWear.Found
			beyond = beyond || of && v.Result.String() == "beyond"
		}
	}
	if b.Beyond != beyond {
		t.Errorf("%s: %s was found beyond: %t, shown: %t", st.Position, st.Holder, beyond, b.Beyond)
	}
}

// TestLanes puts no bar on another, and loses none. No outside source.
func TestLanes(t *testing.T) {
	rows := lanes([]page.Bar{{From: 0, To: 10}, {From: 5, To: 20}, {From: 10, To: 15}, {From: 12, To: 13}})
	n := 0
	for _, row := range rows {
		for i, b := range row {
			if n++; i > 0 && row[i-1].To > b.From+1 {
				t.Errorf("%+v lies on %+v", b, row[i-1])
			}
		}
	}
	if n != 4 || len(rows) != 3 {
		t.Errorf("%d bars in %d rows", n, len(rows))
	}
}
