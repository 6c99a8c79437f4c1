package checks

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// leastParts and mostParts are the fewest and the most divisions of a scale, needle or digits: from memory.
const leastParts, mostParts = 5, 100_000

// lowestPart is the part of its range below which no torque wrench or gauge is used, whatever is read with it: ISO
// 6789-1 tests wrenches from a fifth of the range on; a third of that is a range with a digit too many.
const lowestPart = 15

// classParts is how many times its class in the range the division of a gauge is at most: EN 837-1, table of scale
// intervals, has up to twice; the rest is from memory.
const classParts = 5

// finestPart is the part of a division that nobody reads a scale to: from memory.
const finestPart = 10

var instrumentForm = &Check{
	Name:    "instrument-form",
	Subject: OfInstrument,
	Ends:    writing,
	Version: 4,
	Level:   Vessel,
	Doc: "The file of an instrument states what cannot be: an error or a division of another kind than its range, a " +
		"division out of all proportion to it or one that no scale has, a range that ends far above all that was read with " +
		"it or that most readings are beyond, a class or error that is not above zero or larger " +
		"than any, a class too fine for its dial, an oil that no bench uses, a comparison " +
		"that is further off than both may be in no time found wrong or one with itself, another id than its file is named " +
		"after, or a time found wrong without its first day, " +
		"with its last day before the first, or with a factor or an offset that its comparisons do not show: " +
		"often the inverse. " +
		"What is stated so counts for nothing, and readings pass without the uncertainty that belongs to them. Copy it " +
		"again from the certificate.",
	Source:  "our own rule",
	Example: `error of DG-1 is a pressure, its range a length: no uncertainty is counted`,
	Grade:   Action,
	Slips:   []string{logbook.SlipFromNought, logbook.SlipIdent},
	Words: func(p logbook.Problem, f *Finding) {
		if p.Slip == logbook.SlipIdent {
			f.Message = "id " + p.Found + " stands in " + p.Place.Path[strings.LastIndexByte(p.Place.Path, '/')+1:] + ": " +
				p.Expected
			return
		}
		f.Grade, f.Message = Note, "range "+p.Found+" has no beginning: read as from 0"
	},
	Whole: func(c *Case) {
		scales := offTheirScales(c)
		read, ids := c.largestRead(), slices.Sorted(maps.Keys(c.Book.Instruments))
		for _, id := range slices.Sorted(maps.Keys(c.Book.Instruments)) {
			i := c.Book.Instruments[id]
			say := func(place logbook.Place, message, next string) {
				c.Report(Finding{Place: place, About: About{Instrument: id}, Message: message, Next: next})
			}
			if u := scales[id]; u.most() {
				say(i.Range.Place, fmt.Sprintf("range of %s is %s, and %d of %d readings are off it", id, i.Range, u.off, u.read),
					"copy it from the instrument: is a digit or a point missing?")
				continue // nothing can be held against that range
			}
			for _, x := range []struct {
				name string
				a    logbook.Amount
			}{{"division", i.Division}, {"error", i.Error}} {
				switch kind := x.a.Quantity.Kind(); {
				case !x.a.Quantity.Valid():
				case i.Range.Span.Valid() && kind != i.Range.Kind() && !(x.name == "error" && kind == measure.Share):
					say(x.a.Place, x.name+" of "+id+" is a "+kind.String()+", its range a "+i.Range.Kind().String()+
						": no uncertainty is counted", "write it in a unit of the range")
				case x.a.Float() <= 0:
					say(x.a.Place, x.name+" of "+id+" is "+x.a.String()+": no uncertainty is counted", "copy it from the certificate")
				}
			}
			c.unitsOf(i, say)
			c.measuresOf(i, say)
			c.benchPossible(i, say)
			if cold, hot := i.Oil.Viscosity40, i.Oil.Viscosity100; cold.Valid() && hot.Valid() && hot.Float() >= cold.Float() {
				say(hot.Place, "viscosity of the oil of "+id+" is "+hot.String()+" at 100 °C, "+cold.String()+" at 40 °C",
					"copy both from the oil's sheet: a hot oil is thinner")
			}
			if most := read[id]; most.Valid() && i.Range.High.Valid() && i.Range.Kind() == most.Kind() &&
				i.Range.High.Float() > lowestPart*most.Float() {
				say(i.Range.Place, "range of "+id+" ends at "+i.Range.High.String()+", the most read with it is "+most.String(),
					"copy it from the instrument: is a digit too many?")
			}
			for _, x := range i.Comparisons {
				if a := x.Against; a.Stated() && a.Written == id {
					say(a.Place, id+" is compared with itself: that counts for nothing",
						"name the instrument it was compared with")
				}
				if a := x.Against; a.Stated() && c.Book.Instruments[a.Written] == nil && logbook.Nearest(a.Written, ids) != "" {
					say(a.Place, "compared with "+a.Written+": no instrument of that id in the book",
						"is "+logbook.Nearest(a.Written, ids)+" meant? one from outside needs no id of ours")
				}
			}
			if i.Class.Valid && i.Class.Value <= 0 {
				say(i.Class.Place, "class of "+id+" is "+i.Class.Written+": no uncertainty is counted", "copy it from the dial")
			} else if i.Class.Valid && i.Range.Kind() == measure.Pressure && !slices.Contains(classes, i.Class.Value) {
				say(i.Class.Place, "class of "+id+" is "+i.Class.Written+": gauges have 0.1, 0.25, 0.6, 1, 1.6, 2.5 or 4",
					"copy it from the dial")
			}
			if d := i.Division; i.Class.Value > 0 && d.Valid() && i.Range.High.Valid() && d.Kind() == i.Range.Kind() &&
				d.Float() > classParts*i.Class.Value/100*i.Range.High.Float()+rounding {
				say(i.Class.Place, "class of "+id+" is "+i.Class.Written+", its divisions are "+d.String()+
					": no scale of that class is so coarse", "copy both from the dial: is a digit or a point wrong?")
			}
			c.compared(i, say)
			if d := i.Division.Quantity; d.Valid() && i.Range.High.Valid() && d.Kind() == i.Range.Kind() && d.Float() > 0 {
				if parts := i.Range.High.Float() / d.Float(); parts < leastParts || parts > mostParts {
					say(i.Division.Place, "division of "+id+" is "+d.String()+", its range ends at "+i.Range.High.String()+
						": no scale is parted so", "copy it from the dial")
				}
			}
			if e := i.Error.Quantity; e.Valid() && e.Kind() == measure.Share && e.Float() > c.Settings.ErrorMost.Float() {
				say(i.Error.Place, "error of "+id+" is "+e.String()+": no instrument is so coarse", "copy it from the certificate")
			} else if d := i.Division.Quantity; e.Valid() && d.Valid() && e.Kind() == d.Kind() && e.Kind() != measure.Time &&
				d.Float() > 0 && e.Float() > c.Settings.ErrorParts.Value*d.Float()+rounding {
				say(i.Error.Place, "error of "+id+" is "+e.String()+", its divisions are "+d.String()+
					": no instrument is so coarse", "copy it from the certificate")
			} else if e.Valid() && e.Kind() == measure.Time &&
				e.Float() > max(worstThumb, c.Settings.ErrorParts.Value*d.Float()) {
				say(i.Error.Place, "error of "+id+" is "+e.String()+": no thumb is so slow", "copy it from the certificate")
			} else if e.Valid() && !d.Valid() && e.Kind() == i.Range.Kind() && i.Range.High.Valid() &&
				e.Float() > c.Settings.ErrorMost.Float()/100*i.Range.High.Float() {
				say(i.Error.Place, "error of "+id+" is "+e.String()+", its range ends at "+i.Range.High.String()+
					": no instrument is so coarse", "copy it from the certificate")
			} else if e.Valid() && d.Valid() && e.Kind() == d.Kind() && e.Float() > 0 && e.Float() < d.Float()/finestPart {
				say(i.Division.Place, "division of "+id+" is "+d.String()+", its error "+e.String()+": no scale is read so finely",
					"copy both from the certificate")
			} else if d.Valid() && d.Float() > 0 && !stepOfScale(d.Number()) {
				say(i.Division.Place, "division of "+id+" is "+d.String()+": no scale has such steps", "copy it from the dial")
			}
			for _, x := range i.Comparisons {
				if t, s := x.True.Quantity, x.Shows.Quantity; t.Valid() && s.Valid() && t.Kind() == s.Kind() {
					if meant := otherwise(c, s, t); len(meant) > 0 {
						say(x.Shows.Place, id+" showed "+s.String()+" against "+t.String()+": no instrument is so far off",
							"is "+strings.Join(meant, " or ")+" meant?")
					}
				}
			}
			for _, w := range i.FoundWrong {
				switch {
				case w.From.Day == 0:
					say(w.Place, "time found wrong of "+id+" has no first day: it counts for nothing",
						"write from: the first day it may have read wrong")
				case w.To.Day != 0 && w.To.Day < w.From.Day:
					say(w.To.Place, "time found wrong of "+id+" ends on "+w.To.Written+", before it begins on "+w.From.Written+
						": it counts for nothing", "are the two days exchanged?")
				default:
					c.wrongAsCompared(i, &w, say)
				}
			}
		}
	},
}

// largestRead is the largest torque or pressure that each instrument has shown.
func (c *Case) largestRead() map[string]measure.Quantity {
	most := map[string]measure.Quantity{}
	for _, o := range c.Book.Overhauls {
		for t := range o.Taken() {
			q, was := t.Amount.Quantity, most[t.With.Written]
			if k := q.Kind(); (k == measure.Torque || k == measure.Pressure) && (!was.Valid() || q.Kind() == was.Kind() &&
				q.Compare(was) > 0) {
				most[t.With.Written] = q
			}
		}
	}
	return most
}

// benchPossible asks about figures of a test bench that none has: how far is from memory.
func (c *Case) benchPossible(i *logbook.Instrument, say func(place logbook.Place, message, next string)) {
	for _, x := range append(judging.OilBounds(i), judging.Bound{Name: "volume under pressure", Is: i.Trapped,
		Least: 0.5, Most: 500}, judging.Bound{Name: "highest pressure", Is: i.MaxPressure, Least: 200, Most: 4000}) {
		if x.Outside() {
			say(x.Is.Place, x.Name+" of "+i.ID.Written+" is "+x.Is.String()+": no bench has that", "look at its plate")
		}
	}
	if l := i.OwnLeak; l.From.Valid() && l.To.Valid() && l.From.Kind() == l.To.Kind() &&
		l.From.Compare(l.To.Quantity) < 0 {
		say(l.From.Place, "own leak of "+i.ID.Written+" falls from "+l.From.String()+" to "+l.To.String()+
			": the two are exchanged", "exchange them")
	}
}

// classes are those of pressure gauges: EN 837-1, 6; 0.05 and 0.4 and 0.5 stand on gauges of other habits, from memory.
var classes = []float64{0.05, 0.1, 0.2, 0.25, 0.4, 0.5, 0.6, 1, 1.5, 1.6, 2, 2.5, 4}

// compared asks about comparisons that are further off than both instruments may be, where the book does not say that
// the instrument was wrong then: either the row is a slip, or what was read with the instrument is. Of a factor off it
// is asked elsewhere.
func (c *Case) compared(i *logbook.Instrument, say func(place logbook.Place, message, next string)) {
	id := i.ID.Written
	off := func(n int) (bar, most float64) {
		if n < 0 || n >= len(i.Comparisons) {
			return math.Inf(1), 0
		}
		return c.offAt(i, &i.Comparisons[n])
	}
	within := func(n int) bool { bar, most := off(n); return bar <= most }
	for n, x := range i.Comparisons {
		_, wrong := judging.WrongOn(i, x.Date.Day)
		bar, _ := off(n)
		if wrong || within(n) || len(otherwise(c, x.Shows.Quantity, x.True.Quantity)) > 0 {
			continue
		}
		message := fmt.Sprintf("%s showed %s at %s on %s: further off than both instruments may be", id, x.Shows, x.True,
			x.Date.Written)
		next := "set nothing more with it; correct the row, or write the time under found_wrong"
		if within(n-1) && within(n+1) {
			message, next = fmt.Sprintf("%s showed %s against %s, within its class before and after", id, x.Shows, x.True),
				"look at the sheet; correct the figure"
		}
		own := func(q measure.Quantity) bool { return math.Abs(q.Float()-x.True.Float()) < bar/4 }
		if q, found := digitsExchanged(x.Shows.Quantity, own); found {
			next = "is " + q.String() + " meant? else set nothing with it, and write found_wrong"
		}
		say(x.Shows.Place, message, next)
	}
}

// wrongAsCompared asks about a time found wrong whose factor or offset no comparison of that time shows within the
// errors of both instruments, and, where it has none, about one that is further off than any instrument in use.
func (c *Case) wrongAsCompared(i *logbook.Instrument, w *logbook.FoundWrong,
	say func(place logbook.Place, message, next string)) {
	id, far := i.ID.Written, c.Settings.NearUsual.Float()/100
	name, written := "factor ", w.Factor.Leaf
	shown := func(q measure.Quantity) float64 { return q.Float() * w.Factor.Value }
	switch {
	case w.Factor.Valid && w.Factor.Value > 0:
		far = math.Abs(w.Factor.Value-1) - far
	case w.Off.Valid() && i.Range.High.Valid() && w.Off.Kind() == i.Range.Kind():
		name, written, shown = "by ", w.Off.Leaf, func(q measure.Quantity) float64 { return q.Float() + w.Off.Float() }
		far = math.Abs(w.Off.Float()) - far*i.Range.High.Float()
	case w.Factor.Valid:
		say(w.Factor.Place, "factor "+w.Factor.Written+" of "+id+": it counts for nothing", factorIs)
		return
	default:
		return // by how much it was wrong is not known
	}
	what := name + written.Written + " of " + id + ": "
	var last *logbook.Comparison
	for n := range i.Comparisons {
		x := &i.Comparisons[n]
		_, most := c.offAt(i, x)
		if !inTime(*w, x.Date.Day) || most == 0 || x.Against.Written == id ||
			len(otherwise(c, x.Shows.Quantity, x.True.Quantity)) > 0 {
			continue
		}
		if math.Abs(x.Shows.Float()-shown(x.True.Quantity)) <= most {
			return
		}
		last = x
	}
	switch {
	case last == nil && far > 0:
		say(written.Place, what+"so far off, and no comparison of that time shows it",
			"enter the comparison that showed it, or correct the figure")
	case last != nil && w.Factor.Valid:
		is := fmt.Sprintf("%.3f", last.Shows.Float()/last.True.Float())
		say(written.Place, what+"it showed "+last.Shows.String()+" at "+last.True.String()+", which is "+is,
			factorIs+": type "+is)
	case last != nil:
		is := last.Shows.Minus(last.True.Quantity).String()
		say(written.Place, what+"it showed "+last.Shows.String()+" at "+last.True.String()+", which is "+is,
			"by is shown less true: type "+is)
	}
}

// factorIs says which way round a factor is.
const factorIs = "factor is shown over true"

// worstThumb is the error in seconds of a time that somebody stops by hand, at most: from memory.
const worstThumb = 2

// offAt is how far a comparison is off, in the base unit, and the most that both instruments together may be; nothing
// where that is not known.
func (c *Case) offAt(i *logbook.Instrument, x *logbook.Comparison) (off, most float64) {
	own, known := judging.ErrorAt(i, x.True.Quantity)
	if !known || !x.Shows.Valid() || x.True.Kind() != x.Shows.Kind() || x.True.Kind() != i.Range.Kind() {
		return 0, 0
	}
	other, known := judging.ErrorAt(c.Book.Instruments[x.Against.Written], x.True.Quantity)
	if !known {
		other = own
	}
	return math.Abs(x.Shows.Float() - x.True.Float()), own + other + rounding
}

// digitsExchanged is the value that two digits of a value make when they are exchanged, if one is as it should be.
func digitsExchanged(q measure.Quantity, right func(measure.Quantity) bool) (measure.Quantity, bool) {
	digits := []byte(q.Number())
	for i := 1; i < len(digits); i++ {
		digits[i-1], digits[i] = digits[i], digits[i-1]
		if other, _ := measure.Parse(string(digits)+" "+q.Unit().Name, q.Kind()); other.Valid() && right(other) {
			return other, true
		}
		digits[i-1], digits[i] = digits[i], digits[i-1]
	}
	return q, false
}

// stepsOfScales are the significant figures of the steps that scales have, from 1 and 2 to sixteenths: from memory.
var stepsOfScales = []string{"1", "125", "15", "2", "25", "3", "4", "5", "6", "625", "75"}

// stepOfScale says that a division, as written, is one that a scale has.
func stepOfScale(number string) bool {
	return slices.Contains(stepsOfScales, strings.Trim(strings.ReplaceAll(number, ".", ""), "0"))
}

// unitsOf asks of one scale that it is stated in one unit.
func (c *Case) unitsOf(i *logbook.Instrument, say func(place logbook.Place, message, next string)) {
	d, end := i.Division.Quantity, i.Range.High
	if !d.Valid() || !end.Valid() || d.Kind() != end.Kind() || d.Unit() == end.Unit() || d.Float() <= 0 {
		return
	}
	// of others it is said that they are out of proportion
	if parts := end.Float() / d.Float(); parts >= leastParts && parts <= mostParts {
		say(i.Division.Place, "division of "+i.ID.Written+" is "+d.String()+", its range ends at "+end.String()+
			": two units on one scale", "write both in the unit of the scale")
	}
}

// measured is what an instrument of a kind measures.
var measured = map[string]string{"gauge": "pressure", "sensor": "pressure", "bench": "pressure", "dial gauge": "length",
	"depth gauge": "length", "micrometer": "length", "calliper": "length", "magnifier": "length",
	"torque wrench": "torque", "thermometer": "temperature", "stopwatch": "time"}

// measuresOf asks of an instrument that it measures what its kind does, and has a range of that.
func (c *Case) measuresOf(i *logbook.Instrument, say func(place logbook.Place, message, next string)) {
	is := measured[i.Kind.Written]
	switch {
	case is == "" || !i.Measures.Stated():
	case i.Measures.Written != is && i.Measures.Written != "share":
		say(i.Measures.Place, i.ID.Written+" is a "+i.Kind.Written+" and measures "+i.Measures.Written+
			": such a one measures "+is, "correct what it is, or what it measures")
	case i.Range.High.Valid() && i.Range.Kind().String() != i.Measures.Written:
		say(i.Range.Place, i.ID.Written+" measures "+i.Measures.Written+", its range is a "+i.Range.Kind().String(),
			"write its range in a unit of "+i.Measures.Written)
	}
}
