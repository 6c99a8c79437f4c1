package card

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"unicode/utf8"
)

// Report is one round for whoever was not there: the ship's maintenance system, class, the owner. It is in words; the
// verdicts among them were made elsewhere.
type Report struct {
	Vessel, Round, Engine string
	Job                   string // "job 24-77, permit 3": as the ship's maintenance system numbers it; may be empty
	When                  string // when the valves came out, and at what counter
	Limits                string // where the limits were copied from
	Valves                []Valve
	Parts                 []string // used, each with its number
	Deviations            []string // a finding each, the open ones first
	Calibrations          []string // an instrument each
	Signatures            []string
	State                 string // what the report rests on: day, commit
}

// Valve is one valve of the round.
type Valve struct {
	Cylinder, Ran, Decided, To string
	Out, In                    []string // holder, nozzle, and of what came in the day
	Found, Left                []Value  // as many in each valve, in the order of FoundNames and LeftNames
}

// The names of the values, in their order.
var (
	FoundNames = []string{"opening", "leak-down", "seat", "spray", "cooling space", "lift"}
	LeftNames  = []string{"opening", "leak-down", "seat", "spray", "cooling space"}
)

// Value is a value with its limit, and its verdict where that is not plainly within.
type Value struct {
	Text, Limit, Verdict string
	Brief                string // as it was read, where Text says more
	Why                  string // why it was not measured, where that is written
}

// NotMeasured is the text of a value that was not measured; None of one that nothing asks for.
const (
	NotMeasured = "not measured"
	None        = "–"
)

// String is the value with its verdict, in few words.
func (v Value) String() string {
	if v.Verdict == "" || v.Verdict == v.Text {
		return cmp.Or(v.Brief, v.Text)
	}
	return cmp.Or(v.Brief, v.Text) + " " + v.Verdict
}

// mostLines is how long the plain text is at most, so that it goes into one field of another program.
const mostLines = 20

// Text is the report in at most twenty lines of plain text, the job number first.
func (r *Report) Text() string {
	var head, tail []string
	if r.Job != "" {
		head = append(head, cut(r.Job))
	}
	head = append(head, fmt.Sprintf("Round %s of %s, %s: %s", cut(r.Round), cut(r.Vessel), cut(r.Engine), r.When),
		"Limits: "+limitsOf(r)+" ("+cut(r.Limits)+")")
	tail = append(tail, "Parts used: "+joined(r.Parts, 8))
	tail = append(tail, some("Deviation: ", r.Deviations, 3)...)
	tail = append(tail, "Calibrations: "+joined(r.Calibrations, 8))
	tail = append(tail, some("Signatures: ", r.Signatures, 2)...)
	tail = append(tail, r.State)
	lines := head
	room := mostLines - len(head) - len(tail)
	each := (len(r.Valves) + room - 1) / room
	for chunk := range slices.Chunk(r.Valves, max(each, 1)) {
		var parts []string
		for _, v := range chunk {
			parts = append(parts, fmt.Sprintf("cyl. %s: out %s, ran %s; found %s; %s; left %s; %s; in %s", v.Cylinder,
				strings.Join(v.Out, " / "), v.Ran, values(v.Found, FoundNames), v.Decided, values(v.Left, LeftNames), v.To,
				strings.Join(v.In, " / ")))
		}
		lines = append(lines, strings.Join(parts, " | "))
	}
	return strings.Join(append(lines, tail...), "\n") + "\n"
}

// values are those that were read, in the order in which the line of the limits names them; those that were not are
// named, with the reason where one is written.
func values(all []Value, names []string) string {
	var parts, reasons []string
	missing := map[string][]string{} // by reason
	for i, v := range all {
		switch v.Text {
		case None:
		case NotMeasured:
			if missing[v.Why] == nil {
				reasons = append(reasons, v.Why)
			}
			missing[v.Why] = append(missing[v.Why], names[i])
		default:
			parts = append(parts, v.String())
		}
	}
	for _, why := range reasons {
		text := strings.Join(missing[why], ", ") + " " + NotMeasured
		if why != "" {
			text += " (" + why + ")"
		}
		parts = append(parts, text)
	}
	return cmp.Or(strings.Join(parts, ", "), None)
}

// limitsOf are the limits that the values were held against, each once.
func limitsOf(r *Report) string {
	var parts []string
	for i := range FoundNames {
		if l := limits(r, func(v *Valve) Value { return v.Found[i] }); len(l) > 0 {
			parts = append(parts, FoundNames[i]+" as found "+strings.Join(l, " or "))
		}
	}
	for i := range LeftNames {
		if l := limits(r, func(v *Valve) Value { return v.Left[i] }); len(l) > 0 {
			parts = append(parts, LeftNames[i]+" as left "+strings.Join(l, " or "))
		}
	}
	if len(parts) == 0 {
		return "none in force"
	}
	return strings.Join(parts, "; ")
}

// limits are the different limits of one value over all valves.
func limits(r *Report, of func(v *Valve) Value) (all []string) {
	for i := range r.Valves {
		if l := of(&r.Valves[i]).Limit; l != "" && !slices.Contains(all, l) {
			all = append(all, l)
		}
	}
	return all
}

// some are the first of a list, a line each, and how many more there are; one line that says none where there are none.
func some(name string, all []string, most int) []string {
	if len(all) == 0 {
		return []string{name + "none"}
	}
	var lines []string
	for i, l := range all {
		if i == most-1 && len(all) > most {
			return append(lines, fmt.Sprintf("%s%d more", name, len(all)-i))
		}
		lines = append(lines, name+l)
	}
	return lines
}

func joined(all []string, most int) string {
	if len(all) == 0 {
		return "none stated"
	}
	more := ""
	if len(all) > most {
		more = fmt.Sprintf("; %d more", len(all)-most)
		all = all[:most]
	}
	return strings.Join(all, "; ") + more
}

// cut is a text as short as a line of the report bears.
func cut(text string) string {
	const most = 80
	if utf8.RuneCountInString(text) > most {
		return string([]rune(text)[:most-1]) + "…"
	}
	return text
}

// column is one value of all valves: its name, and its limit where it is the same for all.
type column struct {
	Name, Limit string
	Each        bool // the limit is beside each value
}

// WriteReport writes the report as one HTML file that prints on one A4 page.
func WriteReport(w io.Writer, r *Report) error {
	data := reported{Report: r, Standing: strings.Replace(standing, "This card", "This report", 1)}
	found := columnsOf(r, FoundNames, func(v *Valve) []Value { return v.Found }, &data.Found)
	left := columnsOf(r, LeftNames, func(v *Valve) []Value { return v.Left }, &data.Left)
	short := *r
	short.Deviations, short.Signatures = some("", r.Deviations, 9), some("", r.Signatures, 6)
	short.Parts, short.Calibrations = []string{joined(r.Parts, 14)}, []string{joined(r.Calibrations, 14)}
	short.Valves = slices.Clone(r.Valves)
	for i := range short.Valves {
		v := &short.Valves[i]
		v.Found, v.Left = only(v.Found, found), only(v.Left, left)
	}
	data.Report = &short
	data.Size = sizeFor(&short, data.Found, data.Left)
	return data.write(w)
}

// columnsOf adds the columns that some valve has something in, or a limit: those of an engine that is not cooled have
// no cooling space. The places of these are returned.
func columnsOf(r *Report, names []string, of func(v *Valve) []Value, all *[]column) (at []int) {
	for i, name := range names {
		l := limits(r, func(v *Valve) Value { return of(v)[i] })
		if l != nil || slices.ContainsFunc(r.Valves, func(v Valve) bool { return of(&v)[i].Text != None }) {
			*all, at = append(*all, columnOf(name, l)), append(at, i)
		}
	}
	return at
}

// only are the values at some places.
func only(all []Value, at []int) (some []Value) {
	for _, i := range at {
		some = append(some, all[i])
	}
	return some
}

// sizeFor is the size of letters at which a report is sure to fit its page: by how many letters there are, as most of
// them are in the cells of a table, which they fill to a third.
func sizeFor(r *Report, found, left []column) float64 {
	const (
		area     = 277 * 150  // mm² for table and lists
		filled   = 0.33       //
		letter   = 0.5 * 1.15 // width and height of one, in squares of its size
		millis   = 25.4 / 72  // of a point
		most     = 8.4
		perValue = 8 // borders and room of a cell, in letters
	)
	n := 400 // the heads
	for _, v := range r.Valves {
		for _, text := range slices.Concat(v.Out, v.In, []string{v.Cylinder, v.Ran, v.Decided, v.To}) {
			n += utf8.RuneCountInString(cut(text)) + perValue
		}
		for i, value := range slices.Concat(v.Found, v.Left) {
			n += utf8.RuneCountInString(cut(value.Text)) + len(value.Verdict) + perValue
			if slices.Concat(found, left)[i].Each {
				n += utf8.RuneCountInString(value.Limit)
			}
		}
	}
	for _, text := range slices.Concat(r.Deviations, r.Parts, r.Calibrations, r.Signatures) {
		n += utf8.RuneCountInString(text)
	}
	return min(most, math.Sqrt(area*filled/(float64(n)*letter))/millis)
}

func columnOf(name string, limits []string) column {
	switch len(limits) {
	case 0:
		return column{Name: name, Limit: "no limit"}
	case 1:
		return column{Name: name, Limit: limits[0]}
	}
	return column{Name: name, Each: true}
}
