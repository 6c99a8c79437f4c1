package founding

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/language"
)

const readme = `# This folder is a book

It keeps the record of the overhauls of the fuel injection valves of one vessel. Everything is text: read and write it with any
editor. Before and above it come the makers' manuals, the company's safety management system, class, flag, and the engineer on
board.

1. Fill in limits/ from the owner's copy of the maker's manual, each limit with its page. What stays empty is judged by nothing.
2. Fill in under opening in book.md which valve sits where on the first day, and what lies in the spares rack.
3. Give each gauge, micrometer, torque wrench and bench its file: instruments/<id>.md. The editor knows the keys from schema/.
4. Write down the hour counters: hours/<engine>.csv.
5. Begin a record: needlebook enter, or a file overhauls/<engine>/<cylinder>/<date>-<holder>.md written by hand.
6. needlebook check says what is missing, and what to type.

The schemas of every kind of file are in schema/, as JSON Schema. An editor that knows the standard completes and checks the
front matter with them: point its setting for YAML schemas at them.
`

// vessel is book.md.
func (b Book) vessel() string {
	var t strings.Builder
	t.WriteString("---\n# The vessel, her engines, what sat where on the first day, and the thresholds of the rules. " +
		"Text behind # is for you.\n")
	fmt.Fprintf(&t, "vessel: %s\nformat: %d                        # of the book; the program writes it\n"+
		"languages: [%s]                   # of labels on cards: %s; records keep the standard "+
		"words\nengines:                          # cylinders in their order; every record "+
		"names them so\n", quote(b.Vessel), logbook.Format,
		cmp.Or(strings.Join(b.Languages, ", "), language.Standard), strings.Join(language.Known(), ", "))
	for _, e := range b.Engines {
		fmt.Fprintf(&t, "  - {id: %s, ", quote(e.ID))
		if e.Name != "" {
			fmt.Fprintf(&t, "name: %s, ", quote(e.Name))
		}
		if e.ValvesOf != "" {
			fmt.Fprintf(&t, "valves_of: %s, type: %s", quote(e.ValvesOf), quote(e.Type))
		} else {
			fmt.Fprintf(&t, "type: %s, cylinders: [%s], numbered_from: %s", quote(e.Type), strings.Join(e.Cylinders, ", "),
				quote(e.From))
		}
		fmt.Fprintf(&t, ", limits: %s", quote(logbook.FileName(e.Type)))
		if e.Interval != "" {
			fmt.Fprintf(&t, ", interval: %s", amount(e.Interval))
		}
		t.WriteString("}\n")
	}
	fmt.Fprintf(&t, "opening:                          # what sat where, and what lay in the spares rack\n  date: %s\n  "+
		"fitted:                         # since: hours it had run by that day; left: opening pressure it was set to\n",
		b.From)
	for _, e := range b.Engines {
		for _, c := range b.CylindersOf(e) {
			t.WriteString(b.fitted(e.ID, c))
		}
	}
	t.WriteString("  spares:\n")
	for _, v := range b.Rack {
		t.WriteString("    - {" + v.parts() + "}\n")
	}
	if len(b.Rack) == 0 {
		t.WriteString("    # - {holder: \"\", nozzle: \"\", left: , place: }\n")
	}
	t.WriteString("accepts:\n  failed_as_found:                   # chance of a bad valve the owner accepts at full " +
		"interval, in %\n")
	t.WriteString("settings:                         # thresholds of the rules: the owner's to change, each with where " +
		"it comes from\n")
	for _, f := range logbook.KindNamed("book").Fields {
		if f.Key != "settings" {
			continue
		}
		for _, s := range f.Fields {
			fmt.Fprintf(&t, "  %-31s # %s; %s\n", s.Key+": "+s.Default, s.Doc, s.Source)
		}
	}
	t.WriteString("---\n" + b.remarks())
	return t.String()
}

// remarks are what an older list says of each valve, as it was written.
func (b Book) remarks() string {
	var t strings.Builder
	for _, v := range slices.Concat(b.Fitted, b.Rack) {
		if v.Remark == "" {
			continue
		}
		if t.Len() == 0 {
			t.WriteString("\n## From the list that the book began with\n\n")
		}
		fmt.Fprintf(&t, "- %s, %s: %s\n", v.place(), v.Holder, strings.Join(strings.Fields(v.Remark), " "))
	}
	return t.String()
}

func (b Bench) path() string { return "instruments/" + logbook.FileName(b.ID) + ".md" }

// file is the bench's file, what is not known left blank.
func (b Bench) file() string {
	var t strings.Builder
	fmt.Fprintf(&t, "---\n# Viscosities and density are on the data sheet of the oil: without them a leak-down is known "+
		"less well.\nid: %s\nkind: bench\nmeasures: pressure\noil:\n", quote(b.ID))
	for _, x := range [][2]string{{"name", b.Oil}, {"viscosity_40", b.At40}, {"viscosity_100", b.At100},
		{"density_15", b.Density}} {
		value := x[1]
		if x[0] == "name" && value != "" {
			value = quote(value)
		}
		t.WriteString(strings.TrimRight("  "+x[0]+": "+value, " ") + "\n")
	}
	t.WriteString("trapped_volume:                   # oil shut in during the leak-down, in cm³\n" +
		"own_leak:                         # on a blank plug: {from: , to: , time: }\n" +
		"max_pressure:                     # the bench's own limit, in bar\n---\n")
	return t.String()
}

// fitted is the line of one position, or a line to fill in.
func (b Book) fitted(engine, cylinder string) string {
	for _, v := range b.Fitted {
		if v.Engine == engine && v.Cylinder == cylinder {
			return fmt.Sprintf("    - {engine: %s, cylinder: %s, %s}\n", quote(engine), quote(cylinder), v.parts())
		}
	}
	return fmt.Sprintf("    # - {engine: %s, cylinder: %s, holder: \"\", nozzle: \"\", counter: , since: , left: , "+
		"marking: }\n", quote(engine), quote(cylinder))
}

// amount is a value with its unit as it was typed, whole whatever it holds: between braces a comma would end it.
func amount(text string) string {
	if strings.ContainsAny(text, ",[]{}:#&*!|>'\"%@`\\") {
		return quote(text)
	}
	return text
}

// place is where a valve is, as a person names it.
func (v Valve) place() string {
	if v.Engine == "" {
		return "the spares rack"
	}
	return v.Engine + "-" + v.Cylinder
}

// parts are the keys of a valve that are known.
func (v Valve) parts() string {
	parts := []string{"holder: " + quote(v.Holder)}
	if v.Nozzle != "" {
		parts = append(parts, "nozzle: "+quote(v.Nozzle))
	}
	for _, p := range [][2]string{{"counter", v.Counter}, {"since", v.Since}, {"left", v.Left}} {
		if p[1] != "" {
			parts = append(parts, p[0]+": "+amount(p[1]))
		}
	}
	if v.For != "" {
		parts = append(parts, "for: "+quote(v.For))
	}
	if v.Marking != "" {
		parts = append(parts, "marking: "+quote(v.Marking))
	}
	return strings.Join(parts, ", ")
}

// limits is the limits file of one type: every limit there is, blank, each with room for the page it is copied from.
func (b Book) limits(kind string) string {
	var t strings.Builder
	t.WriteString("---\n# Copy each limit from the owner's copy of the maker's manual, with its unit, and write its " +
		"page behind #.\n" +
		"# Leave empty what the manual does not state: it is judged by nothing, and said so.\n" +
		"# A later revision is a second item below this one; it states only what changed.\n")
	fmt.Fprintf(&t, "type: %s\nrevisions:\n", quote(kind))
	for _, f := range logbook.KindNamed("limits").Fields {
		if f.Key != "revisions" {
			continue
		}
		for i, e := range f.Fields {
			indent := "    "
			if i == 0 {
				indent = "  - "
			}
			known := map[string]string{"from": b.From.String(), "rule": "simple"}[e.Key]
			blank(&t, indent, "    ", e, known)
		}
	}
	t.WriteString("---\n")
	return t.String()
}

func blank(t *strings.Builder, first, indent string, f logbook.Field, known string) {
	if f.Shape == logbook.ShapeBlock {
		fmt.Fprintf(t, "%-34s# %s\n", first+f.Key+":", f.Doc)
		for _, x := range f.Fields {
			blank(t, indent+"  ", indent+"  ", x, "")
		}
		return
	}
	how := f.How()
	if how != "" {
		how = "; " + how
	}
	page := ""
	if known == "" && f.Key != "source" {
		page = "; page:"
	}
	fmt.Fprintf(t, "%-34s# %s%s%s\n", strings.TrimRight(first+f.Key+": "+known, " "), f.Doc, how, page)
}
