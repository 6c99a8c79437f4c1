package benchlog_test

import (
	"math"
	"os"
	"slices"
	"testing"

	"needlebook/logbook/benchlog"
	"needlebook/logbook/benchlog/internal/pump"
	"needlebook/logbook/refusal"
)

// draw makes tests of one condition differ as valves differ.
func draw(base pump.Test, seed uint64) pump.Test {
	u := func(k uint64) float64 { // the same in every run
		x := (seed*2654435761 + k*40503) * 6364136223846793005
		x ^= x >> 29
		x *= 1442695040888963407
		return float64(x>>11) / (1 << 53)
	}
	base.Opening = 290 + 70*u(1)
	base.Leak = 3 + 36*u(2)*u(2)
	base.Stiction = 2 + 20*u(3)
	base.Openings = 5 + int(6*u(4))
	base.Zero = 3 * (u(5) - 0.5)
	base.Repeat = 0.4 + u(6)
	base.Reseat = 0.84 + 0.08*u(7)
	return base
}

// condition is a row of the table in the package's documentation.
type condition struct {
	name    string
	change  func(*pump.Test)
	careful bool // at 100 samples a second or more, pumped slowly: the accuracy wanted holds
	slow    bool // ten samples a second or less: no opening pressure
}

var conditions = []condition{
	{"1 a second", func(t *pump.Test) { t.Rate = 1 }, false, true},
	{"5", func(t *pump.Test) { t.Rate = 5 }, false, true},
	{"10", func(t *pump.Test) { t.Rate = 10 }, false, true},
	{"20", func(t *pump.Test) { t.Rate = 20 }, false, false},
	{"50", func(t *pump.Test) { t.Rate = 50 }, false, false},
	{"100", func(*pump.Test) {}, true, false},
	{"100, pumped fast", func(t *pump.Test) { t.Careful = false }, false, false},
	{"200, strong hum", func(t *pump.Test) { t.Rate, t.Hum, t.Mains = 200, 1.5, 49.93 }, true, false},
	{"500", func(t *pump.Test) { t.Rate = 500 }, true, false},
	{"1000, pumped fast", func(t *pump.Test) { t.Rate, t.Careful = 1000, false }, false, false},
	{"100, bench leaks", func(t *pump.Test) { t.Bench = 0.5 }, true, false},
	{"100, 10 bits", func(t *pump.Test) { t.Bits, t.Noise = 10, 0.2 }, true, false},
	{"100, quiet, class 0.1", func(t *pump.Test) { t.Noise, t.Hum, t.Class, t.Bits = 0.1, 0.02, 0.1, 16 }, true, false},
}

// tally counts what became of the cases of a condition. Errors of the opening pressure are without the sensor's own,
// which nobody can read from a log; what is held is the true pressure.
type tally struct {
	opening, leak              []float64 // errors: bar, and per cent
	openingHeld, leakHeld      int
	openingRefused, leakRefuse int
}

// take counts a case: the opening pressure, that which the sensor saw, and the time of the fall, as they were.
func (t *tally) take(got *benchlog.Reading, opening, sensed, fall float64) {
	if v := got.Opening; v.Known() {
		t.opening = append(t.opening, math.Abs(v.X-sensed))
		if math.Abs(v.X-opening) <= v.U {
			t.openingHeld++
		}
	} else {
		t.openingRefused++
	}
	if v := got.LeakDown; v.Known() {
		t.leak = append(t.leak, 100*math.Abs(v.X-fall)/fall)
		if math.Abs(v.X-fall) <= v.U {
			t.leakHeld++
		}
	} else {
		t.leakRefuse++
	}
}

func (t tally) sorted() tally {
	slices.Sort(t.opening)
	slices.Sort(t.leak)
	return t
}

func (c *condition) run(cases int) (out tally) {
	for i := range cases {
		test := pump.Usual()
		c.change(&test)
		test = draw(test, uint64(i)+1000*uint64(len(c.name)))
		time, bar, truth := test.Run(uint64(i))
		from, to := math.Round(test.Opening-25), math.Round(test.Opening-85)
		got := benchlog.Read(&benchlog.Log{Time: time, Bar: bar}, benchlog.Sensor{SpanBar: test.Span, Class: test.Class},
			benchlog.Asked{From: from, To: to})
		out.take(got, truth.Opening, truth.Sensed, truth.Fall(from, to))
	}
	return out.sorted()
}

func quantile(v []float64, share float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	return v[min(int(share*float64(len(v))), len(v)-1)]
}

func percent(n, of int) float64 { return 100 * float64(n) / float64(max(of, 1)) }

// The accuracy of the table, from a simulation: a few cases of each condition, and a thousand where the long tests run.
func TestAccuracy(t *testing.T) {
	cases, long := 6, os.Getenv("NEEDLEBOOK_LONG") != ""
	if long {
		cases = 1000
	}
	for _, c := range conditions {
		r := c.run(cases)
		held, leakHeld := percent(r.openingHeld, len(r.opening)), percent(r.leakHeld, len(r.leak))
		t.Logf("%-22s opening %.1f %.1f bar, held %.1f %%, refused %d; leak-down %.2f %.2f %%, held %.1f %%, refused %d", c.name,
			quantile(r.opening, .5), quantile(r.opening, .95), held, r.openingRefused,
			quantile(r.leak, .5), quantile(r.leak, .95), leakHeld, r.leakRefuse)
		if c.slow && r.openingRefused < cases {
			t.Errorf("%s: an opening pressure was read", c.name)
		}
		if !c.slow && r.leakRefuse > cases/100 {
			t.Errorf("%s: %d leak-downs not read", c.name, r.leakRefuse)
		}
		if c.careful && (quantile(r.opening, .5) > 0.5+slack(long) || quantile(r.opening, .95) > 1.5+2*slack(long) || r.openingRefused > 0) {
			t.Errorf("%s: opening pressure off by %.2f bar, %.2f at most", c.name, quantile(r.opening, .5), quantile(r.opening, .95))
		}
		if c.careful && quantile(r.leak, .95) > 2 {
			t.Errorf("%s: leak-down off by %.2f %%", c.name, quantile(r.leak, .95))
		}
		if long && (len(r.opening) > 100 && (held < 93 || held > 99) || leakHeld < 92.5) || !long && leakHeld < 70 {
			t.Errorf("%s: U holds the opening pressure in %.1f %%, the leak-down in %.1f %%", c.name, held, leakHeld)
		}
	}
}

// slack is for the few cases of a short run.
func slack(long bool) float64 {
	if long {
		return 0
	}
	return 0.3
}

// Each fault of a log is named, and takes away what it spoils and nothing else.
func TestFaults(t *testing.T) {
	few := func(n int) func(*pump.Test) { return func(t *pump.Test) { t.Openings = n } }
	for name, c := range map[string]struct {
		change        func(*pump.Test)
		opening, leak refusal.Reason // empty: it is read
	}{
		"good":            {func(*pump.Test) {}, "", ""},
		"one opening":     {few(1), refusal.FewOpenings, ""},
		"two openings":    {few(2), refusal.FewOpenings, ""},
		"three":           {few(3), "", ""},
		"zero off":        {func(t *pump.Test) { t.Zero = 9 }, refusal.ZeroOff, refusal.ZeroOff},
		"zero drifts":     {func(t *pump.Test) { t.Drift = 8 }, refusal.ZeroDrift, refusal.ZeroDrift},
		"clipped":         {func(t *pump.Test) { t.Ceiling = 320 }, refusal.Clipped, refusal.Clipped},
		"beyond the span": {func(t *pump.Test) { t.Span, t.Ceiling = 300, 300 }, refusal.Clipped, refusal.Clipped},
		"hand on pump":    {func(t *pump.Test) { t.Disturb = 8 }, "", refusal.HoldDisturbed},
		"knock":           {func(t *pump.Test) { t.Disturb = -12 }, "", refusal.HoldDisturbed},
		"vented early":    {func(t *pump.Test) { t.CutAt = 265 }, "", refusal.HoldCut},
		"ramp too fast":   {func(t *pump.Test) { t.Careful, t.Rate, t.Reseat = false, 60, 0.75 }, refusal.FastRamp, ""},
		"openings missed": {func(t *pump.Test) { t.Careful, t.Rate = false, 20 }, refusal.FewOpenings, ""},
	} {
		for seed := range uint64(2) {
			test := pump.Usual()
			c.change(&test)
			time, bar, _ := test.Run(seed)
			got := benchlog.Read(&benchlog.Log{Time: time, Bar: bar}, benchlog.Sensor{SpanBar: test.Span, Class: test.Class},
				benchlog.Asked{From: 305, To: 245})
			for what, v := range map[string]struct {
				got  benchlog.Value
				want refusal.Reason
			}{"opening": {got.Opening, c.opening}, "leak-down": {got.LeakDown, c.leak}} {
				var why refusal.Reason
				if v.got.Why != nil {
					why = v.got.Why.Reason
				}
				if why != v.want {
					t.Errorf("%s, %d: %s %s: %q, want %q", name, seed, what, v.got.Text(""), why, v.want)
				}
			}
		}
	}
}

// A spring that sticks opens late once: the first opening is told apart, and the middle one does not know of it.
func TestFirstOpening(t *testing.T) {
	test := pump.Usual()
	test.Stiction = 25
	time, bar, truth := test.Run(3)
	got := benchlog.Read(&benchlog.Log{Time: time, Bar: bar}, benchlog.Sensor{SpanBar: 600, Class: 0.25}, benchlog.Asked{})
	if math.Abs(got.First.X-truth.First) > got.First.U || math.Abs(got.Opening.X-truth.Opening) > got.Opening.U {
		t.Errorf("first %s of %.1f, opening %s of %.1f", got.First.Text("bar"), truth.First, got.Opening.Text("bar"), truth.Opening)
	}
	if got.Chatter.Openings != test.Openings {
		t.Errorf("%d openings, pumped %d", got.Chatter.Openings, test.Openings)
	}
}

// Bubbles are named from the ramp, and a bench without them is not accused.
func TestAir(t *testing.T) {
	for _, c := range []struct {
		share float64
		named bool
	}{{0.0005, false}, {0.05, true}, {0.1, true}} {
		for seed := range uint64(3) {
			test := pump.Usual()
			test.Bubbles, test.Rate = c.share, 200
			time, bar, _ := test.Run(seed)
			got := benchlog.Read(&benchlog.Log{Time: time, Bar: bar}, benchlog.Sensor{SpanBar: 600, Class: 0.25}, benchlog.Asked{From: 305, To: 245})
			if named := got.Air.Known() && got.Air.X-got.Air.U > 1; named != c.named {
				t.Errorf("%.2f %% of bubbles read as %s", 100*c.share, got.Air.Text("%"))
			}
		}
	}
}

// The interval that holds 95 % of a lone rectangle is 1.65 standard deviations, GUM (JCGM 100:2008) G.1.3 note; of a
// normal error two.
func TestCover(t *testing.T) {
	if got := benchlog.Cover(benchlog.Part{Half: 3}); math.Abs(got/(3/math.Sqrt(3))-1.653) > 0.01 {
		t.Errorf("k = %.3f of a rectangle", got/(3/math.Sqrt(3)))
	}
	if got := benchlog.Cover(benchlog.Part{Std: 3}); math.Abs(got/3-2) > 0.01 {
		t.Errorf("k = %.3f of a normal error", got/3)
	}
}
