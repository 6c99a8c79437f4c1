package recurring

import (
	"fmt"
	"slices"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// Rejection is a nozzle taken out of use, a holder condemned, or a valve pulled for its signs before its interval was
// over.
type Rejection struct {
	Overhaul    *logbook.Overhaul
	Position    logbook.Position
	Holder      string
	Nozzle      string  // the nozzle that came out
	Renewed     bool    // the nozzle was taken out of use; otherwise the valve was only pulled early
	NozzleHours float64 // hours the nozzle had run
	HolderHours float64 // hours the holder had run in this book
	EngineHours float64 // hours the engine had run in all
	LifeOver    bool    // the nozzle had run its life by then
	Explained   string  // what explains it beside holder and position; empty where nothing on record does
	Unjudged    bool    // the hours of the nozzle are not known, and so not whether it was early: it explains nothing
	Elsewhere   bool    // it is explained by its marking or its lift, which say nothing of holder, position or fuel
}

func (c *Recurring) findRejections() {
	lives := c.book.Lives()
	for _, o := range c.book.Overhauls {
		if !o.Removed.Stated() || o.Removed.Date.Day == 0 {
			continue
		}
		day := o.Removed.Date.Day
		r := Rejection{Overhaul: o, Position: logbook.Position{Engine: o.Removed.Engine.Written,
			Cylinder: o.Removed.Cylinder.Written},
			Holder: o.Holder.Written, Nozzle: o.Nozzle.Found.Written, Renewed: c.nozzleOut(o)}
		period := lives.ClosedBy(o)
		pulled := o.Removed.Reason.Is("symptom") && period != nil && period.HoursKnown && c.early(o, period)
		if !r.Renewed && !pulled && !o.Decided.Holder.Is("condemn") {
			continue
		}
		known := true
		if r.Renewed {
			r.NozzleHours, known = lives.NozzleHours(r.Nozzle, day)
			life, stated := c.life(o)
			r.LifeOver = stated && known && r.NozzleHours >= life
		}
		r.HolderHours, _ = lives.HolderHours(r.Holder, day)
		if period != nil {
			r.EngineHours = period.ToTotal
		}
		c.explain(o, &r, known)
		c.Rejections = append(c.Rejections, r)
	}
}

// nozzleOut says that the nozzle as found was taken out of use.
func (c *Recurring) nozzleOut(o *logbook.Overhaul) bool {
	return o.Nozzle.Found.Stated() && o.Decided.Nozzle.Is("renew", "condemn")
}

// early says that a valve came out before its interval was over.
func (c *Recurring) early(o *logbook.Overhaul, s *logbook.ServicePeriod) bool {
	i, ok := c.interval(o)
	return ok && s.Hours < i
}

// explain names what explains a rejection beside the holder and the position.
func (c *Recurring) explain(o *logbook.Overhaul, r *Rejection, hoursKnown bool) {
	if w := c.unlisted(o); w != "" {
		r.Explained, r.Elsewhere = "its marking "+w+" is not on the list", true
		return
	}
	if v := c.judged.LiftOf(o); v.Result.Out() {
		r.Explained, r.Elsewhere = "lift beyond its limit", true
		return
	}
	if !r.Renewed {
		return
	}
	life, stated := c.life(o)
	switch {
	case crackedNozzle(o) != "":
		r.Explained = "the nozzle was cracked: " + crackedNozzle(o)
	case !hoursKnown:
		r.Unjudged = true
	case stated && r.NozzleHours*100 >= c.settings.EarlyReject.Float()*life:
		r.Explained = fmt.Sprintf("not early: %.0f h of a life of %.0f h", r.NozzleHours, life)
	case !stated && !c.faulty(o):
		r.Explained = "renewed without a fault as found, and no life is stated"
	}
}

// life is the life in hours of a nozzle that the limits file stated on the day.
func (c *Recurring) life(o *logbook.Overhaul) (float64, bool) {
	l := c.book.LimitsFor(o)
	if l == nil {
		return 0, false
	}
	e, _ := l.On(o.Day())
	return e.NozzleLife.Renew.Float(), e.NozzleLife.Renew.Quantity.Valid()
}

// faulty says that something tested as found lies beyond its limit.
func (c *Recurring) faulty(o *logbook.Overhaul) bool {
	for _, key := range []string{keys.AsFoundOpeningPressure, keys.AsFoundSeatState, keys.AsFoundLeakDownTime,
		keys.AsFoundSpray} {
		if c.judged.Find(o, key).Result.Out() {
			return true
		}
	}
	return false
}

// unlisted is the marking of the nozzle that came out, where it is not among those permitted; empty otherwise.
func (c *Recurring) unlisted(o *logbook.Overhaul) string {
	mark := o.Nozzle.MarkingFound.Written
	if p := c.book.Part("nozzle", o.Nozzle.Found.Written); mark == "" && p != nil {
		mark = p.Marking.Written
	}
	l := c.book.LimitsFor(o)
	if mark == "" || l == nil {
		return ""
	}
	e, _ := l.On(o.Day())
	if len(e.Markings.Each) == 0 || slices.ContainsFunc(e.Markings.Each,
		func(m logbook.Text) bool { return m.Written == mark }) {
		return ""
	}
	return mark
}

// crackedNozzle is the first place of the nozzle that is cracked; empty where none is.
func crackedNozzle(o *logbook.Overhaul) string {
	for _, p := range o.Inspected.PlacesOf("nozzle") {
		if p.Word.Is("cracked") {
			return p.Name
		}
	}
	return ""
}
