package site

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/site/facts"
)

// built builds a book and returns its pages.
func built(t testing.TB, in Input) map[string][]byte {
	t.Helper()
	out := filepath.Join(t.TempDir(), "out")
	must(t, build(in, out))
	return read0(t, out)
}

func shows(t *testing.T, pages map[string][]byte, page string, wants ...string) {
	t.Helper()
	text := strings.Join(strings.Fields(words(t, pages[page])), " ")
	for _, want := range wants {
		if !strings.Contains(text, want) {
			t.Errorf("%s does not show %q", page, want)
		}
	}
}

// TestBenchReport looks at the bench report for what an engineer, a chief and a surveyor ask of it.
func TestBenchReport(t *testing.T) {
	in := vessels(t)["ordinary"]
	pages := built(t, in)
	const page = "overhaul-2020-07-01-h-1.html"
	shows(t, pages, page,
		"Removed from ME1-1 on 2020-07-01 at 2800 h after 1 800 h in service (planned)", // worked by hand: 2800 less the 1000 of the opening state
		"opening pressure as left 305 bar 300 +10/-0 bar (used)",
		"effective lift 0.57 mm at most 0.65 mm", // 0.56 and 0.01
		"owner's manual 4T20, section 5, in force from 2020-01-01",
		"not measured (no gauge aboard)", "not looked at (lens broken)",
		"2020-07-03 measured.lift 0.65 mm digits swapped A. Two, second engineer",
		"unsigned · changed since countersigned by c.one",
		"as_left.leak_down.time 3.1 s 9.8 s",
		"The tip carried a little carbon, brushed off with brass.")
	text := string(pages[page])
	for _, want := range []string{
		`<del>3.1 s</del>`, // the figure that the chief saw stays readable
		`href="file-limits-4t20.html#l`, `href="instrument-pg-1.html"`, `href="audit-trail.html#c-`, `href="behind-2020-07-01-h-1.html#l`, `href="cylinder-me1-1.html"`,
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the page lacks %s", want)
		}
	}
}

// TestEveryValueIsShown reads the example vessel and a record that fills every key of the schema, and finds each value as written
// on the record's page: a key that the schema gains cannot be forgotten.
func TestEveryValueIsShown(t *testing.T) {
	src := everyKey()
	files := baseFiles(t, map[string]string{"overhauls/me1/c3/2020-07-05-h-3.md": src})
	in := bookOf(t, files, nil)
	o := in.Book.Overhaul("2020-07-05-h-3")
	for _, p := range in.Book.Problems {
		if p.Place.Path == o.Path && p.Slip != logbook.SlipAttachment {
			t.Fatalf("the full record does not read: %v", p)
		}
	}
	page := built(t, in)["overhaul-2020-07-05-h-3.html"]
	page, _, _ = bytes.Cut(page, []byte(`id="text"`)) // not the text as written: the table of it
	text := words(t, page)
	seen := 0
	facts.EachLeaf(o, func(l facts.LeafAt) {
		seen++
		if !strings.Contains(text, l.Text()) {
			t.Errorf("%s: %q is not on the page", l.Leaf.Key, l.Text())
		}
	})
	for _, c := range o.Corrections {
		if !strings.Contains(text, c.Was.Written) {
			t.Errorf("correction %q is not on the page", c.Was.Written)
		}
	}
	if keys := countKeys(overhaulSchema()); seen < keys {
		t.Errorf("%d values looked at, the schema has %d keys", seen, keys)
	}
}

func overhaulSchema() []logbook.Field {
	for _, k := range logbook.Kinds() {
		if k.Name == "overhaul" {
			return k.Fields
		}
	}
	return nil
}

func countKeys(fields []logbook.Field) int {
	n := 0
	for _, f := range fields {
		if f.Shape == logbook.ShapeBlock {
			n += countKeys(f.Fields)
			continue
		}
		n++
	}
	return n
}

// everyKey is a record that states every key of the schema, each with a value of its own.
func everyKey() string {
	var b strings.Builder
	b.WriteString("---\n")
	n := 100
	writeKeys(&b, overhaulSchema(), "", &n)
	b.WriteString("---\n")
	text := b.String()
	for from, to := range map[string]string{`engine: "ME1"`: `engine: ME1`, `holder: "S101"`: `holder: "H-3"`} {
		text = strings.Replace(text, from, to, 1)
	}
	return text
}

func writeKeys(b *strings.Builder, fields []logbook.Field, indent string, n *int) {
	for _, f := range fields {
		*n++
		fmt.Fprintf(b, "%s%s:", indent, f.Key)
		one := func() string {
			switch f.Shape {
			case logbook.ShapeText, logbook.ShapeTexts:
				return fmt.Sprintf("text %d", *n)
			case logbook.ShapeSerial, logbook.ShapeSerials:
				if f.As == "engine" {
					return `"ME1"`
				}
				if f.As == "cylinder" {
					return "3"
				}
				return fmt.Sprintf(`"S%d"`, *n)
			case logbook.ShapeWord:
				return f.Words[*n%len(f.Words)]
			case logbook.ShapeDate:
				return "2020-07-05"
			case logbook.ShapeAmount, logbook.ShapeAmounts, logbook.ShapeBand:
				return fmt.Sprintf("%d %s", *n, f.Unit)
			}
			return fmt.Sprint(*n)
		}
		switch f.Shape {
		case logbook.ShapeBlock:
			b.WriteString("\n")
			var inner strings.Builder
			writeKeys(&inner, f.Fields, indent+"    ", n)
			if f.List {
				text := inner.String()
				b.WriteString(indent + "  - " + strings.TrimLeft(text, " "))
				continue
			}
			b.WriteString(inner.String())
		case logbook.ShapeTexts, logbook.ShapeSerials, logbook.ShapeAmounts, logbook.ShapeNumbers:
			b.WriteString(" [" + one() + "]\n")
		default:
			b.WriteString(" " + one() + "\n")
		}
	}
}

// TestQuietIsNotUnknown holds that nothing to say, nobody looked and not known are told apart in words.
func TestQuietIsNotUnknown(t *testing.T) {
	files := baseFiles(t, map[string]string{"hours/me2.csv": "date,counter_h,note\n"})
	delete(files, "limits/4t20.md")
	pages := built(t, bookOf(t, files, nil))
	shows(t, pages, "cylinder-me2-1.html", "has run not known", "left to the interval not known", "the book states no interval")
	shows(t, pages, "index.html", "to go: not known", "Not under git: nothing is proved")
	shows(t, built(t, vessels(t)["empty"]), "index.html", "book.md names no engine", "No valve is booked as ready", "The book holds none yet")

	in := bookOf(t, baseFiles(t, nil), nil)
	in.Report = checks.Run(in.Book, checks.Options{Only: []*checks.Check{}})
	shows(t, built(t, in), "cylinder-me2-1.html", "Nothing is open:", "checks looked at the cylinder, its pocket and the valve in it, ")
}

// TestVee draws the banks of a vee engine apart, each in its order.
func TestVee(t *testing.T) {
	for _, c := range []struct {
		cylinders string
		want      [][]string
	}{
		{"[A1, A2, A3, B1, B2, B3]", [][]string{{"A1", "A2", "A3"}, {"B1", "B2", "B3"}}},
		{"[A1, B1, A2, B2]", [][]string{{"A1", "A2"}, {"B1", "B2"}}},
		{`["1L", "1R", "2L", "2R"]`, [][]string{{"1L", "2L"}, {"1R", "2R"}}},
		{"[1, 2, 3]", [][]string{{"1", "2", "3"}}},
		{"[C1, C2, C3]", [][]string{{"C1", "C2", "C3"}}},
		{"[A1, B1, 3]", [][]string{{"A1", "B1", "3"}}},
	} {
		files := baseFiles(t, map[string]string{"book.md": "---\nvessel: V\nengines:\n  - {id: E, cylinders: " + c.cylinders + "}\n---\n"})
		in := bookOf(t, files, nil)
		var got [][]string
		for _, b := range facts.BanksOf(in.Book.Vessel.Engines[0]) {
			got = append(got, b.Cylinders)
		}
		if !reflect.DeepEqual(got, c.want) {
			t.Errorf("banks of %s = %v, want %v", c.cylinders, got, c.want)
		}
	}
}

// TestFoundWrong shows the probable true value beside the figure as written. 325 bar shown by a gauge that reads 1.25 times too much
// is 260 bar.
func TestFoundWrong(t *testing.T) {
	gauge, err := os.ReadFile("../checks/testdata/base/instruments/pg-1.md")
	must(t, err)
	wrong := strings.Replace(string(gauge), "\n---\n", "\nfound_wrong:\n  - {from: 2020-07-02, to: 2020-07-10, factor: 1.25, why: dropped}\n---\n", 1)
	in := bookOf(t, baseFiles(t, map[string]string{"instruments/pg-1.md": wrong}), nil)
	pages := built(t, in)
	shows(t, pages, "instrument-pg-1.html", "2020-07-02 to 2020-07-10: showed 1.25 times the true value. dropped",
		"2020-07-03 2020-07-02-h-2 opening pressure as left 325 bar about 260 bar", "One record was made with it in this time")
	if strings.Contains(string(pages["instrument-pg-1.html"]), "about 244") {
		t.Error("a value read before the gauge was wrong has a probable true value")
	}
	shows(t, pages, "overhaul-2020-07-02-h-2.html", "325 bar")
}

// TestNotCommitted tells a value of the folder that no commit holds from those that one does.
func TestNotCommitted(t *testing.T) {
	in := vessels(t)["ordinary"]
	o := in.Book.Overhaul("2020-07-01-h-1")
	r := in.Trail.Records[o.Path]
	r.Values["as_left.leak_down.time"] = logbook.Setting{Commit: 1, Written: "7.7 s"}
	in.Trail.WorkTree = []logbook.WorkChange{{Path: o.Path, What: "changed"}}
	pages := built(t, in)
	shows(t, pages, "overhaul-2020-07-01-h-1.html", "changed since its last commit")
	for _, page := range []string{"overhaul-2020-07-01-h-1.html", "behind-2020-07-01-h-1.html"} {
		row := regexp.MustCompile(`(?s)<tr id="v-as-left-leak-down-time">.*?</tr>`).Find(pages[page])
		if !bytes.Contains(row, []byte("not committed")) {
			t.Errorf("the changed value is not marked: %s", row)
		}
	}
	row := regexp.MustCompile(`(?s)<tr id="v-nozzle-marking">.*?</tr>`).Find(pages["overhaul-2020-07-01-h-1.html"])
	if bytes.Contains(row, []byte("not committed")) {
		t.Errorf("a committed value is marked: %s", row)
	}
	row = regexp.MustCompile(`(?s)<tr id="v-measured-spring-length">.*?</tr>`).Find(pages["overhaul-2020-07-01-h-1.html"])
	if !bytes.Contains(row, []byte("not measured")) || bytes.Contains(row, []byte("not committed")) {
		t.Errorf("what was never measured is marked: %s", row)
	}
	shows(t, pages, "index.html", "One file of the folder is not as committed")
}

// TestManual holds that every check has its section, and that every finding of every page leads to it.
func TestManual(t *testing.T) {
	in := vessels(t)["ordinary"]
	pages, at := built(t, in), newSite(in, nil).at
	for _, k := range checks.All() {
		name, id, _ := strings.Cut(string(at.OfCheck(k.Name)), "#")
		if id == "" || !bytes.Contains(pages[name], []byte(`id="`+id+`"`)) {
			t.Errorf("the manual has no section %s", k.Name)
		}
	}
}

// TestCautions holds that each record prints every caution, and that each page defers.
func TestCautions(t *testing.T) {
	pages := built(t, vessels(t)["ordinary"])
	for name, page := range pages {
		if !strings.HasSuffix(name, ".html") {
			continue
		}
		if !bytes.Contains(page, []byte("a record and a helper, not an instruction")) {
			t.Errorf("%s does not defer to those above it", name)
		}
		if strings.HasPrefix(name, "overhaul-") || name == "cautions.html" {
			shows(t, pages, name, "This logbook is a record and a helper. It is not an instruction.", "The test jet cuts skin", "A nozzle stuck in its nut")
		}
	}
}

// TestNoTemplateHoldsALimit looks through the source of the pages: no number in it may stand for a limit, so no text of it may hold a
// figure with a unit of the bench.
func TestNoTemplateHoldsALimit(t *testing.T) {
	unit := regexp.MustCompile(`[0-9]\s?(bar|mm|N·m|°C|K)\b`)
	files, err := filepath.Glob("*/*.go")
	must(t, err)
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		src, err := os.ReadFile(name)
		must(t, err)
		for i, line := range strings.Split(string(src), "\n") {
			code, _, _ := strings.Cut(line, "//")
			if unit.MatchString(code) {
				t.Errorf("%s:%d: %s", name, i+1, strings.TrimSpace(line))
			}
		}
	}
}
