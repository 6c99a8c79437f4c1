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
	Version: 5,
	Level:   Field,
	Doc: "A value is far from anything this valve can show, and becomes an ordinary one in another unit, with the " +
		"decimal point moved, with two digits exchanged, or on the line of another value. A gauge in psi read as " +
		"bar spoils the verdict of this record and the wear lines after it. Look at the sheet and the gauge, write the " +
		"true value with its unit, and keep the old one under corrections. One pressure of a test in another unit than all " +
		"others of it is asked about too.",
	Source:  "common practice, no source; the usual value is the book's own setting or nominal",
	Example: `opening pressure as left 4640 bar is not possible; 4640 psi = 320 bar`,
	Each: func(c *Case, o *logbook.Overhaul) {
		c.aloneInItsUnit(o)
		is := mistakesOf(c, o)
		swapped := map[logbook.Place]bool{}
		for _, x := range is.exchanged {
			a, b := x[0].written[0], x[1].written[0]
			swapped[a.Place], swapped[b.Place] = true, true
			c.Report(Finding{Place: a.Place, Related: []Related{{b.Place, x[1].name}}, About: about(o),
				Message: fmt.Sprintf("%s %s and %s %s: each fits the other", x[0].name, a.Quantity, x[1].name, b.Quantity),
				Next:    "are the two exchanged? correct both, and keep the old values under corrections"})
		}
		for _, u := range is.usual {
			for _, a := range u.written {
				if swapped[a.Place] {
					continue
				}
				if meant := u.meant(c, a.Quantity); len(meant) > 0 && !c.statedAmiss(u.at) {
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
func mistaken(c *Case, o *logbook.Overhaul) map[logbook.Place]bool { return mistakesOf(c, o).places }

// mistakes are what is mistaken in a record; empty where nothing is.
type mistakes struct {
	places    map[logbook.Place]bool
	exchanged [][2]usualValue
	usual     []usualValue // of all its values
}

func mistakesOf(c *Case, o *logbook.Overhaul) mistakes {
	if known, ok := c.mistakes.Load(o); ok {
		return known.(mistakes)
	}
	is := mistakes{places: map[logbook.Place]bool{}, usual: usualValues(c, o)}
	for _, u := range is.usual {
		for _, a := range u.written {
			if len(u.meant(c, a.Quantity)) > 0 && !c.statedAmiss(u.at) {
				is.places[a.Place] = true
			}
		}
	}
	is.exchanged = c.exchangedIn(is.usual)
	for _, x := range is.exchanged {
		is.places[x[0].written[0].Place], is.places[x[1].written[0].Place] = true, true
	}
	if len(is.places) == 0 { // of ten thousand records few are more than looked at
		is = mistakes{}
	}
	c.mistakes.Store(o, is)
	return is
}

type usualValue struct {
	name    string
	written []logbook.Amount
	usual   measure.Quantity // invalid where the limits file states none
	at      logbook.Place    // where it states it
	// between these shares of the usual value lies all that a valve can show, however worn; 0 where that is not known.
	// From memory: a spring sets by a few percent, a seat widens by less than half of its diameter, a valve does not
	// open at one and a half times its setting.
	least, most float64
}

// shows says that a value is the usual one, or near to it.
func (u usualValue) shows(c *Case, v logbook.Amount) bool {
	return math.Abs(v.Float()-u.usual.Float()) <= u.usual.Float()*c.Settings.NearUsual.Float()/100
}

// apart is how many times a value must be its usual one, or the other way about, to be exchanged with another: what
// wears does not come so far.
const apart = 1.7

// exchangedIn are the pairs of single values of a record of which each is far from its own usual value and near the
// other's, or is the other's to the digit.
func (c *Case) exchangedIn(all []usualValue) (pairs [][2]usualValue) {
	far := func(u usualValue) bool {
		share := u.written[0].Float() / u.usual.Float()
		return share > apart || share < 1/apart
	}
	single := slices.DeleteFunc(slices.Clone(all), func(u usualValue) bool {
		return len(u.written) != 1 || !u.written[0].Valid() || !u.usual.Valid() || u.usual.Float() <= 0 ||
			u.written[0].Kind() != u.usual.Kind() || c.statedAmiss(u.at)
	})
	is := func(u, v usualValue) bool { return u.written[0].Compare(v.usual) == 0 && u.usual.Compare(v.usual) != 0 }
	for i, u := range single {
		for _, v := range single[i+1:] {
			if u.usual.Kind() == v.usual.Kind() && (is(u, v) && is(v, u) || far(u) && far(v) &&
				u.shows(c, v.written[0]) && v.shows(c, u.written[0])) {
				pairs = append(pairs, [2]usualValue{u, v})
			}
		}
	}
	return pairs
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
				if len(u.meant(c, a.Quantity)) > 0 {
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
		{"opening pressure as found", o.AsFound.Opening.Each, setting, set, 0, mostOpening},
		{"first opening pressure as found", one(o.AsFound.FirstOpening), setting, set, 0, 0},
		{"lift", one(o.Measured.Lift.Value), liftUsual(e), e.Lift.New.Place, 0, 0},
		{"seat diameter", one(o.Measured.SeatDiameter.Value), e.SeatDia.Nominal.Quantity,
			e.SeatDia.Nominal.Place, 0.7, 1.5},
		{"no-go wire", one(o.Measured.NoGo.Wire), e.Holes.NoGo.Quantity, e.Holes.NoGo.Place, 0, 0},
		{"free length of the spring", one(o.Measured.SpringLength.Value), e.Spring.Length.Quantity,
			e.Spring.Length.Place, 0.8, 1.2},
		{"torque of the nozzle nut", one(o.Assembled.NozzleNut.Torque), middle(e.NozzleNut.Torque.Span),
			e.NozzleNut.Torque.Place, 0, 0},
		{"opening pressure as left", o.AsLeft.Opening.Each, setting, set, 0, mostOpening},
		{"torque of the end cap", one(o.AsLeft.EndCap.Torque), middle(e.EndCap.Torque.Span),
			e.EndCap.Torque.Place, 0, 0},
		{"torque of the clamp nuts", one(o.Fitted.ClampNuts.Torque), middle(e.ClampNuts.Torque.Span),
			e.ClampNuts.Torque.Place, 0, 0},
		{"torque of the pipe nut", one(o.Fitted.PipeNut.Torque), middle(e.PipeNut.Torque.Span),
			e.PipeNut.Torque.Place, 0, 0},
		{"protrusion", one(o.Fitted.Protrusion), middle(e.Protrusion.Span), e.Protrusion.Place, 0, 0},
	}
	for _, t := range o.Tries {
		all = append(all, usualValue{"opening pressure of a try", t.Opening.Each, setting, set, 0, mostOpening})
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

// mostOpening is how many times its setting a valve may open at, from memory.
const mostOpening = 1.45

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

// meant lists what a value of a record may mean that it cannot show: see otherwise, or two digits are exchanged.
func (u usualValue) meant(c *Case, q measure.Quantity) []string {
	if meant := otherwise(c, q, u.usual); len(meant) > 0 || u.most == 0 || !q.Valid() || !u.usual.Valid() ||
		q.Kind() != u.usual.Kind() || u.usual.Float() <= 0 {
		return meant
	}
	if share := q.Float() / u.usual.Float(); share <= u.most && share >= u.least {
		return nil
	}
	return u.transposed(c, q)
}

// transposed are the values that a figure becomes with two neighbouring digits exchanged, where that is a usual one.
func (u usualValue) transposed(c *Case, q measure.Quantity) (meant []string) {
	digits := []byte(q.Number())
	for i := 1; i < len(digits); i++ {
		j := i - 1
		if digits[j] == '.' && j > 0 {
			j--
		}
		if digits[i] == '.' || digits[i] == digits[j] {
			continue
		}
		is := slices.Clone(digits)
		is[i], is[j] = is[j], is[i]
		if v := (logbook.Amount{Quantity: measure.Of(string(is), q.Unit())}); v.Valid() && u.shows(c, v) {
			meant = append(meant, v.Quantity.String()+"?")
		}
	}
	return meant
}
