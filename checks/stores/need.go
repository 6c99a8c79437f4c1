package stores

import (
	"math"
	"slices"

	"needlebook/logbook"
)

// rounding is what adding up fractions may leave over a whole number.
const rounding = 1e-9

// need is what will be used of an item until an order made at the next look can be here. Nozzles go by each one's own
// age; everything else by what was used before, which varies with the square of what goes at once.
func (r *reckoner) need(it *Item) Need {
	n := Need{Days: it.Lead + ReviewDays}
	variance := 0.0
	if it.Nozzle {
		n.Life, n.Unknown, n.Rejected, n.Known = r.nozzles(it, float64(n.Days))
		n.Expected = float64(n.Life) + n.Rejected
		variance = n.Expected // a count of rare events varies by its square root (Poisson)
	} else if n.Over = math.Min(useDays, float64(r.today.Days(r.first()))); n.Over > 0 {
		n.Used, n.Known = it.used, true
		n.Expected, variance = it.used*float64(n.Days)/n.Over, it.squares*float64(n.Days)/n.Over
	}
	n.Minimum = math.Max(0, math.Ceil(n.Expected+r.settings.StockMargin.Value*math.Sqrt(variance)-rounding))
	return n
}

// first is the day of the first movement.
func (r *reckoner) first() logbook.Day {
	first := r.today
	for _, m := range r.b.Stock {
		if m.Date.Day != 0 {
			first = min(first, m.Date.Day)
		}
	}
	return first
}

// nozzles counts the fitted nozzles of an item's type that reach their life within so many days at the present rate of
// their engines, and those likely to be rejected before it, from how often that happened for each hour run. known is
// false where no life, no rate or of no nozzle the hours are known; unknown are those of which they are not.
func (r *reckoner) nozzles(it *Item, days float64) (life, unknown int, rejected float64, known bool) {
	types := it.Types
	hours := 0.0
	for _, p := range r.b.Positions() {
		pace, s, l := r.b.PaceOf(p.Engine, r.today), r.lives.At(p, r.today), r.b.LimitsOf(p.Engine)
		if !pace.Known || s == nil || l == nil || !slices.Contains(types, l.Name) {
			continue
		}
		hours += pace.PerDay * days
		e, _ := l.On(r.today)
		run, counted := r.lives.NozzleHours(s.Nozzle, r.today)
		if !e.NozzleLife.Renew.Quantity.Valid() {
			continue
		}
		if !counted {
			unknown++
			continue
		}
		known = true
		if run+pace.PerDay*days >= e.NozzleLife.Renew.Float() {
			life++
		}
	}
	early, ran := 0.0, 0.0
	for _, o := range r.b.Overhauls {
		if l := r.b.LimitsFor(o); l != nil && slices.Contains(types, l.Name) && RenewalOf(r.b, o, r.today) == BeforeLife {
			early++
		}
	}
	for _, s := range r.lives.ServicePeriods {
		if l := r.b.LimitsOf(s.Engine); l != nil && slices.Contains(types, l.Name) {
			ran += s.Hours
		}
	}
	if ran > 0 {
		rejected = early / ran * hours
	}
	return life, unknown, rejected, known
}

// types are the limits files of the engines that the nozzles of an item are for: those on which one of them ran, or
// whose list permits the marking of one; where neither tells, those that no other item is for.
func (r *reckoner) types(it *Item) []string {
	if own := r.told(it); len(own) > 0 {
		return own
	}
	var others, rest []string
	for _, x := range r.items {
		if x.Nozzle && x != it {
			others = append(others, r.told(x)...)
		}
	}
	for _, e := range r.b.Vessel.Engines {
		if l := r.b.LimitsOf(e.ID.Written); l != nil && !slices.Contains(others, l.Name) && !slices.Contains(rest, l.Name) {
			rest = append(rest, l.Name)
		}
	}
	return rest
}

func (r *reckoner) told(it *Item) []string {
	var all []string
	for _, e := range r.b.Vessel.Engines {
		l := r.b.LimitsOf(e.ID.Written)
		if l == nil || slices.Contains(all, l.Name) {
			continue
		}
		in, _ := l.On(r.today)
		for _, serial := range it.ever {
			p := r.b.Part("nozzle", serial)
			permitted := p != nil && slices.ContainsFunc(in.Markings.Each,
				func(m logbook.Text) bool { return p.Marking.Written != "" && m.Written == p.Marking.Written })
			if permitted || slices.ContainsFunc(r.lives.OfNozzle(serial),
				func(s *logbook.ServicePeriod) bool { return r.b.LimitsOf(s.Engine) == l }) {
				all = append(all, l.Name)
				break
			}
		}
	}
	return all
}

// Renewal is whether and when an overhaul took a nozzle out of use.
type Renewal int

// What an overhaul did with the nozzle it found.
const (
	NotRenewed Renewal = iota
	AtLife             // its hours were over
	BeforeLife
)

// RenewalOf says whether an overhaul by a day took the nozzle it found out of use, and whether that was at its life by
// the limits of its day.
func RenewalOf(b *logbook.Book, o *logbook.Overhaul, today logbook.Day) Renewal {
	if !o.Nozzle.Found.Stated() || !o.Decided.Nozzle.Is("renew", "condemn") || o.Day() > today {
		return NotRenewed
	}
	hours, known := b.Lives().NozzleHours(o.Nozzle.Found.Written, o.Day())
	if l := b.LimitsFor(o); l != nil && known {
		if e, ok := l.On(o.Day()); ok && e.NozzleLife.Renew.Quantity.Valid() && hours >= e.NozzleLife.Renew.Float() {
			return AtLife
		}
	}
	return BeforeLife
}
