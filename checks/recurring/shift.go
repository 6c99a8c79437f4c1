package recurring

import (
	"math"
	"slices"

	"needlebook/checks/judging"
	"needlebook/logbook"
)

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

// RoundShift is one round's valves of one setting class, held against the ship's normal.
type RoundShift struct {
	Round  logbook.Round
	Class  logbook.Class
	Shifts []Shift
	Mean   float64 // mean shift, bar
	Normal Normal  // earlier valves of the class, of a like age
	Z      float64 // distance of the mean from the normal, in standard errors of the two together
	Share  float64 // distance of the mean from the normal, in per cent of the mean setting
	Off    bool    // further off than the settings of the book allow
	Known  bool    // every test of it lies in a time in which its gauge is on record as wrong
	SetIn  []int   // indexes in Causes.Against of rounds that were off the other way, in which these valves were set
}

// Bar is the distance of the round's mean from the ship's normal, in bar.
func (r RoundShift) Bar() float64 { return r.Mean - r.Normal.Median }

// holdAgainst compares each round with the ship's normal by then, setting class by setting class.
func (c *Recurring) holdAgainst(rounds []logbook.Round) {
	of := map[*logbook.Overhaul]Shift{}
	for _, s := range c.Shifts {
		of[s.Overhaul] = s
	}
	st := c.settings
	normal := map[logbook.Class][]point{}
	in := map[*logbook.Overhaul]int{} // record → index of its round in Against, where that was off
	for at, next := 0, 0; at < len(rounds); at = next {
		for next = at; next < len(rounds) && rounds[next].First == rounds[at].First; next++ {
		}
		for _, r := range rounds[at:next] {
			for class := logbook.Used; class <= logbook.Reground; class++ {
				var shifts []Shift
				hours := 0.0
				for _, o := range r.Overhauls {
					if s, ok := of[o]; ok && s.Left.Class == class && s.LeftWrong == nil && !s.Settled && s.Hours >= 0 {
						shifts = append(shifts, s)
						hours += s.Hours
					}
				}
				if len(shifts) < max(st.SetLeast.Int(), 1) {
					continue
				}
				known := normalOf(normal[class], hours/float64(len(shifts)), st.LikeAge.Float()/100, st.NormalOver.Int(),
					st.SetFloor.Float())
				if known.N < st.SetBaseline.Int() {
					continue
				}
				c.Against = append(c.Against, c.against(r, class, shifts, known, in))
				if a := len(c.Against) - 1; c.Against[a].Off {
					for _, o := range r.Overhauls {
						if _, there := in[o]; !there || of[o].Left.Class == class {
							in[o] = a
						}
					}
				}
			}
		}
		for _, r := range rounds[at:next] { // the rounds of one day do not judge one another
			for _, o := range r.Overhauls {
				if s, ok := of[o]; ok && s.LeftWrong == nil && s.FoundWrong == nil && !s.Settled && s.Hours >= 0 {
					normal[s.Left.Class] = append(normal[s.Left.Class], point{s.Hours, s.Bar})
				}
			}
		}
	}
}

func (c *Recurring) against(r logbook.Round, class logbook.Class, shifts []Shift, normal Normal,
	in map[*logbook.Overhaul]int) RoundShift {
	a := RoundShift{Round: r, Class: class, Shifts: shifts, Normal: normal, Known: true}
	setting := 0.0
	for _, s := range shifts {
		a.Mean += s.Bar / float64(len(shifts))
		setting += s.Left.Opening.Float() / float64(len(shifts))
		a.Known = a.Known && s.FoundWrong != nil
	}
	// The normal is not known exactly either: the median of N values varies π/2 as much as their mean would.
	a.Z = a.Bar() / (normal.Spread * math.Sqrt(1/float64(len(shifts))+math.Pi/2/float64(normal.N)))
	a.Share = 100 * a.Bar() / setting
	// One bad valve moves the mean, and no gauge: the valve in the middle must be off by as much.
	var bars []float64
	for _, s := range shifts {
		bars = append(bars, s.Bar)
	}
	mid := 100 * (middle(bars) - normal.Median) / setting
	least := c.settings.SetShift.Float()
	a.Off = math.Abs(a.Z) > c.settings.SetDeviations.Value && math.Abs(a.Share) >= least && math.Abs(mid) >= least &&
		(mid > 0) == (a.Share > 0) && math.Abs(a.Bar()) > c.permitted(shifts)
	for _, s := range shifts {
		if i, ok := in[s.Left.Overhaul]; ok && a.Off && (c.Against[i].Z > 0) != (a.Z > 0) && !slices.Contains(a.SetIn, i) {
			a.SetIn = append(a.SetIn, i)
		}
	}
	return a
}

// permitted is how far two gauges that are both within their class may show apart, in bar, in the mean of some valves
// that were set with one and found with another. One gauge has its own error both times.
func (c *Recurring) permitted(shifts []Shift) (bar float64) {
	for _, s := range shifts {
		set := s.Left.Overhaul
		if set == nil || set.AsLeft.Gauge.Written == s.Overhaul.AsFound.Gauge.Written {
			continue
		}
		then, _ := judging.ErrorAt(c.book.Instruments[set.AsLeft.Gauge.Written], s.Left.Opening)
		now, _ := judging.ErrorAt(c.book.Instruments[s.Overhaul.AsFound.Gauge.Written], s.Found.Quantity)
		bar += (then + now) / float64(len(shifts))
	}
	return bar
}

// Usual is the ship's habit over all valves of a class, whatever their age, with the floor of the book's settings.
func (c *Recurring) Usual(class logbook.Class) Normal {
	var all []float64
	for _, s := range c.Shifts {
		if s.Left.Class == class && s.LeftWrong == nil && s.FoundWrong == nil && !s.Settled {
			all = append(all, s.Bar)
		}
	}
	return Habit(all, c.settings.SetFloor.Float())
}
