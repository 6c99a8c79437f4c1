package content

import (
	"math"
	"slices"
	"strings"
	"testing"

	"needlebook/checks/evidence"
	"needlebook/example-vessel/invent"
	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// The tests of the charts hold their points against the records themselves. No outside source: a chart shows what was written.

// TestCylinderPlots holds every point of the plots of a cylinder against the record that it leads to: the value as it was written, at the
// engine's hours of that day, hollow as found, solid as left.
func TestCylinderPlots(t *testing.T) {
	w := exampleVessel(t)
	byPage := map[page.Ref]*logbook.Overhaul{}
	for o, to := range w.at.Overhaul {
		byPage[to] = o
	}
	points := 0
	for _, at := range w.Positions {
		for leaf := range w.at.Cylinders[at] {
			p := w.cylinderPage(at, leaf)
			for _, q := range facts.CylinderQuantities {
				c := plotTitled(t, p, q.Name+" of cylinder "+at.String()+", as left and as found")
				if c.Unit != q.Unit || c.Log != q.Log || c.XUnit != "h in all, "+at.Engine {
					t.Errorf("%s: axes %q and %q, log %t", c.Title, c.Unit, c.XUnit, c.Log)
				}
				for _, d := range c.Points {
					file, id, _ := strings.Cut(string(d.To), "#")
					o := byPage[page.Ref(file)]
					if o == nil {
						continue // of the opening state
					}
					points++
					key, on, when := q.Left, facts.FittedTo(o), o.Fitted.Date.Day
					if d.Found {
						key, on, when = q.Found, facts.RemovedFrom(o), o.Removed.Date.Day
					}
					v := w.Verdict(o, key)
					hours, ok := w.Book.TotalOn(at.Engine, when)
					if on != at || v == nil || v.Value.Float() != d.Y || !ok || math.Abs(hours-d.X) > 24 {
						t.Errorf("%s: the point %+v is not %s of %s at %g h", c.Title, d, key, o.Stem, hours)
					}
					if id != address.KeyID(key) {
						t.Errorf("%s: the point of %s leads to %s", c.Title, o.Stem, id)
					}
				}
				for _, l := range c.Periods {
					from, to := slices.Contains(placesOf(c.Points, false), l[0]), slices.Contains(placesOf(c.Points, true), l[1])
					if !from || !to || l[0][0] > l[1][0] {
						t.Errorf("%s: the service period %v does not lead from how a valve was left to how it was found", c.Title, l)
					}
				}
			}
		}
	}
	if points < 300 {
		t.Errorf("%d points were looked at", points)
	}
}

func placesOf(all []page.Point, found bool) []page.XY {
	var places []page.XY
	for _, d := range all {
		if d.Found == found {
			places = append(places, page.XY{d.X, d.Y})
		}
	}
	return places
}

// TestBounds holds the limits of the plots against those that the records were judged by.
func TestBounds(t *testing.T) {
	w := exampleVessel(t)
	at := w.Positions[0]
	c := plotTitled(t, w.cylinderPage(at, 0), "opening pressure of cylinder "+at.String()+", as left and as found")
	if len(c.Bounds) == 0 {
		t.Fatal("no limit is shown")
	}
	for _, b := range c.Bounds {
		held := false
		for _, st := range w.Lives.InPosition(at) {
			for o, key := range map[*logbook.Overhaul]string{st.Opened: facts.OpeningPressure.Left, st.Closed: facts.OpeningPressure.Found} {
				if o == nil {
					continue
				}
				if v := w.Verdict(o, key); v != nil {
					held = held || b.Upper && v.Span.High.Valid() && v.Span.High.Float() == b.Y ||
						!b.Upper && v.Span.Low.Valid() && v.Span.Low.Float() == b.Y
				}
			}
		}
		if !held {
			t.Errorf("no record of the cylinder was judged by the limit %+v", b)
		}
	}
}

// TestExhaustChart holds the exhaust deviations against the running files and the records, with their signs, and marks every change.
func TestExhaustChart(t *testing.T) {
	w := exampleVessel(t)
	for _, at := range w.Positions[:3] {
		c := plotTitled(t, w.cylinderPage(at, 0), "exhaust deviation of cylinder "+at.String()+", valve by valve")
		var want []float64
		others := 0
		for _, r := range w.Book.Running {
			switch {
			case !r.Dev.Valid:
			case r.Engine == at.Engine && r.Cylinder.Written == at.Cylinder:
				want = append(want, r.Dev.Value)
			case r.Engine == at.Engine:
				others++
			}
		}
		var got []float64
		for _, v := range c.Small {
			got = append(got, v[1])
		}
		slices.Sort(got)
		slices.Sort(want)
		if len(want) == 0 || !slices.Equal(got, want) {
			t.Errorf("%s: %d readings, want the %d of the running file", at, len(got), len(want))
		}
		if len(c.Others) < others {
			t.Errorf("%s: %d readings of the others, want at least %d", at, len(c.Others), others)
		}
		for _, d := range c.Points {
			o := recordAt(w, d.To)
			value := o.AsFound.RunningBefore.Exhaust
			if !d.Found {
				value = o.RunningAfter.Exhaust
			}
			if value.Float() != d.Y {
				t.Errorf("%s: %+v, the record says %s", at, d, value.Written)
			}
		}
		for _, l := range c.Lines {
			for i, st := range l.Steps {
				if st[1] <= 0 || i > 0 && st[0] < l.Steps[i-1][0] {
					t.Errorf("%s: the threshold %q has the steps %v", at, l.Words, l.Steps)
				}
			}
		}
		if len(c.Lines) == 2 && len(c.Lines[0].Steps) > 0 && c.Lines[0].Steps[0][1] >= c.Lines[1].Steps[0][1] {
			t.Errorf("%s: the threshold to look is not below the one to act: %v", at, c.Lines)
		}
		changes := c.Changes
		periods := w.periodsOn(at, 0)
		if len(changes) != len(periods) {
			t.Fatalf("%s: %d changes of %d valves", at, len(changes), len(periods))
		}
		for i, st := range periods {
			if changes[i].Words != st.Holder {
				t.Errorf("%s: change %d is of %s, want %s", at, i, changes[i].Words, st.Holder)
			}
		}
	}
}

func recordAt(w *Writer, to page.Ref) *logbook.Overhaul {
	file, _, _ := strings.Cut(string(to), "#")
	for o, name := range w.at.Overhaul {
		if string(name) == file {
			return o
		}
	}
	return nil
}

// TestBars holds every bar of a cylinder, over the years and over the hours, and of the matrix against the service period.
func TestBars(t *testing.T) {
	w := exampleVessel(t)
	bars := 0
	for _, at := range w.Positions {
		periods := w.periodsOn(at, 0)
		p := w.cylinderPage(at, 0)
		for _, c := range blocksOf[page.Years](p) {
			if len(c.Bars) != len(periods) {
				t.Fatalf("%s: %d bars for %d valves", at, len(c.Bars), len(periods))
			}
			for i, b := range c.Bars {
				st := periods[i]
				end := st.To
				if end == 0 {
					end = w.Today
				}
				bars++
				pulled := st.Closed != nil && st.Closed.Removed.Reason.Is("symptom")
				if b.From != float64(st.From) || b.To != float64(end) || b.Name != st.Holder || b.Pulled != pulled || b.Odd != (i%2 == 1) {
					t.Errorf("%s: bar %+v of the valve %s from %s to %s", at, b, st.Holder, st.From, st.To)
				}
				if y := end.Time().Year(); st.From.Time().Year() < c.First || y > c.Last {
					t.Errorf("%s: the years %d to %d leave out %s to %s", at, c.First, c.Last, st.From, st.To)
				}
			}
		}
		for _, c := range blocksOf[page.OverHours](p) {
			for _, b := range c.Bars {
				if b.From > b.To || b.From < c.Span[0] || b.To > c.Span[1] {
					t.Errorf("%s: bar %+v outside %v", at, b, c.Span)
				}
			}
			begin, ok := w.Book.TotalOn(at.Engine, periods[len(periods)-1].From)
			if last := c.Bars[len(c.Bars)-1]; ok && math.Abs(last.From-begin) > 24 {
				t.Errorf("%s: the last valve begins at %g h, fitted at %g h", at, last.From, begin)
			}
		}
	}
	if bars < 80 {
		t.Errorf("%d bars were looked at", bars)
	}
	for _, c := range blocksOf[page.Matrix](w.wherePage(0)) {
		for _, row := range c.Rows {
			periods := w.Lives.InPosition(logbook.Position{Engine: c.Engine, Cylinder: row.Name})
			last := row.Bars[len(row.Bars)-1]
			if st := periods[len(periods)-1]; last.Name != st.Holder || last.From != max(float64(st.From), c.From) || last.To != float64(w.Today) {
				t.Errorf("%s-%s: the last bar is %+v, the last valve %s from %s", c.Engine, row.Name, last, st.Holder, st.From)
			}
		}
	}
}

// TestRoundCharts holds differences against the two readings they are between: as found less as left.
func TestRoundCharts(t *testing.T) {
	w := exampleVessel(t)
	rounds := blocksOf[page.Rounds](w.chartsPage())
	if len(rounds) != 2 || len(rounds[0].Rows) < 10 {
		t.Fatalf("%d charts of rounds", len(rounds))
	}
	differences := map[*logbook.Overhaul]float64{}
	for _, sh := range w.Recurring().Shifts {
		differences[sh.Overhaul] = sh.Found.Float() - sh.Left.Opening.Float()
	}
	drawn := 0
	for _, c := range rounds {
		drawn += holdsRounds(t, w, c, differences)
	}
	if drawn < len(differences)*9/10 { // a round that has no name of its own has no row
		t.Errorf("%d of %d valves are drawn", drawn, len(differences))
	}
	if used, fresh := rounds[0].Normal, rounds[1].Normal; used.Median == fresh.Median {
		t.Error("used and new settings lie on one band") // a new spring and seat settle first
	}
	for i, r := range w.Rounds {
		for _, c := range blocksOf[page.Differences](w.roundPage(i)) {
			for _, d := range c.Points {
				o := r.Overhauls[int(d.X)]
				if recordAt(w, d.To) != o || c.Columns[int(d.X)] != o.Removed.Cylinder.Written || math.Abs(differences[o]-d.Y) > 0.05 {
					t.Errorf("round %s: %+v over the cylinder %s", r.Name, d, c.Columns[int(d.X)])
				}
			}
		}
	}
}

// holdsRounds holds one chart of rounds against the differences, and gives how many valves it shows.
func holdsRounds(t *testing.T, w *Writer, c page.Rounds, differences map[*logbook.Overhaul]float64) (drawn int) {
	t.Helper()
	low, high := c.Normal.Ends()
	if low >= high || low > 0 { // a setting falls in service
		t.Errorf("normal goes from %g to %g", low, high)
	}
	shape := map[string]page.Shape{"used": page.Disc, "new": page.Square, "reground": page.Triangle}[c.Setting]
	for _, row := range c.Rows {
		below, named := 0, 0
		for _, d := range row.Points {
			drawn++
			o := recordAt(w, d.To)
			if want, ok := differences[o]; !ok || math.Abs(want-d.X) > 0.05 || w.at.RoundOf[o] != row.Name || d.Shape != shape {
				t.Errorf("round %s, %s settings: %+v, want a difference of %g", row.Name, c.Setting, d, want)
			}
			if d.X < low {
				below++
			}
			if d.Label != "" {
				named++
				if d.X >= low {
					t.Errorf("round %s: %s bears its name within the band", row.Name, d.Label)
				}
			}
		}
		if (named == 1) != (below == 1) || named > 1 {
			t.Errorf("round %s: %d valves leave the band, %d bear their names", row.Name, below, named)
		}
	}
	return drawn
}

// TestBookCharts holds shares and lifts of the whole book against the records.
func TestBookCharts(t *testing.T) {
	w := exampleVessel(t)
	c := plotTitled(t, w.valvesPage(), "Opening pressure as found, in per cent of how it was left, over the hours in service")
	if len(c.Points) < 60 || c.Lines[0].Steps[0][1] != 100 {
		t.Errorf("%d points, lines %v", len(c.Points), c.Lines)
	}
	lowest, named := math.Inf(1), math.Inf(-1)
	for _, d := range c.Points {
		o := recordAt(w, d.To)
		st := w.Lives.ClosedBy(o)
		found, left := w.Valued(o, facts.OpeningPressure.Found), w.LeftAt(facts.Life{ServicePeriod: st}, facts.OpeningPressure)
		if want := 100 * found.Value.Float() / left.Value.Float(); math.Abs(want-d.Y) > 0.1 || math.Abs(st.Hours-d.X) > 0.5 {
			t.Errorf("%+v, want %.1f %% at %.0f h", d, want, st.Hours)
		}
		lowest = min(lowest, d.Y)
		if d.Label != "" {
			named = max(named, d.Y)
		} else if d.Y < lowest {
			t.Errorf("the lowest, %+v, bears no name", d)
		}
	}
	if lowest > 95 || named > 100 {
		t.Errorf("the lowest is %g, the highest that bears a name %g", lowest, named)
	}
	c = plotTitled(t, w.strokesPage(), "Effective lift over the hours of the nozzle, a line a nozzle")
	for _, d := range c.Points {
		o := recordAt(w, d.To)
		hours, _ := w.Lives.NozzleHours(o.Nozzle.Found.Written, o.Removed.Date.Day)
		v := w.Valued(o, facts.EffectiveStroke.Found)
		if v.Value.Float() != d.Y || hours != d.X || d.Beyond != v.Result.Out() {
			t.Errorf("%+v, want %s at %g h", d, v.Value, hours)
		}
	}
	if len(c.Lines) != 1 { // both engines go by one limits file
		t.Errorf("%d largest lifts", len(c.Lines))
	}
	for _, l := range c.Periods {
		if l[0][0] > l[1][0] {
			t.Errorf("the line %v leads backwards", l)
		}
	}
}

// TestShares holds what was fine by age against the overhauls.
func TestShares(t *testing.T) {
	w := exampleVessel(t)
	fine, n := 0, 0
	for _, o := range w.Evidence().Openings {
		if o.State != evidence.Unknown && o.Hours <= ageSteps[0] {
			if n++; o.State != evidence.Bad {
				fine++
			}
		}
	}
	shares := blocksOf[page.Share](w.chartsPage())
	if n == 0 || len(shares) == 0 || math.Abs(shares[0].Share-float64(fine)/float64(n)) > 1e-9 {
		t.Fatalf("%d of %d were fine below %g h; the shares are %v", fine, n, ageSteps[0], shares)
	}
	for _, s := range shares {
		if s.Low > s.Share || s.Share > s.High || s.Low < 0 || s.High > 1 {
			t.Errorf("the share %+v", s)
		}
	}
	most := 0.0
	for _, p := range blocksOf[page.Part](w.chartsPage()) {
		most = max(most, p.Of)
		if p.Of < 0 || p.Of > 1 {
			t.Errorf("a part of %g", p.Of)
		}
	}
	if most != 1 {
		t.Errorf("the most nozzles are drawn as %g of the most", most)
	}
}

// TestScalesOfRecords holds the scale beside each verdict against its value and limit.
func TestScalesOfRecords(t *testing.T) {
	w := exampleVessel(t)
	scales := 0
	for _, o := range w.Book.Overhauls[:20] {
		got := blocksOf[page.Scale](w.overhaulPage(o))
		for i := range w.Judged.Worked(o) {
			v := &w.Judged.Worked(o)[i]
			if !v.Value.Valid() || !v.Span.Valid() || v.Span.Kind() != v.Value.Kind() {
				continue
			}
			s := got[0]
			got = got[1:]
			scales++
			low, high := math.Inf(-1), math.Inf(1)
			if v.Span.Low.Valid() {
				low = v.Span.Low.Float()
			}
			if v.Span.High.Valid() {
				high = v.Span.High.Float()
			}
			if s.Value != v.Value.Float() || s.Low != low || s.High != high || s.U != v.U || s.Out != v.Result.Out() {
				t.Errorf("%s, %s: the scale %+v", o.Stem, v.Key, s)
			}
		}
		if len(got) != 0 {
			t.Errorf("%s has %d scales too many", o.Stem, len(got))
		}
	}
	if scales < 100 {
		t.Errorf("%d scales were looked at", scales)
	}
}

// TestPaperPlots holds the charts of the interval against the paper they are of.
func TestPaperPlots(t *testing.T) {
	w := exampleVessel(t)
	paper := w.Evidence().Paper(evidence.Ask{Plots: true})
	var plots []*page.Plot
	for _, p := range w.paperPages(address.Interval, "x", paper) {
		plots = append(plots, blocksOf[*page.Plot](p)...)
	}
	if len(plots) == 0 || len(plots) != len(paper.Plots) {
		t.Fatalf("%d plots, the paper has %d", len(plots), len(paper.Plots))
	}
	for i, x := range paper.Plots {
		c := plots[i]
		if c.Title != x.Title || c.Unit != x.Y || c.XUnit != x.X || c.Log != x.Log || len(c.Points)+len(c.Small) != len(x.Points) {
			t.Errorf("%s: %q over %q with %d points", x.Title, c.Unit, c.XUnit, len(c.Points))
		}
		for j, d := range c.Points {
			if d.X != x.Points[j].X || d.Y != x.Points[j].Y || !d.Found {
				t.Errorf("%s: point %+v, want %+v", x.Title, d, x.Points[j])
			}
		}
		if !slices.Equal(c.Trend, x.Line) || !slices.Equal(c.Band[0], x.Low) || !slices.Equal(c.Band[1], x.High) {
			t.Errorf("%s: the line or its band is another", x.Title)
		}
		if x.HasLimit != (len(c.Lines) == 1) || x.HasLimit && c.Lines[0].Steps[0] != (page.XY{0, x.Limit}) {
			t.Errorf("%s: the limit is %v", x.Title, c.Lines)
		}
	}
}

// TestNewestPeriodsOfAPart shows the newest service periods of a part that had many, says how many came before, and leads to each record.
func TestNewestPeriodsOfAPart(t *testing.T) {
	w := writerOf(t, invent.Vessel(5, invent.Options{Overhauls: 80}).FS())
	many := 0
	for _, h := range w.Lives.Holders() {
		periods := w.Lives.OfHolder(h)
		p := w.holderPage(h)
		c := blocksOf[*page.Plot](p)[0]
		newest := periods[max(0, len(periods)-livesDrawn):]
		begin := 0.0
		for _, st := range periods[:len(periods)-len(newest)] {
			begin += st.Hours
		}
		for _, d := range c.Points {
			if d.X < begin {
				t.Errorf("%s: a point at %g h, the newest periods begin at %g h", h, d.X, begin)
			}
		}
		if len(c.Others) == 0 || c.OthersAre != "other holders of its type" {
			t.Errorf("%s: %d values of %q", h, len(c.Others), c.OthersAre)
		}
		said := false
		eachBlock(p.Blocks, func(b page.Block) {
			if note, ok := b.(page.Para); ok {
				said = said || strings.HasPrefix(note.Text.String(), "The newest ")
			}
		})
		if said != (len(periods) > livesDrawn) {
			t.Errorf("%s had %d periods; that some are left out is said: %t", h, len(periods), said)
		}
		if len(periods) > livesDrawn {
			many++
		}
	}
	if many == 0 {
		t.Error("no holder had many periods: the test looks at nothing")
	}
}
