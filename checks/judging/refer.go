package judging

import (
	"fmt"
	"math"
	"strconv"

	"needlebook/checks/physics"
	"needlebook/checks/uncertainty"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// Bound is a figure of a bench with the bounds of what any bench has.
type Bound struct {
	Name        string
	Is          logbook.Amount
	Least, Most float64
}

// Outside says that the figure is stated, and is one that no bench has.
func (x Bound) Outside() bool {
	return x.Is.Valid() && (x.Is.Float() < x.Least || x.Is.Float() > x.Most)
}

// OilBounds are the figures of the oil of a bench. Test oils of ISO 4113 have 2.45 to 2.75 mm²/s at 40 °C; the bounds
// are from memory.
func OilBounds(bench *logbook.Instrument) []Bound {
	return []Bound{{"density of the oil", bench.Oil.Density15, 700, 1000},
		{"viscosity of the oil at 40 °C", bench.Oil.Viscosity40, 1, 20}}
}

// BenchOil is the test oil of a bench, from its two viscosities and its density. It returns an error where one of them
// is outside of its bounds, and that of [physics.NewOil] where the book leaves one of the three out, or states what no
// oil can be.
func BenchOil(bench *logbook.Instrument) (physics.Oil, error) {
	o := bench.Oil
	for _, x := range OilBounds(bench) {
		if x.Outside() {
			return physics.Oil{}, fmt.Errorf("%s of %s is %s: no bench has that", x.Name, bench.ID.Written, x.Is)
		}
	}
	return physics.NewOil(physics.Viscosity{AtC: 40, MM2S: o.Viscosity40.Float()},
		physics.Viscosity{AtC: 100, MM2S: o.Viscosity100.Float()}, o.Density15.Float())
}

// AtOil is the leak-down time of a test in seconds as it would have been with its oil at another temperature in °C,
// from the oil of the bench it was made on; ok is false where time, temperature or oil are not known.
func AtOil(b *logbook.Book, t *logbook.Test, celsius float64) (seconds float64, ok bool) {
	bench := b.Instruments[t.Bench.Written]
	if bench == nil || !t.Oil.Quantity.Valid() || !t.LeakDown.Time.Quantity.Valid() {
		return 0, false
	}
	oil, err := BenchOil(bench)
	if err != nil {
		return 0, false
	}
	f, err := factor(b.Settings(), oil, t.Oil.Float(), celsius)
	return t.LeakDown.Time.Float() * f, err == nil
}

// factor is the time with an oil at one temperature in °C over that at another.
func factor(s *logbook.Settings, oil physics.Oil, from, to float64) (float64, error) {
	done, err := stateAt(s, oil, from)
	if err != nil {
		return 0, err
	}
	wanted, err := stateAt(s, oil, to)
	if err != nil {
		return 0, err
	}
	return physics.Referred(1, done, wanted)
}

// modulusAtC is the temperature at which the setting states the bulk modulus.
const modulusAtC = 20

func stateAt(s *logbook.Settings, oil physics.Oil, celsius float64) (physics.State, error) {
	viscosity, err := oil.DynamicMPaS(celsius)
	return physics.State{DynamicMPaS: viscosity, BulkGPa: Modulus(s, celsius)}, err
}

// Modulus is the bulk modulus of the test oil at a temperature in °C, in GPa.
func Modulus(s *logbook.Settings, celsius float64) float64 {
	return physics.Softened(s.OilBulk.Float()/1e4, s.OilSoftens.Float(), celsius-modulusAtC)
}

// testOil is what is known of the oil of a test: the bench's own, or where the book does not state it a usual one
// between two ends.
type testOil struct {
	usual physics.Oil
	ends  []physics.Oil // none where the bench states its oil
}

func (j *judge) testOil(bench *logbook.Instrument) (testOil, error) {
	if bench != nil {
		if oil, err := BenchOil(bench); err == nil {
			return testOil{usual: oil}, nil
		}
	}
	thin, thick := j.settings.OilViscosity40, j.settings.OilViscosity100
	density := j.settings.OilDensity.Float()
	of := func(at40, at100 float64) (physics.Oil, error) {
		return physics.NewOil(physics.Viscosity{AtC: 40, MM2S: at40}, physics.Viscosity{AtC: 100, MM2S: at100}, density)
	}
	low40, high40, low100, high100 := thin.Low.Float(), thin.High.Float(), thick.Low.Float(), thick.High.Float()
	usual, err := of((low40+high40)/2, (low100+high100)/2)
	if err != nil {
		return testOil{}, err
	}
	flat, err := of(low40, high100)
	if err != nil {
		return testOil{}, err
	}
	steep, err := of(high40, low100)
	return testOil{usual, []physics.Oil{flat, steep}}, err
}

// hold is a leak-down made comparable: the time of the valve alone, with oil at the temperature that the limit holds
// for.
type hold struct {
	time    measure.Quantity
	at      string // that temperature, where it is referred to it: "20 °C"
	budget  *uncertainty.Budget
	unsure  bool // the oil is not known: a verdict in doubt proves nothing
	note    string
	working []string
}

// hold works out what a leak-down shows by the limits in force, and how well it is known.
func (j *judge) hold(t *logbook.Test, e *logbook.Revision, day logbook.Day) hold {
	b := j.b
	bench := b.Instruments[firstOf(t.Bench.Written, j.o.AsFound.Bench.Written, e.LeakDown.Bench.Written)]
	h := hold{time: t.LeakDown.Time.Quantity, budget: &uncertainty.Budget{}}
	read := t.LeakDown.Time.Float()
	seconds := read
	from, to := t.LeakDown.From.Float(), t.LeakDown.To.Float()
	timed := t.LeakDown.From.Quantity.Valid() && t.LeakDown.To.Quantity.Valid() && from > to && to > 0
	if timed && bench != nil {
		if alone, note, ok := ValveAlone(seconds, from, to, bench.OwnLeak); ok {
			seconds, h.working = alone, append(h.working, note)
		}
	}
	oil, err := j.testOil(bench)
	if err != nil {
		h.note = err.Error()
	} else {
		seconds = j.refer(&h, t, e, oil, seconds)
	}
	if seconds != read {
		h.time = measure.FromFloat(seconds, max(h.time.Decimals(), 1), measure.Time)
	}
	if read > 0 {
		h.budget.Rectangular("watch and reaction", j.errorOf(t.LeakDown.Watch, t.LeakDown.Time.Quantity,
			j.settings.Reaction)*seconds/read)
	}
	if timed {
		j.pressures(&h, t, seconds, day)
	}
	fall := from - to
	if !timed {
		fall = e.LeakDown.Fall.Float()
	}
	if err == nil && fall > 0 {
		celsius := float64(modulusAtC)
		if t.Oil.Quantity.Valid() {
			celsius = t.Oil.Float()
		}
		settles, err := oil.usual.Settling(j.settings.FastPumping.Float(), Modulus(j.settings, celsius), celsius)
		if err == nil { // half of it either way: how fast it was pumped is not known
			h.budget.Rectangular("oil that cools after pumping", seconds*settles/2/fall)
		}
	}
	return h
}

// refer refers a time to the oil temperature that the limits hold for, where they state one, and adds to the budget
// what is not known of temperature and oil.
func (j *judge) refer(h *hold, t *logbook.Test, e *logbook.Revision, oil testOil, seconds float64) float64 {
	want := e.LeakDown.Oil
	switch {
	case !want.Quantity.Valid():
		h.note = "the limits state no oil temperature: judged as read"
		return seconds
	case !t.Oil.Quantity.Valid():
		h.note, h.unsure = "oil temperature not noted: judged as read", true
		j.anyTemperature(h, oil, want.Float(), seconds)
		return seconds
	}
	at := t.Oil.Float()
	f, err := factor(j.settings, oil.usual, at, want.Float())
	if err != nil {
		h.note, h.unsure = err.Error()+": judged as read", true
		return seconds
	}
	referred := seconds * f
	h.at = want.Quantity.String()
	h.working = append(h.working, fmt.Sprintf("%s at %s is %.1f s at %s: the time goes with viscosity over bulk modulus "+
		"(ASTM D341; %s a kelvin)", t.LeakDown.Time, t.Oil, referred, want, j.settings.OilSoftens))
	const step = 0.5
	warm, err1 := factor(j.settings, oil.usual, at+step, want.Float())
	cold, err2 := factor(j.settings, oil.usual, at-step, want.Float())
	if err1 == nil && err2 == nil {
		slope := math.Abs(warm-cold) / (2 * step) * seconds
		h.budget.Rectangular("thermometer", slope*j.errorOf(t.LeakDown.Thermometer, t.Oil.Quantity,
			j.settings.ThermometerError))
		h.budget.Rectangular("oil and body of the valve apart", slope*j.settings.BodyWithin.Float())
	}
	if oil.ends == nil {
		h.budget.Rectangular("viscosity of the oil", math.Abs(referred-seconds)*j.settings.OilSlope.Float()/100)
		return referred
	}
	h.unsure = true
	h.working = append(h.working, "the oil of the bench is not known: a usual calibration oil is taken")
	apart := 0.0
	for _, end := range oil.ends {
		if x, err := factor(j.settings, end, at, want.Float()); err == nil {
			apart = max(apart, math.Abs(x-f)*seconds)
		}
	}
	h.budget.Rectangular("oil that is not known", apart)
	return referred
}

// anyTemperature adds what a time may change by where the oil had any temperature of the book's range.
func (j *judge) anyTemperature(h *hold, oil testOil, want, seconds float64) {
	apart := 0.0
	for _, end := range []measure.Quantity{j.settings.OilRange.Low, j.settings.OilRange.High} {
		if f, err := factor(j.settings, oil.usual, end.Float(), want); end.Valid() && err == nil {
			apart = max(apart, math.Abs(f-1)*seconds)
		}
	}
	h.budget.Rectangular("oil temperature not noted", apart)
}

// pressures adds what is not known of the two pressures between which a fall was timed: the time goes with the
// logarithm of their ratio.
func (j *judge) pressures(h *hold, t *logbook.Test, seconds float64, day logbook.Day) {
	from, to := t.LeakDown.From.Float(), t.LeakDown.To.Float()
	span := math.Log(from / to)
	step := j.settings.PumpReading.Float()
	gauge := j.b.Instruments[firstOf(t.LeakDown.Gauge.Written, t.Gauge.Written)]
	if gauge != nil {
		step, _ = readTo(j.b, gauge, t.LeakDown.From.Quantity)
		one := reading{value: t.LeakDown.From.Quantity, instrument: gauge.ID.Written, day: day}
		if own, ok := one.error(j.b, gauge); ok {
			if sum, err := own.Combine(); err == nil {
				h.budget.Known("error of "+gauge.ID.Written, seconds*sum.Std*math.Abs(1/from-1/to)/span)
			}
		}
	}
	h.budget.Rectangular("both pressures read", seconds*step/2*math.Hypot(1/from, 1/to)/span)
}

// errorOf is how far a reading with a named instrument may be out, in the base unit of its kind; where none is named
// that states it, a setting.
func (j *judge) errorOf(named logbook.Serial, value measure.Quantity, usual logbook.Amount) float64 {
	if half, ok := ErrorAt(j.b.Instruments[named.Written], value); ok {
		return half
	}
	return usual.Float()
}

// ValveAlone takes the bench's own leak out of a time in seconds between two pressures in bar, and says how. The blank
// plug was timed over another fall, so its time is scaled as the pressure decays. ok is false where the bench's leak
// was not measured, or is as fast as the valve's.
func ValveAlone(seconds, from, to float64, own logbook.LeakDown) (alone float64, note string, ok bool) {
	if !own.From.Quantity.Valid() || !own.To.Quantity.Valid() || !own.Time.Quantity.Valid() {
		return 0, "", false
	}
	blank, err := physics.OverSpan(own.Time.Float(), physics.Hold{FromBar: own.From.Float(), ToBar: own.To.Float()},
		physics.Hold{FromBar: from, ToBar: to})
	if err != nil {
		return 0, "", false
	}
	if alone, err = physics.WithoutBench(seconds, blank); err != nil {
		return 0, "", false
	}
	return alone, fmt.Sprintf("the bench alone would take %s s (blank plug: %s to %s in %s): the valve alone %s s",
		twoDigits(blank), own.From, own.To, own.Time, twoDigits(alone)), true
}

// twoDigits writes a number above nought with two significant digits, without an exponent.
func twoDigits(v float64) string {
	return strconv.FormatFloat(v, 'f', max(1-int(math.Floor(math.Log10(v))), 0), 64)
}
