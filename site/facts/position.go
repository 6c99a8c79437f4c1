package facts

import (
	"slices"
	"strings"

	"needlebook/logbook"
)

// allPositions are the vessel's positions in their order, then those that only the records know, in the order of
// their names.
func (k *Facts) allPositions() []logbook.Position {
	all := k.Book.Positions()
	known := map[logbook.Position]bool{}
	for _, p := range all {
		known[p] = true
	}
	var more []logbook.Position
	note := func(e, c logbook.Serial) {
		p := logbook.Position{Engine: e.Written, Cylinder: c.Written}
		if e.Stated() && c.Stated() && !known[p] {
			known[p] = true
			more = append(more, p)
		}
	}
	for _, o := range k.Book.Overhauls {
		note(o.Removed.Engine, o.Removed.Cylinder)
		note(o.Fitted.Engine, o.Fitted.Cylinder)
	}
	for _, f := range k.Book.Vessel.Opening.Fitted {
		note(f.Engine, f.Cylinder)
	}
	for _, f := range k.Book.Vessel.Opening.Rack {
		note(f.Fitted.Engine, f.Fitted.Cylinder)
	}
	slices.SortFunc(more, func(a, b logbook.Position) int {
		return strings.Compare(a.Engine+"\x00"+a.Cylinder, b.Engine+"\x00"+b.Cylinder)
	})
	return append(dedupe(all), more...)
}

// dedupe drops a position that the vessel names twice.
func dedupe(all []logbook.Position) []logbook.Position {
	seen := map[logbook.Position]bool{}
	var once []logbook.Position
	for _, p := range all {
		if !seen[p] {
			seen[p] = true
			once = append(once, p)
		}
	}
	return once
}

// PositionNamed is the position of a name such as ME1-3.
func (k *Facts) PositionNamed(name string) logbook.Position {
	i := slices.IndexFunc(k.Positions, func(p logbook.Position) bool { return p.String() == name })
	if i < 0 {
		return logbook.Position{}
	}
	return k.Positions[i]
}

// CylinderName is the name of a position in full.
func (k *Facts) CylinderName(p logbook.Position) string {
	name := "Cylinder " + p.Cylinder + " of " + p.Engine
	if e := k.Book.Engine(p.Engine); e != nil && e.Name.Stated() {
		name += ", " + e.Name.Written
	}
	return name
}

// RemovedFrom is the position that a record says its valve came out of.
func RemovedFrom(o *logbook.Overhaul) logbook.Position {
	return logbook.Position{Engine: o.Removed.Engine.Written, Cylinder: o.Removed.Cylinder.Written}
}

// FittedTo is the position that a record says its valve went to.
func FittedTo(o *logbook.Overhaul) logbook.Position {
	return logbook.Position{Engine: o.Fitted.Engine.Written, Cylinder: o.Fitted.Cylinder.Written}
}

// Decision is what was decided, in a few words.
func Decision(o *logbook.Overhaul) string {
	text := ""
	d := &o.Decided
	for _, d := range []struct{ what, word string }{
		{"nozzle", d.Nozzle.Written}, {"holder", d.Holder.Written}, {"spring", d.Spring.Written},
	} {
		if d.word == "" || d.word == "reuse" {
			continue
		}
		if text != "" {
			text += ", "
		}
		text += d.what + " " + d.word
	}
	switch {
	case text != "":
		return text
	case o.Decided.Stated():
		return "reuse"
	}
	return "–"
}

// Said is a value as written, or a word where nothing stands.
func Said(l logbook.Leaf) string {
	if l.Written == "" {
		return "(not stated)"
	}
	return l.Written
}

// StrayPositions are those that records name and the vessel does not.
func (k *Facts) StrayPositions() []logbook.Position {
	return k.Positions[len(dedupe(k.Book.Positions())):]
}
