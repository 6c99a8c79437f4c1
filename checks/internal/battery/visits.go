package battery

import (
	"fmt"
	"math"

	"needlebook/checks/recurring"
)

// Visits are the ship's valves as the engine takes them, as if her book had been read up to an event; a negative event
// is the whole.
func (s *Ship) Visits(upTo int) []recurring.Visit {
	var all []recurring.Visit
	for i := range s.Valves {
		x := &s.Valves[i]
		if upTo >= 0 && x.Event > upTo {
			break
		}
		v := recurring.Visit{Round: fmt.Sprintf("R%d", x.Event), Position: x.Position(), Holder: Holder(x.Holder),
			Looked: true, Failed: x.Failed, Leak: math.Log(x.Leak / (12 * math.Exp(-x.Hours/9000))), Leaks: true,
			Hours: x.Hours, Bar: x.Found - x.Left, Compares: x.Known, Tested: Gauge(x.Tested), SetIn: x.SetIn,
			Pulled: x.Pulled, TestedIn: x.Event, Step: s.Habits.Step, ErrorOf: 6, ErrorSet: 6}
		if x.Known {
			v.Set = Gauge(x.Set)
		}
		if x.Head >= 0 {
			v.Head = Head(x.Head)
		}
		if x.New {
			v.Class = 1
		}
		for _, b := range s.fuels[i] {
			v.Fuels = append(v.Fuels, Bunker(b))
		}
		all = append(all, v)
	}
	return all
}

// Holder, Gauge and Bunker are names.
func Holder(n int) string { return fmt.Sprintf("H-%d", 101+n) }

// Head is the name of a cylinder head.
func Head(n int) string { return fmt.Sprintf("CH-%03d", 1+n) }

// Gauge is the name of a gauge.
func Gauge(n int) string { return fmt.Sprintf("PG-%02d", 1+n) }

// Bunker is the name of a delivery.
func Bunker(n int) string { return fmt.Sprintf("B-%03d", 1+n) }
