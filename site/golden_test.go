package site

import (
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"needlebook/site/fleet"
)

var update = flag.Bool("update", false, "rewrite the golden pages")

// parts begin a line of a golden page, so that a change is read where it is.
var parts = regexp.MustCompile(`<(section|h[123]|p|tr|dt|li|figure|svg|g|path|circle|text|details|div|nav|pre|span id|footer)\b`)

// golden holds a text against the golden file of that name, or rewrites it.
func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", "golden", name)
	if *update {
		must(t, os.MkdirAll(filepath.Dir(file), 0o777))
		must(t, os.WriteFile(file, []byte(got), 0o666))
		return
	}
	want, err := os.ReadFile(file)
	must(t, err)
	if got != string(want) {
		t.Errorf("%s differs from the golden file, from %q on; read the difference before you take it over with -update", name,
			firstDifference(got, string(want)))
	}
}

// TestGoldenPages holds the looks of whole pages against what was looked at once: a record with every standing, a cylinder with its charts,
// and the charts of the book.
func TestGoldenPages(t *testing.T) {
	pages := built(t, vessels(t)["ordinary"])
	for _, name := range []string{"overhaul-2020-07-01-h-1.html", "cylinder-me1-1.html", "charts.html"} {
		golden(t, name, parts.ReplaceAllString(string(pages[name]), "\n$0"))
	}
}

// TestGoldenFleet holds what the front page of several ships says: every column, a ship to act upon, a quiet one, one that was not read.
func TestGoldenFleet(t *testing.T) {
	summary := func(name string) *fleet.Summary {
		return &fleet.Summary{Format: fleet.Format, Vessel: name, Day: "2024-06-01", Overhauls: 9, Ready: 2,
			History: fleet.History{UnderGit: true, Proved: true}, Types: []fleet.Type{{Type: "4T20", Opened: 20, Bad: 3, Low: 0.05, High: 0.36,
				EngineHours: 9000, Nozzles: 12, Lost: 14.5, LostOf: 17}}}
	}
	loud := summary("Marigold")
	loud.Gravest = &fleet.Finding{Grade: "stop", About: "ME1-4 H-110", Message: "words", Page: "overhaul-a.html"}
	loud.Grades, loud.Past, loud.ToOrder = fleet.Grades{Stop: 2, Action: 25}, 4, []string{"1 nozzle"}
	loud.Next = &fleet.Due{Day: "2024-08-16", Where: "ME2-2", Left: "784 h"}
	loud.Review = &fleet.Review{Why: "review by s.okonjo", Day: "2024-02-20", Gone: make([]fleet.Finding, 4),
		New: []fleet.Finding{{Grade: "action", About: "ME2-6", Message: "more words", Page: "overhaul-b.html"}}}
	p := fleet.Page([]fleet.Ship{{Name: "q", Folder: "q", Summary: summary("Quiet")}, {Name: "m", Folder: "m", Summary: loud},
		{Name: "absent", Why: "not built"}})
	golden(t, "fleet.txt", dumpOf(p))
}

// firstDifference is the line of the first text that the second does not have at that place.
func firstDifference(got, want string) string {
	i, line := 0, 0
	for i < min(len(got), len(want)) && got[i] == want[i] {
		if i++; got[i-1] == '\n' {
			line = i
		}
	}
	return got[line:min(len(got), i+80)]
}
