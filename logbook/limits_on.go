package logbook

import (
	"cmp"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"sort"
)

// On gives the limits in force on a day: the revisions up to it, laid over one another. Each value keeps the place it
// was written at, so that a finding can show the line of the limit; [Limits.EditionOf] tells the revision. ok is false
// before the first, and for no limits at all: in states nothing then. It is never nil and is not to be changed.
func (l *Limits) On(day Day) (in *Revision, ok bool) {
	if l == nil {
		return &noRevision, false
	}
	i := sort.Search(len(l.laid), func(i int) bool { return l.laid[i].From.Day > day })
	if i == 0 {
		return &noRevision, false
	}
	return &l.laid[i-1], true
}

// OnFirst gives the limits in force on the first of the days that is known; where none is, it states nothing.
func (l *Limits) OnFirst(days ...Day) *Revision {
	for _, d := range days {
		if d != 0 {
			in, _ := l.On(d)
			return in
		}
	}
	return &noRevision
}

// noRevision stands where no limit was in force.
var noRevision Revision

// As gives the same limits as they would read if the revision in force on a day had been in force always: for looking
// at old work by other limits than its own, never for holding a record to them.
func (l *Limits) As(day Day) *Limits {
	fixed := *l
	fixed.laid = nil
	if in, ok := l.On(day); ok {
		always := *in
		always.From.Day = 0
		fixed.laid = []Revision{always}
	}
	return &fixed
}

// lay lays the revisions over one another once, when the file is read: every verdict asks for them.
func (l *Limits) lay() {
	revisions := append([]Revision(nil), l.Revisions...)
	sort.SliceStable(revisions, func(i, j int) bool { return revisions[i].From.Day < revisions[j].From.Day })
	var in Revision
	for _, e := range revisions {
		if e.From.Day == 0 {
			continue
		}
		overlay(reflect.ValueOf(&in).Elem(), reflect.ValueOf(e))
		l.laid = append(l.laid, in)
	}
}

// overlay copies what is present in the later revision over the earlier one, block by block.
func overlay(onto, from reflect.Value) {
	for _, f := range fieldsOf(from.Type()) {
		src, dst := from.Field(f.index), onto.Field(f.index)
		if f.List {
			if src.Len() > 0 {
				dst.Set(src)
			}
			continue
		}
		leaf, ok := src.Interface().(interface{ Present() bool })
		if !ok || !leaf.Present() {
			continue
		}
		if f.Shape == ShapeBlock {
			if stated, _ := src.Interface().(interface{ Stated() bool }); stated.Stated() && !states(src) {
				continue // its blanks, as a new book has them, ask for nothing
			}
			overlay(dst, src)
			dst.FieldByName("Leaf").Set(src.FieldByName("Leaf"))
			continue
		}
		dst.Set(src)
	}
}

// AskedAbout is what a limit is whose line is asked about: it judges nothing, and whoever shows it as written shows
// that.
const AskedAbout = "asked about"

func (l Leaf) askedAbout() Leaf {
	return Leaf{Place: l.Place, Key: l.Key, Written: l.Written + fmt.Sprintf(" (asked about: %s:%d)", l.Place.Path,
		l.Place.Line), Not: AskedAbout, present: true}
}

// Without is the book with some limits taken for not stated, by their places: what is asked about judges nothing, and
// no earlier limit in its place.
func (b *Book) Without(limits map[Place]bool) *Book {
	less := *b
	less.Limits = map[string]*Limits{}
	for name, l := range b.Limits {
		fewer := *l
		fewer.laid, fewer.Revisions = nil, append([]Revision(nil), l.Revisions...)
		for i := range fewer.Revisions {
			strike(reflect.ValueOf(&fewer.Revisions[i]).Elem(), limits)
		}
		fewer.lay()
		less.Limits[name] = &fewer
	}
	return &less
}

// WithLimits is the book with the text of a limits file in the place of what the file holds. What is written in both is
// where the file has it, and what is in the text alone at the first line of the file.
func (b *Book) WithLimits(path, text string) *Book {
	l := &Limits{}
	now, stem := (*Limits)(nil), ""
	for name, x := range b.Limits {
		if x.Path == path {
			now, stem = x, name
		}
	}
	if now == nil {
		return b
	}
	l.Name = stem
	l.Remarks = readFile(&Book{}, path, []byte(text), l, &l.File)
	places := map[string]Place{}
	for i := range now.Revisions {
		Says(&now.Revisions[i], func(s Said) { places[fmt.Sprint(i, s.Key)] = s.Leaf.Place })
	}
	for i := range l.Revisions {
		Says(&l.Revisions[i], func(s Said) {
			if p, ok := places[fmt.Sprint(i, s.Key)]; ok && p.Line > 0 {
				s.Leaf.Place = p
			} else if s.Leaf.Present() {
				s.Leaf.Place = now.Opening
			}
		})
		l.Revisions[i].Place = now.Opening
		if i < len(now.Revisions) {
			l.Revisions[i].Place = now.Revisions[i].Place
		}
	}
	l.lay()
	other := *b
	other.Limits = maps.Clone(b.Limits)
	other.Limits[stem] = l
	return &other
}

// strike takes the values at some places out of a block, and leaves what was written with a word on it.
func strike(block reflect.Value, places map[Place]bool) {
	for _, f := range fieldsOf(block.Type()) {
		switch v := block.Field(f.index); {
		case f.List:
		case f.Shape == ShapeBlock:
			strike(v, places)
		case places[leafOf(v).Place]:
			leaf := leafOf(v).askedAbout()
			v.SetZero()
			*leafOf(v) = leaf
		}
	}
}

// Blank says that a revision states no limit yet, as a new book has it: there is nothing to look up.
func (e *Revision) Blank() bool {
	bare := *e
	bare.From, bare.Source, bare.Rule, bare.Probability = Date{}, Text{}, Word{}, Amount{}
	return !states(reflect.ValueOf(bare))
}

// states says that a block holds a value at any depth.
func states(block reflect.Value) bool {
	for _, f := range fieldsOf(block.Type()) {
		v := block.Field(f.index)
		switch leaf, ok := v.Interface().(interface{ Present() bool }); {
		case f.List:
			if v.Len() > 0 {
				return true
			}
		case f.Shape == ShapeBlock:
			if states(v) {
				return true
			}
		case ok && leaf.Present():
			return true
		}
	}
	return false
}

// RevisionOf is the revision in which a limit stands, by the limit's place; ok is false for a place outside the file.
// The revision is never nil and is not to be changed.
func (l *Limits) RevisionOf(p Place) (e *Revision, ok bool) {
	e = &noRevision
	for i := range l.Revisions {
		x := &l.Revisions[i]
		if p.Path == l.Path && x.Place.Line <= p.Line && (!ok || x.Place.Line > e.Place.Line) {
			e, ok = x, true
		}
	}
	return e, ok
}

// LimitsOf is the limits file that applies on an engine; nil where the book has none.
func (b *Book) LimitsOf(engine string) *Limits {
	e := b.Engine(engine)
	if e == nil {
		return nil
	}
	return b.Limits[e.Limits.Written]
}

// WithoutLimits are the types of valve of which no limit of a test or a measurement is in force on a day.
func (b *Book) WithoutLimits(day Day) (types []string) {
	for _, e := range b.Vessel.Engines {
		in, _ := b.LimitsOf(e.ID.Written).On(day)
		stated := in.Opening.Used.Stated() || in.Opening.New.Stated() || in.Seat.Allow.Stated() ||
			in.LeakDown.AsLeft.Stated() || in.LeakDown.AsFound.Stated() ||
			in.Lift.Max.Stated() || in.Effective.Max.Stated() || in.HolderWear.Max.Stated()
		name := cmp.Or(e.Type.Written, e.ID.Written)
		if !stated && !slices.Contains(types, name) {
			types = append(types, name)
		}
	}
	return types
}

// LimitsFor is the limits file that applies to a record: that of the engine it came from, or came on board for, else of
// the engine it went to, else the book's only one.
func (b *Book) LimitsFor(o *Overhaul) *Limits {
	return b.limitsOfFirst(o, o.Removed.Engine.Written, o.Received.For.Written, o.Fitted.Engine.Written)
}

// LimitsAsLeft is the limits file that applies to a valve as it was left and fitted: that of the engine it went to,
// where that is known.
func (b *Book) LimitsAsLeft(o *Overhaul) *Limits {
	return b.limitsOfFirst(o, o.Fitted.Engine.Written, o.Received.For.Written, o.Removed.Engine.Written)
}

// LimitsOfSpare is the limits file that applies to a ready spare of the starting state.
func (b *Book) LimitsOfSpare(x *StartSpare) *Limits {
	return b.limitsOfFirst(nil, x.Fitted.Engine.Written, x.For.Written)
}

// LimitsOfHolder is the limits file that applies to a holder: that of the engine which its last record names, which it
// ran in last, or which the opening state means it for, else the book's only one.
func (b *Book) LimitsOfHolder(holder string) *Limits {
	var engines []string
	for _, o := range slices.Backward(b.Lives().Benches(holder)) {
		engines = append(engines, o.Fitted.Engine.Written, o.Received.For.Written, o.Removed.Engine.Written)
	}
	for _, s := range slices.Backward(b.Lives().OfHolder(holder)) {
		engines = append(engines, s.Engine)
	}
	for _, x := range b.Vessel.Opening.Rack {
		if x.Holder.Written == holder {
			engines = append(engines, x.For.Written)
		}
	}
	return b.limitsOfFirst(nil, engines...)
}

// limitsOfFirst is the limits file of the first of the engines that the book knows; where it knows none of them, that
// of the engine that the same valve was of before the record, else the book's only one.
func (b *Book) limitsOfFirst(o *Overhaul, engines ...string) *Limits {
	for _, engine := range engines {
		if b.Engine(engine) != nil {
			return b.LimitsOf(engine)
		}
	}
	if o != nil && b.lives != nil {
		if engine := b.lives.engineBefore(o); b.Engine(engine) != nil {
			return b.LimitsOf(engine)
		}
	}
	var only *Limits
	for _, e := range b.Vessel.Engines {
		l := b.Limits[e.Limits.Written]
		if only != nil && l != only {
			return nil
		}
		only = l
	}
	return only
}

// revisionOrder reports revisions that do not follow one another.
func (b *Book) revisionOrder() {
	for _, l := range b.Limits {
		for i := 1; i < len(l.Revisions); i++ {
			a, c := l.Revisions[i-1], l.Revisions[i]
			if c.From.Day != 0 && c.From.Day <= a.From.Day {
				b.Problems = append(b.Problems, Problem{Place: c.From.Place, Slip: SlipRevisionOverlap, Key: c.From.Key,
					Found:    c.From.Written,
					Expected: "a later day than the revision before it, " + a.From.Written, Related: a.From.Place, Read: true})
			}
		}
	}
}
