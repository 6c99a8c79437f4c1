package slip

import (
	"math"
	"path"
	"strings"

	"needlebook/logbook"
)

// tables says what holds the rows of the tables together.
func (s *saying) tables() {
	for engine, rows := range s.b.Hours {
		s.yes("hours of an engine", s.b.Engine(engine) != nil)
		for i := 1; i < len(rows); i++ {
			a, b := rows[i-1], rows[i]
			if !a.Counter.Valid || !b.Counter.Valid || a.Date.Day == 0 || b.Date.Day == 0 {
				s.yes("row of hours read", false)
				continue
			}
			s.yes("row of hours read", true)
			days := float64(b.Date.Day - a.Date.Day)
			if days != 0 || a.Counter.Value != b.Counter.Value {
				s.num("days between readings", without(days, 1, 60))
			}
			if strings.HasPrefix(b.Note.Written, "replaced") {
				continue
			}
			if days > 0 {
				s.rate(b.Counter.Value-a.Counter.Value, days)
			}
		}
	}
	type ran struct {
		engine, cylinder string
		day              logbook.Day
	}
	seen := map[ran]float64{}
	for i, r := range s.b.Running {
		x := ran{r.Engine, r.Cylinder.Written, r.Date.Day}
		if was, ok := seen[x]; !ok || was != r.Exhaust.Value { // the same row twice says nothing else
			s.yes("running row once", !ok)
		}
		seen[x] = r.Exhaust.Value
		if e := s.b.Engine(r.Engine); e != nil {
			ok := false
			for _, c := range e.Cylinders.Each {
				ok = ok || c.Written == r.Cylinder.Written
			}
			s.yes("running row of a cylinder", ok)
		}
		if r.Exhaust.Valid && r.Dev.Valid {
			// it varies with load and sea
			s.num("exhaust and its reference", math.Round((r.Exhaust.Value-r.Dev.Value-s.h.middle["running exhaust_c"])/90))
		}
		if r.Pmax.Valid && r.PmaxDev.Valid {
			s.num("pmax and its reference", math.Round((r.Pmax.Value-r.PmaxDev.Value-s.h.middle["running pmax_bar"])/40))
		}
		if len(s.b.Bunkers) > 0 {
			s.yes("fuel of the run in use", s.used(r.Fuel.Written, r.Date.Day))
		}
		if rows := s.b.Hours[r.Engine]; len(rows) > 0 {
			first, last := rows[0].Date.Day, rows[len(rows)-1].Date.Day
			// one reading may be late
			s.yes("run within the book", r.Date.Day >= first && r.Date.Day <= last+2*s.betweenReadings(r.Engine))
		}
		if i > 0 && s.b.Running[i-1].Engine == r.Engine {
			s.num("days between runs", without(float64(r.Date.Day-s.b.Running[i-1].Date.Day), 0, 60))
		}
	}
	for i, x := range s.b.Bunkers {
		s.within("bunker in use after received", x.From.Day, x.Received.Day, 0, 90)
		s.within("bunker in use", x.To.Day, x.From.Day, 1, 250)
		s.yes("grade known", s.h.known["fuel grade="+x.Grade.Written])
		if i > 0 && x.Received.Day != s.b.Bunkers[i-1].Received.Day {
			s.within("bunker after the one before", x.From.Day, s.b.Bunkers[i-1].To.Day, 0, 3)
		}
	}
	for i, x := range s.b.Stock {
		if i > 0 {
			s.within("stock in order", x.Date.Day, s.b.Stock[i-1].Date.Day, -31, 400)
		}
		if first := s.firstRow("hours"); first != 0 {
			s.yes("stock within the book", x.Date.Day >= first-31)
		}
		// an item is counted whatever its capitals
		s.yes("item known", s.h.known["stores item="+strings.ToLower(x.Item.Written)])
		s.yes("part number known", s.h.known["stores part_no="+x.PartNo.Written])
	}
	ranks := map[string]logbook.CrewPeriod{}
	for _, x := range s.b.Crew {
		if before, ok := ranks[x.Rank.Written]; ok && x.From.Day != before.From.Day {
			// of the other ranks a ship may have several, or none
			if one := x.Rank.Written; one == "chief engineer" || one == "second engineer" {
				s.within("crew after the one before", x.From.Day, before.To.Day, -31, 31)
			}
			s.within("crew in order", x.From.Day, before.From.Day, 0, 5000)
		}
		ranks[x.Rank.Written] = x
		s.within("crew aboard", x.To.Day, x.From.Day, 7, 300)
		s.yes("rank known", s.h.known["crew.csv rank="+x.Rank.Written])
		s.yes("name known", s.h.known["crew.csv name="+x.Name.Written])
	}
}

// rate says how many hours a day an engine ran between two readings. Within two weeks it may have run all the time or
// hardly at all, as at sea and in port, and a reading is of any hour of its day; both are common practice, no source.
func (s *saying) rate(hours, days float64) {
	if days < 14 {
		s.num("hours a day within a week", without(hours/days, 0.5, 24+24/days))
	} else {
		s.num("hours a day", hours/days)
	}
}

// betweenReadings is the middle of the days between two readings of an engine.
func (s *saying) betweenReadings(engine string) logbook.Day {
	var days []float64
	for i, rows := 1, s.b.Hours[engine]; i < len(rows); i++ {
		days = append(days, float64(rows[i].Date.Day-rows[i-1].Date.Day))
	}
	return logbook.Day(median(days))
}

func (s *saying) firstRow(string) logbook.Day {
	for _, rows := range s.b.Hours {
		if len(rows) > 0 {
			return rows[0].Date.Day
		}
	}
	return 0
}

// files says what holds the other files together.
func (s *saying) files() {
	v := s.b.Vessel
	for _, e := range v.Engines {
		l := s.b.Limits[e.Limits.Written]
		s.yes("engine has limits", l != nil)
		if l != nil {
			s.yes("engine and type of limits", l.Type.Written == e.Type.Written)
		}
		s.yes("engine has hours", len(s.b.Hours[e.ID.Written]) > 0)
		for _, c := range e.Cylinders.Each {
			at := 0
			for _, x := range v.Opening.Fitted {
				if x.Engine.Written == e.ID.Written && x.Cylinder.Written == c.Written {
					at++
				}
			}
			s.num("valves of a position at the opening", float64(at))
		}
	}
	holders, nozzles := map[string]bool{}, map[string]bool{}
	for _, x := range v.Opening.Fitted {
		s.yes("opening holder once", !holders[x.Holder.Written])
		s.yes("opening nozzle once", !nozzles[x.Nozzle.Written])
		holders[x.Holder.Written], nozzles[x.Nozzle.Written] = true, true
		if rows := s.b.Hours[x.Engine.Written]; len(rows) > 0 && x.Counter.Valid() {
			if days := float64(rows[0].Date.Day - v.Opening.Date.Day); days > 0 { // a table may begin with the next reading
				s.rate(rows[0].Counter.Value-x.Counter.Float(), days)
			} else {
				s.num("opening counter and the table", x.Counter.Float()-rows[0].Counter.Value)
			}
			s.within("opening and the table", v.Opening.Date.Day, rows[0].Date.Day, -14, 14)
		}
		if x.NozzleHours.Valid() && x.Since.Valid() {
			s.yes("nozzle as old as its valve", x.NozzleHours.Float() >= x.Since.Float()-2) // each from a reading of its own
		}
		if l := s.b.LimitsOf(x.Engine.Written); l != nil {
			if in, ok := l.On(v.Opening.Date.Day); ok {
				if x.Since.Valid() && in.Interval.Valid() {
					// a valve may be due when a book begins
					s.num("since and the interval", without(apart(x.Since.Float(), in.Interval.Float()), -1, 0.1))
				}
				if x.NozzleHours.Valid() && in.NozzleLife.Renew.Valid() {
					// it may be at any hour of its life
					s.num("nozzle hours and its life", without(apart(x.NozzleHours.Float(), in.NozzleLife.Renew.Float()), -1, 0))
				}
				if x.Left.Valid() {
					// which parts were new then is not known
					s.num("left at the opening off its setting", offSetting(x.Left.Float(), in.Opening))
				}
			}
		}
		s.yes("marking known", s.h.known["book.md opening.fitted[].marking="+x.Marking.Written])
	}
	for name, l := range s.b.Limits {
		s.yes("limits and their name", plain(name) == plain(l.Type.Written))
		for _, e := range l.Revisions {
			s.revision(&e)
		}
	}
	for id, i := range s.b.Instruments {
		s.yes("instrument and its name", plain(strings.TrimSuffix(path.Base(i.Path), ".md")) == plain(id))
		s.within("calibration holds", i.Until.Day, i.Calibrated.Day, 300, 1850)
		if i.Error.Valid() && i.Division.Valid() && i.Error.Kind() == i.Division.Kind() {
			// a calliper may err by two of its divisions
			s.num("division and error", without(i.Error.Float()/i.Division.Float(), 0.5, 4))
		}
		if i.Range.High.Valid() && i.Division.Valid() && i.Range.High.Kind() == i.Division.Kind() {
			// from the wrench with 20 marks to the gauge with hundredths
			s.num("divisions of "+i.Kind.Written, without(i.Range.High.Float()/i.Division.Float(), 20, 20_000))
		}
		if i.Range.High.Valid() {
			s.num("range of "+i.Kind.Written, i.Range.High.Float())
		}
		s.word("what "+i.Kind.Written+" measures", i.Measures.Written+".")
		if i.Class.Valid {
			s.word("class", i.Class.Written)
		}
	}
	for _, p := range s.b.Parts {
		if p.Lift.Valid() && p.Used.Written != "yes" {
			s.yes("new lift in its band", s.newLift(p.Lift))
		}
		// other words may stand beside it
		s.yes("part and its name", strings.Contains(plain(strings.TrimSuffix(path.Base(p.Path), ".md")),
			plain(p.Serial.Written)))
		s.yes("part's marking known", p.Marking.Written == "" || s.h.known["parts marking="+p.Marking.Written])
		for _, d := range []logbook.Day{p.Scrapped.Date.Day, p.Received.Day} {
			first := s.firstRow("hours")
			if d == 0 || first == 0 || len(v.Engines) == 0 {
				continue
			}
			if hours := s.b.Hours[v.Engines[0].ID.Written]; len(hours) > 0 {
				// what was on board when the book began may have come in any year of the ship
				last := hours[len(hours)-1].Date.Day + 2*s.betweenReadings(v.Engines[0].ID.Written) // one reading may be late
				s.yes("part within the book", d >= first-20*365 && d <= last)
			}
		}
	}
	for _, h := range s.b.Handovers {
		s.yes("handover and its name", strings.HasPrefix(path.Base(h.Path), h.Date.Day.String()))
		s.aboard("who takes over", h.To.Written, h.Date.Day)
		s.aboard("who hands over", h.From.Written, h.Date.Day)
		s.yes("rank handed over", s.h.known["crew.csv rank="+h.Rank.Written])
	}
	for _, d := range s.b.Deferrals {
		s.days("deferral holds", d.Until.Day, d.From.Day)
		s.yes("deferral and its record", s.b.Overhaul(d.Record.Written) != nil)
		s.yes("deferral and its name", plain(strings.TrimSuffix(path.Base(d.Path), ".md")) == plain(d.ID.Written))
	}
}

// newLift says that a lift is one of a new nozzle of some limits of the book.
func (s *saying) newLift(a logbook.Amount) bool {
	for _, l := range s.b.Limits {
		for _, e := range l.Revisions {
			if b := e.Lift.New; b.Low.Valid() && b.High.Valid() && a.Float() >= b.Low.Float()-1e-9 &&
				a.Float() <= b.High.Float()+1e-9 {
				return true
			}
		}
	}
	return false
}

// revision says what holds the figures of a manual together.
func (s *saying) revision(e *logbook.Revision) {
	width := func(name string, b logbook.Band) {
		if b.Low.Valid() && b.High.Valid() {
			s.num("width of "+name, apart(b.High.Float(), b.Low.Float()))
		}
	}
	width("used setting", e.Opening.Used)
	width("new setting", e.Opening.New)
	width("lift of new ones", e.Lift.New)
	width("leak as left", e.LeakDown.AsLeft)
	width("protrusion", e.Protrusion)
	width("bath", e.Bath)
	if e.Opening.Used.Low.Valid() && e.Opening.New.Low.Valid() {
		s.num("new and used setting", apart(e.Opening.New.Low.Float(), e.Opening.Used.Low.Float()))
		s.num("used setting", e.Opening.Used.Low.Float())
	}
	s.ratio("cause and look", e.Opening.AsFound.Cause, e.Opening.AsFound.Look)
	if e.Opening.Used.Low.Valid() && e.Opening.AsFound.Look.Valid() {
		s.num("look and setting", apart(e.Opening.AsFound.Look.Float(), e.Opening.Used.Low.Float()))
	}
	if e.LeakDown.AsFound.Low.Valid() && e.LeakDown.AsLeft.Low.Valid() {
		s.num("leak as found and left", apart(e.LeakDown.AsFound.Low.Float(), e.LeakDown.AsLeft.Low.Float()))
	}
	s.ratio("wire and hole", e.Holes.NoGo, e.Holes.Size)
	s.ratio("never and renew", e.NozzleLife.Never, e.NozzleLife.Renew)
	s.ratio("renew and interval", e.NozzleLife.Renew, e.Interval)
	s.ratio("seat limit and seat", e.SeatDia.Max, e.SeatDia.Nominal)
	s.ratio("least spring and spring", e.Spring.Min, e.Spring.Length)
	s.ratio("act and look", e.Exhaust.Act, e.Exhaust.Look)
	for name, a := range map[string]logbook.Amount{"fall": e.LeakDown.Fall, "seat time": e.Seat.For, "oil": e.LeakDown.Oil,
		"ring": e.RingHeight, "interval": e.Interval,
		"effective lift": e.Effective.Max, "wear": e.HolderWear.Max, "grind": e.Grind.Max, "load": e.Exhaust.Load,
		"look": e.Exhaust.Look, "hole": e.Holes.Size} {
		if a.Valid() {
			s.num("limit of "+name, a.Float())
		}
	}
	for name, t := range map[string]logbook.TorqueLimits{"nozzle nut": e.NozzleNut, "clamp nuts": e.ClampNuts,
		"end cap": e.EndCap, "pipe nut": e.PipeNut} {
		if t.Torque.Low.Valid() {
			s.num("limit of the torque of "+name, t.Torque.Low.Float())
		}
		if t.Tolerance.Valid() {
			s.num("tolerance of a torque", without(t.Tolerance.Float(), 2, 20)) // makers allow 3 to 15 %
		}
		if t.Steps.Valid {
			s.num("limit of steps", t.Steps.Value)
		}
	}
	if e.Holes.Count.Valid {
		s.num("limit of holes", e.Holes.Count.Value)
	}
	if e.Laps.Valid {
		s.num("limit of laps", e.Laps.Value)
	}
}
