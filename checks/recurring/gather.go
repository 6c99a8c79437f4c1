package recurring

import (
	"cmp"
	"math"
	"slices"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// gather makes a visit of every removal, round by round.
func (c *Recurring) gather(rounds []logbook.Round) {
	rejected := map[*logbook.Overhaul]*Rejection{}
	for i := range c.Rejections {
		rejected[c.Rejections[i].Overhaul] = &c.Rejections[i]
	}
	shifts, at := map[*logbook.Overhaul]*Shift{}, map[*logbook.Overhaul]int{}
	for i := range c.Shifts {
		shifts[c.Shifts[i].Overhaul] = &c.Shifts[i]
	}
	step, heads, batches := c.step(), c.heads(), map[string]string{}
	for _, p := range c.book.Parts {
		batches[p.Number()] = p.Batch.Written
	}
	for n, r := range rounds {
		for _, o := range r.Overhauls {
			v := Visit{Overhaul: o, TestedIn: n, Round: r.Engine + " " + r.Name, Position: positionOf(o).String(),
				Head: headOn(heads[positionOf(o)], o.Removed.Date.Day), Holder: o.Holder.Written,
				Batch: batches[o.Nozzle.Found.Written], Fuels: c.burned(o), SetIn: -1, Step: step,
				Tested: o.AsFound.Gauge.Written, Pulled: o.Removed.Reason.Is("symptom")}
			if period := c.book.Lives().ClosedBy(o); period != nil && period.HoursKnown {
				v.Hours = period.Hours
			}
			c.failed(&v, rejected[o])
			if s := shifts[o]; s != nil && s.Hours >= 0 && !s.Settled {
				c.pressed(&v, s)
			}
			at[o] = len(c.Visits)
			c.Visits = append(c.Visits, v)
		}
	}
	for i := range c.Visits {
		if s := shifts[c.Visits[i].Overhaul]; s != nil && s.Left.Overhaul != nil {
			if set, known := at[s.Left.Overhaul]; known && set < i {
				c.Visits[i].SetIn = set
			}
		}
	}
	c.leaks()
}

func positionOf(o *logbook.Overhaul) logbook.Position {
	return logbook.Position{Engine: o.Removed.Engine.Written, Cylinder: o.Removed.Cylinder.Written}
}

// failed says whether a valve was looked at, and whether it failed. What something else on record explains says
// nothing. A valve pulled before its time counts as failed, and so does a nozzle that was rejected early.
func (c *Recurring) failed(v *Visit, r *Rejection) {
	o := v.Overhaul
	for _, key := range []string{keys.AsFoundSeatState, keys.AsFoundSpray, keys.AsFoundLeakDownTime} {
		x := c.judged.Find(o, key)
		v.Looked = v.Looked || x.Written != ""
		v.Failed = v.Failed || x.Result.Out()
	}
	if crackedNozzle(o) != "" {
		v.Looked, v.Failed = true, true
	}
	switch {
	case r == nil, !r.Renewed && !o.Removed.Reason.Is("symptom"):
	case r.Explained == "" && !r.Unjudged:
		v.Looked, v.Failed = true, true
	case o.Decided.Holder.Is("condemn"):
	case r.LifeOver || r.Elsewhere:
		v.Looked, v.Failed = false, false
	case r.Renewed:
		v.Looked = true
	}
}

// pressed is what its opening pressure shows.
func (c *Recurring) pressed(v *Visit, s *Shift) {
	v.Compares, v.Bar, v.Class = true, s.Bar, int(s.Left.Class)
	v.Excused = s.FoundWrong != nil || s.LeftWrong != nil
	if p := s.Left.Overhaul; p != nil {
		v.Set = p.AsLeft.Gauge.Written
	}
	if i := c.book.Instruments[v.Tested]; i != nil {
		v.ErrorOf, _ = judging.ErrorAt(i, s.Found.Quantity)
	}
	if i := c.book.Instruments[v.Set]; i != nil {
		v.ErrorSet, _ = judging.ErrorAt(i, s.Left.Opening)
	}
}

// step is the one, of those in which gauges are read, that nine readings in ten of the ship are multiples of, in bar;
// 0 where none is.
func (c *Recurring) step() float64 {
	for _, step := range []float64{10, 5, 2, 1} {
		all, fit := 0, 0
		for i := range c.Shifts {
			x := c.Shifts[i].Found.Quantity
			all++
			if parts := x.Float() / step; math.Abs(parts-math.Round(parts)) < 1e-6 {
				fit++
			}
		}
		if all > 0 && 10*fit >= 9*all {
			return step
		}
	}
	return 0
}

// heads are the times of cylinder heads, by position.
func (c *Recurring) heads() map[logbook.Position][]logbook.HeadStay {
	by := map[logbook.Position][]logbook.HeadStay{}
	for _, h := range c.book.HeadStays(math.MaxInt32) {
		by[h.Position] = append(by[h.Position], h)
	}
	return by
}

// headOn is the head that a valve came out of; empty where the book does not name it.
func headOn(all []logbook.HeadStay, day logbook.Day) string {
	for _, h := range all {
		if h.Held(day, false) {
			return h.Head
		}
	}
	return ""
}

// burned are the bunkers in use for a tenth of the days that a valve ran, or more: what a few days foul does not burn
// away again.
func (c *Recurring) burned(o *logbook.Overhaul) []string {
	var names []string
	for _, u := range c.usesOf(o) {
		if 10*u.Days >= u.Of {
			names = append(names, u.Name())
		}
	}
	return names
}

// leaks holds leak-down as found against the ship's normal at that age, on the log scale: leakage grows with the cube
// of the clearance. A time that was cut off makes no part of the normal; it is at least as long, and so never shorter
// than normal.
func (c *Recurring) leaks() {
	var hours, logs []float64
	var of, cut []int
	for i := range c.Visits {
		o := c.Visits[i].Overhaul
		p, ok := c.leak(o)
		switch {
		case !ok || c.settled(o):
		case o.AsFound.LeakDown.Time.More:
			cut = append(cut, i)
		default:
			hours, logs, of = append(hours, p.hours), append(logs, math.Log(p.value)), append(of, i)
		}
	}
	if len(of) < c.settings.SetBaseline.Int() {
		return
	}
	line := robustLine(hours, logs)
	for j, i := range of {
		c.Visits[i].Leaks, c.Visits[i].Leak = true, logs[j]-line(hours[j])
	}
	for _, i := range cut {
		p, _ := c.leak(c.Visits[i].Overhaul)
		c.Visits[i].Leaks, c.Visits[i].Leak = true, max(0, math.Log(p.value)-line(p.hours))
	}
}

// point is what one valve showed after so many running hours.
type point struct{ hours, value float64 }

// leak is the as-found leak-down of a record with the running hours it came after, at the oil temperature of the
// limits where it can be referred to it.
func (c *Recurring) leak(o *logbook.Overhaul) (point, bool) {
	period, time := c.book.Lives().ClosedBy(o), o.AsFound.LeakDown.Time
	if period == nil || !period.HoursKnown || !time.Quantity.Valid() || time.Float() <= 0 {
		return point{}, false
	}
	seconds := time.Float()
	if l := c.book.LimitsFor(o); l != nil {
		if in, _ := l.On(o.Day()); in.LeakDown.Oil.Quantity.Valid() {
			if s, ok := judging.AtOil(c.book, &o.AsFound, in.LeakDown.Oil.Float()); ok && s > 0 {
				seconds = s
			}
		}
	}
	return point{period.Hours, seconds}, true
}

// BunkerUse is a bunker and the days of a service period that it was in use.
type BunkerUse struct {
	Bunker *logbook.Bunker
	Days   int // most days of any one stay
	Of     int // days of that stay
}

// Name is that of the bunker.
func (u BunkerUse) Name() string { return BunkerName(u.Bunker) }

// BunkerName tells deliveries from one port apart.
func BunkerName(b *logbook.Bunker) string { return b.Stem.Written + " of " + b.Received.Written }

// usesOf are the bunkers in use while the valve of a record ran.
func (c *Recurring) usesOf(o *logbook.Overhaul) []BunkerUse {
	s := c.book.Lives().ClosedBy(o)
	if s == nil {
		return nil
	}
	var uses []BunkerUse
	for i := range c.book.Bunkers {
		b := &c.book.Bunkers[i]
		if b.From.Day == 0 {
			continue
		}
		to := s.To
		if b.To.Day != 0 {
			to = min(to, b.To.Day)
		}
		if days := to.Days(max(s.From, b.From.Day)); days > 0 {
			uses = append(uses, BunkerUse{b, days, s.To.Days(s.From)})
		}
	}
	return uses
}

// bunkers lists the bunkers that were in use while the valves of a round ran, by the days of the stay they fill most
// of.
func (c *Recurring) bunkers(r logbook.Round) []BunkerUse {
	most := map[*logbook.Bunker]BunkerUse{}
	for _, o := range r.Overhauls {
		for _, u := range c.usesOf(o) {
			if u.Days > most[u.Bunker].Days {
				most[u.Bunker] = u
			}
		}
	}
	var uses []BunkerUse
	for i := range c.book.Bunkers {
		if u, used := most[&c.book.Bunkers[i]]; used {
			uses = append(uses, u)
		}
	}
	slices.SortStableFunc(uses, func(a, b BunkerUse) int { return cmp.Compare(b.Days, a.Days) })
	return uses
}
