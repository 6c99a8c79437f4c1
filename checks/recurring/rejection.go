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
		r.Explained = c.explain(o, r, known)
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
func (c *Recurring) explain(o *logbook.Overhaul, r Rejection, hoursKnown bool) string {
	if f := c.fouled[o]; f != nil {
		return "the whole round was fouled"
	}
	if w := c.unlisted(o); w != "" {
		return "its marking " + w + " is not on the list"
	}
	if place := crackedNozzle(o); place != "" {
		return "the nozzle was cracked: " + place
	}
	if v := c.judged.Find(o, "effective_lift"); v.Result.Out() {
		return "lift beyond its limit"
	}
	if !r.Renewed {
		return ""
	}
	if !hoursKnown {
		return "the hours of the nozzle are not known"
	}
	life, stated := c.life(o)
	switch {
	case stated && r.NozzleHours*100 >= c.settings.EarlyReject.Float()*life:
		return fmt.Sprintf("not early: %.0f h of a life of %.0f h", r.NozzleHours, life)
	case !stated && !c.faulty(o):
		return "renewed without a fault as found, and no life is stated"
	}
	return ""
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

// Together is a rejection with those of the same holder or position that the book counts together with it.
type Together struct {
	Last Rejection   // the latest of them
	All  []Rejection // oldest first, the latest too
}

// ByHolder lists each unexplained rejection of a nozzle with the earlier ones of its holder, where they reach the
// book's count within its hours. Hours are those of the holder.
func (c *Recurring) ByHolder() []Together {
	return c.together(func(r Rejection) (string, float64, bool) {
		return r.Holder, r.HolderHours, r.Renewed && r.Explained == ""
	})
}

// ByPosition lists the same for positions: early removals of different holders that neither the holder nor anything
// else on record explains. Hours are those of the engine.
func (c *Recurring) ByPosition() []Together {
	eats := map[string]bool{}
	for _, t := range c.ByHolder() {
		eats[t.Last.Holder] = true
	}
	all := c.together(func(r Rejection) (string, float64, bool) {
		return r.Position.String(), r.EngineHours, r.Explained == "" && !eats[r.Holder] && !c.HolderCondemned(r.Holder)
	})
	return slices.DeleteFunc(all, func(t Together) bool {
		return !slices.ContainsFunc(t.All, func(r Rejection) bool { return r.Holder != t.Last.Holder })
	})
}

// together counts rejections of one key that lie within the hours of the book's setting, up to each of them.
func (c *Recurring) together(key func(Rejection) (name string, hours float64, counts bool)) []Together {
	within, least := c.settings.RejectWithin.Float(), c.settings.RejectCount.Int()
	of := map[string][]Rejection{}
	var all []Together
	for _, r := range c.Rejections {
		name, hours, counts := key(r)
		if !counts || name == "" {
			continue
		}
		of[name] = append(of[name], r)
		t := Together{Last: r}
		for _, p := range of[name] {
			if _, then, _ := key(p); hours-then <= within {
				t.All = append(t.All, p)
			}
		}
		if len(t.All) >= least {
			all = append(all, t)
		}
	}
	return all
}

// MostElsewhere is the largest number of unexplained rejections of a nozzle within the hours that any other holder has,
// and the number of other holders.
func (c *Recurring) MostElsewhere(holder string) (most, holders int) {
	within := c.settings.RejectWithin.Float()
	of := map[string][]float64{}
	for _, r := range c.Rejections {
		if r.Renewed && r.Explained == "" && r.Holder != holder {
			of[r.Holder] = append(of[r.Holder], r.HolderHours)
			n := 0
			for _, then := range of[r.Holder] {
				if r.HolderHours-then <= within {
					n++
				}
			}
			most = max(most, n)
		}
	}
	for _, h := range c.book.Lives().Holders() {
		if h != holder {
			holders++
		}
	}
	return most, holders
}
