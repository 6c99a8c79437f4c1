package recurring

import "needlebook/logbook"

// Shift is how an opening pressure came back from how the valve was left.
type Shift struct {
	Overhaul   *logbook.Overhaul
	Found      logbook.Amount   // middle reading as found
	Left       logbook.LastLeft // how the holder was left before
	Bar        float64          // found less left in bar: negative for the usual loss
	Hours      float64          // running hours between; negative where not known
	FoundWrong *logbook.FoundWrong
	LeftWrong  *logbook.FoundWrong // times in which the gauge of either test is on record as wrong; nil where it is not
	Settled    bool                // holder or nozzle was condemned in the end
}

// Loss is what was lost since the setting, as a share of it in per cent; negative for a gain.
func (s Shift) Loss() float64 { return -100 * s.Bar / s.Left.Opening.Float() }

func (c *Recurring) findShifts() {
	for _, o := range c.book.Overhauls {
		if s, ok := c.shift(o); ok {
			c.Shifts = append(c.Shifts, s)
		}
	}
}

// shift compares an overhaul with the last setting of its holder. It does not compare another nozzle, a setting whose
// opening and closing pressure stand exchanged, or a figure in another unit than it says: each has a finding of its
// own.
func (c *Recurring) shift(o *logbook.Overhaul) (Shift, bool) {
	found := o.AsFound.Opening.Median()
	left, ok := c.book.Lives().LeftBefore(o)
	if !ok || !o.Removed.Stated() || !found.Quantity.Valid() || !left.Opening.Valid() || left.Opening.Float() <= 0 ||
		found.Float() <= 0 {
		return Shift{}, false
	}
	s := Shift{Overhaul: o, Found: found, Left: left, Bar: found.Float() - left.Opening.Float(), Hours: -1,
		Settled: c.settled(o)}
	// Megapascal, bar and psi lie ten and more apart: what differs so much is in another unit than it says.
	if most := c.settings.NotBelieved.Float() / 100; found.Float() > most*left.Opening.Float() ||
		left.Opening.Float() > most*found.Float() {
		return Shift{}, false
	}
	if period := c.book.Lives().ClosedBy(o); period != nil && period.HoursKnown {
		s.Hours = period.Hours
	}
	day := o.AsFound.Date.Day
	if day == 0 {
		day = o.Removed.Date.Day
	}
	s.FoundWrong = c.wrong(o.AsFound.Gauge.Written, day)
	if p := left.Overhaul; p != nil {
		if closing := p.AsLeft.Closing.Quantity; closing.Valid() && closing.Compare(left.Opening) >= 0 {
			return Shift{}, false
		}
		if p.Nozzle.Left.Stated() && o.Nozzle.Found.Stated() && p.Nozzle.Left.Written != o.Nozzle.Found.Written {
			return Shift{}, false
		}
		s.LeftWrong = c.wrong(p.AsLeft.Gauge.Written, left.Day)
	}
	return s, true
}

// RoundShift is one round's valves of one setting class beside the ship's normal.
type RoundShift struct {
	Round  logbook.Round
	Class  logbook.Class
	Shifts []Shift
	Mean   float64 // mean shift, bar
	Normal Normal  // other valves of the class, of a like age
}

// besideNormal sets each round beside what the ship's other valves of its classes show at a like age. What the engine
// explained is none of it.
func (c *Recurring) besideNormal(rounds []logbook.Round) {
	of, explained := map[*logbook.Overhaul]Shift{}, c.explained()
	all := map[logbook.Class][]point{}
	for _, s := range c.Shifts {
		of[s.Overhaul] = s
		if s.LeftWrong == nil && s.FoundWrong == nil && !s.Settled && s.Hours >= 0 && !explained[s.Overhaul] {
			all[s.Left.Class] = append(all[s.Left.Class], point{s.Hours, s.Bar})
		}
	}
	st := c.settings
	for _, r := range rounds {
		for class := logbook.Used; class <= logbook.Reground; class++ {
			a := RoundShift{Round: r, Class: class}
			hours := 0.0
			for _, o := range r.Overhauls {
				if s, ok := of[o]; ok && s.Left.Class == class && s.LeftWrong == nil && !s.Settled && s.Hours >= 0 {
					a.Shifts = append(a.Shifts, s)
					hours, a.Mean = hours+s.Hours, a.Mean+s.Bar
				}
			}
			n := float64(len(a.Shifts))
			if len(a.Shifts) < max(st.SetLeast.Int(), 1) {
				continue
			}
			a.Mean /= n
			a.Normal = normalOf(all[class], hours/n, st.LikeAge.Float()/100, st.NormalOver.Int(), st.SetFloor.Float())
			if a.Normal.N >= st.SetBaseline.Int() {
				c.Against = append(c.Against, a)
			}
		}
	}
}

// explained are the overhauls that something named moves or spoils.
func (c *Recurring) explained() map[*logbook.Overhaul]bool {
	all := map[*logbook.Overhaul]bool{}
	for _, p := range c.Pressures {
		for _, i := range p.Visits {
			all[c.Visits[i].Overhaul] = true
		}
	}
	for o := range c.fouled {
		all[o] = true
	}
	return all
}

// Usual is the ship's habit over all valves of a class, whatever their age, with the floor of the book's settings.
func (c *Recurring) Usual(class logbook.Class) Normal {
	var all []float64
	explained := c.explained()
	for _, s := range c.Shifts {
		if s.Left.Class == class && s.LeftWrong == nil && s.FoundWrong == nil && !s.Settled && !explained[s.Overhaul] {
			all = append(all, s.Bar)
		}
	}
	return Habit(all, c.settings.SetFloor.Float())
}
