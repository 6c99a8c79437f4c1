package checks

import (
	"maps"
	"path"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var nameUnknown = &Check{
	Name:    "name-unknown",
	Subject: OfRecord,
	Ends:    writing,
	Version: 4,
	Level:   Vessel,
	Doc: "An engine, cylinder, limits file, person, deferral or trial is named that the book does not know, " +
		"or an engine " +
		"or cylinder is not named where a valve came out or went in. What is filed under such a name is lost from sight: " +
		"a valve in a cylinder that the engine does not have is missing from the one it sits in, hours of an unknown " +
		"engine count for none, and an engine whose limits file is not there is judged by nothing. " +
		"A person who answers, or who is named in deferrals and decisions, and has no line in crew.csv is asked about too. " +
		"Correct the name, or add what it names: engines and cylinders in book.md, persons in crew.csv.",
	Source:  "our own rule",
	Example: `fitted.cylinder "7": ME1 has the cylinders 1, 2, 3, 4, 5, 6`,
	Grade:   Action,
	Whole: func(c *Case) {
		v := c.Book.Vessel
		if len(v.Engines) == 0 {
			c.Report(Finding{Place: logbook.Place{Path: "book.md", Line: 1, Column: 1},
				Message: "no engine is named: nothing can be judged",
				Next:    "name each with its cylinders and its limits file: engines: [{id: ME1, cylinders: [1, 2], limits: …}]"})
			return
		}
		seen := map[string]bool{}
		for _, e := range v.Engines {
			if id := e.ID; id.Stated() && seen[id.Written] {
				c.Report(Finding{Place: id.Place, Message: "engine " + id.Written + " is named twice",
					Next: "give each engine an id of its own"})
			}
			seen[e.ID.Written] = true
			c.limitsNamed(e)
			c.hostNamed(e)
		}
		c.benchesNamed()
		c.kindsOfParts()
		for _, s := range v.Stopped {
			c.engineNamed(keys.StoppedEngine, s.Engine, About{})
		}
		for _, x := range v.Heads {
			c.positionNamed("head_exchanged", x.Leaf, x.Engine, x.Cylinder, About{})
		}
		for _, f := range v.Opening.Fitted {
			c.positionNamed(keys.OpeningFitted, f.Leaf, f.Engine, f.Cylinder,
				About{Holder: f.Holder.Written, Nozzle: f.Nozzle.Written})
		}
		for _, r := range v.Opening.Rack {
			c.engineNamed("for", r.For, About{Holder: r.Holder.Written, Nozzle: r.Nozzle.Written})
			c.positionNamed(keys.OpeningSparesFitted, r.Fitted.Leaf, r.Fitted.Engine, r.Fitted.Cylinder,
				About{Holder: r.Holder.Written, Nozzle: r.Nozzle.Written})
		}
		persons := crewNames{first: map[string]logbook.Place{}, unknown: map[string]Finding{}}
		for _, s := range c.Book.Crew {
			if _, again := persons.first[s.ID.Written]; !again {
				persons.ids, persons.first[s.ID.Written] = append(persons.ids, s.ID.Written), s.ID.Place
			}
		}
		for _, o := range c.Book.Overhauls {
			c.namedIn(o, &persons)
		}
		for _, d := range c.Book.Deferrals {
			c.namedInDeferral(d, &persons)
		}
		for _, d := range c.Book.Decisions {
			c.personsNamed(&persons, map[string]logbook.Serial{"by": d.By, "agreed": d.Agreed})
			for _, e := range d.Engines.Each {
				c.engineNamed("engines", e, About{})
			}
		}
		c.withoutLine(&persons)
		c.tablesNamed()
	},
}

// known says that the vessel has a position; of one she has not, the name is a finding, and what follows from it is not
// another.
func (c *Case) known(position string) bool {
	return slices.ContainsFunc(c.Book.Positions(), func(p logbook.Position) bool { return p.String() == position })
}

// crewNames are the persons of crew.csv, each once, and what there is to say of a name that is none of theirs.
type crewNames struct {
	ids     []string
	first   map[string]logbook.Place // where each is named first
	unknown map[string]Finding
}

// notOf is the finding at a name that is no person's.
func (n *crewNames) notOf(key string, person logbook.Serial, a About) Finding {
	f, said := n.unknown[person.Written]
	if !said {
		f = unknownName("", person, "no person of that id in crew.csv", n.ids, About{})
		f.says, f.name = noSuchPerson, person.Written
		letters := lettersAlone(person.Written)
		for _, id := range n.ids {
			if lettersAlone(id) == letters {
				f.Related = append(f.Related, Related{n.first[id], "written " + id})
			}
		}
		n.unknown[person.Written] = f
	}
	f.Place, f.About, f.Message, f.Related = person.Place, a, key+f.Message, slices.Clone(f.Related)
	return f
}

// personsNamed reports persons of a page that are nearly ones of the crew list: the page may name others, ashore.
func (c *Case) personsNamed(persons *crewNames, named map[string]logbook.Serial) {
	for _, key := range slices.Sorted(maps.Keys(named)) {
		p := named[key]
		if _, known := persons.first[p.Written]; p.Stated() && !known && logbook.Nearest(p.Written, persons.ids) != "" {
			c.Report(persons.notOf(key, p, About{Person: p.Written}))
		}
	}
}

// withoutLine asks about a person who answers, or who is named in deferrals and in decisions, and has no line in the
// list of crew: what somebody may answer, approve and review goes by the rank that the line states. Who is named in one
// kind of page alone may be somebody ashore.
func (c *Case) withoutLine(persons *crewNames) {
	if len(persons.ids) == 0 {
		return
	}
	named := map[string][]Related{}
	kinds := map[string]map[string]bool{}
	note := func(kind string, who logbook.Serial) {
		if _, known := persons.first[who.Written]; known || !who.Stated() || strings.ContainsAny(who.Written, " ,") ||
			logbook.Nearest(who.Written, persons.ids) != "" {
			return // a name in full is no id; one that is nearly another is told at its place
		}
		if kinds[who.Written] == nil {
			kinds[who.Written] = map[string]bool{}
		}
		kinds[who.Written][kind] = true
		named[who.Written] = append(named[who.Written], Related{who.Place, "named in " + kind})
	}
	for i := range c.Book.Answers {
		note("answers", c.Book.Answers[i].By)
	}
	for _, d := range c.Book.Deferrals {
		note("deferrals", d.RequestedBy)
		note("deferrals", d.Approved.By)
	}
	for _, d := range c.Book.Decisions {
		note("decisions", d.By)
		note("decisions", d.Agreed)
	}
	for _, id := range slices.Sorted(maps.Keys(named)) {
		if at := named[id]; kinds[id]["answers"] || len(kinds[id]) > 1 {
			c.Report(Finding{Place: at[0].Place, Grade: Advice, About: About{Person: id}, Related: at[1:min(len(at), 4)],
				Message: id + " is named in " + logbook.Counted(len(at), "place") + " and has no line in crew.csv",
				Next:    "add the stay with its rank to crew.csv, or correct the id"})
		}
	}
}

// namedInDeferral asks that a deferral names a record of the book, the parts of that record, and a limit or a check.
func (c *Case) namedInDeferral(d *logbook.Deferral, persons *crewNames) {
	a := About{Record: d.Record.Written, Holder: d.Holder.Written, Nozzle: d.Nozzle.Written}
	c.personsNamed(persons, map[string]logbook.Serial{"requested_by": d.RequestedBy, keys.ApprovedBy: d.Approved.By})
	isCheck := func(k *Check) bool { return k.Name == d.Limit.Written }
	if l := d.Limit; l.Stated() && len(c.Book.Limits) > 0 && !slices.ContainsFunc(c.every, isCheck) {
		limits := c.limitNames()
		if !slices.Contains(limits, l.Written) {
			c.report("limit", logbook.Serial(l), "no limit and no check of that name", limits, a)
		}
	}
	if !d.Record.Stated() {
		return
	}
	var stems []string
	var of *logbook.Overhaul
	for _, o := range c.Book.Overhauls {
		stems = append(stems, o.Stem)
		if o.Stem == d.Record.Written {
			of = o
		}
	}
	if of == nil {
		c.report("record", d.Record, "no record of that name in the book", stems, a)
		return
	}
	holders, nozzles := []string{of.Holder.Written, of.Fitted.Holder.Written},
		[]string{of.Nozzle.Found.Written, of.Nozzle.Left.Written, of.Fitted.Nozzle.Written}
	for _, x := range []struct {
		key  string
		is   logbook.Serial
		good []string
	}{{"holder", d.Holder, holders}, {"nozzle", d.Nozzle, nozzles}} {
		if x.is.Stated() && !slices.Contains(x.good, x.is.Written) {
			f := unknownName(x.key, x.is, "its record "+of.Stem+" has "+x.good[0], nil, a)
			f.Related = []Related{{of.Opening, "the record"}}
			c.Report(f)
		}
	}
}

// limitNames are the keys of all limits of the book, whole and without what is below them, and the interval, which
// book.md may state.
func (c *Case) limitNames() []string {
	names := map[string]bool{theInterval: true}
	for _, l := range c.Book.Limits {
		for i := range l.Revisions {
			logbook.Says(&l.Revisions[i], func(s logbook.Said) {
				if s.Leaf.Present() {
					top, _, _ := strings.Cut(s.Key, ".")
					names[top], names[s.Key] = true, true
				}
			})
		}
	}
	return slices.Sorted(maps.Keys(names))
}

// namedIn looks at the names in an overhaul; persons are those of the crew.
func (c *Case) namedIn(o *logbook.Overhaul, persons *crewNames) {
	a := about(o)
	c.removalNamed(o, a)
	c.positionNamed("fitted", o.Fitted.Leaf, o.Fitted.Engine, o.Fitted.Cylinder, a)
	for _, h := range []struct {
		key    string
		person logbook.Serial
	}{{"by", o.By}, {"fitted_by", o.FittedBy}, {"checked_by", o.CheckedBy}} {
		if h.person.Written == "" || !h.person.Stated() || len(persons.ids) == 0 {
			continue
		}
		if _, known := persons.first[h.person.Written]; !known {
			c.Report(persons.notOf(h.key, h.person, a))
		}
	}
	if d := o.Deferral; d.Stated() && !slices.ContainsFunc(c.Book.Deferrals,
		func(x *logbook.Deferral) bool { return x.ID.Written == d.Written }) {
		c.report("deferral", d, "no deferral of that id in the book", nil, a)
	}
	if r := o.Removed.Reason; r.Is("trial") && !o.Trial.Present() {
		c.Report(Finding{Place: r.Place, Grade: Advice, About: a, Message: "removed for a trial, and no trial is named",
			Next: "name its decision: trial: T-02, or correct the reason"})
	}
	if t := o.Trial; t.Stated() && !slices.ContainsFunc(c.Book.Decisions,
		func(x *logbook.Decision) bool { return x.ID.Written == t.Written }) {
		c.report("trial", t, "no decision of that id in the book", nil, a)
	}
}

// tablesNamed looks at the engines that tables are named after, once a file, and at the cylinders in them, once each.
func (c *Case) tablesNamed() {
	engines := c.engines()
	for _, name := range c.Book.Files {
		folder, file := path.Split(name)
		if folder != "hours/" && folder != "running/" || path.Ext(file) != ".csv" {
			continue
		}
		if c.Book.CopyOf(name) == "" && !slices.ContainsFunc(engines,
			func(e string) bool { return logbook.FileName(e)+".csv" == file }) {
			c.Report(Finding{Place: logbook.Place{Path: name, Line: 1, Column: 1},
				Message: "the file is named after no engine of book.md: " + strings.Join(engines, ", "),
				Next:    "rename the file after its engine, in lower case; until then it counts for none"})
		}
	}
	seen := map[logbook.Position]bool{}
	for _, r := range c.Book.Running {
		if p := (logbook.Position{Engine: r.Engine, Cylinder: r.Cylinder.Written}); r.Cylinder.Stated() && !seen[p] {
			seen[p] = true
			c.cylinderNamed("cylinder", c.Book.Engine(r.Engine), r.Cylinder, About{})
		}
	}
}

func (c *Case) engines() []string {
	var all []string
	for _, e := range c.Book.Vessel.Engines {
		all = append(all, e.ID.Written)
	}
	return all
}

// limitsNamed asks that an engine's limits file is there: without it nothing of the engine is judged.
func (c *Case) limitsNamed(e logbook.Engine) {
	var files []string
	for name := range c.Book.Limits {
		files = append(files, name)
	}
	slices.Sort(files)
	switch l := e.Limits; {
	case !l.Present():
		c.Report(Finding{Place: e.Place, Grade: Advice, Message: engineCalled(&e) +
			" names no limits file: nothing of it is judged", Next: "name one: limits: " +
			strings.Join(append(files, "…")[:1], "")})
	case l.Stated() && c.Book.Limits[l.Written] == nil:
		c.report("limits of "+e.ID.Written, l, "limits/"+l.Written+
			".md is not in the book, and nothing of the engine is judged", files, About{})
	case l.Stated():
		is := c.Book.Limits[l.Written].Type
		if is.Stated() && e.Type.Stated() && is.Written != e.Type.Written && logbook.Nearest(is.Written,
			[]string{e.Type.Written}) != "" {
			c.Report(Finding{Place: is.Place, Message: "type " + is.Written + " of the limits, " + engineCalled(&e) + " is a " +
				e.Type.Written, Related: []Related{{e.Type.Place, "type of the engine"}},
				Next: "correct the one that is wrong: is it the limits file of another engine?"})
		}
	}
}

// hostNamed asks that a line of further valves names an engine of the book that has valves of its own.
func (c *Case) hostNamed(e logbook.Engine) {
	if !e.ValvesOf.Stated() || !c.engineNamed("valves_of", e.ValvesOf, About{}) ||
		c.Book.HostOf(e.ID.Written) != e.ID.Written {
		return
	}
	c.Report(Finding{Place: e.ValvesOf.Place, Message: "valves_of " + e.ValvesOf.Written + " of " + e.ID.Written +
		": that is no engine with valves of its own", Next: "name the engine in whose cylinders these valves are"})
}

// kindsOfParts reports the file of a holder that says it is a nozzle, or the reverse, by what the records name it as.
func (c *Case) kindsOfParts() {
	holders, nozzles := map[string]logbook.Place{}, map[string]logbook.Place{}
	add := func(holder, nozzle logbook.Serial) {
		if _, met := holders[holder.Written]; !met {
			holders[holder.Written] = holder.Place
		}
		if _, met := nozzles[nozzle.Written]; !met {
			nozzles[nozzle.Written] = nozzle.Place
		}
	}
	c.eachValve(add)
	for _, p := range c.Book.Parts {
		own, other, is, not := nozzles, holders, "nozzle", "holder"
		if p.Kind.Is("holder") {
			own, other, is, not = holders, nozzles, "holder", "nozzle"
		} else if !p.Kind.Is("nozzle") {
			continue
		}
		if at, named := other[p.Number()]; named && p.Serial.Stated() {
			if _, too := own[p.Number()]; !too {
				c.Report(Finding{Place: p.Kind.Place, Message: p.Number() + " is a " + is + " by its file, and a " + not +
					" wherever it is named", Related: []Related{{at, "named here"}}, Next: "correct the kind, or the serial"})
			}
		}
	}
}

// benchesNamed asks that the bench that limits hold for is an instrument of the book, where the book has any.
func (c *Case) benchesNamed() {
	benches := slices.Sorted(maps.Keys(c.Book.Instruments))
	for _, name := range slices.Sorted(maps.Keys(c.Book.Limits)) {
		for _, e := range c.Book.Limits[name].Revisions {
			if b := e.LeakDown.Bench; b.Stated() && len(benches) > 0 && c.Book.Instruments[b.Written] == nil {
				c.report("bench of the leak-down", b, "no instrument of that id in the book", benches, About{})
			}
		}
	}
}

// positionNamed asks of a removal or fitting that it names an engine of the book and a cylinder of that engine.
func (c *Case) positionNamed(block string, at logbook.Leaf, engine, cylinder logbook.Serial, a About) {
	if !at.Stated() {
		return
	}
	for _, x := range []struct {
		key  string
		name logbook.Serial
	}{{"engine", engine}, {"cylinder", cylinder}} {
		if !x.name.Present() {
			c.Report(Finding{Place: at.Place, About: a, Message: block + " names no " + x.key, says: placeNotNamed,
				Next: "write " + x.key + ": …; until then it is lost from sight"})
		}
	}
	if engine.Stated() && c.engineNamed(block+".engine", engine, a) && cylinder.Stated() {
		c.cylinderNamed(block+".cylinder", c.Book.Engine(engine.Written), cylinder, a)
	}
}

// removalNamed is positionNamed for a removal. Where the record lies in a cylinder's folder, that is what is meant.
func (c *Case) removalNamed(o *logbook.Overhaul, a About) {
	n := len(c.findings)
	c.positionNamed("removed", o.Removed.Leaf, o.Removed.Engine, o.Removed.Cylinder, a)
	p, ok := c.Book.PositionAt(o.Path)
	if !ok {
		return
	}
	for i := range c.findings[n:] {
		f := &c.findings[n+i]
		name, is := p.Cylinder, o.Removed.Cylinder
		if f.Place == o.Removed.Engine.Place {
			name, is = p.Engine, o.Removed.Engine
		}
		if f.Place == is.Place {
			f.offer(typed(is.Leaf, name), ": the folder is that of "+p.String())
		}
	}
}

func (c *Case) engineNamed(key string, engine logbook.Serial, a About) bool {
	if !engine.Stated() || c.Book.Engine(engine.Written) != nil {
		return true
	}
	f := unknownName(key, engine, "no engine of that id in book.md", c.engines(), a)
	f.says = noSuchPlace
	f.Rests.Place = c.idleEngine().ID.Place
	c.Report(f)
	return false
}

// idleEngine is the first engine of the book that no record names, or the first of all: where many records name one
// that is not in the book, that is the line to look at.
func (c *Case) idleEngine() logbook.Engine {
	engines := c.Book.Vessel.Engines
	idle := slices.IndexFunc(engines, func(e logbook.Engine) bool {
		return !slices.ContainsFunc(c.Book.Overhauls, func(o *logbook.Overhaul) bool {
			return o.Removed.Engine.Written == e.ID.Written || o.Fitted.Engine.Written == e.ID.Written
		})
	})
	return engines[max(idle, 0)]
}

func (c *Case) cylinderNamed(key string, e *logbook.Engine, cylinder logbook.Serial, a About) {
	if e == nil {
		return
	}
	var all []string
	for _, x := range e.Cylinders.Each {
		all = append(all, x.Written)
	}
	if !slices.Contains(all, cylinder.Written) {
		f := unknownName(key, cylinder, e.ID.Written+" has the cylinders "+strings.Join(all, ", "), all, a)
		f.says = noSuchPlace
		c.Report(f)
	}
}

// report says of a name that it is not known.
func (c *Case) report(key string, name logbook.Serial, what string, known []string, a About) {
	c.Report(unknownName(key, name, what, known, a))
}

// unknownName says of a name that it is not known, and which of those known looks like it.
func unknownName(key string, name logbook.Serial, what string, known []string, a About) Finding {
	f := Finding{Place: name.Place, About: a, Message: key + " \"" + name.Written + "\": " + what,
		Rests: Rests{Words: name.Written + ": " + what},
		Next:  "correct the name, or add what it names"}
	near := logbook.Nearest(name.Written, known)
	if i := slices.IndexFunc(known, func(k string) bool { return foldSerial(k) == foldSerial(name.Written) }); i >= 0 {
		near = known[i]
	}
	if near != "" {
		f.offer(typed(name.Leaf, near), " if that is meant")
	}
	return f
}

// engineCalled names an engine in a sentence: "engine ME1".
func engineCalled(e *logbook.Engine) string {
	if e.ID.Stated() {
		return "engine " + e.ID.Written
	}
	return e.Called()
}
