package checks

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
	"needlebook/logbook/measure"
)

var limitForm = &Check{
	Name:    "limit-form",
	Subject: OfLimits,
	Ends:    writing,
	Version: 3,
	Level:   Field,
	Doc: "A limit cannot be read, a revision lacks its first day or its source, the revisions of a limits file do not " +
		"follow one another, or two figures contradict one another: a pressure to find the cause at above the setting, a " +
		"wear larger than the lift, a limit of safety here and none elsewhere. " +
		"Every verdict of the ship rests on these lines: a limit that is " +
		"not read judges nothing, one value where a band belongs is none, and a revision out of order may judge by the " +
		"wrong one. Copy the line again from the manual.",
	Source:  "our own rule",
	Example: `revisions[0].leak_down.as_left "30 to 5 s": expected the lower limit first`,
	Whole: func(c *Case) {
		c.wornTheWrongWay("nominal seat diameter", "seats measured are smaller",
			"copy it again from the manual: a seat only grows",
			func(o *logbook.Overhaul) logbook.Amount { return o.Measured.SeatDiameter.Value },
			func(e *logbook.Revision) (logbook.Amount, float64) { return e.SeatDia.Nominal, 0 }, -1)
		c.wornTheWrongWay("length of the spring", "springs measured are longer",
			"copy it again from the manual: a spring only shortens",
			func(o *logbook.Overhaul) logbook.Amount { return o.Measured.SpringLength.Value },
			func(e *logbook.Revision) (logbook.Amount, float64) { // new springs differ too, by less than they may set
				return e.Spring.Length, max(0, e.Spring.Length.Float()-e.Spring.Min.Float()) / 2
			}, 1)
		c.springsUnlike()
		c.newUnsettled()
		c.safetyMarks()
		for _, name := range slices.Sorted(maps.Keys(c.Book.Limits)) {
			for _, e := range c.Book.Limits[name].Revisions {
				if !e.From.Present() {
					c.Report(Finding{Place: e.Place, Message: "a revision of " + name + " has no first day: it is never in force",
						Next: "write from: the first day in force"})
				}
				if !e.Source.Stated() && !e.Blank() {
					c.Report(Finding{Place: e.Place, Grade: Advice, Message: "a revision of " + name +
						" names no source: nobody can look its limits up", Next: "write source: document, section and revision"})
				}
				in, _ := c.Book.Limits[name].On(e.From.Day)
				c.limitsAgree(in)
				c.limitsPossible(&e)
				c.intervalsAgree(name, in)
				if p := e.Probability; p.Quantity.Valid() && !(p.Float() >= 50 && p.Float() < 100) {
					c.Report(Finding{Place: p.Place, Message: "conformance " + p.String() +
						" cannot be asked for: no uncertainty is counted", Next: "write a share from 50 % to below 100 %, such as 95 %"})
				}
			}
		}
	},
	Slips: []string{measure.SlipSpanForm, measure.SlipSpanReversed, logbook.SlipRevisionOverlap},
	Words: func(p logbook.Problem, f *Finding) {
		switch {
		case p.Slip == logbook.SlipRevisionOverlap:
			f.Grade, f.Next = Action, "put the revisions in the order of their days, the oldest first"
			f.Related = []Related{{p.Related, "the revision before it"}}
		case p.Type == "" && len(p.Meant) > 0:
			f.Next = "type " + strings.Join(p.Meant, " or ") + ", or the value with its tolerance; nothing is judged by it"
		case f.Next == "":
			f.Next = "write " + p.Expected + "; nothing was read there"
		}
	},
	Grade: Action,
}

// safetyMarks asks about a limit that is said to be none of safety, where another revision or file of the book says of
// its kind that it is one.
func (c *Case) safetyMarks() {
	marks := map[string]map[string][]logbook.Leaf{} // by what the limit is of, and what is said
	for _, name := range slices.Sorted(maps.Keys(c.Book.Limits)) {
		for _, e := range c.Book.Limits[name].Revisions {
			for _, x := range []struct {
				name string
				is   logbook.Word
			}{{"lift", e.Lift.Safety}, {"holder wear", e.HolderWear.Safety}, {"effective lift", e.Effective.Safety},
				{"seat diameter", e.SeatDia.Safety}} {
				if marks[x.name] == nil {
					marks[x.name] = map[string][]logbook.Leaf{}
				}
				if x.is.Stated() {
					marks[x.name][x.is.Written] = append(marks[x.name][x.is.Written], x.is.Leaf)
				}
			}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(marks)) {
		yes := marks[name]["yes"]
		for _, no := range marks[name]["no"] {
			if len(yes) > 0 {
				c.Report(Finding{Place: no.Place, Grade: Advice, Related: []Related{{yes[0].Place, "safety: yes"}},
					Message: name + " is no safety limit here, and is one elsewhere in the book",
					Next:    "look in the manual: beside a safety limit the uncertainty counts against the part"})
			}
		}
	}
}

// limitEnd is one figure of the limits in words.
type limitEnd struct {
	name string
	leaf logbook.Leaf
	is   measure.Quantity
}

// limitsAgree holds the figures of a revision, laid over those before it, against one another: which of two is the
// lower one is the sense of both. It asks for the setting of used parts beside that of new ones, and for a tolerance
// that a wrench can keep.
func (c *Case) limitsAgree(e *logbook.Revision) {
	low := func(name string, b logbook.Band) limitEnd { return limitEnd{name, b.Leaf, b.Low} }
	high := func(name string, b logbook.Band) limitEnd { return limitEnd{name, b.Leaf, b.High} }
	is := func(name string, a logbook.Amount) limitEnd { return limitEnd{name, a.Leaf, a.Quantity} }
	open, used := e.Opening, low("setting of used parts", e.Opening.Used)
	effective, lift := is("effective lift", e.Effective.Max), e.Lift.New
	for _, x := range [][2]limitEnd{
		{is("cause", open.AsFound.Cause), is("look", open.AsFound.Look)}, {is("look", open.AsFound.Look), used},
		{is("cause", open.AsFound.Cause), used},
		{low("leak-down as found", e.LeakDown.AsFound), low("leak-down as left", e.LeakDown.AsLeft)},
		{high("lift of new nozzles", lift), effective}, {high("lift of new nozzles", lift), is("largest lift", e.Lift.Max)},
		{is("holder wear", e.HolderWear.Max), low("lift of new nozzles", lift)},
		{is("holder wear", e.HolderWear.Max), effective}, {is("nominal seat diameter", e.SeatDia.Nominal),
			is("largest seat diameter", e.SeatDia.Max)},
		{is("hole", e.Holes.Size), is("no-go wire", e.Holes.NoGo)}, {is("least length of the spring", e.Spring.Min),
			is("length of the spring", e.Spring.Length)},
		{is("interval", e.Interval), is("hours to renew a nozzle at", e.NozzleLife.Renew)},
		{is("hours to renew a nozzle at", e.NozzleLife.Renew), is("hours never to run beyond", e.NozzleLife.Never)},
		{is("look", e.Exhaust.Look), is("act", e.Exhaust.Act)},
		{is("seat of the geometry", e.Geometry.Seat), is("needle guide", e.Geometry.Guide)},
	} {
		a, b := x[0], x[1]
		if a.leaf.Place == e.Interval.Place && !c.Settings.BelievesInterval(e.Interval.Float()) {
			continue // said by interval-not-believed
		}
		if a.is.Valid() && b.is.Valid() && a.is.Kind() == b.is.Kind() && a.is.Compare(b.is) > 0 {
			c.Report(Finding{Place: a.leaf.Place, Related: []Related{{b.leaf.Place, b.name}},
				Message: a.name + " " + a.is.String() + " exceeds " + b.name + " " + b.is.String(),
				Next:    "copy both again from the manual: one of the two is wrong"})
		}
	}
	if wear, lift0, lift := e.HolderWear.Max, e.Lift.New, e.Lift.New.Low; wear.Valid() && lift.Valid() &&
		wear.Kind() == lift.Kind() &&
		wear.Float() > lift.Float()/3 && wear.Float() <= lift.Float() {
		c.Report(Finding{Place: wear.Place, Related: []Related{{lift0.Place, "lift of new nozzles"}},
			Message: "holder wear " +
				wear.Quantity.String() + " is more than a third of the lift of new nozzles",
			Next: "copy it again from the manual: is a digit too many?"})
	}
	asked := slices.ContainsFunc(c.Missed, func(m judging.MissedLimit) bool { return m.Place.Path == open.New.Place.Path })
	if open.New.Stated() && !open.Used.Present() && !asked {
		c.Report(Finding{Place: open.New.Place, Grade: Advice,
			Message: "the setting of used parts is missing beside that of new ones",
			Next:    "write used: as the manual has it; without it reused valves are judged by nothing"})
	}
	if most := c.Settings.NearUsual.Float() / 100; lift.Low.Valid() && lift.High.Valid() &&
		lift.High.Float()-lift.Low.Float() > most*lift.High.Float() {
		c.Report(Finding{Place: lift.Place, Grade: Advice, Message: "the lift of new nozzles, " + lift.Written +
			", is a band of more than " + c.Settings.NearUsual.Written, Next: "copy both ends again from the manual"})
	}
	for _, t := range []logbook.TorqueLimits{e.NozzleNut, e.EndCap, e.ClampNuts, e.PipeNut} {
		if b, most := t.Torque, c.Settings.ToleranceMost; b.Low.Valid() && b.High.Valid() &&
			b.High.Float()-b.Low.Float() > most.Float()/100*(b.High.Float()+b.Low.Float())+rounding {
			c.Report(Finding{Place: b.Place, Message: "torque " + b.Written + " is a band of more than ±" +
				most.Quantity.String(), Next: "copy both ends again from the manual"})
		}
		if x := t.Tolerance; x.Valid() && x.Float() > c.Settings.ToleranceMost.Float() {
			c.Report(Finding{Place: x.Place, Message: "tolerance " + x.Quantity.String() + " of a torque exceeds " +
				c.Settings.ToleranceMost.Quantity.String(), Next: "copy it again from the manual"})
		} else if least := c.Settings.ToleranceLeast; x.Valid() && x.Float() < least.Float() {
			c.Report(Finding{Place: x.Place, Message: "tolerance " + x.Quantity.String() + " of a torque is below " +
				least.Quantity.String() + ": no wrench holds it", Next: "copy it again from the manual"})
		}
	}
}

// newUnsettled asks about limits that have a setting of used parts alone, where valves with new parts were set under
// them.
func (c *Case) newUnsettled() {
	set := map[logbook.Place]int{}
	for _, o := range c.Book.Overhauls {
		v, e := c.Judged.Find(o, keys.AsLeftOpeningPressure), c.inForce(o, o.AsLeft.Date.Day)
		if v != nil && v.Class == logbook.New && e != nil && e.Opening.Used.Stated() && !e.Opening.New.Present() {
			set[e.Opening.Used.Place]++
		}
	}
	for at, n := range set {
		c.Report(Finding{Place: at, Grade: Advice, Message: fmt.Sprintf(
			"the setting of new parts is missing: %s set with them", numbered(n, "valve was", "valves were")),
			Next: "write new: as the manual has it; without it such valves are judged by nothing"})
	}
}

// intervalsAgree asks about an interval of limits that is more than twice, or less than half, that of an engine they
// hold for.
func (c *Case) intervalsAgree(name string, in *logbook.Revision) {
	for i := range c.Book.Vessel.Engines {
		e := &c.Book.Vessel.Engines[i]
		a, b := e.Interval, in.Interval
		if e.Limits.Written != name || !a.Valid() || !b.Valid() || b.Float() <= 2*a.Float() && a.Float() <= 2*b.Float() ||
			!c.Settings.BelievesInterval(b.Float()) || !c.Settings.BelievesInterval(a.Float()) {
			continue
		}
		c.Report(Finding{Place: b.Place, Grade: Advice, Related: []Related{{a.Place, "interval of " + e.ID.Written}},
			Message: "interval " + b.Quantity.String() + " of the limits, " + a.Quantity.String() + " of " + e.ID.Written,
			Next:    "correct the one that is wrong; the engine's counts"})
		return
	}
}

// limitsPossible asks about figures of a revision that nothing else is held against, and that no manual has: how far
// is from memory.
func (c *Case) limitsPossible(e *logbook.Revision) {
	say := func(name string, l logbook.Leaf, written string) {
		c.Report(Finding{Place: l.Place, Message: name + " " + written + ": no manual has that",
			Next: "copy it again from the manual: is a digit or a sign too many?"})
	}
	for _, x := range []struct {
		name        string
		is          measure.Quantity
		leaf        logbook.Leaf
		least, most float64
	}{
		{"oil temperature of the leak-down", e.LeakDown.Oil.Quantity, e.LeakDown.Oil.Leaf, 0, 80},
		{"bath", e.Bath.Low, e.Bath.Leaf, 0, 400}, {"bath", e.Bath.High, e.Bath.Leaf, 0, 400},
		{"most that is ground off", e.Grind.Max.Quantity, e.Grind.Max.Leaf, 0, 1},
		{"test oil", e.Oil.Low, e.Oil.Leaf, 0, 80}, {"test oil", e.Oil.High, e.Oil.Leaf, 0, 80},
		{"height of the ring", e.RingHeight.Quantity, e.RingHeight.Leaf, 0.1, 10},
		{"rate of the spring", e.Spring.Rate.Quantity, e.Spring.Rate.Leaf, 30, 1500},
		{"exhaust deviation to look at", e.Exhaust.Look.Quantity, e.Exhaust.Look.Leaf, 0, 150},
		{"exhaust deviation to act on", e.Exhaust.Act.Quantity, e.Exhaust.Act.Leaf, 0, 150},
		{"diameter of the needle guide", e.Geometry.Guide.Quantity, e.Geometry.Guide.Leaf, 2, 40},
	} {
		if x.is.Valid() && (x.is.Float() < x.least || x.is.Float() > x.most) {
			say(x.name, x.leaf, x.is.String())
		}
	}
	wide := func(b logbook.Band, most float64) bool {
		return b.Low.Valid() && b.High.Valid() && b.High.Float()-b.Low.Float() > most*b.High.Float()
	}
	for name, b := range map[string]logbook.Band{"setting of used parts": e.Opening.Used,
		"setting of new parts":         e.Opening.New,
		"setting of a reground nozzle": e.Opening.Reground} {
		if wide(b, 0.15) {
			say(name, b.Leaf, b.Written)
		}
	}
	for _, x := range []struct {
		name string
		is   logbook.Number
	}{{"laps", e.Laps}, {"times of grinding", e.Grind.Times}} {
		if most := 20.0; x.is.Valid && (x.is.Value < 0 || x.is.Value > most) {
			say(x.name, x.is.Leaf, x.is.Written)
		}
	}
}

// springsUnlike asks about a length of new springs that the middle one of the springs measured under its revision is
// further from than a spring sets.
func (c *Case) springsUnlike() {
	all, off := map[logbook.Place][]float64{}, map[logbook.Place]*logbook.Revision{}
	for _, o := range c.Book.Overhauls {
		e, is := c.inForce(o, o.AsFound.Date.Day), o.Measured.SpringLength.Value
		if e != nil && is.Valid() && e.Spring.Length.Valid() && is.Kind() == e.Spring.Length.Kind() &&
			!mistaken(c, o)[is.Place] {
			at := e.Spring.Length.Place
			all[at], off[at] = append(all[at], is.Float()), e
		}
	}
	for at, lengths := range all {
		nominal := off[at].Spring.Length
		slices.Sort(lengths)
		middle := lengths[len(lengths)/2]
		if float64(len(lengths)) < c.Settings.SetBaseline.Value ||
			math.Abs(middle-nominal.Float()) <= c.Settings.UnlikeLeast.Float()/100*nominal.Float() {
			continue
		}
		c.Report(Finding{Place: at, Message: fmt.Sprintf("length of the spring %s: the middle of %d springs measured is %s",
			nominal.Quantity, len(lengths), nominal.Like(middle)), Next: "copy it again from the manual, with its unit"})
	}
}

// wornTheWrongWay asks about a figure of new parts that most of those measured under its revision lie on the side of
// on which no wear brings them: the contact of a seat only grows, a spring only shortens.
func (c *Case) wornTheWrongWay(what, measured, next string,
	value func(*logbook.Overhaul) logbook.Amount,
	nominal func(*logbook.Revision) (of logbook.Amount, least float64), side float64) {
	all, wrong := map[logbook.Place]int{}, map[logbook.Place][]logbook.Amount{}
	stated := map[logbook.Place]logbook.Amount{}
	for _, o := range c.Book.Overhauls {
		e, is := c.inForce(o, o.AsFound.Date.Day), value(o)
		if e == nil || !is.Valid() || mistaken(c, o)[is.Place] {
			continue
		}
		of, least := nominal(e)
		if !of.Valid() || is.Kind() != of.Kind() {
			continue
		}
		all[of.Place]++
		if side*(is.Float()-of.Float()) >= max(is.Step(), least)-rounding {
			stated[of.Place], wrong[of.Place] = of, append(wrong[of.Place], is)
		}
	}
	for at, is := range wrong {
		if n := all[at]; float64(n) >= c.Settings.SetBaseline.Value && 2*len(is) > n {
			c.Report(Finding{Place: at, Related: []Related{{is[0].Place, "measured"}}, Next: next,
				Message: fmt.Sprintf("%s %s: %d of %d %s", what, stated[at].Quantity, len(is), n, measured)})
		}
	}
}
