package judging

import (
	"fmt"
	"math"
	"strings"

	"needlebook/checks/uncertainty"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// reading is what one budget is drawn up for: the value, its repeats, and the instrument it was taken with.
type reading struct {
	name       string
	value      measure.Quantity
	repeats    []float64 // the readings behind the value, in the base unit; nil where it is a single one
	instrument string
	day        logbook.Day
	own        *uncertainty.Budget // where it is drawn up already
}

// asked is how many readings make a middle one that counts. Source: common practice, no source.
const asked = 3

// middle says of how many readings the value is the middle one, where it is one of several or should be.
func (r reading) middle() []string {
	switch n := len(r.repeats); {
	case n == 0:
		return nil
	case n < asked:
		return []string{fmt.Sprintf("%s, %d are asked for: how far they scatter is hardly known",
			logbook.Counted(n, "reading"), asked)}
	default:
		return []string{fmt.Sprintf("the middle one of %d readings, after the first opening", n)}
	}
}

// budget is what is known of a reading: the error of its instrument, the same in every reading with it, how closely it
// is read, and the scatter of its repeats. ok is false where the book knows no error of the instrument.
func (r reading) budget(b *logbook.Book) (u *uncertainty.Budget, ok bool) {
	if r.own != nil {
		return r.own, true
	}
	i := b.Instruments[r.instrument]
	if i == nil {
		return nil, false
	}
	if u, ok = r.error(b, i); !ok {
		return nil, false
	}
	if step, what := readTo(b, i, r.value); step > 0 {
		u.Resolution(what+" of "+i.ID.Written, step)
	}
	if len(r.repeats) > 1 {
		u.Median("repeats of "+r.name, r.repeats...)
	}
	return u, true
}

// error is what is known of the error of a reading's instrument, in a budget of its own.
func (r reading) error(b *logbook.Book, i *logbook.Instrument) (*uncertainty.Budget, bool) {
	u := &uncertainty.Budget{}
	if c, known := calibration(b, i, r.value, r.day); known {
		c.add(u, i)
		return u, true
	}
	return u, classError(u, i, r.value)
}

// readTo is how closely a value is read on an instrument, in the base unit, and what that rests on: its division, or
// what a moving pointer leaves of it at a hand pump, whichever is more.
func readTo(b *logbook.Book, i *logbook.Instrument, value measure.Quantity) (step float64, what string) {
	what = "division"
	if d := i.Division.Quantity; d.Valid() && d.Kind() == value.Kind() {
		step = d.Float()
	}
	at := i.Reading.Quantity
	if !at.Valid() && value.Kind() == measure.Pressure {
		at = b.Settings().PumpReading.Quantity
	}
	if at.Valid() && at.Kind() == value.Kind() && at.Float() > step {
		step, what = at.Float(), "reading at the pump"
	}
	return step, what
}

// ReadTo is how closely a value is read on an instrument, in the base unit of its kind; 0 where nothing is stated.
func ReadTo(b *logbook.Book, i *logbook.Instrument, value measure.Quantity) float64 {
	step, _ := readTo(b, i, value)
	return step
}

// classError adds the error that an instrument may have at a value by its class or permissible error; false where its
// file states neither.
func classError(b *uncertainty.Budget, i *logbook.Instrument, value measure.Quantity) bool {
	name := i.ID.Written
	same := func(q measure.Quantity) bool { return q.Valid() && q.Kind() == value.Kind() }
	switch {
	case i.Class.Valid && same(i.Range.High) && same(i.Range.Low):
		b.ClassOfSpan("class of "+name, i.Range.High.Float()-i.Range.Low.Float(), i.Class.Value)
	case same(i.Error.Quantity):
		b.Rectangular("error of "+name, i.Error.Float())
	case i.Error.Quantity.Valid() && i.Error.Kind() == measure.Share:
		b.ClassOfReading("error of "+name, value.Float(), i.Error.Float())
	default:
		return false
	}
	b.Same("the error of " + name)
	return true
}

// calibrated is what is known of an instrument's error from what it showed at true values.
type calibrated struct {
	off   float64 // shown less true, in the base unit
	known float64 // standard uncertainty of that
	// what it moves by from one day to the next: a deviation from so many comparisons, or the most where n is 0
	moves float64
	n     int
	from  string // "13 comparisons with PG-03"
}

// fewestPoints is how many comparisons with a better instrument tell a correction and how it moves: from memory.
const fewestPoints = 3

// calibration is what comparisons with a better instrument up to a day show of an error at a value, and where there are
// too few the points of its certificate with what it may have moved since; ok is false without either.
func calibration(b *logbook.Book, i *logbook.Instrument, value measure.Quantity, day logbook.Day) (calibrated, bool) {
	if c, ok := compared(b, i, value, day); ok {
		return c, true
	}
	return certified(b, i, value, day)
}

// compared is what the comparisons of one calibration period show, those that fall in a time found wrong left out.
func compared(b *logbook.Book, i *logbook.Instrument, value measure.Quantity, day logbook.Day) (calibrated, bool) {
	var offs []float64
	var better *logbook.Instrument
	for _, c := range i.Comparisons {
		ref := b.Instruments[c.Against.Written]
		if ref == nil || ref == i || !c.True.Quantity.Valid() || !c.Shows.Quantity.Valid() || c.True.Kind() != value.Kind() ||
			c.Shows.Kind() != value.Kind() || c.Date.Day == 0 || c.Date.Day > day ||
			c.Date.Day < i.Calibrated.Day && day >= i.Calibrated.Day {
			continue
		}
		if _, wrong := WrongOn(i, c.Date.Day); wrong {
			continue
		}
		offs, better = append(offs, c.Shows.Float()-c.True.Float()), ref
	}
	if len(offs) < fewestPoints {
		return calibrated{}, false
	}
	var u uncertainty.Budget
	if !classError(&u, better, value) {
		return calibrated{}, false
	}
	for _, x := range []*logbook.Instrument{better, i} {
		if d := x.Division.Quantity; d.Valid() && d.Kind() == value.Kind() {
			u.Resolution("division", d.Float())
		}
	}
	mean, deviation := meanAndDeviation(offs)
	u.Scatter("scatter", deviation, len(offs), 1)
	sum, err := u.Combine()
	if err != nil {
		return calibrated{}, false
	}
	return calibrated{mean, sum.Std, deviation, len(offs),
		fmt.Sprintf("%s with %s", logbook.Counted(len(offs), "comparison"), better.ID.Written)}, true
}

func meanAndDeviation(values []float64) (mean, deviation float64) {
	for _, x := range values {
		mean += x / float64(len(values))
	}
	for _, x := range values {
		deviation += (x - mean) * (x - mean)
	}
	return mean, math.Sqrt(deviation / float64(len(values)-1))
}

// certified is what the points of a certificate show at a value from its day on, straight between two of them: they are
// those of the instrument as it went out. What it has moved since is the largest error that it ever came in with, and
// where that is not known a share of its class.
func certified(b *logbook.Book, i *logbook.Instrument, value measure.Quantity, day logbook.Day) (c calibrated,
	ok bool) {
	u := i.PointsKnown.Quantity
	if day != 0 && day < i.Calibrated.Day || !u.Valid() || u.Kind() != value.Kind() {
		return c, false
	}
	if c.off, ok = offAt(i.Points, value); !ok {
		return c, false
	}
	for _, r := range i.AsFound {
		if r.Error.Quantity.Valid() && r.Error.Kind() == value.Kind() {
			c.moves = max(c.moves, math.Abs(r.Error.Float()))
		}
	}
	if half, known := ErrorAt(i, value); c.moves == 0 && known {
		c.moves = half * b.Settings().GaugeDrift.Float() / 100
	}
	c.known, c.from = u.Float()/2, strings.TrimSpace("certificate "+i.Certificate.Written)
	return c, c.moves > 0
}

// offAt is shown less true at a value shown, straight between the points on either side of it; ok is false outside of
// them.
func offAt(points []logbook.Point, shown measure.Quantity) (off float64, ok bool) {
	below, above := math.Inf(-1), math.Inf(1)
	var low, high float64
	x := shown.Float()
	for _, p := range points {
		if !p.True.Quantity.Valid() || !p.Shows.Quantity.Valid() || p.Shows.Kind() != shown.Kind() ||
			p.True.Kind() != shown.Kind() {
			continue
		}
		at := p.Shows.Float()
		if at <= x && at > below {
			below, low = at, at-p.True.Float()
		}
		if at >= x && at < above {
			above, high = at, at-p.True.Float()
		}
	}
	switch {
	case math.IsInf(below, -1) || math.IsInf(above, 1):
		return 0, false
	case above == below:
		return low, true
	}
	return low + (high-low)*(x-below)/(above-below), true
}

// add puts a known error into a budget: what is not known of it is the same in every reading, what it moves by is not.
func (c calibrated) add(b *uncertainty.Budget, i *logbook.Instrument) {
	name := i.ID.Written
	b.Known("correction of "+name+", "+c.from, c.known)
	b.Same("the error of " + name)
	if c.n > 0 {
		b.Scatter("drift of "+name, c.moves, c.n, math.Sqrt(float64(c.n))) // of one day, not of their mean
	} else {
		b.Rectangular("drift of "+name, c.moves)
	}
}

// Correction is what an instrument shows above the true value at a value, and what says so; ok is false where nothing
// but its class is known.
func Correction(b *logbook.Book, i *logbook.Instrument, value measure.Quantity, day logbook.Day) (off float64,
	from string, ok bool) {
	if i == nil || !value.Valid() {
		return 0, "", false
	}
	c, ok := calibration(b, i, value, day)
	return c.off, c.from, ok
}
