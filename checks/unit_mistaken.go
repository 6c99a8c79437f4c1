package checks

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var unitMistaken = &Check{
	Name:    "unit-mistaken",
	Subject: OfRecord,
	Ends:    writing,
	Version: 3,
	Level:   Field,
	Doc: "A value is far from anything this valve can show, and becomes an ordinary one in another unit or with the " +
		"decimal point moved. A gauge in psi read as " +
		"bar spoils the verdict of this record and the wear lines after it. Look at the sheet and the gauge, write the " +
		"true value with its unit, and keep the old one under corrections. One pressure of a test in another unit than all " +
		"others of it is asked about too.",
	Source:  "common practice, no source; the usual value is the book's own setting or nominal",
	Example: `opening pressure as left 4640 bar is not possible; 4640 psi = 320 bar`,
	Each: func(c *Case, o *logbook.Overhaul) {
		c.aloneInItsUnit(o)
		if len(mistaken(c, o)) == 0 {
			return
		}
		for _, u := range usualValues(c, o) {
			for _, a := range u.written {
				if meant := otherwise(c, a.Quantity, u.usual); len(meant) > 0 && !c.statedAmiss(u.at) {
					c.Report(Finding{Place: a.Place, Message: u.name + " " + a.Quantity.String() + " is not possible; " + meant[0],
						Evidence: otherMeanings(meant), About: about(o),
						Next: "which unit did the instrument show? write the value with it, and keep the old one under corrections"})
					break // the readings of one test share their gauge
				}
			}
		}
	},
	Grade: Action,
}

// aloneInItsUnit reports the one pressure of a test that is in another unit than all others of it, which one gauge
// showed.
func (c *Case) aloneInItsUnit(o *logbook.Overhaul) {
	slips := mistaken(c, o)
	eachTest(o, func(_ string, t *logbook.Test) {
		all := []*logbook.Amount{&t.FirstOpening, &t.Closing, &t.Seat.At, &t.LeakDown.From, &t.LeakDown.To}
		for i := range t.Opening.Each {
			all = append(all, &t.Opening.Each[i])
		}
		all = slices.DeleteFunc(all, func(a *logbook.Amount) bool { return !a.Valid() })
		units := map[string]int{}
		for _, a := range all {
			units[a.Unit().Name]++
		}
		for i, a := range all {
			if len(units) != 2 || units[a.Unit().Name] != 1 || len(all) < 4 || slips[a.Place] ||
				strings.Contains(a.Key, "opening_pressure") {
				continue // of three readings each may be as it was shown
			}
			c.Report(Finding{Place: a.Place, About: about(o), Grade: Advice,
				Message: fmt.Sprintf("%s %s is the only pressure of its test not in %s", keyInWords(a.Key), a.Quantity,
					all[(i+1)%len(all)].Unit().Name), Next: "which unit did the gauge show?"})
		}
	})
}

// otherMeanings says what a figure may mean beside the first guess.
func otherMeanings(meant []string) []string {
	if len(meant) < 2 {
		return nil
	}
	return []string{"or " + strings.Join(meant[1:], " or ")}
}

// mistaken are the places of a record at which a unit is mistaken: other checks have nothing to say of such a figure.
func mistaken(c *Case, o *logbook.Overhaul) map[logbook.Place]bool {
	if known, ok := c.mistakes.Load(o); ok {
		return known.(map[logbook.Place]bool)
	}
	var places map[logbook.Place]bool
	for _, u := range usualValues(c, o) {
		for _, a := range u.written {
			if len(otherwise(c, a.Quantity, u.usual)) > 0 && !c.statedAmiss(u.at) {
				if places == nil {
					places = map[logbook.Place]bool{}
				}
				places[a.Place] = true
			}
		}
	}
	c.mistakes.Store(o, places)
	return places
}

type usualValue struct {
	name    string
	written []logbook.Amount
	usual   measure.Quantity // invalid where the limits file states none
	at      logbook.Place    // where it states it
}

// impossibleUsual is a usual value beside which most of the ship's values are not possible: it is not they that are
// wrong.
type impossibleUsual struct {
	name             string
	usual            measure.Quantity
	at               logbook.Place
	values, mistaken int
}

// impossibleUsuals lists them, by place.
func impossibleUsuals(c *Case) []impossibleUsual {
	counts := map[logbook.Place]*impossibleUsual{}
	for _, o := range c.Book.Overhauls {
		for _, u := range usualValues(c, o) {
			for _, a := range u.written {
				if !a.Valid() || !u.usual.Valid() || u.at.Line == 0 {
					continue
				}
				n := counts[u.at]
				if n == nil {
					n = &impossibleUsual{name: u.name, usual: u.usual, at: u.at}
					counts[u.at] = n
				}
				n.values++
				if len(otherwise(c, a.Quantity, u.usual)) > 0 {
					n.mistaken++
				}
			}
		}
	}
	var all []impossibleUsual
	for _, n := range counts {
		if float64(n.values) > c.Settings.SetBaseline.Value && 2*n.mistaken > n.values {
			all = append(all, *n)
		}
	}
	slices.SortFunc(all, func(x, y impossibleUsual) int { return x.at.Compare(y.at) })
	return all
}

// statedAmiss says that such a value stands at a place.
func (c *Case) statedAmiss(at logbook.Place) bool {
	return slices.ContainsFunc(c.impossibleUsuals(), func(u impossibleUsual) bool { return u.at == at })
}

// usualValues pairs what was written with what the limits file gives as the usual value.
func usualValues(c *Case, o *logbook.Overhaul) []usualValue {
	e := c.inForce(o, o.AsLeft.Date.Day, o.AsFound.Date.Day)
	setting, set := middle(e.Opening.Used.Span), e.Opening.Used.Place
	if !setting.Valid() {
		setting, set = middle(e.Opening.New.Span), e.Opening.New.Place
	}
	one := func(a logbook.Amount) []logbook.Amount { return []logbook.Amount{a} }
	all := []usualValue{
		{"opening pressure as found", o.AsFound.Opening.Each, setting, set},
		{"first opening pressure as found", one(o.AsFound.FirstOpening), setting, set},
		{"lift", one(o.Measured.Lift.Value), liftUsual(e), e.Lift.New.Place},
		{"seat diameter", one(o.Measured.SeatDiameter.Value), e.SeatDia.Nominal.Quantity,
			e.SeatDia.Nominal.Place},
		{"no-go wire", one(o.Measured.NoGo.Wire), e.Holes.NoGo.Quantity, e.Holes.NoGo.Place},
		{"free length of the spring", one(o.Measured.SpringLength.Value), e.Spring.Length.Quantity,
			e.Spring.Length.Place},
		{"torque of the nozzle nut", one(o.Assembled.NozzleNut.Torque), middle(e.NozzleNut.Torque.Span),
			e.NozzleNut.Torque.Place},
		{"opening pressure as left", o.AsLeft.Opening.Each, setting, set},
		{"torque of the end cap", one(o.AsLeft.EndCap.Torque), middle(e.EndCap.Torque.Span),
			e.EndCap.Torque.Place},
		{"torque of the clamp nuts", one(o.Fitted.ClampNuts.Torque), middle(e.ClampNuts.Torque.Span),
			e.ClampNuts.Torque.Place},
		{"torque of the pipe nut", one(o.Fitted.PipeNut.Torque), middle(e.PipeNut.Torque.Span),
			e.PipeNut.Torque.Place},
		{"protrusion", one(o.Fitted.Protrusion), middle(e.Protrusion.Span), e.Protrusion.Place},
	}
	for _, t := range o.Tries {
		all = append(all, usualValue{"opening pressure of a try", t.Opening.Each, setting, set})
	}
	return all
}

// middle is the nominal value of a band, or the end it has.
func middle(s measure.Span) measure.Quantity {
	switch {
	case s.Nominal.Valid():
		return s.Nominal
	case s.Low.Valid():
		return s.Low
	}
	return s.High
}

// liftUsual is half-way from a new nozzle's lift to the most a worn one may have: between them every lift is usual.
func liftUsual(e *logbook.Revision) measure.Quantity {
	low, most := middle(e.Lift.New.Span), e.Lift.Max.Quantity
	if !most.Valid() {
		most = e.Effective.Max.Quantity
	}
	if low.Valid() && most.Valid() && low.Kind() == most.Kind() {
		return measure.FromFloat((low.Float()+most.Float())/2, 6, low.Kind()).In(low.Unit()).Rounded(low.Decimals())
	}
	for _, q := range []measure.Quantity{middle(e.Lift.New.Span), e.Lift.Max.Quantity, e.Effective.Max.Quantity} {
		if q.Valid() {
			return q
		}
	}
	return measure.Quantity{}
}

// otherwise lists what a value that is not believed may mean: the same number in another unit, or with the decimal
// point moved. It is empty for a value that is believed, and for one that nothing explains.
func otherwise(c *Case, q, usual measure.Quantity) []string {
	if !q.Valid() || !usual.Valid() || q.Kind() != usual.Kind() || usual.Float() <= 0 {
		return nil
	}
	far := c.Settings.NotBelieved.Float() / 100
	if q.Float() <= usual.Float()*far && q.Float() >= usual.Float()/far {
		return nil
	}
	var meant []string
	near := func(v measure.Quantity) bool {
		return math.Abs(v.Float()-usual.Float()) <= usual.Float()*c.Settings.NearUsual.Float()/100
	}
	show := func(v measure.Quantity) string { return v.In(usual.Unit()).Rounded(max(usual.Decimals(), 0)).String() }
	for _, name := range measure.UnitsOf(q.Kind()) {
		u := measure.Find(q.Kind(), name)
		v := measure.Of(q.Number(), u)
		switch {
		case u == q.Unit() || !near(v):
		case u == usual.Unit():
			meant = append(meant, v.String()+"?")
		default:
			meant = append(meant, v.String()+" = "+show(v))
		}
	}
	for _, shift := range []float64{0.1, 0.01, 0.001, 10, 100} {
		if v := measure.FromFloat(q.Float()*shift, 6, q.Kind()); near(v) {
			text := show(v)
			if !slices.ContainsFunc(meant, func(m string) bool { return strings.HasSuffix(strings.TrimSuffix(m, "?"), text) }) {
				meant = append(meant, text+"?")
			}
		}
	}
	return meant
}
