// Package vessel_test reads the example vessel as any other book and holds it to the numbers it was invented with.
package vessel_test

import (
	"bytes"
	"os"
	"testing"

	vessel "needlebook/example-vessel"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

func read(t *testing.T) *logbook.Book {
	t.Helper()
	b, err := logbook.Read(vessel.Files) // the folder holds Go packages beside the book
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Two slips of writing stand in the book on purpose; the other two of that kind read well and are for the checks to find.
func TestOnlyThePlantedSlipsStandInTheReading(t *testing.T) {
	want := map[string]string{
		measure.SlipDecimalComma: "overhauls/me2/c6/2022-01-08-h-118.md", // a lift written 0,78
		measure.SlipColon:        "overhauls/me2/c3/2022-09-29-h-103.md", // three tries of twenty seconds, written 3:20
	}
	for _, p := range read(t).Problems {
		if want[p.Slip] != p.Place.Path {
			t.Errorf("a problem that was not planted: %s", p)
		}
		delete(want, p.Slip)
	}
	for slip, path := range want {
		t.Errorf("%s: no %s found, wanted one", path, slip)
	}
}

func TestCounts(t *testing.T) {
	b := read(t)
	pulled, renewed := 0, map[string]bool{}
	for _, o := range b.Overhauls {
		if o.Removed.Stated() {
			pulled++
		}
		for _, n := range []logbook.Serial{o.Nozzle.Found, o.Nozzle.Left, o.Fitted.Nozzle} {
			if n.Stated() {
				renewed[n.Written] = true
			}
		}
	}
	for _, c := range []struct {
		what      string
		got, want int
	}{
		{"overhauls", len(b.Overhauls), 128},
		{"overhauls with a removal", pulled, 125},
		{"fittings", len(b.Lives().ServicePeriods), 137},
		{"nozzles met in records", len(renewed), 52},
		{"holders", len(b.Lives().Holders()), 21},
		{"handovers of the second engineer", len(b.Handovers), 11},
	} {
		if c.got != c.want {
			t.Errorf("%s: got %d, want %d", c.what, c.got, c.want)
		}
	}
	if got := b.Today().String(); got != "2024-06-24" {
		t.Errorf("today: got %s, want 2024-06-24", got)
	}
}

// The hours are the ones the story was made with, before the book was written; the book states counter readings only.
func TestHoursOfEachLife(t *testing.T) {
	b := read(t)
	for _, c := range []struct {
		record          string
		nozzle          string
		service, inAll  float64 // of the life that the removal ends; of the nozzle on that day
		engineHoursThen float64
	}{
		{"2021-02-10-h-101", "N-2001", 460, 3230, 41710},  // first round, opening state
		{"2021-04-17-h-109", "N-2009", 1364, 3571, 42236}, // first of six nozzles of one holder
		{"2021-09-02-h-109", "N-2021", 1015, 1015, 44694},
		{"2022-05-10-h-109", "N-2026", 549, 549, 47871},
		{"2022-07-27-h-117", "N-2017", 1957, 9233, 49621}, // set C, in the spares rack when the book begins
		{"2022-10-14-h-109", "N-2028", 1173, 1173, 50794}, // across the replaced counter
		{"2022-12-07-h-112", "N-2012", 1973, 9581, 51594}, // longest runner
		{"2023-01-22-h-102", "N-2024", 744, 2821, 52338},
		{"2023-10-04-h-102", "N-2024", 1408, 6106, 55257}, // the deferral that ran out
		{"2023-11-22-h-120", "N-2020", 707, 707, 55964},   // built new in the spares rack
		{"2024-01-24-h-105", "N-2042", 1902, 3779, 57713}, // the fitting names another holder
		{"2024-02-08-h-107", "N-X381", 225, 225, 57938},   // changed between the bench and the engine
		{"2024-05-16-h-116", "N-2047", 2387, 4514, 58351}, // trial
		{"2024-06-11-h-107", "N-2049", 1857, 3972, 59795}, // back after the one that was not permitted
		{"2024-06-11-h-119", "N-2019", 2082, 6343, 59795},
	} {
		o := b.Overhaul(c.record)
		if o == nil {
			t.Errorf("no record %s", c.record)
			continue
		}
		period := b.Lives().ClosedBy(o)
		if period == nil || period.Hours != c.service || period.Nozzle != c.nozzle {
			t.Errorf("%s: got the life %+v, want %v h with %s", c.record, period, c.service, c.nozzle)
		}
		if hours, known := b.Lives().NozzleHours(c.nozzle, o.Removed.Date.Day); hours != c.inAll || !known {
			t.Errorf("%s: nozzle %s: got %v h (known %t), want %v h", c.record, c.nozzle, hours, known, c.inAll)
		}
		if total := b.Total(o.Removed.Engine.Written, o.Removed.Date.Day, o.Removed.Counter.Float()); total != c.engineHoursThen {
			t.Errorf("%s: engine total: got %v h, want %v h", c.record, total, c.engineHoursThen)
		}
	}
}

func TestWhatSitsWhereToday(t *testing.T) {
	b := read(t)
	want := map[string]struct {
		valve string
		hours float64
	}{
		"ME1-1": {"H-101 N-2034", 220}, "ME1-2": {"H-114 N-2045", 220}, "ME1-3": {"H-115 N-2046", 220},
		"ME1-4": {"H-104 N-2036", 220}, "ME1-5": {"H-117 N-2033", 220}, "ME1-6": {"H-118 N-2048", 220},
		"ME2-1": {"H-113 N-2044", 570}, "ME2-2": {"H-108 N-2039", 1216}, "ME2-3": {"H-103 N-2035", 1216},
		"ME2-4": {"H-116 N-2047", 570}, "ME2-5": {"H-105 N-2042", 1216}, "ME2-6": {"H-106 N-2043", 1216},
	}
	for _, p := range b.Positions() {
		s, w := b.Lives().At(p, b.Today()), want[p.String()]
		if s == nil || s.Holder+" "+s.Nozzle != w.valve || s.Hours != w.hours {
			t.Errorf("%s: got %+v, want %s for %v h", p, s, w.valve, w.hours)
		}
	}
	var ready string
	for _, r := range b.Lives().Rack(b.Today()) {
		ready += r.Holder + " "
	}
	if want := "H-102 H-107 H-111 H-112 H-119 H-120 H-121 "; ready != want {
		t.Errorf("rack: got %s, want %s", ready, want)
	}
}

func TestTotalsAcrossTheReplacedCounter(t *testing.T) {
	b := read(t)
	for _, c := range []struct {
		engine, day string
		want        float64
	}{
		{"ME1", "2022-09-03", 50181}, {"ME1", "2022-09-04", 50196}, {"ME1", "2022-10-14", 50794}, {"ME1", "2024-06-24", 60015}, {"ME2", "2024-06-24", 58921},
		{"ME2", "2023-11-20", 55964}, {"ME2", "2023-12-03", 55964}, // the yard stay
	} {
		day, err := logbook.ParseDay(c.day)
		if err != nil {
			t.Fatal(err)
		}
		got, ok := b.TotalOn(c.engine, day)
		if diff := got - c.want; !ok || diff < -1 || diff > 1 { // between two readings the hours are interpolated
			t.Errorf("%s on %s: got %v h, want %v h", c.engine, c.day, got, c.want)
		}
	}
}

func TestTheContradictionsOfTheGap(t *testing.T) {
	var got []string
	for _, f := range read(t).Lives().Faults {
		got = append(got, f.Kind+" "+f.Position.String()+" "+f.Holder+" "+f.Other+" "+f.Day.String())
	}
	want := []string{"other-valve ME1-5 H-105 H-104 2024-01-24", "two-places ME1-5 H-104 ME1-4 2023-09-05"}
	if len(got) != len(want) || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("faults: got %q, want %q", got, want)
	}
}

// What a record names must exist: instruments, hands aboard on the day, pictures. The two cards of the copied page are one.
func TestNamedThingsExist(t *testing.T) {
	b := read(t)
	for _, o := range b.Overhauls {
		for _, id := range []logbook.Serial{o.AsFound.Bench, o.AsFound.Gauge, o.AsLeft.Bench, o.AsLeft.Gauge, o.Measured.Lift.With, o.Measured.HolderWear.With,
			o.Measured.SeatDiameter.With, o.Measured.SeatBand.With, o.Measured.SpringLength.With, o.Assembled.NozzleNut.Wrench, o.AsLeft.EndCap.Wrench,
			o.Fitted.ClampNuts.Wrench, o.Fitted.PipeNut.Wrench} {
			if id.Stated() && b.Instruments[id.Written] == nil {
				t.Errorf("%s: instrument %s is not in the book", id.Place, id)
			}
		}
		aboard(t, b, o, o.By, o.AsLeft.Date)
		aboard(t, b, o, o.FittedBy, o.Fitted.Date)
	}
	one, err := os.ReadFile("photos/2023-02-12-h-117-spray.png")
	two, err2 := os.ReadFile("photos/2023-06-25-h-105-spray.png")
	if err != nil || err2 != nil || !bytes.Equal(one, two) {
		t.Errorf("the copied picture: %v, %v, equal %t", err, err2, bytes.Equal(one, two))
	}
}

func aboard(t *testing.T, b *logbook.Book, o *logbook.Overhaul, signer logbook.Serial, on logbook.Date) {
	t.Helper()
	if !signer.Stated() || on.Day == 0 {
		return
	}
	for _, s := range b.Aboard(signer.Written) {
		if s.From.Day <= on.Day && on.Day <= s.To.Day {
			return
		}
	}
	t.Errorf("%s: %s was not aboard on %s", o.Stem, signer, on)
}

// Every nozzle that a record builds in instead of another has left the stores, and none leaves them that was not there.
func TestNozzlesBuiltInAreBookedOut(t *testing.T) {
	b := read(t)
	out, onBoard := map[string]bool{}, map[string]float64{}
	for _, m := range b.Stock {
		key := m.Item.Written + m.Serial.Written
		onBoard[key] += m.Change.Value
		if onBoard[key] < 0 {
			t.Errorf("%s: %s %s: more used than received", m.Place, m.Item, m.Serial)
		}
		if m.Serial.Stated() && m.Change.Value < 0 {
			out[m.Serial.Written] = true
		}
	}
	for _, o := range b.Overhauls {
		if left := o.Nozzle.Left; o.Removed.Stated() && left.Stated() && left.Written != o.Nozzle.Found.Written && !out[left.Written] {
			t.Errorf("%s: nozzle %s was built in and not booked out", o.Stem, left)
		}
	}
}
