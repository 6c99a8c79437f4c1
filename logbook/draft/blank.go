package draft

import (
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// Blank is one value that a record asks for in the course of the work.
type Blank struct {
	Step   string // the name of its step: "found"
	Key    string // with those above it
	Field  logbook.Field
	Unit   string // of a bare number: that of its limit, else the schema's; empty where there is none
	Known  string // what the book fills in, as it is typed
	Limit  string
	Last   string
	Choice string // what may be named there, with bars between
}

// Blanks are the values that the record asks for, step after step as the work goes on: what is in the head of a record
// and is known only at the build stands with the build.
func (s *Sheet) Blanks() (all []Blank) {
	add := func(step string, tops ...string) {
		for _, f := range s.fields {
			if slices.Contains(tops, f.Key) {
				s.blanks(&all, step, f, f.Key)
			}
		}
	}
	add("found", "holder", "nozzle")
	built := slices.DeleteFunc(slices.Clone(all), func(b Blank) bool { return !ofTheBuild(b.Key) })
	all = slices.DeleteFunc(all, func(b Blank) bool { return ofTheBuild(b.Key) })
	for _, step := range Steps {
		switch step.Name {
		case "received", "landed":
			continue
		case "left":
			for _, b := range built {
				b.Step = step.Name
				all = append(all, b)
			}
		}
		add(step.Name, step.Keys...)
		if step.Name == "left" {
			add(step.Name, "by", "minutes", "photos")
		}
	}
	return all
}

// ofTheBuild says that a key of the record's head is known only when the valve is built.
func ofTheBuild(key string) bool { return key == keys.NozzleLeft || key == keys.NozzleMarking }

func (s *Sheet) blanks(all *[]Blank, step string, f logbook.Field, key string) {
	switch {
	case f.List, slices.Contains(rare, key):
		return
	case f.Key == "cooling" && s.Limit[key] == "": // the nozzle is not cooled
		return
	case f.Shape != logbook.ShapeBlock:
		*all = append(*all, Blank{step, key, f, s.unitOf(key, f), s.Known[key], s.Limit[key], s.Last[key], s.Choice[key]})
		return
	}
	for _, inner := range f.Fields {
		s.blanks(all, step, inner, key+"."+inner.Key)
	}
}

// unitOf is the unit of a bare number at a key: a gauge on the bench and a torque wrench show that of the limits.
func (s *Sheet) unitOf(key string, f logbook.Field) string {
	test, rest, _ := strings.Cut(key, ".")
	switch {
	case f.Unit == "bar" && (test == "as_found" || test == "as_left") && !strings.HasPrefix(rest, "running_before."):
		return s.Pressure()
	case f.Unit == "N·m":
		return s.Torque(key)
	}
	return f.Unit
}
