package battery

import (
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"needlebook/checks/recurring"
)

// level is what a book has as recurring_chance where it says nothing.
const level = 0.02

var long = os.Getenv("NEEDLEBOOK_LONG") != ""

var update = flag.Bool("update", false, "write "+measured+" anew, with NEEDLEBOOK_LONG")

// measured is what the long battery shows. The documentation of the checks quotes it, and a test there holds it to that.
const measured = "testdata/measured.txt"

// first is the seed of the first ship: what the engine was tried on while it was made is not what it is judged by.
func first() uint64 {
	if long {
		return 7_000_000
	}
	return 1
}

// atMost and atLeast are one-sided 95 % bounds of a share of which k of n were seen. Source: Clopper & Pearson 1934.
func atMost(k, n int) float64 {
	if k >= n {
		return 1
	}
	return distuv.Beta{Alpha: float64(k) + 1, Beta: float64(n - k)}.Quantile(0.95)
}

func atLeast(k, n int) float64 {
	if k == 0 {
		return 0
	}
	return distuv.Beta{Alpha: float64(k), Beta: float64(n-k) + 1}.Quantile(0.05)
}

// 0 of 10 allow 25.9 %, and 10 of 10 prove 74.1 %: the twentieth part to the tenth root, any text. 5 of 10 lie above 22.2 %: tables of Clopper
// and Pearson, from memory.
func TestBounds(t *testing.T) {
	for _, x := range []struct{ is, want float64 }{{atMost(0, 10), 0.2589}, {atLeast(10, 10), 0.7411}, {atLeast(5, 10), 0.2224}} {
		if x.is < x.want-1e-4 || x.is > x.want+1e-4 {
			t.Errorf("bound %.4f, want %.4f", x.is, x.want)
		}
	}
}

// scenario is what is planted in each of many ships. oracle is what the oracle looks for.
type scenario struct {
	name   string
	fault  Fault
	change func(*Habits)
	oracle recurring.Kind
}

func base(p float64) func(*Habits) { return func(h *Habits) { h.Base = p } }

var honest = []scenario{
	{name: "honest, 1 to 8 % failing as found"},
	{name: "honest, 6 % early rejections", change: base(0.06)},
	{name: "honest, 8 % failing as found", change: base(0.08)},
	{name: "honest, one unplanned pull a year and engine", change: func(h *Habits) { h.Pulls = 1 }},
}

var failing = []scenario{
	{"a position ruins every valve", Fault{Kind: "position", Share: 1}, nil, recurring.ByPosition},
	{"a position ruins 45 %", Fault{Kind: "position", Share: 0.45}, nil, recurring.ByPosition},
	{"a cracked holder that moves", Fault{Kind: "holder", Share: 0.8}, nil, recurring.ByHolder},
	{"a bad bunker, every other valve", Fault{Kind: "bunker", Share: 0.5}, nil, recurring.ByFuel},
	{"a bad bunker, one valve in four", Fault{Kind: "bunker", Share: 0.25}, nil, recurring.ByFuel},
}

var erring = []scenario{
	{name: "a gauge 7 % high", fault: Fault{Kind: "gauge", Off: 0.07}},
	{name: "a gauge 7 % low", fault: Fault{Kind: "gauge", Off: -0.07}},
	{name: "a gauge 4 % high", fault: Fault{Kind: "gauge", Off: 0.04}},
	{name: "a gauge 4 % low", fault: Fault{Kind: "gauge", Off: -0.04}},
	{name: "a gauge 7 % high after a bad bunker", fault: Fault{Kind: "gauge after bunker", Share: 0.5, Off: 0.07}},
	{name: "a gauge 7 % low after a bad bunker", fault: Fault{Kind: "gauge after bunker", Share: 0.5, Off: -0.07}},
}

// answer is what the engine says of a ship, in the checks' words.
type answer struct {
	check  string // "holder", "position", "round", "gauge", "pressure of a position or holder"
	right  bool   // it names what was planted
	cannot bool   // it names none of two
}

// asked is all that the engine says of a ship up to an event.
func (s *Ship) asked(upTo int) []answer {
	visits := s.Visits(upTo)
	failures, _ := recurring.ExplainFailures(visits, level)
	pressures, _ := recurring.ExplainPressures(visits, failures, level)
	var all []answer
	for _, f := range failures {
		all = append(all, answer{checkOf(f.Kind), s.explains(f, visits), f.Rival != nil})
	}
	for _, p := range pressures {
		all = append(all, answer{map[bool]string{true: "gauge", false: "pressure"}[p.Kind == recurring.ByGauge], s.errs(p), p.Rival != nil})
	}
	return all
}

func checkOf(k recurring.Kind) string {
	if k == recurring.ByFuel {
		return "round"
	}
	return k.String()
}

// planted is the check that must speak, and of what.
func (s *Ship) planted() (check, name string) {
	switch s.Fault.Kind {
	case "position":
		return "position", fmt.Sprintf("ME%d-%d", s.Guilty/100+1, s.Guilty%100+1)
	case "holder":
		return "holder", Holder(s.Guilty)
	case "bunker", "gauge after bunker":
		return "round", Bunker(s.Also)
	}
	return "", ""
}

func (s *Ship) explains(f recurring.Failures, visits []recurring.Visit) bool {
	check, name := s.planted()
	if check == "round" {
		return checkOf(f.Kind) == check && ranOn(f.Visits, visits, name)
	}
	return checkOf(f.Kind) == check && f.Name == name
}

// ranOn says that half of the visits or more ran on a bunker: its neighbours burned in the same periods.
func ranOn(at []int, visits []recurring.Visit, bunker string) bool {
	n := 0
	for _, i := range at {
		if slices.Contains(visits[i].Fuels, bunker) {
			n++
		}
	}
	return 2*n >= len(at)
}

// errs says that a gauge was wrong, and when: where it explains as much at two times, both are told.
func (s *Ship) errs(p recurring.Pressures) bool {
	if s.Fault.Off == 0 || p.Kind != recurring.ByGauge || p.Name != Gauge(s.Guilty) {
		return false
	}
	return slices.ContainsFunc(append(p.Or, p.Rounds), func(r [2]int) bool { return r[0] <= s.To && r[1] >= s.From })
}

// tally counts ships of a scenario.
type tally struct{ ships, visits, named, cannot, innocent, oracle int }

func (c *tally) take(check string, said []answer, oracle bool) {
	hit, cannot, innocent := false, false, false
	for _, a := range said {
		hit = hit || a.right && !a.cannot && a.check == check
		cannot = cannot || a.cannot
		innocent = innocent || !a.right && !a.cannot
	}
	c.ships++
	for _, x := range []struct {
		is bool
		n  *int
	}{{hit, &c.named}, {cannot && !hit, &c.cannot}, {innocent, &c.innocent}, {oracle, &c.oracle}} {
		if x.is {
			*x.n++
		}
	}
}

func (c *tally) row(name string) string {
	share := "-"
	if c.oracle > 0 {
		share = fmt.Sprintf("%.0f %%", 100*float64(c.named)/float64(c.oracle))
	}
	return fmt.Sprintf("%-56s %5d %6d %6d %6d %8d %6.1f %% %6d %6s", name, c.ships, c.visits/max(1, c.ships), c.named, c.cannot,
		c.innocent, 100*atMost(c.innocent, c.ships), c.oracle, share)
}

// alarms are what the engine says of honest ships, and what an oracle says of the same.
type alarms struct {
	text  strings.Builder
	ships int
	of    map[string]int
	odds  map[string][]float64 // of the oracle, by scenario
}

func listen(t *testing.T, n int) *alarms {
	a := &alarms{of: map[string]int{}, odds: map[string][]float64{}}
	for _, x := range honest {
		own := map[string]int{}
		for i := range n {
			s := Sail(first()+uint64(i), x.fault, x.change)
			said := map[string]bool{}
			for _, y := range s.asked(-1) {
				said[y.check] = true
			}
			for check := range said {
				own[check]++
				a.of[check]++
			}
			visits := s.Visits(-1)
			for _, y := range failing {
				_, odds := s.Best(Knows{y.oracle, y.fault}, visits)
				a.odds[y.name] = append(a.odds[y.name], odds)
			}
			for _, y := range erring {
				_, _, _, odds := s.Wrong(max(y.fault.Off, -y.fault.Off), -1)
				a.odds[y.name] = append(a.odds[y.name], odds)
			}
			a.ships++
		}
		t.Logf("%-50s %d ships, of which are named or in doubt: %v", x.name, n, own)
	}
	for _, check := range []string{"holder", "position", "round", "gauge", "pressure"} {
		fmt.Fprintf(&a.text, "false alarms, %s: %d of %d honest ships, at most %.1f %%\n", check, a.of[check], a.ships, 100*atMost(a.of[check], a.ships))
	}
	return a
}

// cut is what the odds of the oracle must exceed for as many false alarms as a check had.
func (a *alarms) cut(scenario, check string) float64 {
	odds := slices.Sorted(slices.Values(a.odds[scenario]))
	return odds[len(odds)-max(1, a.of[check])]
}

// What is planted is named nearly as often as an oracle names it that knows the ship's base rate and the kind of the fault, at as many false
// alarms; the innocent are not. A smoke test of 25 ships of each kind; with NEEDLEBOOK_LONG the figures of the package's documentation, on
// ships that the engine was not made on. Sources: Neyman & Pearson 1933; Clopper & Pearson 1934.
func TestBattery(t *testing.T) {
	n, planted, slack := 25, 25, 0.25
	if long {
		n, planted, slack = 500, 300, 0
	}
	a := listen(t, n)
	for check, k := range a.of {
		if long && atMost(k, a.ships) > 0.02 || atLeast(k, a.ships) > 0.02 {
			t.Errorf("%s: %d false alarms on %d honest ships, more than 2 %%", check, k, a.ships)
		}
	}
	fmt.Fprintf(&a.text, "%-56s %5s %6s %6s %6s %8s %8s %6s %6s\n", "planted", "ships", "visits", "named", "cannot", "innocent", "at most", "oracle", "share")
	for _, x := range failing {
		var c tally
		for i := range planted {
			s := Sail(first()+100_000+uint64(i), x.fault, x.change)
			visits := s.Visits(-1)
			check, want := s.planted()
			name, odds := s.Best(Knows{x.oracle, x.fault}, visits)
			found := odds > a.cut(x.name, check) && (name == want || check == "round" && ranOn(s.units(x.oracle, visits)[name], visits, want))
			c.visits += len(visits)
			c.take(check, s.asked(-1), found)
		}
		held(t, a, x.name, &c, slack, floor[x.name])
	}
	for _, x := range erring {
		for _, when := range []string{"on the day", "after the next round"} {
			var c tally
			for i := range planted {
				s := Sail(first()+100_000+uint64(i), x.fault, x.change)
				if s.To < 0 {
					continue
				}
				upTo := s.From
				if when != "on the day" {
					upTo = max(s.Back(), s.From)
				}
				g, from, to, odds := s.Wrong(max(x.fault.Off, -x.fault.Off), upTo)
				c.visits += len(s.Visits(upTo))
				c.take("gauge", s.asked(upTo), odds > a.cut(x.name, "gauge") && g == s.Guilty && from <= s.To && to >= s.From)
			}
			name := x.name + ", " + when
			held(t, a, name, &c, slack, floor[name])
		}
	}
	a.keep(t)
}

// keep holds the long battery to what is on file.
func (a *alarms) keep(t *testing.T) {
	t.Log("\n" + a.text.String())
	switch {
	case long && *update:
		if err := os.WriteFile(measured, []byte(a.text.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	case long:
		if was, err := os.ReadFile(measured); err != nil || string(was) != a.text.String() {
			t.Errorf("%s is out of date (%v): run with -update, and read the difference", measured, err)
		}
	}
}

// floor is the share of the oracle's recall that a scenario has to reach, where nine tenths are not reached: what is missed is said in the
// documentation of the package.
var floor = map[string]float64{
	"a gauge 7 % high, on the day":                              0.85,
	"a gauge 7 % low, on the day":                               0.85,
	"a gauge 4 % high, on the day":                              0.55,
	"a gauge 4 % high, after the next round":                    0.7,
	"a gauge 4 % low, on the day":                               0.55,
	"a gauge 4 % low, after the next round":                     0.75,
	"a gauge 7 % high after a bad bunker, on the day":           0.3,
	"a gauge 7 % high after a bad bunker, after the next round": 0.75,
	"a gauge 7 % low after a bad bunker, on the day":            0.3,
	"a gauge 7 % low after a bad bunker, after the next round":  0.75,
}

func held(t *testing.T, a *alarms, name string, c *tally, slack, least float64) {
	t.Helper()
	a.text.WriteString(c.row(name) + "\n")
	if least == 0 {
		least = 0.9
	}
	if float64(c.named) < (least-slack)*float64(c.oracle) {
		t.Errorf("%s: named in %d of %d ships, the oracle in %d", name, c.named, c.ships, c.oracle)
	}
	if atLeast(c.innocent, c.ships) > 0.06 {
		t.Errorf("%s: another is accused in %d of %d ships", name, c.innocent, c.ships)
	}
}

// Every ship is another one, and the same seed gives the same. No outside source.
func TestShipsDiffer(t *testing.T) {
	texts := map[string]bool{}
	for seed := range uint64(20) {
		a := fmt.Sprint(Sail(seed, Fault{}, nil).Visits(-1))
		if b := fmt.Sprint(Sail(seed, Fault{}, nil).Visits(-1)); a != b {
			t.Errorf("seed %d gives two ships", seed)
		}
		texts[a] = true
	}
	if len(texts) != 20 || strings.Contains(fmt.Sprint(texts), "NaN") {
		t.Errorf("%d ships of 20 differ", len(texts))
	}
}
