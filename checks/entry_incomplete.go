package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var entryIncomplete = &Check{
	Name:    "entry-incomplete",
	Subject: OfRecord,
	Ends:    writing,
	Version: 3,
	Level:   Record,
	Doc: "A block of a record lacks the value without which it counts for nothing: a fitting without its " +
		"day or counter reading, a leak-down without its time, a measurement with an instrument " +
		"and no value; an instrument lacks what it is, a part its serial, a handover who and when, " +
		"a ready spare of the starting state the nozzle whose hours it states; or a line " +
		"that all other records, or those of its round, have. " +
		"Fill it in, or write: not measured (why).",
	Source:  "our own rule",
	Example: `fitted.counter is missing`,
	Grade:   Action,
	Each: func(c *Case, o *logbook.Overhaul) {
		c.lacks(o, lacking(o))
	},
	Whole: func(c *Case) {
		for _, id := range slices.Sorted(maps.Keys(c.Book.Instruments)) {
			i := c.Book.Instruments[id]
			c.filled(i.Opening, About{Instrument: id}, cell{"kind", i.Kind.Leaf}, cell{"measures", i.Measures.Leaf})
		}
		for _, p := range c.Book.Parts {
			c.filled(p.Opening, About{}, cell{"serial", p.Serial.Leaf}, cell{"kind", p.Kind.Leaf})
		}
		for _, h := range c.Book.Handovers {
			c.filled(h.Opening, About{}, cell{"date", h.Date.Leaf}, cell{"rank", h.Rank.Leaf}, cell{"from", h.From.Leaf},
				cell{"to", h.To.Leaf})
		}
		c.spareNames()
		c.asAlways()
	},
}

// need are the values without which a block of a record counts for nothing.
type need struct {
	block  logbook.Leaf
	values []cell
}

// needed are the values that the blocks of a record need.
func needed(o *logbook.Overhaul) []need {
	all := []need{
		{o.Removed.Leaf, []cell{{keys.RemovedDate, o.Removed.Date.Leaf}, {keys.RemovedCounter, o.Removed.Counter.Leaf}}},
		{o.Fitted.Leaf, []cell{{keys.FittedDate, o.Fitted.Date.Leaf}, {keys.FittedCounter, o.Fitted.Counter.Leaf}}},
		{o.Stored.Leaf, []cell{{keys.StoredDate, o.Stored.Date.Leaf}}},
		{o.Landed.Leaf, []cell{{keys.LandedDate, o.Landed.Date.Leaf}, {keys.LandedTo, o.Landed.To.Leaf},
			{keys.LandedDeliveryNote, o.Landed.Note.Leaf}, {keys.LandedPromised, o.Landed.Promised.Leaf}}},
		{o.AsLeft.Leaf, []cell{{keys.AsLeftDate, o.AsLeft.Date.Leaf},
			{keys.AsLeftOpeningPressure, o.AsLeft.Opening.Leaf}}},
		{o.AsFound.LeakDown.Leaf, []cell{{keys.AsFoundLeakDownTime, o.AsFound.LeakDown.Time.Leaf}}},
		{o.AsLeft.LeakDown.Leaf, []cell{{keys.AsLeftLeakDownTime, o.AsLeft.LeakDown.Time.Leaf}}},
	}
	for _, m := range []struct {
		key string
		of  logbook.Measurement
	}{{"lift", o.Measured.Lift}, {"holder_wear", o.Measured.HolderWear}, {"effective_lift", o.Measured.Effective},
		{"seat_diameter", o.Measured.SeatDiameter}, {"spring_length", o.Measured.SpringLength}} {
		all = append(all, need{m.of.Leaf, []cell{{"measured." + m.key + ".value", m.of.Value.Leaf}}})
	}
	all = append(all,
		need{o.Measured.NoGo.Leaf, []cell{{keys.MeasuredNoGoWire, o.Measured.NoGo.Wire.Leaf},
			{keys.MeasuredNoGoResult, o.Measured.NoGo.Result.Leaf}}},
		need{o.Decided.Leaf, []cell{{keys.DecidedNozzle, o.Decided.Nozzle.Leaf},
			{keys.DecidedHolder, o.Decided.Holder.Leaf}}})
	for _, s := range []struct {
		block string
		data  logbook.RunningData
	}{{keys.AsFoundRunningBefore, o.AsFound.RunningBefore}, {"running_after", o.RunningAfter}} {
		all = append(all, need{s.data.Leaf, []cell{{s.block + ".date", s.data.Date.Leaf},
			{s.block + ".load", s.data.Load.Leaf}}})
	}
	return append(all, receivedNeeds(&o.Received)...)
}

// receivedNeeds are what its certificate, or who sent it, says of a valve that came on board built.
func receivedNeeds(r *logbook.Received) []need {
	all := []need{{r.Leaf, []cell{{keys.ReceivedDate, r.Date.Leaf}, {keys.ReceivedFrom, r.From.Leaf},
		{keys.ReceivedCertificate, r.Certificate.Leaf}, {keys.ReceivedState, r.State.Leaf}}}}
	if r.Certified() {
		all = append(all, need{r.Leaf, []cell{{keys.ReceivedFile, r.Scan.Leaf},
			{keys.ReceivedLimitsUsed, r.LimitsUsed.Leaf}}})
	}
	return append(all, need{r.Opened.Leaf, []cell{{keys.ReceivedOpenedAboardDate, r.Opened.Date.Leaf},
		{keys.ReceivedOpenedAboardOpeningPressure, r.Opened.Opening.Leaf}}})
}

// lacking are the needs of a record, each with the values that it lacks: of the blocks of which something is said, for
// a block that was begun with blanks says nothing yet.
func lacking(o *logbook.Overhaul) []need {
	var all []need
	for _, n := range needed(o) {
		n.values = slices.DeleteFunc(n.values, func(x cell) bool { return x.leaf.Present() })
		if n.block.Stated() && len(n.values) > 0 {
			all = append(all, n)
		}
	}
	if len(all) == 0 {
		return nil
	}
	says := map[string]bool{}
	logbook.Says(o, func(s logbook.Said) {
		if s.Value == nil || !s.Leaf.Present() {
			return
		}
		for at := strings.LastIndexByte(s.Key, '.'); at > 0; at = strings.LastIndexByte(s.Key[:at], '.') {
			says[s.Key[:at]] = true
		}
	})
	return slices.DeleteFunc(all, func(n need) bool { return !says[n.block.Key] })
}

// onTheBench says that a record was begun and its work goes on: nothing is decided, built or given away yet.
func onTheBench(o *logbook.Overhaul) bool {
	return !o.Decided.Stated() && !o.Assembled.Stated() && !o.AsLeft.Stated() && !o.Stored.Stated() &&
		!o.Fitted.Stated() && !o.Landed.Stated()
}

// asked says that the absence of a key says nothing of what happened to the valve: not a block of the work, not what a
// build from new parts or a nozzle that was condemned lacks, not a reason or a place in words, not what a workshop does
// not certify of a valve that it sent.
func asked(o *logbook.Overhaul, key string) bool {
	block, _, _ := strings.Cut(key, ".")
	if o.Received.Stated() && slices.Contains([]string{"measured", "assembled", "as_left"}, block) {
		return false
	}
	switch key {
	case "removed", "received", "as_found", "stripped", "cleaned", "inspected", "measured", "decided", "assembled",
		"as_left", "stored", "landed", "fitted", "running_after", keys.DecidedWhy, keys.StoredPlace:
		return false
	case keys.NozzleFound:
		return o.Removed.Stated()
	case keys.NozzleLeft, keys.NozzleMarking:
		return o.AsLeft.Stated()
	}
	return !strings.HasPrefix(key, "inspected.") // of which places-not-inspected asks
}

// fewestOfRound is how many others of a round must have a measurement that one of them lacks: of fewer it is no habit.
const fewestOfRound = 4

// measuredByHabit says that a key is a measurement, and not one that others give.
func measuredByHabit(key string) bool {
	return strings.HasPrefix(key, "measured.") && !strings.HasPrefix(key, keys.MeasuredEffectiveLift)
}

// asAlways reports a line that one record, or one valve of the opening state, lacks, and all others of the book have.
func (c *Case) asAlways() {
	noReason := map[[2]string]bool{} // where reason-missing asks for the value
	for _, p := range c.Book.Problems {
		if p.Slip == logbook.SlipReason {
			noReason[[2]string{p.Place.Path, p.Key}] = true
		}
	}
	records := newAlways("records")
	each := map[bool]map[string]bool{} // by whether a valve came certified, what is asked for whatever the others have
	for _, o := range c.Book.Overhauls {
		if c.fromOldPaper(o) || onTheBench(o) {
			continue
		}
		certified := o.Received.Certified()
		if each[certified] == nil {
			each[certified] = columnsOf(needed(o))
		}
		records.add(o, o.Opening, about(o), Advice, !c.unread[o.Path], func(key string) bool {
			return !each[certified][key] && !noReason[[2]string{o.Path, key}] && asked(o, key)
		})
	}
	told := records.report(c, c.Settings.SetBaseline.Value, nil)
	for _, r := range c.Rounds {
		round := newAlways("records of its round")
		for _, o := range r.Overhauls {
			grade := Note // what was measured again since tells more than the line that is lost
			if c.inUse(o) {
				grade = Advice
			}
			if o.Measured.Stated() && !c.fromOldPaper(o) {
				round.add(o, o.Opening, about(o), grade, !c.unread[o.Path], measuredByHabit)
			}
		}
		round.report(c, fewestOfRound, told)
	}
	if c.unread["book.md"] {
		return
	}
	opening := newAlways("valves")
	for i := range c.Book.Vessel.Opening.Fitted {
		x := &c.Book.Vessel.Opening.Fitted[i]
		opening.add(x, x.Place, About{Position: logbook.Position{Engine: x.Engine.Written, Cylinder: x.Cylinder.Written},
			Holder: x.Holder.Written, Nozzle: x.Nozzle.Written}, Advice, true, func(string) bool { return true })
	}
	opening.report(c, c.Settings.SetBaseline.Value, nil)
}

// spareNames asks for holder and nozzle of a ready spare of the starting state of which something else is stated.
func (c *Case) spareNames() {
	if c.unread["book.md"] {
		return
	}
	for _, x := range c.Book.Vessel.Opening.Rack {
		a := About{Holder: x.Holder.Written, Nozzle: x.Nozzle.Written}
		ofNozzle := x.NozzleHours.Stated() || x.Marking.Stated()
		if x.Nozzle.Stated() || ofNozzle || x.Left.Stated() || x.Fitted.Stated() {
			c.filled(x.Place, a, cell{"holder", x.Holder.Leaf})
		}
		if ofNozzle || x.Left.Stated() || x.Fitted.Stated() {
			c.filled(x.Place, a, cell{"nozzle", x.Nozzle.Leaf})
		}
	}
}

// columnsOf are the keys of some values.
func columnsOf(needs []need) map[string]bool {
	all := map[string]bool{}
	for _, n := range needs {
		for _, x := range n.values {
			all[x.column] = true
		}
	}
	return all
}

// always counts which keys things of one kind have.
type always struct {
	called string
	keys   map[string]*keyCount
}

// keyCount is how many things have a key and how many lack it, with the last of these and the block that lacks it.
type keyCount struct {
	have, lack int
	thing      any
	at         logbook.Place
	about      About
	grade      Grade
	read       bool // all that is written in the thing, so that it does lack the key
}

func newAlways(called string) *always { return &always{called, map[string]*keyCount{}} }

// add counts the keys of a thing that are asked for; those of a block that is not there are none of it. Of a thing of
// which something is not read nothing is told: it counts, so that another is not the only one that lacks a key.
func (a *always) add(thing any, at logbook.Place, ab About, grade Grade, read bool, asked func(key string) bool) {
	logbook.Says(thing, func(s logbook.Said) {
		if s.Block != nil && !s.Block.Stated() || !asked(s.Key) {
			return
		}
		n := a.keys[s.Key]
		if n == nil {
			n = &keyCount{}
			a.keys[s.Key] = n
		}
		if s.Leaf.Present() {
			n.have++
			return
		}
		n.lack, n.thing, n.at, n.about, n.grade, n.read = n.lack+1, thing, at, ab, grade, read
		if s.Block != nil {
			n.at = s.Block.Place
		}
	})
}

// report tells what one thing alone lacks, where as many as asked for have it: its keys in one finding, and not those
// that were told before. It returns what has been told.
func (a *always) report(c *Case, least float64, before map[logbook.Place][]string) (told map[logbook.Place][]string) {
	told = map[logbook.Place][]string{}
	of := map[any]*Finding{}
	var all []*Finding
	for _, key := range slices.Sorted(maps.Keys(a.keys)) {
		n := a.keys[key]
		if n.lack != 1 || !n.read || float64(n.have) < least || slices.Contains(before[n.at], key) {
			continue
		}
		told[n.at] = append(told[n.at], key)
		f := of[n.thing]
		if f == nil {
			f = &Finding{Place: n.at, Grade: n.grade, About: n.about,
				Message: fmt.Sprintf("%s is missing; all %d other %s have it", key, n.have, a.called),
				Next:    "fill it in, or write why not: not measured (why)"}
			of[n.thing], all = f, append(all, f)
		}
		f.Related = append(f.Related, Related{n.at, key})
	}
	for _, f := range all {
		if n := len(f.Related); n > 1 {
			first := f.Related[0].Words
			f.Message = fmt.Sprintf("%s and %d more are missing; all other %s have them", first, n-1, a.called)
		} else {
			f.Related = nil
		}
		c.Report(*f)
	}
	return told
}

// notWord is the word that says why a value is missing: of a paper that does not state it, of a reading, of a
// measurement.
func notWord(key string) string {
	switch block, _, _ := strings.Cut(key, "."); block {
	case "received", "landed":
		return "not stated"
	case "removed", "fitted":
		return "not read"
	}
	return "not measured"
}

// filled reports what a file has not.
func (c *Case) filled(at logbook.Place, a About, needed ...cell) {
	for _, x := range needed {
		if !x.leaf.Present() {
			c.Report(Finding{Place: at, Grade: Advice, About: a, Message: x.column + " is missing", Next: "fill it in"})
		}
	}
}

// lacks reports what a record has not: block by block, and in one finding while the work goes on.
func (c *Case) lacks(o *logbook.Overhaul, needs []need) {
	var all []need
	for _, n := range needs {
		if len(all) > 0 && onTheBench(o) {
			all[0].values = append(all[0].values, n.values...)
			continue
		}
		all = append(all, n)
	}
	for _, n := range all {
		var missing []string
		for _, x := range n.values {
			missing = append(missing, x.column)
		}
		verb, said := " is missing", strings.Join(missing, " and ")
		if len(missing) > 1 {
			verb = " are missing"
		}
		f := Finding{Place: n.block.Place, About: about(o), Message: said + verb, Lacks: said,
			Next: "fill it in, or write why not: " + notWord(missing[0]) + " (why)"}
		if len(missing) > 2 {
			f.Message = fmt.Sprintf("%s and %d more are not filled in yet", missing[0], len(missing)-1)
			f.Evidence = []string{"missing: " + strings.Join(missing, ", ")}
		}
		c.Report(f)
	}
}
