// Package implied works out what the figures of one overhaul imply by the physics of the valve: the clearance that a
// leak-down time means, what a widened seat did to the opening pressure and what is left for the spring, the spring's
// force and what a shim is worth, the marks of the gauge to set between, what a torque truly was. It explains
// measurements and judges none: no number from here is held against a limit, and each says what it rests on or what the
// book does not state.
//
// Begin with [Of].
package implied

import (
	"fmt"
	"math"
	"strings"

	"needlebook/checks/judging"
	"needlebook/checks/physics"
	"needlebook/logbook"
	"needlebook/logbook/keys"
	"needlebook/logbook/measure"
)

// Line is one thing worked out.
type Line struct {
	Name    string        // what it is: "clearance of the needle guide as found"
	Value   string        // number and unit, as few digits as it is good for; empty where it cannot be worked out
	Place   logbook.Place // the figure it rests on
	Working []string      // how, step by step, each with its source where it is a formula
	Cannot  string        // what the book does not state, where there is no value
}

// Of lists what an overhaul implies, in the order of the bench. Lines whose measurement was not made are left out;
// where only the book's own figures of valve or bench are missing, the line says which.
func Of(b *logbook.Book, o *logbook.Overhaul, j *judging.Judgement) []Line {
	w := &work{b: b, o: o, j: j, settings: b.Settings()}
	w.in, _ = b.LimitsFor(o).On(o.Day())
	w.clearance("as found", &o.AsFound, o.Nozzle.Found)
	w.seat()
	w.clearance("as left", &o.AsLeft, o.Nozzle.Left)
	w.aim()
	w.spring()
	w.torque("nozzle nut", o.Assembled.NozzleNut, w.in.NozzleNut)
	w.torque("end cap", o.AsLeft.EndCap, w.in.EndCap)
	w.torque("clamp nuts", o.Fitted.ClampNuts, w.in.ClampNuts)
	w.torque("pipe nut", o.Fitted.PipeNut, w.in.PipeNut)
	return w.out
}

type work struct {
	b        *logbook.Book
	o        *logbook.Overhaul
	j        *judging.Judgement
	settings *logbook.Settings
	in       *logbook.Revision
	out      []Line
}

func (w *work) add(l Line) { w.out = append(w.out, l) }

// needs names what of some figures the book does not state: "the book does not state guide, land (limits, geometry)".
func needs(figures ...any) string {
	var missing []string
	for i := 0; i < len(figures); i += 2 {
		if q := figures[i].(logbook.Amount); !q.Quantity.Valid() {
			missing = append(missing, figures[i+1].(string))
		}
	}
	if missing == nil {
		return ""
	}
	return "the book does not state " + strings.Join(missing, ", ")
}

// clearance compares the bound that a leak-down sets to the clearance of the needle guide with the first one of the
// nozzle on the same bench. The clearance itself would be no fact: how the needle lies in its guide alone makes a
// factor of 2.5 of the leakage. What leaks past seat or joint reads as clearance, so it is a bound from above.
func (w *work) clearance(state string, t *logbook.Test, nozzle logbook.Serial) {
	if !t.LeakDown.Time.Quantity.Valid() || t.LeakDown.Time.More {
		return
	}
	line := Line{Name: "clearance of the needle guide " + state + ", at most", Place: t.LeakDown.Time.Place}
	defer func() { w.add(line) }()
	switch {
	case !nozzle.Stated():
		line.Cannot = "the record names no nozzle"
		return
	case !t.Bench.Stated():
		line.Cannot = "the record names no bench"
		return
	case t.Seat.State.Is("drop", "runs") || t.Leaks.NozzleJoint.Is("weeping", "runs"):
		line.Cannot = "seat or joint leaked too"
		return
	}
	first, day := w.firstHold(t.Bench.Written, nozzle.Written)
	if first == t {
		line.Value = "the nozzle's first on " + t.Bench.Written
		line.Working = append([]string{"later ones on that bench are compared with it"}, w.micrometres(t)...)
		return
	}
	now, why := w.comparable(t, first)
	then, _ := w.comparable(first, first)
	if line.Cannot = why; why != "" {
		return
	}
	change, err := physics.ClearanceChange(then, now)
	if err != nil {
		line.Cannot = err.Error()
		return
	}
	line.Value = fmt.Sprintf("%s %% since its first on %s", signed(100*(change-1)), t.Bench)
	line.Working = []string{
		fmt.Sprintf("%s now is %s s at %s over the same fall; the first, of %s, was %s s", t.LeakDown.Time, short(now, 2),
			first.Oil, day, short(then, 2)),
		"the third root of the two times: leakage grows with the third power of the clearance (Rabie, Fluid Power " +
			"Engineering, equation 2.19)",
		"at most so much: what passes seat, joint or pump reads as clearance",
		"assumed alike in both tests: how the needle lies in its guide (a factor of up to 2.5), viscosity under pressure " +
			"(14 to 23 % more), oil free of air",
	}
}

// micrometres says between which clearances a leak-down leaves the guide by the needle's place in it alone, where the
// book states guide, bench and oil.
func (w *work) micrometres(t *logbook.Test) []string {
	g, bench, l := w.in.Geometry, w.b.Instruments[t.Bench.Written], t.LeakDown
	if bench == nil || needs(g.Guide, "", g.Land, "", bench.Trapped, "", t.Oil, "", l.From, "", l.To, "") != "" {
		return nil
	}
	oil, err := judging.BenchOil(bench)
	if err != nil {
		return nil
	}
	mu, err := oil.DynamicMPaS(t.Oil.Float())
	if err != nil {
		return nil
	}
	h := physics.Hold{FromBar: l.From.Float(), ToBar: l.To.Float(), TrappedCM3: bench.Trapped.Float(),
		BulkGPa: judging.Modulus(w.settings, t.Oil.Float()), DynamicMPaS: mu}
	seconds := l.Time.Float()
	if own, _, ok := judging.ValveAlone(seconds, h.FromBar, h.ToBar, bench.OwnLeak); ok {
		seconds = own
	}
	guide := physics.Guide{DiameterMM: g.Guide.Float(), LengthMM: g.Land.Float()}
	central, err := guide.Clearance(seconds, h)
	if err != nil {
		return nil
	}
	guide.Eccentricity = 1
	aside, err := guide.Clearance(seconds, h)
	if err != nil {
		return nil
	}
	return []string{fmt.Sprintf("%s to %s µm as the needle lies in its guide, aside or central, with %s of oil of %.2f "+
		"mPa·s shut in; no fact", short(aside, 2), short(central, 2), bench.Trapped, mu)}
}

// firstHold is the first leak-down of a nozzle on a bench with seat and joint dry, and its day.
func (w *work) firstHold(bench, nozzle string) (*logbook.Test, logbook.Day) {
	for _, o := range w.b.Lives().Naming(nozzle) {
		for _, x := range []struct {
			t      *logbook.Test
			nozzle logbook.Serial
		}{{&o.AsFound, o.Nozzle.Found}, {&o.AsLeft, o.Nozzle.Left}} {
			if x.nozzle.Written == nozzle && x.t.Bench.Written == bench && x.t.LeakDown.Time.Quantity.Valid() &&
				!x.t.LeakDown.Time.More && !x.t.Seat.State.Is("drop", "runs") && !x.t.Leaks.NozzleJoint.Is("weeping", "runs") {
				return x.t, max(x.t.Date.Day, o.Day())
			}
		}
	}
	return nil, 0
}

// comparable is the time in seconds of a test at the oil temperature and over the fall of the nozzle's first one, or
// why it does not compare.
func (w *work) comparable(t, first *logbook.Test) (seconds float64, why string) {
	l := t.LeakDown
	if first == nil {
		return 0, "the nozzle has no other leak-down on that bench with seat and joint dry"
	}
	ref := first.LeakDown
	for _, a := range []logbook.Amount{l.From, l.To, ref.From, ref.To, t.Oil, first.Oil} {
		if !a.Quantity.Valid() {
			return 0, "pressures or oil temperature of one of the two tests are not noted"
		}
	}
	seconds = l.Time.Float()
	if t.Oil.Compare(first.Oil.Quantity) != 0 {
		at, ok := judging.AtOil(w.b, t, first.Oil.Float())
		if !ok {
			return 0, "the book does not state the oil of " + t.Bench.Written
		}
		seconds = at
	}
	if bench := w.b.Instruments[t.Bench.Written]; bench != nil {
		if own, _, ok := judging.ValveAlone(seconds, l.From.Float(), l.To.Float(), bench.OwnLeak); ok {
			seconds = own
		}
	}
	seconds, err := physics.OverSpan(seconds, physics.Hold{FromBar: l.From.Float(), ToBar: l.To.Float()},
		physics.Hold{FromBar: ref.From.Float(), ToBar: ref.To.Float()})
	if err != nil {
		return 0, err.Error()
	}
	return seconds, ""
}

// seat splits the loss of opening pressure since the last setting into what the seat did and what is left for the
// spring.
func (w *work) seat() {
	o, g := w.o, w.in.Geometry
	found, now := o.AsFound.Opening.Median(), o.Measured.SeatDiameter.Value
	left, ok := w.b.Lives().LeftBefore(o)
	if !ok || !o.Removed.Stated() || !found.Quantity.Valid() || !left.Opening.Valid() || !now.Quantity.Valid() {
		return
	}
	if p := left.Overhaul; p != nil && p.Nozzle.Left.Written != o.Nozzle.Found.Written {
		return
	}
	line := Line{Name: "opening pressure since the last setting", Place: now.Place}
	defer func() { w.add(line) }()
	before, whence := g.Seat, "a new seat's, as the limits state it"
	if p := left.Overhaul; p != nil && p.Measured.SeatDiameter.Value.Quantity.Valid() {
		before, whence = p.Measured.SeatDiameter.Value, "as measured on "+p.Day().String()
	}
	if line.Cannot = needs(g.Guide, "guide (limits, geometry)", before, "seat (limits, geometry)"); line.Cannot != "" {
		return
	}
	s, err := physics.Needle{GuideMM: g.Guide.Float(), SeatMM: before.Float()}.SeatShift(left.Opening.Float(),
		found.Float(), now.Float())
	if err != nil {
		line.Cannot = err.Error()
		return
	}
	as := func(bar float64) string { return signed(bar / factor(found.Unit())) }
	unit := found.Unit().Name
	line.Value = fmt.Sprintf("%s %s: seat %s, spring and what it rests on %s %s", as(s.Total), unit, as(s.Seat),
		as(s.Spring), unit)
	line.Working = []string{
		fmt.Sprintf("left at %s on %s, found at %s; seat %s then (%s), %s now, guide %s", left.Opening, left.Day, found,
			before, whence, now, g.Guide),
		fmt.Sprintf("balance of forces: the fuel lifts on the guide less the seat, so that a wider seat alone raises the "+
			"opening pressure; the rest is %s N at the spring", signed(s.Force)),
		"the rest is spring, lock nut, shims and spindle ends, or the gauge",
	}
}

// aim names the marks of the gauge between which the valve is set.
func (w *work) aim() {
	o := w.o
	v := w.j.Find(o, keys.AsLeftOpeningPressure)
	span := v.Span
	if !span.Valid() || !span.Low.Valid() || !span.High.Valid() || span.Kind() != measure.Pressure {
		return
	}
	gauge := w.b.Instruments[o.AsLeft.Gauge.Written]
	if gauge == nil || !gauge.Division.Quantity.Valid() || gauge.Division.Kind() != measure.Pressure {
		return
	}
	line := Line{Name: "marks to set between", Place: v.Place}
	m, err := physics.Window{Low: span.Low.Float(), High: span.High.Float()}.Marks(gauge.Division.Float())
	if err != nil {
		line.Cannot = err.Error()
	} else {
		unit := gauge.Division.Unit()
		line.Value = markText(m.Low, unit) + " to " + markText(m.High, unit)
		line.Working = []string{fmt.Sprintf("marks of %s, divided in %s, inside %s", gauge.ID, gauge.Division, v.LimitText)}
	}
	w.add(line)
}

func markText(bar float64, u *measure.Unit) string {
	return measure.FromFloat(bar, 6, measure.Pressure).In(u).Rounded(1).Trimmed().String()
}

// factor is how many base units of its kind one of a unit is.
func factor(u *measure.Unit) float64 { return measure.Of("1", u).Float() }

// spring gives the spring's force at the setting and what a shim is worth.
func (w *work) spring() {
	left, g := w.o.AsLeft.Opening.Median(), w.in.Geometry
	if !left.Quantity.Valid() {
		return
	}
	line := Line{Name: "spring at the setting", Place: left.Place}
	defer func() { w.add(line) }()
	seat := g.Seat
	if m := w.o.Measured.SeatDiameter.Value; m.Quantity.Valid() && w.o.Nozzle.Left.Written == w.o.Nozzle.Found.Written {
		seat = m
	}
	if line.Cannot = needs(g.Guide, "guide (limits, geometry)", seat, "seat (limits, geometry)"); line.Cannot != "" {
		return
	}
	n := physics.Needle{GuideMM: g.Guide.Float(), SeatMM: seat.Float()}
	force, err := n.Force(left.Float())
	if err != nil {
		line.Cannot = err.Error()
		return
	}
	line.Value = short(force, 3) + " N"
	line.Working = []string{fmt.Sprintf("%s on a guide of %s less a seat of %s (balance of forces, without friction)",
		left, g.Guide, seat)}
	if closing, err := n.Closing(force); err == nil {
		line.Working = append(line.Working,
			fmt.Sprintf("by the areas alone it closes at %s %s or above, %.0f %% of the opening pressure",
				short(closing/factor(left.Unit()), 3), left.Unit().Name, 100*closing/left.Float()))
	}
	if rate, text, err := springRate(w.in.Spring); err == nil {
		if bar, err := n.ShimEffect(rate, 0.1); err == nil {
			line.Working = append(line.Working,
				fmt.Sprintf("spring rate %s: 0.1 mm more or less on the spring is %s %s; where the maker states another figure, "+
					"that one holds", text, short(bar/factor(left.Unit()), 2), left.Unit().Name))
		}
	}
}

// springRate is the spring's rate in N/mm as the limits state it, or as its wire and coil give it, and how that reads.
// It returns the error of [physics.Spring.Rate] where they state neither.
func springRate(l logbook.SpringLimits) (rate float64, text string, err error) {
	if l.Rate.Quantity.Valid() {
		return l.Rate.Float(), l.Rate.String(), nil
	}
	rate, err = physics.Spring{WireMM: l.Wire.Float(), CoilMM: l.Coil.Float(), ActiveCoils: l.Turns.Value,
		ShearGPa: l.Shear.Float() / 1e4}.Rate()
	return rate, fmt.Sprintf("%s N/mm (%s coils of %s wire, %s wide, shear modulus %s)", short(rate, 3), l.Turns.Written,
		l.Wire, l.Coil, l.Shear), err
}

// torque gives what a torque truly was by its wrench, and the pull it put on the thread where the limits state one.
func (w *work) torque(name string, t logbook.Tightened, limit logbook.TorqueLimits) {
	wrench := w.b.Instruments[t.Wrench.Written]
	half, ok := judging.ErrorAt(wrench, t.Torque.Quantity)
	if !ok || t.Torque.Float() == 0 {
		return
	}
	percent := 100 * half / t.Torque.Float()
	line := Line{Name: "true torque of the " + name, Place: t.Torque.Place}
	span, err := physics.TrueTorque(t.Torque.Float(), percent)
	if err != nil {
		line.Cannot = err.Error()
		w.add(line)
		return
	}
	unit := t.Torque.Unit()
	line.Value = fmt.Sprintf("%s to %s %s", short(span.Low/factor(unit), 3), short(span.High/factor(unit), 3), unit.Name)
	line.Working = []string{fmt.Sprintf("%s by %s, which may be out by %s %% either way", t.Torque, wrench.ID,
		short(percent, 2))}
	if d, k := limit.Thread, limit.NutFactor; d.Quantity.Valid() && k.Valid {
		if pull, err := (physics.Thread{DiameterMM: d.Float(), NutFactor: k.Value}).Preload(t.Torque.Float()); err == nil {
			line.Working = append(line.Working,
				fmt.Sprintf("pull on the thread about %s kN (torque over nut factor %s and diameter %s, good to a third: the "+
					"lubricant decides)", short(pull, 2), k.Written, d))
		}
	}
	w.add(line)
}

// signed writes a whole number with its sign; nought has none.
func signed(v float64) string {
	if text := fmt.Sprintf("%+.0f", v); text != "+0" && text != "-0" {
		return text
	}
	return "0"
}

// short writes a number with so many significant digits, without an exponent.
func short(v float64, digits int) string {
	if v == 0 {
		return "0"
	}
	decimals := max(digits-1-int(math.Floor(math.Log10(math.Abs(v)))), 0)
	return fmt.Sprintf("%.*f", decimals, v)
}
