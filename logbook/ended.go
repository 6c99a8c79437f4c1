package logbook

import (
	"cmp"
	"slices"
)

// End is when and where a part was taken out of use for good.
type End struct {
	Word  string    // condemned or scrapped
	Day   Day       // 0 where none is stated: it is out all the same
	Place Place     // of the decision, or in the part's own file
	By    *Overhaul // nil where the part's own file says so
}

// String is the end in words: "condemned on 2022-10-14".
func (e End) String() string {
	if e.Day == 0 {
		return e.Word
	}
	return e.Word + " on " + e.Day.String()
}

// findEnds lists the ends of parts, by the decision of an overhaul or by the part's own file, whichever came first.
func (b *Book) findEnds() {
	b.ends = map[partID]End{}
	add := func(kind, serial string, e End) {
		if was, known := b.ends[partID{kind, serial}]; serial != "" && (!known || e.Day < was.Day) {
			b.ends[partID{kind, serial}] = e
		}
	}
	for _, o := range b.Overhauls {
		if w := o.Decided.Holder; w.Is("condemn") {
			add("holder", o.Holder.Written, End{"condemned", o.Day(), w.Place, o})
		}
		if w := o.Decided.Nozzle; w.Is("condemn") {
			add("nozzle", o.Nozzle.Found.Written, End{"condemned", o.Day(), w.Place, o})
		}
	}
	for _, p := range b.Parts {
		for _, kind := range []string{"holder", "nozzle"} {
			switch {
			case p.Kind.Stated() && !p.Kind.Is(kind):
			case p.Condemned.Stated():
				add(kind, p.Number(), End{"condemned", p.Condemned.Date.Day, p.Condemned.Place, nil})
			case p.Scrapped.Stated():
				add(kind, p.Number(), End{"scrapped", p.Scrapped.Date.Day, p.Scrapped.Place, nil})
			}
		}
	}
}

// EndOf is the end of a part, holder or nozzle; ok is false for one that may be used.
func (b *Book) EndOf(kind, serial string) (e End, ok bool) {
	e, ok = b.ends[partID{kind, serial}]
	return e, ok
}

// EndBy is EndOf for an end that had come by a day.
func (b *Book) EndBy(kind, serial string, day Day) (e End, ok bool) {
	e, ok = b.EndOf(kind, serial)
	return e, ok && e.Day <= day
}

// CondemnedPart is a part that must not be fitted again.
type CondemnedPart struct {
	Kind, Serial string // nozzle, holder or spring; the kind is empty where its file does not say it
	End
	Why string
}

// Condemned lists the parts that are condemned and may still be on board, by kind and serial: those that were scrapped
// or landed since are left out.
func (b *Book) Condemned() (all []CondemnedPart) {
	gone := func(p *Part) bool { return p != nil && (p.Scrapped.Stated() || p.Landed.Stated()) }
	for id, e := range b.ends {
		if p := b.Part(id.kind, id.serial); e.By != nil && !gone(p) {
			all = append(all, CondemnedPart{id.kind, id.serial, e, e.By.Decided.Why.Written})
		}
	}
	for _, p := range b.Parts {
		if e := b.ends[partID{p.Kind.Written, p.Number()}]; p.Condemned.Stated() && e.By == nil && !gone(p) {
			end := End{"condemned", p.Condemned.Date.Day, p.Condemned.Place, nil}
			all = append(all, CondemnedPart{p.Kind.Written, p.Number(), end, p.Condemned.Why.Written})
		}
	}
	slices.SortFunc(all, func(x, y CondemnedPart) int {
		return cmp.Or(cmp.Compare(x.Kind, y.Kind), cmp.Compare(x.Serial, y.Serial))
	})
	return all
}
