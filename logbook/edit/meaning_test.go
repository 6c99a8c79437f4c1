package edit_test

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/edit"
)

// A value as it stands in a file of the book, with %s in its place.
type sort struct {
	name, path, file string
	clean            []string
}

const oneRecord = "overhauls/me1/c1/2024-04-02-h-1.md"

var sorts = []sort{
	{"quantity", oneRecord, "---\nholder: \"H-1\"\nmeasured:\n  lift: %s # by eye\nweather: 2,5 m\n---\nText 2,5 Bar.\n", []string{"0.76 mm", "12 mm", "30 thou"}},
	{"quantity in braces", oneRecord, "---\nas_found: {gauge: PG-1, first_opening: %s, date: 2024-04-02}\n---\n", []string{"300.5 bar", "31.5 MPa", "4350 psi"}},
	{"quantity in quotes", oneRecord, "---\nassembled: {nozzle_nut: {torque: \"%s\", wrench: TW-1}}\n---\n", []string{"400.5 N·m", "42 kgf·m"}},
	{"hours", oneRecord, "---\nremoved:\n  engine: ME1\n  counter: %s\n---\n", []string{"18340 h", "18340.5 h"}},
	{"temperature", oneRecord, "---\nas_found:\n  oil: %s\n---\n", []string{"21 °C", "21.5 °C"}},
	{"difference", "running/me1.csv", "date,cylinder,exhaust_dev_k\n2024-01-02,1,%s\n2024-01-09,2,-3\n", []string{"-12", "+7.5"}},
	{"band", "limits/t.md", "---\nrevisions:\n  - from: 2024-01-01\n    leak_down:\n      as_left: %s\n---\n", []string{"2.5 s ..", ".. 40.5 s", "6.0 .. 40 s"}},
	{"band in braces", "limits/t.md", "---\nrevisions:\n  - {from: 2024-01-01, opening_pressure: {used: %s}, laps: 1}\n---\n", []string{"320 +10/-0 bar", "320.5 ±2.5 bar", "at least 320 bar"}},
	{"torque", "limits/t.md", "---\nrevisions:\n  - from: 2024-01-01\n    nozzle_nut: {torque: %s}\n---\n", []string{"90.0 N·m ..", "90 N·m", "90 ±5 N·m"}},
	{"at", "limits/t.md", "---\nrevisions:\n  - from: 2024-01-01\n    seat: {at: %s, for: 10 s}\n---\n", []string{"opening - 20 bar", "opening + 2.5 bar", "300 bar"}},
	{"list", oneRecord, "---\nas_left:\n  opening_pressure: [%s, 320.5 bar]\n---\n", []string{"320.5 bar", "32.5 MPa"}},
	{"count", oneRecord, "---\nas_left:\n  spray: {open: %s, weak: [2]}\n---\n", []string{"9", "12"}},
	{"word", oneRecord, "---\ninspected: {tip: %s}\n---\n", []string{"good", "burnt"}},
	{"date", oneRecord, "---\nremoved: {date: %s}\n---\n", []string{"2024-04-23", "2024-04-02"}},
	{"serial", oneRecord, "---\nholder: %s\n---\n", []string{"H-1", "H-2"}},
	{"range", "instruments/pg-1.md", "---\nid: PG-1\nkind: gauge\nrange: %s\n---\n", []string{"0 .. 600 bar", "600 bar"}},
	{"counter cell", "hours/me1.csv", "date,counter_h,note\n2024-01-01,18100,\n2024-01-08,%s,x\n2024-01-15,18345,\n", []string{"18220", "18220.5"}},
	{"date cell", "hours/me1.csv", "date,counter_h,note\n2024-01-01,18100,\n%s,18200,\n2024-01-25,18345,\n", []string{"2024-01-13", "2024-01-08"}},
}

// What people do to a value. The habits are common practice, no source.
var slips = []struct {
	name string
	do   func(string) string
}{
	{"comma", func(s string) string { return strings.ReplaceAll(s, ".", ",") }},
	{"first comma", func(s string) string { return strings.Replace(s, ".", ",", 1) }},
	{"capitals", strings.ToUpper},
	{"one capital", func(s string) string {
		first, rest, _ := strings.Cut(s, " ")
		return strings.TrimSpace(strings.ToUpper(first) + " " + rest)
	}},
	{"no blanks", func(s string) string { return strings.ReplaceAll(s, " ", "") }},
	{"two blanks", func(s string) string { return strings.ReplaceAll(s, " ", "  ") }},
	{"no-break blanks", func(s string) string { return strings.ReplaceAll(s, " ", "\u00a0") }},
	{"a full stop", func(s string) string { return s + "." }},
	{"dots", func(s string) string { return s + " .." }},
	{"a minus before", func(s string) string { return "-" + s }},
	{"an en dash", func(s string) string { return strings.ReplaceAll(s, "-", "–") }},
	{"a true minus", func(s string) string { return strings.ReplaceAll(s, "-", "−") }},
	{"quotes", func(s string) string { return `"` + s + `"` }},
	{"single quotes", func(s string) string { return "'" + s + "'" }},
	{"curly quotes", func(s string) string { return "“" + s + "”" }},
	{"point in thousands", func(s string) string { return thousands(s, ".") }},
	{"comma in thousands", func(s string) string { return thousands(s, ",") }},
	{"blank in thousands", func(s string) string { return thousands(s, " ") }},
	{"thin blank in thousands", func(s string) string { return thousands(s, "\u202f") }},
	{"apostrophe in thousands", func(s string) string { return thousands(s, "'") }},
	{"bar spelled", func(s string) string { return strings.ReplaceAll(s, "bar", "Bars") }},
	{"seconds spelled", func(s string) string { return strings.ReplaceAll(s, " s", " sec.") }},
	{"newton metres spelled", func(s string) string { return strings.ReplaceAll(s, "N·m", "Nm") }},
	{"degrees spelled", func(s string) string { return strings.ReplaceAll(s, " °C", "C") }},
	{"no unit", func(s string) string { n, _, _ := strings.Cut(s, " "); return n }},
	{"leading nought", func(s string) string { return "0" + s }},
	{"full width", func(s string) string { return strings.NewReplacer("3", "３", "0", "０", "2", "２").Replace(s) }},
	{"day first", func(s string) string { return turned(s, ".") }},
	{"day first, slashes", func(s string) string { return turned(s, "/") }},
	{"an item more", func(s string) string { return s + ", " + s }},
	{"the word to", func(s string) string { return strings.ReplaceAll(s, "..", "to") }},
	{"three dots", func(s string) string { return strings.ReplaceAll(s, "..", "...") }},
}

func thousands(s, sign string) string {
	for i := 0; i+4 < len(s); i++ {
		if digits := strings.Trim(s[i:i+5], "0123456789"); digits == "" {
			return s[:i+2] + sign + s[i+2:]
		}
	}
	return s
}

func turned(s, sign string) string {
	if p := strings.Split(s, "-"); len(p) == 3 && len(p[0]) == 4 {
		return p[2] + sign + p[1] + sign + p[0]
	}
	return s
}

// Whatever is done to a value, its correction says what was read before it, or there is none; what was not read before says what the writer
// meant afterwards, or stays. The same holds for what the check says to type, and the editor offers that first.
func TestCorrectionsKeepTheMeaning(t *testing.T) {
	n, corrected, typed, pair := 0, 0, 0, 0
	every := 40 // of the pairs of slips
	if os.Getenv("NEEDLEBOOK_LONG") != "" {
		every = 1
	}
	for _, k := range sorts {
		for _, clean := range k.clean {
			meant, _ := logbook.Meanings(k.path, []byte(fmt.Sprintf(k.file, clean)))
			for _, one := range slips {
				for _, two := range append(slices.Clone(slips), struct {
					name string
					do   func(string) string
				}{"", func(s string) string { return s }}) {
					text := two.do(one.do(clean))
					if pair++; text == clean || two.name == one.name || two.name != "" && pair%every != 0 {
						continue
					}
					n++
					src := []byte(fmt.Sprintf(k.file, text))
					before, problems := logbook.Meanings(k.path, src)
					out, made := edit.Correct(k.path, src, all)
					after, _ := logbook.Meanings(k.path, out)
					if len(made) > 0 {
						corrected++
						if why := changed(meant, before, after); why != "" {
							t.Fatalf("%s %q with %s, %s: %q became\n%s\n%s", k.name, clean, one.name, two.name, text, out, why)
						}
					}
					typed += proposals(t, k, string(src), text, before, problems)
				}
			}
		}
	}
	if corrected < n/10 || typed < n/10 {
		t.Errorf("of %d slips %d were corrected and %d proposed: nothing is tried", n, corrected, typed)
	}
}

// changed says what a text says otherwise than it did, or than was meant: values that come to light are to be those that were meant.
func changed(meant, before, after []logbook.Meaning) string {
	says := func(all []logbook.Meaning) map[string]logbook.Meaning {
		m := map[string]logbook.Meaning{}
		for _, x := range all {
			m[x.Key+x.At.String()[:strings.IndexByte(x.At.String()+":", ':')]+fmt.Sprint(x.At.Line)] = x
		}
		return m
	}
	was, want := says(before), says(meant)
	now := says(after)
	for id, m := range was {
		if a, ok := now[id]; m.Read() && (!ok || a.Says != m.Says) {
			return fmt.Sprintf("%s said %q and says %q", m.Key, m.Says, a.Says)
		}
	}
	for id, a := range now {
		if m, ok := was[id]; a.Read() && (!ok || m.Says != a.Says) && want[id].Says != a.Says {
			return fmt.Sprintf("%s was %q and says %q, meant was %q", a.Key, m.Says, a.Says, want[id].Says)
		}
	}
	return ""
}

// proposals types what each slip of a value says to type in the place of the value, and asks the same.
func proposals(t *testing.T, k sort, src, text string, before []logbook.Meaning, problems []logbook.Problem) (n int) {
	for _, p := range problems {
		if p.Type == "" || !p.Read || strings.ContainsAny(text, "\"'“”,") || p.Slip == logbook.SlipUnquoted {
			continue
		}
		n++
		after, left := logbook.Meanings(k.path, []byte(strings.Replace(src, text, p.Type, 1)))
		for i, m := range before {
			if m.Read() && i < len(after) && after[i].Says != m.Says {
				t.Fatalf("%s %q: to type %q for %s: %s said %q and says %q", k.name, text, p.Type, p.Slip, m.Key, m.Says, after[i].Says)
			}
		}
		if slices.ContainsFunc(left, func(x logbook.Problem) bool { return x.Slip == p.Slip && x.Key == p.Key }) {
			t.Fatalf("%s %q: to type %q does not end %s: %v", k.name, text, p.Type, p.Slip, left)
		}
		if offered := edit.Choices(k.path, []byte(src), p); len(offered) == 0 || offered[0].Type != p.Type {
			t.Fatalf("%s %q: the editor offers %+v, the check says to type %q for %s", k.name, text, offered, p.Type, p.Slip)
		}
	}
	return n
}

// The lines that fix is known to have made into something else.
func TestCorrectIsNotAnother(t *testing.T) {
	for _, c := range []struct{ was, is string }{
		{"leak_down: {as_found: 2,5 s ..}", "leak_down: {as_found: 2.5 s ..}"},
		{"seat: {at: opening - 20 Bar}", "seat: {at: opening - 20 bar}"},
		{"nozzle_nut: {torque: 90,0 Nm ..}", "nozzle_nut: {torque: 90.0 N·m ..}"},
		{"leak_down: {from: opening - 25 Bar, as_left: 6,0 .. 40 sec}", "leak_down: {from: opening - 25 bar, as_left: 6.0 .. 40 s}"},
		{"interval: 2.500 h", "interval: 2.500 h"},
		{"interval: 2 500 H", "interval: 2 500 h"},
	} {
		src := "---\nrevisions:\n  - from: 2024-01-01\n    " + c.was + "\n---\n"
		if out, _ := edit.Correct("limits/t.md", []byte(src), all); string(out) != strings.Replace(src, c.was, c.is, 1) {
			t.Errorf("Correct made of %q\n%s", c.was, out)
		}
	}
}

// A table's dates are put right by the order that the table proves, all of them, or not at all.
func TestCorrectDatesByTheHabitOfTheFile(t *testing.T) {
	table := func(days ...string) string { return "date,counter_h,note\n" + strings.Join(days, ",1,\n") + ",1,\n" }
	for _, c := range []struct {
		name    string
		was, is []string
	}{
		{"day first is proved", []string{"02.04.2024", "09.04.2024", "23.04.2024"}, []string{"2024-04-02", "2024-04-09", "2024-04-23"}},
		{"month first is proved", []string{"04/02/2024", "04/23/2024"}, []string{"2024-04-02", "2024-04-23"}},
		{"nothing is proved", []string{"02.04.2024", "09.04.2024"}, []string{"02.04.2024", "09.04.2024"}},
		{"both are proved", []string{"02.04.2024", "23.04.2024", "04.30.2024"}, []string{"02.04.2024", "23.04.2024", "04.30.2024"}},
		{"each sign for itself", []string{"02.04.2024", "23.04.2024", "05/30/2024", "05/06/2024"}, []string{"2024-04-02", "2024-04-23", "2024-05-30", "2024-05-06"}},
	} {
		if out, _ := edit.Correct("hours/me1.csv", []byte(table(c.was...)), all); string(out) != table(c.is...) {
			t.Errorf("%s: Correct made\n%s", c.name, out)
		}
	}
}

// Many slips of one table are put right in a few readings of it.
func TestCorrectManyRows(t *testing.T) {
	var src, want strings.Builder
	for _, b := range []*strings.Builder{&src, &want} {
		b.WriteString("date,cylinder,pmax_bar\n")
	}
	for i := range 500 {
		fmt.Fprintf(&src, "2024/01/02,1,\"14%d,5\"\n", i%10)
		fmt.Fprintf(&want, "2024-01-02,1,\"14%d.5\"\n", i%10)
	}
	out, made := edit.Correct("running/me1.csv", []byte(src.String()), all)
	if string(out) != want.String() || len(made) != 500 {
		t.Errorf("Correct made %d corrections of 1000 slips on 500 lines, and\n%.200s", len(made), out)
	}
}

// What is read as something that does not stand there is written out as that.
func TestCorrectWritesOutWhatIsRead(t *testing.T) {
	for _, c := range []struct{ path, was, is string }{
		{"instruments/pg-1.md", "id: PG-1\nkind: gauge\nrange: 600 Bar # on the dial", "id: PG-1\nkind: gauge\nrange: 0 to 600 bar # on the dial"},
		{"instruments/tw-1.md", "id: TW-1\nkind: torque wrench\nrange: 400 N·m", "id: TW-1\nkind: torque wrench\nrange: 400 N·m"},
		{"book.md", "engines:\n  - {id: ME1, cylinders: 6, limits: t}", "engines:\n  - {id: ME1, cylinders: [1, 2, 3, 4, 5, 6], limits: t}"},
		{"book.md", "engines:\n  - id: ME1\n    cylinders: 1-3", "engines:\n  - id: ME1\n    cylinders: [1, 2, 3]"},
		{"book.md", "engines:\n  - {id: ME1, cylinders: 1, limits: t}", "engines:\n  - {id: ME1, cylinders: 1, limits: t}"},
		{oneRecord, "as_found:\n  opening_pressure: 300 305 310 bar", "as_found:\n  opening_pressure: [300 bar, 305 bar, 310 bar]"},
		{oneRecord, "as_found:\n  opening_pressure: 300 305 bar", "as_found:\n  opening_pressure: 300 305 bar"},
		{"decisions/d.md", "kind: trial\nengines: ME1, ME2", "kind: trial\nengines: [ME1, ME2]"},
	} {
		if out, _ := edit.Correct(c.path, []byte("---\n"+c.was+"\n---\n"), all); string(out) != "---\n"+c.is+"\n---\n" {
			t.Errorf("Correct made of %q\n%s", c.was, out)
		}
	}
}
