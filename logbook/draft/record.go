package draft

import (
	"cmp"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// Step is a part of the work after which somebody puts down the tools and writes.
type Step struct {
	Name string   // as it is asked for: "found"
	Doc  string   // what has been done by then
	Keys []string // the top-level keys of the record that belong to it, in order
}

// Steps are the steps of an overhaul in the order of the work.
var Steps = []Step{
	{"found", "taken out and tested, before cleaning", []string{"removed", "as_found"}},
	{"received", "came on board built: its certificate, what was looked at", []string{"received"}},
	{"measured", "stripped, cleaned, looked at, measured, decided", []string{"stripped", "cleaned", "inspected",
		"measured", "decided"}},
	{"left", "built, set and tested", []string{"assembled", "as_left", "checked_by"}},
	{"stored", "in the spares rack", []string{"stored"}},
	{"landed", "sent ashore to be exchanged or overhauled", []string{"landed"}},
	{"fitted", "in its cylinder", []string{"fitted", "fitted_by"}},
	{"running_after", "run at load", []string{"running_after"}},
}

// StepNamed finds a step by its name.
func StepNamed(name string) (Step, bool) {
	i := slices.IndexFunc(Steps, func(s Step) bool { return s.Name == name })
	if i < 0 {
		return Step{}, false
	}
	return Steps[i], true
}

// Order is every top-level key of a record in the order of the work.
func (s *Sheet) Order() []string {
	var keys []string
	for _, f := range s.fields {
		keys = append(keys, f.Key)
	}
	return keys
}

// asked on request only: worked out by the book, or written when there is something to write.
var rare = []string{keys.NozzleMarkingFound, keys.NozzleConfidence, keys.RemovedHours, keys.AsFoundLockNut,
	keys.AsFoundEndCap, keys.AsLeftFirstOpening, keys.MeasuredEffectiveLift, keys.DecidedConsidered, keys.DecidedKeep,
	keys.AssembledParts, keys.FittedHolder, keys.FittedNozzle, keys.StrippedNeedleFreed,
	keys.StrippedNozzleFreed, keys.StoredTag}

// Record is a new record: what the book knows, and blanks for the first step. A build without a removal begins with its
// assembly.
func (s *Sheet) Record() []byte {
	var b strings.Builder
	b.WriteString("---\n# Fill in behind the colons, with the unit: 300 bar. What was not done is written with its " +
		"reason: not measured (why)\n" +
		"# Add the next step when its work is done. Text behind # is for you: keep it or take it out.\n")
	step, _ := StepNamed("found")
	keys := append([]string{"holder", "nozzle"}, step.Keys...)
	switch {
	case s.Received:
		keys = []string{"holder", "nozzle", "received", "measured", "as_left"}
	case s.FromRack:
		step, _ = StepNamed("fitted")
		keys = append([]string{"holder", "nozzle"}, step.Keys...)
	case s.Position == (logbook.Position{}):
		step, _ = StepNamed("left")
		keys = append([]string{"holder", "nozzle"}, step.Keys...)
	}
	for _, f := range s.fields {
		if slices.Contains(keys, f.Key) || f.Key == "by" {
			b.WriteString(s.block(f))
		}
	}
	b.WriteString("---\n\n")
	return []byte(b.String())
}

// Into fills in the cylinder that somebody named the valve for; none by the zero position.
func (s *Sheet) Into(at logbook.Position) {
	if at != (logbook.Position{}) {
		s.Known[keys.FittedEngine], s.Known[keys.FittedCylinder] = plain(at.Engine), plain(at.Cylinder)
	}
}

// On fills in the day on which the work of a step was done, and the counter of a fitting where it was read that day;
// none by the zero day.
func (s *Sheet) On(step Step, day logbook.Day) {
	if day == 0 {
		return
	}
	for _, key := range step.Keys {
		if key != "removed" { // its day is the record's own
			s.Known[key+".date"] = day.String()
		}
	}
	engine := cmp.Or(strings.Trim(s.Known[keys.FittedEngine], `"`), s.Position.Engine)
	if read, _ := CounterOn(s.book, engine, day); slices.Contains(step.Keys, "fitted") && read != "" {
		s.Known[keys.FittedCounter] = read
	}
}

// Block is the text of one top-level key with its blanks; empty where a record has no such key.
func (s *Sheet) Block(key string) string {
	for _, f := range s.fields {
		if f.Key == key {
			return s.block(f)
		}
	}
	return ""
}

func (s *Sheet) block(f logbook.Field) string {
	if f.Shape != logbook.ShapeBlock {
		return s.line("", f, f.Key)
	}
	var b strings.Builder
	b.WriteString(note(f.Key+":", f.Doc))
	for _, inner := range f.Fields {
		if inner.Key == "cooling" && s.Limit[f.Key+".cooling"] == "" { // the nozzle is not cooled
			continue
		}
		if full := f.Key + "." + inner.Key; !slices.Contains(rare, full) && !s.Received || s.copied(full) {
			b.WriteString(s.line("  ", inner, full))
		}
	}
	return b.String()
}

// copied says that a blank is for what the certificate of a received valve says, or for what is looked at on board.
func (s *Sheet) copied(key string) bool {
	if !s.Received || slices.Contains(rare, key) {
		return false
	}
	switch block, _, _ := strings.Cut(key, "."); block {
	case "nozzle":
		return key != keys.NozzleFound
	case "measured":
		return key == keys.MeasuredLift
	case "as_left":
		return key != keys.AsLeftRunningBefore && key != keys.AsLeftConnection && key != keys.AsLeftLockNut
	}
	return true
}

// line is one key with what is known and what helps to fill it in. A group within a block stands on one line, as
// engineers write it.
func (s *Sheet) line(indent string, f logbook.Field, full string) string {
	if f.Shape != logbook.ShapeBlock {
		return note(strings.TrimRight(indent+f.Key+": "+s.Known[full], " "), s.beside(f, full, false))
	}
	var inside, notes []string
	for _, x := range f.Fields {
		key := full + "." + x.Key
		inside = append(inside, x.Key+": "+s.Known[key])
		if n := s.beside(x, key, true); n != "" {
			notes = append(notes, n)
		}
	}
	if l := s.Limit[full]; f.Key == "cooling" && l != "" {
		notes = append([]string{"limit " + l}, notes...)
	}
	return note(indent+f.Key+": {"+strings.Join(inside, ", ")+"}", strings.Join(notes, "; "))
}

// beside is the help for one blank: its limit, its last value, what may stand there.
func (s *Sheet) beside(f logbook.Field, full string, named bool) string {
	var parts []string
	if l := s.Limit[full]; l != "" {
		parts = append(parts, "limit "+l)
	}
	if l := s.Last[full]; l != "" {
		parts = append(parts, "last "+l)
	}
	switch {
	case s.Choice[full] != "":
		parts = append(parts, s.Choice[full])
	case len(f.Words) > 0:
		parts = append(parts, strings.Join(f.Words, " | "))
	case f.Shape == logbook.ShapeAmounts:
		parts = append(parts, "[1st, 2nd, 3rd], each with its unit "+s.unitOf(full, f))
	case full == keys.NozzleFound && s.Nozzle != "":
		parts = append(parts, "as the book has it: read it on the part")
	case !named && len(parts) == 0:
		parts = append(parts, f.Doc)
	case named && len(parts) == 0 && f.Shape == logbook.ShapeAmount && s.Known[full] == "":
		return ""
	}
	text := strings.Join(parts, ", ")
	if named && text != "" {
		text = f.Key + ": " + text
	}
	return text
}

const noteColumn = 34

// note puts the help behind a key, below one another where there is room.
func note(text, help string) string {
	if help == "" {
		return text + "\n"
	}
	return text + strings.Repeat(" ", max(2, noteColumn-len([]rune(text)))) + "# " + help + "\n"
}
