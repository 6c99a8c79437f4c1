package checks

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
	"needlebook/logbook/measure"
)

var figureUnlike = &Check{
	Name:    "figure-unlike-others",
	Subject: OfRecord,
	Ends:    writing,
	Version: 3,
	Level:   Vessel,
	Doc: "A figure of a record is further from all others of its kind than these are from one another: a torque of 170 " +
		"N·m where every other is 68 to 72 N·m, a fall of 35 bar where every other is 40 bar. " +
		"Where no limit judges it, a digit, a unit or two figures exchanged are seen only so. Test pressures are compared " +
		"as shares of the opening pressure of their test, so that a valve set higher is no stranger; a length taken with " +
		"another kind of instrument than all others is told likewise, " +
		"so is a division that most readings of its scale are beside, " +
		"a counter of the starting state that is not that of the other valves of its engine and of the " +
		"table of hours, " +
		"and one limit in inch where all other lengths are in mm. " +
		"Look at the sheet; a figure that was read so stays as it is. Where another check speaks of the figure, this " +
		"one is silent.",
	Source:  "our own rule; how far is far are the book's settings unlike_times and unlike_least",
	Example: `clamp nuts torque 170 N·m, the 27 others are 68 to 72 N·m`,
	Grade:   Advice,
	Yields:  true,
	Whole: func(c *Case) {
		kinds := map[string][]*figure{} // by type of valve and key
		for _, o := range c.Book.Overhauls {
			for _, f := range c.figuresOf(o) {
				kinds[f.kind] = append(kinds[f.kind], f)
			}
		}
		for _, x := range c.Book.Vessel.Opening.Fitted {
			if x.Left.Valid() {
				k := c.typeOf(c.Book.LimitsOf(x.Engine.Written)) + " left"
				kinds[k] = append(kinds[k], &figure{kind: k, called: "opening pressure left", leaf: &x.Left.Leaf,
					value: x.Left.Float(), q: x.Left.Quantity})
			}
		}
		for _, kind := range slices.Sorted(maps.Keys(kinds)) {
			c.unlikeOthers(kinds[kind])
		}
		c.moreHoles(kinds)
		c.betweenMarks()
		c.countersAtStart()
		for _, name := range slices.Sorted(maps.Keys(c.Book.Limits)) {
			for _, e := range c.Book.Limits[name].Revisions {
				in, _ := c.Book.Limits[name].On(e.From.Day)
				c.aloneInInches(in)
			}
		}
		c.kindsUsed()
	},
}

// figure is one figure among others of its kind.
type figure struct {
	kind   string // what it is compared within
	called string // in words; empty where its key says it
	key    string
	leaf   *logbook.Leaf
	value  float64          // that is compared: of a test pressure the share of its opening pressure
	step   float64          // the least that its instrument tells apart
	q      measure.Quantity // as written; invalid for a bare number
	of     *logbook.Overhaul
	from   measure.Quantity // the opening pressure that value is counted from; invalid where it is not
	count  int              // of things that are counted, and not written as a number
	beside logbook.Place    // the other value that it was counted from; none where value is what is written
	share  bool             // value is a share of it; otherwise it is the difference
}

// name is the figure in words.
func (f *figure) name() string {
	if f.called == "" {
		return keyInWords(f.key)
	}
	return f.called
}

func (c *Case) typeOf(l *logbook.Limits) string {
	if l == nil {
		return ""
	}
	return l.Name
}

// notCompared are figures of records that are compared with nothing: work varies, counters and hours grow, the clock
// numbers of weak holes are names, the end of the leak-down is compared by its fall; the deviations before removal,
// drops and the contact of the faces show what was wrong with the valve.
var notCompared = []string{"minutes", keys.RemovedCounter, keys.RemovedHours, keys.FittedCounter, keys.AsFoundSprayWeak,
	keys.AsLeftSprayWeak, keys.AsFoundLeakDownTo, keys.AsLeftLeakDownTo,
	keys.AsFoundRunningBeforeExhaustDeviation, keys.AsFoundRunningBeforePmaxDeviation,
	keys.AsFoundSeatDrops, keys.MeasuredFaceContact}

// figuresOf are the figures of a record that are compared.
func (c *Case) figuresOf(o *logbook.Overhaul) (all []*figure) {
	typ, slips := c.typeOf(c.Book.LimitsFor(o)), mistaken(c, o)
	steps := map[*logbook.Leaf]float64{}
	for t := range o.Taken() {
		if i := c.Book.Instruments[t.With.Written]; i != nil && i.Division.Valid() && i.Division.Kind() == t.Amount.Kind() {
			steps[&t.Amount.Leaf] = i.Division.Float()
		}
	}
	add := func(key string, l *logbook.Leaf, v float64, q measure.Quantity) {
		if slips[l.Place] || slices.Contains(notCompared, strings.TrimSuffix(key, ".value")) ||
			key == keys.MeasuredSpringLengthValue && o.Decided.Spring.Is("renew") {
			return // of a spring that has set, the record says itself what became of it
		}
		f := &figure{key: key, leaf: l, value: v, q: q, of: o, step: steps[l]}
		if q.Valid() {
			f.kind = typ + " " + key + " " + q.Kind().String()
			f.step = max(f.step, q.Step())
		} else {
			f.kind = typ + " " + key
		}
		if t := testOf(o, key); t != nil && f.q.Kind() == measure.Pressure && !strings.HasSuffix(key, ".opening_pressure") {
			open := t.Opening.Median()
			slipped := func(a logbook.Amount) bool { return slips[a.Place] }
			if !open.Valid() || slices.ContainsFunc(t.Opening.Each, slipped) ||
				t.Closing.Valid() && t.Closing.Float() >= open.Float() {
				return // from what it was to be counted is not known
			}
			f.beside = open.Place
			f.countFrom(open.Quantity, t.Gauge)
		}
		if key == keys.AsFoundSprayOpen {
			f.step = 2 // carbon shuts one hole or two
		}
		all = append(all, f)
	}
	logbook.Says(o, func(s logbook.Said) {
		switch x := s.Value.(type) {
		case *logbook.Amount:
			if x.Valid() {
				add(s.Key, &x.Leaf, x.Float(), x.Quantity)
			}
		case *logbook.Amounts:
			for i := range x.Each {
				if a := &x.Each[i]; a.Valid() {
					add(s.Key, &a.Leaf, a.Float(), a.Quantity)
				}
			}
		case *logbook.Number:
			if x.Valid {
				add(s.Key, &x.Leaf, x.Value, measure.Quantity{})
			}
		}
	})
	eachTest(o, func(state string, t *logbook.Test) {
		if n := len(t.Opening.Valid()); n > 0 {
			all = append(all, &figure{kind: typ + " readings " + state, called: "number of readings of the opening pressure " +
				state, leaf: &t.Opening.Leaf, count: n, value: float64(n), of: o})
		}
		if from, to := t.LeakDown.From, t.LeakDown.To; from.Valid() && to.Valid() && from.Kind() == to.Kind() &&
			from.Compare(to.Quantity) > 0 && !slips[from.Place] {
			fall := from.Minus(to.Quantity)
			f := &figure{kind: typ + " fall", called: "fall of the leak-down", leaf: &t.LeakDown.To.Leaf, value: fall.Float(),
				q: fall, of: o, step: steps[&t.LeakDown.To.Leaf], beside: from.Place}
			f.atMarks(t.Gauge)
			all = append(all, f)
		}
	})
	return all
}

// countFrom counts a test pressure from the opening pressure: closing and first opening are shares of it, the others a
// stated difference.
func (f *figure) countFrom(open measure.Quantity, gauge logbook.Serial) {
	if f.from = open; strings.Contains(f.kind, "first_opening") || strings.Contains(f.kind, "closing_pressure") {
		f.value, f.step, f.share = f.value/open.Float(), f.step/open.Float(), true
		return
	}
	f.value = open.Float() - f.value
	f.atMarks(gauge)
}

// atMarks is for pressures that are stopped at, and not read where the needle happens to be: these are at the marks of
// their gauge, and alike as long as it is the same one.
func (f *figure) atMarks(gauge logbook.Serial) {
	f.kind += " " + gauge.Written
	f.step /= 2
}

// testOf is the test that a key of a record is in; nil for one that is in none, and for the running data.
func testOf(o *logbook.Overhaul, key string) *logbook.Test {
	switch {
	case strings.HasPrefix(key, "as_found.running_before."):
		return nil
	case strings.HasPrefix(key, "as_found."):
		return &o.AsFound
	case strings.HasPrefix(key, "as_left."):
		return &o.AsLeft
	}
	return nil
}

// unlikeOthers reports the highest and the lowest of figures of one kind, where it is alone.
func (c *Case) unlikeOthers(all []*figure) {
	if float64(len(all)) <= c.Settings.SetBaseline.Value {
		return
	}
	slices.SortStableFunc(all, func(a, b *figure) int {
		switch {
		case a.value < b.value:
			return -1
		case a.value > b.value:
			return 1
		}
		return 0
	})
	last := len(all) - 1
	usual := math.Abs(all[len(all)/2].value)
	least := c.Settings.UnlikeLeast.Float() / 100 * usual
	switch all[0].q.Kind() {
	case measure.Time: // which scatters with the oil and the watch
		least = c.Settings.NearUsual.Float() / 100 * usual
	case measure.Length: // which is measured finer than all else: springs of 66 mm differ by tenths
		least /= 10
	}
	alone := func(f *figure, others []*figure) {
		low, high := others[0], others[len(others)-1]
		gap, spread := max(low.value-f.value, f.value-high.value), high.value-low.value
		if spread == 0 && f.q.Kind() == measure.Length {
			least = 0 // a wire has one thickness, whoever measures with it
		}
		if gap <= max(spread*c.Settings.UnlikeTimes.Value, least, f.step)+rounding {
			return
		}
		c.reportUnlike(f, low, high, len(others))
	}
	alone(all[0], all[1:])
	alone(all[last], all[:last])
}

func (c *Case) reportUnlike(f, low, high *figure, n int) {
	is, from, to := f.leaf.Written, "", ""
	switch {
	case f.count > 0:
		is, from, to = fmt.Sprint(f.count), trimmed(low.value), trimmed(high.value)
	case f.from.Valid() && !f.share:
		is = f.q.String() + " " + besideOpening(f)
		from, to = f.q.Like(low.value).Number(), f.q.Like(high.value).String()
	case f.share:
		is = fmt.Sprintf("%s, %.0f %% of the opening pressure", f.q, 100*f.value)
		from, to = fmt.Sprintf("%.0f", 100*low.value), fmt.Sprintf("%.0f %%", 100*high.value)
	case f.q.Valid():
		is = f.q.String()
		from, to = f.q.Like(low.value).Number(), f.q.Like(high.value).String()
	default:
		from, to = trimmed(low.value), trimmed(high.value)
	}
	others := "the " + numbered(n, "other is", "others are") + " " + from + " to " + to
	if low.value == high.value {
		others = "the " + numbered(n, "other is", "others are") + " " + to
	}
	x := Finding{Place: f.leaf.Place, Message: f.name() + " " + is + ", " + others,
		Next: "look at the sheet; correct the figure, its unit, or the one it was exchanged with"}
	if f.of != nil {
		x.About = about(f.of)
	}
	if f.beside.Line > 0 {
		x.Related = []Related{{f.beside, "counted from"}}
	}
	c.Report(x)
}

// keyInWords says in words where a key of a record is: "end cap torque as left".
func keyInWords(key string) string {
	when := ""
	for _, x := range []struct{ prefix, when string }{
		{"as_found.running_before.", " before removal"}, {"as_found.", " as found"}, {"as_left.", " as left"},
		{"running_after.", " after fitting"},
		{"measured.", ""}, {"removed.", " at the removal"}, {"fitted.", ""}, {"assembled.", ""},
	} {
		if rest, ok := strings.CutPrefix(key, x.prefix); ok {
			key, when = rest, x.when
			break
		}
	}
	key = strings.TrimSuffix(key, ".value")
	return strings.NewReplacer(".", " ", "_", " ").Replace(key) + when
}

// besideOpening says how far a test pressure is from the opening pressure.
func besideOpening(f *figure) string {
	off := f.q.Like(math.Abs(f.value)).String()
	switch {
	case math.Abs(f.value) <= f.step:
		return "equals the opening pressure"
	case f.value < 0:
		return "is " + off + " above the opening pressure"
	}
	return "is " + off + " below the opening pressure"
}

// moreHoles reports more holes open as found than every valve of the type was left with.
func (c *Case) moreHoles(kinds map[string][]*figure) {
	const found, left = " as_found.spray.open", " as_left.spray.open"
	for _, kind := range slices.Sorted(maps.Keys(kinds)) {
		typ, ok := strings.CutSuffix(kind, found)
		all := kinds[typ+left] // sorted by unlikeOthers
		if !ok || float64(len(all)) <= c.Settings.SetBaseline.Value || all[0].value != all[len(all)-1].value {
			continue
		}
		for _, f := range kinds[kind] {
			if f.value > all[0].value {
				c.Report(Finding{Place: f.leaf.Place, About: about(f.of),
					Message: fmt.Sprintf("%s %s, all %d valves were left with %s", f.name(), f.leaf.Written, len(all),
						all[0].leaf.Written),
					Next: "count again; is it a nozzle of another type?"})
			}
		}
	}
}

// atStart is a reading of the counter on the day of the starting state.
type atStart struct {
	leaf  logbook.Leaf
	value float64
	step  float64 // of its last digit
	shown string
	a     About
}

// countersAtStart asks about a counter of the starting state, or the table's of that day, that differs from most of its
// engine: a counter shows one number, whichever valve it is noted for. Of two that differ the valve's is asked about.
func (c *Case) countersAtStart() {
	open := c.Book.Vessel.Opening
	for _, e := range c.Book.Vessel.Engines {
		var all []atStart
		for _, x := range open.Fitted {
			if x.Engine.Written == e.ID.Written && x.Counter.Valid() {
				p := logbook.Position{Engine: x.Engine.Written, Cylinder: x.Cylinder.Written}
				a := About{Position: p, Holder: x.Holder.Written, Nozzle: x.Nozzle.Written}
				all = append(all, atStart{x.Counter.Leaf, x.Counter.Float(), x.Counter.Step(), x.Counter.String(), a})
			}
		}
		for _, r := range c.Book.Hours[c.Book.HostOf(e.ID.Written)] {
			if len(all) > 0 && r.Counter.Valid && r.Date.Day == open.Date.Day && r.Date.Day != 0 {
				_, decimals, _ := strings.Cut(r.Counter.Written, ".")
				step := math.Pow10(-len(decimals))
				all = append(all, atStart{r.Counter.Leaf, r.Counter.Value, step, r.Counter.Written + " h", About{}})
				break
			}
		}
		c.startDiffers(e.ID.Written, all)
	}
}

// startDiffers reports the readings of one engine that are not as most of them, to the last digit that both have.
func (c *Case) startDiffers(engine string, all []atStart) {
	times, finest := map[float64]int{}, map[float64]float64{}
	usual := atStart{}
	for _, a := range all {
		times[a.value]++
		if s, met := finest[a.value]; !met || a.step < s {
			finest[a.value] = a.step
		}
		if times[a.value] >= times[usual.value] { // of as many the last one, which is the table's
			usual = a
		}
	}
	most := times[usual.value]
	if len(all) > 2 && 2*most <= len(all) {
		return // noted on several days
	}
	for _, a := range all {
		if math.Abs(a.value-usual.value) >= max(a.step, finest[usual.value])-rounding && a.value != usual.value {
			c.Report(Finding{Place: a.leaf.Place, About: a.a, Related: []Related{{usual.leaf.Place, "the other reading"}},
				Message: fmt.Sprintf("counter %s of %s differs from the %s of %s of that day",
					a.shown, engine, usual.shown, numbered(most, "other reading", "other readings")),
				Next: "correct the wrong one: on one day a counter shows one number"})
		}
	}
}

// aloneInInches asks about the one length of the limits in force that is in another system of units than all others.
func (c *Case) aloneInInches(e *logbook.Revision) {
	var inches, metric []logbook.Leaf
	add := func(l logbook.Leaf, q measure.Quantity) {
		switch {
		case !q.Valid() || q.Kind() != measure.Length:
		case q.Unit() == measure.Inch || q.Unit().Name == "thou":
			inches = append(inches, l)
		default:
			metric = append(metric, l)
		}
	}
	logbook.Says(e, func(s logbook.Said) {
		switch x := s.Value.(type) {
		case *logbook.Amount:
			add(x.Leaf, x.Quantity)
		case *logbook.Band:
			add(x.Leaf, middle(x.Span))
		}
	})
	alone, others, system := inches, metric, "metric"
	if len(metric) == 1 {
		alone, others, system = metric, inches, "in inch"
	}
	if len(alone) != 1 || float64(len(others)) < c.Settings.SetLeast.Value {
		return
	}
	l := alone[0]
	c.Report(Finding{Place: l.Place, Grade: Advice, Related: []Related{{others[0].Place, "another length"}},
		Message: l.Key + " " + l.Written + ": all other lengths of the limits are " + system,
		Next:    "copy it again from the manual, with the unit that it has there"})
}

// kindsUsed reports a length that one record alone took with another kind of instrument than all others.
func (c *Case) kindsUsed() {
	type use struct {
		with *logbook.Serial
		kind string
		o    *logbook.Overhaul
	}
	uses := map[string][]use{}
	for _, o := range c.Book.Overhauls {
		m := &o.Measured
		for _, with := range []*logbook.Serial{&m.Lift.With, &m.HolderWear.With, &m.Effective.With, &m.SeatDiameter.With,
			&m.SeatBand.With, &m.SpringLength.With} {
			if i := c.Book.Instruments[with.Written]; i != nil && with.Stated() {
				uses[with.Key] = append(uses[with.Key], use{with, i.Kind.Written, o})
			}
		}
	}
	for _, key := range slices.Sorted(maps.Keys(uses)) {
		kinds := map[string]int{}
		for _, u := range uses[key] {
			kinds[u.kind]++
		}
		for _, u := range uses[key] {
			if n := len(uses[key]) - 1; len(kinds) == 2 && kinds[u.kind] == 1 && float64(n) >= c.Settings.SetBaseline.Value {
				other := slices.Sorted(maps.Keys(kinds))
				a := about(u.o)
				a.Instrument = u.with.Written
				c.Report(Finding{Place: u.with.Place, Grade: Advice, About: a,
					Message: fmt.Sprintf("%s was taken with %s, a %s; all %d others with a %s",
						keyInWords(strings.TrimSuffix(key, ".with")), u.with.Written, u.kind, n,
						other[1-slices.Index(other, u.kind)]), Next: "name the instrument that was used; are two exchanged?"})
			}
		}
	}
}

// betweenMarks reports a pressure that one test alone reads between two marks of a gauge, where all others read at
// them, and asks about the divisions that most readings are beside.
func (c *Case) betweenMarks() {
	type reading struct {
		t logbook.Taken
		o *logbook.Overhaul
	}
	off, on := map[string][]reading{}, map[string]int{}
	readings := map[string][]float64{}
	for _, o := range c.Book.Overhauls {
		slips := mistaken(c, o)
		for t := range o.Taken() {
			i := c.Book.Instruments[t.With.Written]
			if i == nil || !i.Division.Valid() || i.Division.Float() <= 0 || i.Division.Kind() != t.Amount.Kind() ||
				t.Amount.Unit() != i.Division.Unit() || slips[t.Amount.Place] {
				continue
			}
			n := t.Amount.Float() / i.Division.Float()
			readings[t.With.Written] = append(readings[t.With.Written], n)
			if math.Abs(n-math.Round(n)) < 1e-6 {
				on[t.With.Written]++
			} else {
				off[t.With.Written] = append(off[t.With.Written], reading{t, o})
			}
		}
	}
	for _, id := range slices.Sorted(maps.Keys(readings)) {
		i := c.Book.Instruments[id]
		if i.Division.Kind() != measure.Pressure || !c.otherMarks(i, readings[id]) {
			c.besideMarks(i, readings[id])
		}
		if all := off[id]; len(all) == 1 && float64(on[id]) >= c.Settings.NormalOver.Value/2 &&
			i.Division.Kind() == measure.Pressure {
			r := all[0]
			a := about(r.o)
			a.Instrument = id
			c.Report(Finding{Place: r.t.Amount.Place, About: a,
				Message: fmt.Sprintf("%s %s is between the marks of %s, the %d others are at one", r.t.Name, r.t.Amount, id,
					on[id]), Next: "look at the sheet; correct the figure"})
		}
	}
}

// besideMarks asks about a division when most readings, in divisions, are neither at a mark nor halfway to the next.
func (c *Case) besideMarks(i *logbook.Instrument, in []float64) {
	beside := 0
	for _, r := range in {
		if math.Abs(2*r-math.Round(2*r)) > 1e-6 {
			beside++
		}
	}
	if float64(len(in)) < c.Settings.SetBaseline.Value || 2*beside <= len(in) {
		return
	}
	c.Report(Finding{Place: i.Division.Place, About: About{Instrument: i.ID.Written},
		Message: fmt.Sprintf("division of %s is %s, %d of %d readings are at no mark of it nor halfway", i.ID, i.Division,
			beside, len(in)),
		Next: "look at the scale; write its smallest division"})
}

// otherMarks asks about a division when all readings are at the marks of a coarser one that has not all of its marks in
// common with it: readings of 5 bar each on a gauge of 2 bar. in are readings in divisions.
func (c *Case) otherMarks(i *logbook.Instrument, in []float64) (asked bool) {
	const parts = 100 // of a division, in which the readings are counted
	common, different := 0, map[int]bool{}
	for _, r := range in {
		n := int(math.Round(math.Abs(r) * parts))
		different[n] = true
		for a := n; a != 0; {
			common, a = a, common%a
		}
	}
	if float64(len(different)) < c.Settings.SetBaseline.Value || common <= parts ||
		common%parts == 0 && common < finestPart*parts { // who reads a fine scale coarsely reads some marks of it
		return false
	}
	step := i.Division.Like(i.Division.Float() * float64(common) / parts)
	c.Report(Finding{Place: i.Division.Place, About: About{Instrument: i.ID.Written},
		Message: fmt.Sprintf("division of %s is %s, all %d readings are multiples of %s", i.ID, i.Division, len(in), step),
		Next:    "look at the dial"})
	return true
}
