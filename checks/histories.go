package checks

import (
	"cmp"
	"path"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// step is one half of an overhaul in the history of a part or a place: how the valve came out, or how it went back.
type step struct {
	o    *logbook.Overhaul
	left bool // built, set, stored or fitted; else pulled, tested as found, taken apart
	day  logbook.Day
}

// question is the question whether a step ends the findings of one check on one subject in one way.
type question struct {
	check, way string
	Subject
}

func (h *histories) question(f *Finding, way string) question {
	return question{f.Check, way, f.Subject}
}

// histories are the steps of each part and place in their order, up to the day of judgement, and what ends the findings
// on them. Each history is built once and each question is answered once for all its steps, so that a run costs no more
// with the years than what was done in them.
type histories struct {
	c       *Case
	nozzles map[string][]*logbook.Overhaul
	said    map[string]map[string]bool // by check and record: it speaks of it
	chains  map[Subject][]step
	next    map[question][]int            // by step, the first one from there on that ends it; the length where none does
	rounds  map[string]int                // by name, the index in the case's rounds
	rows    map[logbook.Place]logbook.Day // by path and line of a table
	parts   parts
	heads   *heads
	answers map[answerTo][]*logbook.Answer
	facts   map[string]map[logbook.Place]string // by path, what is written at each place, in base units
	keys    map[*logbook.Overhaul][]keyAt       // by place
	texts   map[string]bool                     // of all findings
}

func newHistories(c *Case, all []Finding) *histories {
	h := &histories{c: c, nozzles: map[string][]*logbook.Overhaul{}, said: map[string]map[string]bool{},
		parts: partsOn(c), heads: headsOn(c.Book, c.Today),
		answers: map[answerTo][]*logbook.Answer{}, facts: map[string]map[logbook.Place]string{},
		chains: map[Subject][]step{}, next: map[question][]int{}, rounds: map[string]int{},
		keys: map[*logbook.Overhaul][]keyAt{}, texts: map[string]bool{}}
	for _, o := range c.Book.Overhauls {
		found, left := o.Nozzle.Found.Written, o.Nozzle.Left.Written
		h.nozzles[found] = append(h.nozzles[found], o)
		if left != found {
			h.nozzles[left] = append(h.nozzles[left], o)
		}
	}
	for _, f := range all {
		if h.said[f.Check] == nil {
			h.said[f.Check] = map[string]bool{}
		}
		h.said[f.Check][f.About.Record] = true
		h.said[f.Check][f.About.Round] = true
	}
	for i := range c.Book.Answers {
		a := &c.Book.Answers[i]
		to := answerTo{a.Check.Written, a.About.Written}
		h.answers[to] = append(h.answers[to], a)
	}
	for i, r := range c.Rounds {
		h.rounds[r.Name] = i
	}
	return h
}

// fact is the overhaul of a step as what ended a finding.
func (s step) fact() Fact {
	if s.o == nil {
		return Fact{}
	}
	f := Fact{s.day, s.o.Opening, s.o.Stem}
	if s.left && s.o.AsLeft.Present() {
		f.Place = s.o.AsLeft.Place
	}
	return f
}

// quiet says that the check of the question does not speak of the record of a step.
func (h *histories) quiet(a question, s step) bool { return !h.said[a.check][s.o.Stem] }

// of is the history of a subject, oldest first.
func (h *histories) of(s Subject) []step {
	if chain, known := h.chains[s]; known {
		return chain
	}
	var chain []step
	add := func(o *logbook.Overhaul, left bool, day logbook.Day) {
		if o != nil && day <= h.c.Today {
			chain = append(chain, step{o, left, day})
		}
	}
	switch s.Kind {
	case OfHolder, OfNozzle:
		records := h.nozzles[s.Name]
		if s.Kind == OfHolder {
			records = h.c.Lives.Benches(s.Name)
		}
		for _, o := range records {
			add(o, false, o.Day())
			add(o, true, o.LeftOn())
		}
	case OfPosition:
		if p, ok := h.c.position(s.Name); ok {
			for _, period := range h.c.Lives.InPosition(p) {
				add(period.Opened, true, period.From)
				add(period.Closed, false, period.To)
			}
		}
	case OfPocket:
		for _, stay := range h.staysOf(s.Name) {
			for _, period := range h.c.Lives.InPosition(stay.Position) {
				if stay.Held(period.From, true) {
					add(period.Opened, true, period.From)
				}
				if stay.Held(period.To, false) {
					add(period.Closed, false, period.To)
				}
			}
		}
	}
	h.chains[s] = chain
	return chain
}

// position finds an engine's cylinder by its name.
func (c *Case) position(name string) (logbook.Position, bool) {
	for _, p := range c.Book.Positions() {
		if p.String() == name {
			return p, true
		}
	}
	return logbook.Position{}, false
}

// after is the first step for which the answer to a question is yes, from the one after a finding's own on.
func (h *histories) after(f *Finding, a question, work func(*histories, question, step) bool) (Fact, bool) {
	chain := h.of(f.Subject)
	s, ok := h.first(a, chain, h.own(f, chain)+1, work)
	return s.fact(), ok
}

// first is the first step of a history from an index on for which the answer to a question is yes.
func (h *histories) first(a question, chain []step, from int, work func(*histories, question, step) bool) (step, bool) {
	next, known := h.next[a]
	if !known {
		next = make([]int, len(chain)+1)
		next[len(chain)] = len(chain)
		for i := len(chain) - 1; i >= 0; i-- {
			if next[i] = next[i+1]; work(h, a, chain[i]) {
				next[i] = i
			}
		}
		h.next[a] = next
	}
	if from > len(chain) || next[from] == len(chain) {
		return step{}, false
	}
	return chain[next[from]], true
}

// own is the index of the step that a finding speaks of; where it speaks of none of that history, the last one before
// its day, and the end of the history where it has no day.
func (h *histories) own(f *Finding, chain []step) int {
	if o, left := h.half(f); o != nil {
		if i := slices.IndexFunc(chain, func(s step) bool { return s.o == o && s.left == left }); i >= 0 {
			return i
		}
	}
	if f.Since == 0 {
		return len(chain)
	}
	i, _ := slices.BinarySearchFunc(chain, f.Since, func(s step, day logbook.Day) int {
		if s.day < day {
			return -1
		}
		return 1
	})
	return i - 1
}

// half is the record that a finding speaks of, and whether of how the valve went back.
func (h *histories) half(f *Finding) (o *logbook.Overhaul, left bool) {
	if o = h.c.Book.Overhaul(f.About.Record); o == nil {
		o = h.c.Book.Overhaul(strings.TrimSuffix(path.Base(f.Place.Path), ".md"))
	}
	if o == nil || o.Path != f.Place.Path {
		return o, false
	}
	key := h.key(o, f.Place)
	for _, block := range []string{keys.NozzleLeft, keys.NozzleMarking, "assembled", "tries", "as_left", "received",
		"stored", "fitted", "running_after"} {
		if key == block || strings.HasPrefix(key, block+".") {
			return o, key != keys.NozzleMarkingFound
		}
	}
	return o, false
}

// keyAt is a key of a record, what is written there, and where it stands.
type keyAt struct {
	place logbook.Place
	key   string
	said  logbook.Said
}

// key is the key of a record that a place belongs to: the last one that begins there or before it, since a reading of a
// list has a place of its own; empty where none does.
func (h *histories) key(o *logbook.Overhaul, at logbook.Place) string {
	keys := h.keysOf(o)
	i, exact := slices.BinarySearchFunc(keys, at, func(k keyAt, at logbook.Place) int { return k.place.Compare(at) })
	if exact {
		return keys[i].key
	}
	if i == 0 {
		return ""
	}
	return keys[i-1].key
}

// keysOf are the keys of a record, worked out once.
func (h *histories) keysOf(o *logbook.Overhaul) []keyAt {
	keys, known := h.keys[o]
	if !known {
		keys = keysOf(o)
		h.keys[o] = keys
	}
	return keys
}

// keysOf are the keys of a record in the order in which they stand.
func keysOf(o *logbook.Overhaul) []keyAt {
	keys := make([]keyAt, 0, 128) // few records have more
	logbook.Says(o, func(s logbook.Said) {
		if s.Leaf.Present() {
			keys = append(keys, keyAt{s.Leaf.Place, s.Key, s})
		}
	})
	slices.SortStableFunc(keys, func(x, y keyAt) int { return x.place.Compare(y.place) })
	return keys
}

// about gives a finding its subject and its day.
func (h *histories) about(f *Finding) {
	o, left := h.half(f)
	if f.Since == 0 && o != nil {
		f.Since = o.Day()
		if left {
			f.Since = o.LeftOn()
			if key := h.key(o, f.Place); strings.HasPrefix(key, "fitted") || strings.HasPrefix(key, "running_after") {
				f.Since = cmp.Or(o.Fitted.Date.Day, f.Since)
			}
		}
	}
	if f.Since == 0 {
		f.Since = h.rowDay(f.Place)
	}
	if i, known := h.rounds[f.About.Round]; known && f.About.Round != "" {
		f.Since = h.c.Rounds[i].First
	}
	if f.Subject.Kind == 0 {
		f.Subject = h.subject(f, o, left)
	}
}

// rowDay is the day of the line of a table at a place; 0 where there is none.
func (h *histories) rowDay(at logbook.Place) logbook.Day {
	if h.rows == nil {
		h.rows = map[logbook.Place]logbook.Day{}
		b := h.c.Book
		add := func(r logbook.Row, d logbook.Date) {
			h.rows[logbook.Place{Path: r.Place.Path, Line: r.Place.Line}] = d.Day
		}
		for _, all := range b.Hours {
			for _, x := range all {
				add(x.Row, x.Date)
			}
		}
		for _, x := range b.Running {
			add(x.Row, x.Date)
		}
		for _, x := range b.Bunkers {
			add(x.Row, x.Received)
		}
		for _, x := range b.Stock {
			add(x.Row, x.Date)
		}
		for _, x := range b.Crew {
			add(x.Row, x.From)
		}
	}
	return h.rows[logbook.Place{Path: at.Path, Line: at.Line}]
}

// subject is what a finding is about: what its check says, or the record or file where that names none.
func (h *histories) subject(f *Finding, o *logbook.Overhaul, left bool) Subject {
	kind := OfBook
	if k := Named(f.Check); k != nil {
		kind = k.Subject
	}
	name := ""
	switch kind {
	case OfHolder, OfNozzle:
		kind, name = h.part(f, kind, o, left)
	case OfPosition, OfPocket:
		p := f.About.Position
		if fit := o; left && fit.Fitted.Engine.Stated() {
			p = logbook.Position{Engine: fit.Fitted.Engine.Written, Cylinder: fit.Fitted.Cylinder.Written}
		}
		if p.Engine != "" {
			name = p.String()
		}
		if kind == OfPocket && name != "" {
			f.asked = Subject{kind, name}
			name = h.heads.pocket(p, o, left)
		}
	case OfEngine:
		name = h.engine(f)
	case OfInstrument:
		name = f.About.Instrument
		if dir, base := path.Split(f.Place.Path); name == "" && dir == "instruments/" {
			name = strings.ToUpper(strings.TrimSuffix(base, ".md"))
		}
	case OfRound:
		name = f.About.Round
	case OfPost:
		name = h.post(f)
	case OfBook:
		return Subject{OfBook, ""}
	case OfLimits:
		name = strings.TrimSuffix(path.Base(f.Place.Path), ".md")
	}
	if name != "" {
		return Subject{kind, name}
	}
	if f.About.Record != "" {
		return Subject{OfRecord, f.About.Record}
	}
	return Subject{OfRecord, f.Place.Path}
}

// part is the holder or nozzle that a finding is about: of a nozzle the one that came out or went back, of a wear the
// part that wears, and the other of the two where one is not named.
func (h *histories) part(f *Finding, kind SubjectKind, o *logbook.Overhaul, left bool) (SubjectKind, string) {
	holder, nozzle := f.About.Holder, f.About.Nozzle
	if left {
		nozzle = cmp.Or(o.Nozzle.Left.Written, nozzle)
	}
	if o != nil {
		switch h.key(o, f.Place) {
		case keys.MeasuredHolderWear, keys.MeasuredHolderWearValue, keys.InspectedHolderFace, keys.InspectedInletFace,
			keys.InspectedDrillings:
			kind = OfHolder
		}
	}
	if kind == OfNozzle && nozzle != "" || holder == "" {
		return OfNozzle, nozzle
	}
	return OfHolder, holder
}

// engine is the engine whose counter or running data a finding speaks of.
func (h *histories) engine(f *Finding) string {
	base := strings.TrimSuffix(path.Base(f.Place.Path), ".csv")
	for _, e := range h.c.Book.Vessel.Engines {
		if logbook.FileName(e.ID.Written) == base {
			return e.ID.Written
		}
	}
	return f.About.Position.Engine
}

// post is the rank that the person of a finding had; the person where the crew list knows none.
func (h *histories) post(f *Finding) string {
	for _, p := range h.c.Book.Crew {
		if p.Place == f.Place || p.ID.Written == f.About.Person && (f.Since == 0 || p.From.Day <= f.Since) {
			if p.Rank.Written != "" {
				return strings.ToLower(p.Rank.Written)
			}
		}
	}
	return f.About.Person
}
