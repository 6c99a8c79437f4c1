package battery

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/checks"
	"needlebook/logbook"
)

// recurringChecks are those that ask the engine.
var recurringChecks = []string{"nozzles-rejected-in-holder", "valves-rejected-in-position", "round-with-common-cause", "gauge-in-doubt",
	"position-loses-pressure"}

// found is what the checks of recurring findings say of a book.
func found(t *testing.T, text map[string]string) []checks.Finding {
	t.Helper()
	files := fstest.MapFS{}
	for name, text := range text {
		files[name] = &fstest.MapFile{Data: []byte(text)}
	}
	b, err := logbook.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range b.Problems {
		t.Fatalf("the book does not read: %v", p)
	}
	var only []*checks.Check
	for _, k := range checks.All() {
		for _, name := range recurringChecks {
			if k.Name == name {
				only = append(only, k)
			}
		}
	}
	if len(only) != len(recurringChecks) {
		t.Fatalf("%d of the checks %v are there", len(only), recurringChecks)
	}
	return checks.Run(b, checks.Options{Only: only}).Findings
}

// told says whether a finding names a planted fault.
func (s *Ship) told(f *checks.Finding, p *Planted) bool {
	check, name := p.speaks()
	switch check {
	case "gauge":
		return f.Check == "gauge-in-doubt" && f.About.Instrument == name
	case "round":
		return f.Check == "round-with-common-cause" && strings.Contains(fmt.Sprint(f.Evidence), name)
	case "cylinder head": // or its position, where it never left it
		return strings.HasPrefix(f.Message, check+" "+name) || strings.Contains(fmt.Sprint(f.Evidence), "head "+name+" ")
	}
	return strings.HasPrefix(f.Message, check+" "+name+":")
}

// A ship is written as a book, read, and checked as any book: what the engine names on the ship itself the findings name, each to its
// cause and in doubt where the records cannot tell; and an honest ship has none. No outside source.
func TestThroughTheBook(t *testing.T) {
	n := uint64(1)
	if long {
		n = 25
	}
	for _, x := range []scenario{
		{name: "honest"},
		{name: "position", faults: []Fault{ruins}},
		{name: "holder", faults: []Fault{cracked}},
		{name: "head", faults: []Fault{bentHead}, change: heads},
		{name: "bunker", faults: []Fault{badFuel}},
		{name: "gauge", faults: []Fault{high7}},
		{name: "position and gauge", faults: []Fault{ruins, low7}},
		{name: "holder and bunker", faults: []Fault{cracked, badFuel}},
	} {
		named, innocent, want := 0, 0, 0
		for seed := range n {
			s := Sail(first()+200_000+seed, x.faults, x.change)
			findings := found(t, s.Book(-1))
			said := s.asked(-1)
			for i := range s.Planted {
				for _, a := range said {
					if a.names == i {
						want++
						break
					}
				}
				for j := range findings {
					if s.told(&findings[j], &s.Planted[i]) {
						named++
						break
					}
				}
			}
			for j := range findings {
				accused := findings[j].Grade > checks.Advice
				for i := range s.Planted {
					accused = accused && !s.told(&findings[j], &s.Planted[i])
				}
				if accused {
					innocent++
					t.Logf("%s, ship %d: %s: %s", x.name, seed, findings[j].Check, findings[j].Message)
				}
			}
		}
		t.Logf("%s: through the book %d of %d faults are named, by the engine itself %d, %d others are accused", x.name, named,
			int(n)*len(x.faults), want, innocent)
		if named < want*9/10 || atLeast(innocent, int(n)) > 0.06 {
			t.Errorf("%s: named %d, the engine itself %d; %d others", x.name, named, want, innocent)
		}
	}
}

// A leak-down that was cut off is no short one: a round in which the watch was stopped at a second in which two
// valves dripped is not fouled, and one in which the second was read is. No outside source.
func TestACutOffTimeIsNotShort(t *testing.T) {
	for _, x := range []struct {
		time string
		want bool
	}{{"more than 1.0 s", false}, {"1.0 s", true}} {
		s := Sail(first()+1, nil, func(h *Habits) { h.Engines, h.Interval, h.Rounds = 2, 1500, 20 })
		event := s.Valves[len(s.Valves)/2].Event
		files := s.Book(-1)
		for i := range s.Valves {
			v := &s.Valves[i]
			name := v.path()
			if v.Event == event {
				files[name] = strings.Replace(files[name], fmt.Sprintf("time: %.1f s", v.Leak), "time: "+x.time, 1)
				if v.Cylinder < 2 {
					files[name] = strings.Replace(files[name], "state: dry", "state: drop", 1)
				}
			}
		}
		named := false
		for _, f := range found(t, files) {
			named = named || f.Check == "round-with-common-cause"
		}
		if named != x.want {
			t.Errorf("times of %s: a round is named %v", x.time, named)
		}
	}
}
