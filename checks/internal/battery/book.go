package battery

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// Book is what the ship's book would hold, file by file, as her engineers would have written it up to an event; a
// negative event is the whole. What is true and not read is not in it.
func (s *Ship) Book(upTo int) map[string]string {
	n := len(s.Valves)
	for upTo >= 0 && n > 0 && s.Valves[n-1].Event > upTo {
		n--
	}
	valves := s.Valves[:n]
	next := make([]int, n) // by valve, the one in which it came out again
	for i := range next {
		next[i] = -1
	}
	for i := range valves {
		if set := valves[i].SetIn; set >= 0 {
			next[set] = i
		}
	}
	files := map[string]string{"book.md": s.vessel(valves), "limits/4t20.md": limitsFile,
		"fuel/bunkers.csv": s.bunkerTable(),
		"crew.csv":         "id,name,rank,from,to\na.two,A. Two,second engineer,2015-01-01,2040-01-01\n"}
	for g := range s.Habits.Gauges {
		files[fmt.Sprintf("instruments/pg-%02d.md", g+1)] = fmt.Sprintf("---\nid: %s\nkind: gauge\nmeasures: pressure\n"+
			"range: 0 .. 600 bar\ndivision: %g bar\nclass: 1.0\n---\n", Gauge(g), s.Habits.Step)
	}
	for e := range s.Habits.Engines {
		var b strings.Builder
		b.WriteString("date,counter_h\n")
		for d := 0.0; d <= s.days; d += 30 {
			fmt.Fprintf(&b, "%s,%.0f\n", dateOf(d), counterOn(math.Floor(d)))
		}
		files[fmt.Sprintf("hours/me%d.csv", e+1)] = b.String()
	}
	for i := range valves {
		x := &valves[i]
		var out *Valve
		if next[i] >= 0 {
			out = &valves[next[i]]
		}
		files[x.path()] = s.record(x, out)
	}
	return files
}

const limitsFile = `---
type: 4T20
revisions:
  - from: 2015-01-01
    source: invented
    rule: simple
    opening_pressure: {used: 320 +15/-15 bar, new: 342 +15/-15 bar, as_found: {look: 200 bar, cause: 180 bar}}
    seat: {at: opening - 20 bar, for: 10 s, allow: damp}
    leak_down: {from: opening - 25 bar, fall: 60 bar, oil: 20 °C, as_left: 1.0 .. 90 s, as_found: 0.5 s ..}
---
`

func dateOf(day float64) string {
	return time.Date(2015, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, int(day)).Format(time.DateOnly)
}

func counterOn(day float64) float64 { return math.Round(1000 + day*hoursOfYear/365) }

// path is the file of the overhaul.
func (x *Valve) path() string {
	return fmt.Sprintf("overhauls/me%d/c%d/%s-%s.md", x.Engine+1, x.Cylinder+1, dateOf(x.Day),
		strings.ToLower(Holder(x.Holder)))
}

// fittedOn is the day a valve went in.
func (x *Valve) fittedOn() float64 { return x.Day - x.Hours*365/hoursOfYear }

// fitting is where and when a valve went in.
func (x *Valve) fitting() string {
	return fmt.Sprintf("{engine: ME%d, cylinder: %d, date: %s, counter: %.0f h}", x.Engine+1, x.Cylinder+1,
		dateOf(x.fittedOn()+1e-6), counterOn(math.Floor(x.fittedOn()+1e-6)))
}

// vessel is book.md: engines, what was fitted at the start, and the heads that were exchanged.
func (s *Ship) vessel(valves []Valve) string {
	var b, spares, heads strings.Builder
	b.WriteString("---\nvessel: Invented\nengines:\n")
	for e := range s.Habits.Engines {
		var cylinders []string
		for c := range s.Habits.Cylinders {
			cylinders = append(cylinders, fmt.Sprint(c+1))
		}
		fmt.Fprintf(&b, "  - {id: ME%d, name: engine %d, type: 4T20, cylinders: [%s], numbered_from: free end, "+
			"limits: 4t20, interval: %.0f h}\n", e+1, e+1, strings.Join(cylinders, ", "), s.Habits.Interval)
	}
	b.WriteString("opening:\n  date: 2015-01-01\n  fitted:\n")
	last := map[int]*Valve{}
	for i := range valves {
		x := &valves[i]
		if x.SetIn < 0 && x.fittedOn() < 0.5 {
			fmt.Fprintf(&b, "    - {engine: ME%d, cylinder: %d, holder: %q, nozzle: %q, counter: 1000 h}\n", x.Engine+1,
				x.Cylinder+1, Holder(x.Holder), s.nozzle(x))
		} else if x.SetIn < 0 {
			fmt.Fprintf(&spares, "    - {holder: %q, nozzle: %q, fitted: %s}\n", Holder(x.Holder), s.nozzle(x), x.fitting())
		}
		at := x.Engine*100 + x.Cylinder
		if was := last[at]; was != nil && was.Head != x.Head {
			day := was.Day + 1
			fmt.Fprintf(&heads, "  - {engine: ME%d, cylinder: %d, date: %s, counter: %.0f h, head: %s, off: %s}\n", x.Engine+1,
				x.Cylinder+1, dateOf(day), counterOn(math.Floor(day)), Head(x.Head), Head(was.Head))
		}
		last[at] = x
	}
	if spares.Len() > 0 {
		b.WriteString("  spares:\n" + spares.String())
	}
	if heads.Len() > 0 {
		b.WriteString("head_exchanged:\n" + heads.String())
	}
	b.WriteString("---\n")
	return b.String()
}

// nozzle is the serial of the nozzle that came out with a valve: each new one has the next number.
func (s *Ship) nozzle(x *Valve) string {
	n := 0
	for set := x.SetIn; set >= 0; set = s.Valves[set].SetIn {
		if s.Valves[set].Renewed {
			n++
		}
	}
	return fmt.Sprintf("N-%d-%d", x.Holder+101, n)
}

func (s *Ship) bunkerTable() string {
	var b strings.Builder
	b.WriteString("stem,received,in_use_from,in_use_to,grade\n")
	for i, d := range s.bunkers {
		to := ""
		if i+1 < len(s.bunkers) {
			to = dateOf(s.bunkers[i+1])
		}
		fmt.Fprintf(&b, "%s,%s,%s,%s,residual\n", Bunker(i), dateOf(d), dateOf(d), to)
	}
	return b.String()
}

// record is the file of one overhaul. out is the valve as it came out the next time; nil where it did not.
func (s *Ship) record(x, out *Valve) string {
	nozzle := s.nozzle(x)
	left := nozzle
	decided := "reuse"
	if x.Renewed {
		decided = "renew"
		left = s.nozzle(&Valve{Holder: x.Holder, SetIn: slices.IndexFunc(s.Valves, func(y Valve) bool {
			return y.Event == x.Event && y.Holder == x.Holder
		})})
	}
	reason, seat := "planned", "dry"
	if x.Pulled {
		reason = "symptom"
	}
	if x.Failed && !x.Pulled {
		seat = "drop"
	}
	var b strings.Builder
	fmt.Fprintf(&b, "---\nholder: %q\nnozzle: {found: %q, left: %q}\n", Holder(x.Holder), nozzle, left)
	fmt.Fprintf(&b, "removed: {engine: ME%d, cylinder: %d, date: %s, counter: %.0f h, reason: %s}\n", x.Engine+1,
		x.Cylinder+1, dateOf(x.Day), counterOn(math.Floor(x.Day)), reason)
	at := math.Round(x.Found) - 25
	b.WriteString("as_found:\n" + test(x.Day, x.Tested, x.Found))
	fmt.Fprintf(&b, "  seat: {at: %.0f bar, for: 10 s, state: %s}\n", at+5, seat)
	fmt.Fprintf(&b, "  leak_down: {from: %.0f bar, to: %.0f bar, time: %.1f s}\n", at, at-60, x.Leak)
	fmt.Fprintf(&b, "decided: {nozzle: %s, holder: reuse, spring: reuse, why: as tested}\n", decided)
	b.WriteString("as_left:\n" + test(x.Day, x.Tested, x.AsLeft))
	if out != nil {
		fmt.Fprintf(&b, "fitted: %s\n", out.fitting())
	}
	b.WriteString("by: a.two\n---\n")
	return b.String()
}

// test is what a test of the opening pressure begins with.
func test(day float64, gauge int, bar float64) string {
	return fmt.Sprintf("  date: %s\n  gauge: %s\n  oil: 20 °C\n  opening_pressure: [%[3]g bar, %[3]g bar, %[3]g bar]\n",
		dateOf(day), Gauge(gauge), bar)
}
