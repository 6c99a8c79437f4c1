package evidence

import (
	"fmt"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// valveType is a type of valve by its limits file, with the engines that run on it: valves of another type wear
// otherwise and have other limits, so nothing is drawn or counted across types.
type valveType struct {
	name    string // of the limits file; empty for engines without one
	engines []string
	in      *logbook.Revision // in force today
	limits  *logbook.Limits
}

// types are the types of valve in the order of the engines.
func (e *Evidence) types() []valveType {
	var all []valveType
	for _, x := range e.Book.Vessel.Engines {
		name, l := x.Limits.Written, e.Book.LimitsOf(x.ID.Written)
		if l == nil {
			name = ""
		}
		i := slices.IndexFunc(all, func(t valveType) bool { return t.name == name })
		if i < 0 {
			t := valveType{name: name, limits: l}
			t.in, _ = l.On(e.today)
			i, all = len(all), append(all, t)
		}
		all[i].engines = append(all[i].engines, x.ID.Written)
	}
	return all
}

func (t valveType) String() string {
	if t.name == "" {
		return "without limits (" + strings.Join(t.engines, ", ") + ")"
	}
	return t.name + " (" + strings.Join(t.engines, ", ") + ")"
}

func (t valveType) has(engine string) bool { return slices.Contains(t.engines, engine) }

// named says that a name, as a person types it, is that of the type or of one of its engines.
func (t valveType) named(name string) bool {
	return strings.EqualFold(name, t.name) || slices.ContainsFunc(t.engines,
		func(x string) bool { return strings.EqualFold(name, x) })
}

// source is the document that a limit of the type was copied from.
func (t valveType) source(at logbook.Place) string {
	if t.limits == nil {
		return ""
	}
	x, _ := t.limits.RevisionOf(at)
	return x.Source.Written
}

// scale is a unit to show values in, and how much of the base unit it is.
type scale struct {
	name string
	of   float64
}

// scaleOf is the unit that a limit is written in: a ship that sets in psi reads its drift in psi.
func scaleOf(q measure.Quantity, k measure.Kind) scale {
	u := measure.BaseUnit(k)
	if q.Valid() {
		u = q.Unit()
	}
	return scale{u.Name, measure.Of("1", u).Float()}
}

func (s scale) text(format string, v float64) string { return fmt.Sprintf(format, v/s.of) }
