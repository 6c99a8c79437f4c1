package site

import (
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"testing"
)

var update = flag.Bool("update", false, "rewrite the golden pages")

// parts begin a line of a golden page, so that a change is read where it is.
var parts = regexp.MustCompile(`<(section|h[123]|p|tr|dt|li|figure|svg|g|path|circle|text|details|div|nav|pre|span id|footer)\b`)

// TestGoldenPages holds whole pages against what was looked at once: a record with every standing, a cylinder with its charts, the charts of
// the book, and the first page. Read the difference before it is taken over with -update.
func TestGoldenPages(t *testing.T) {
	pages := built(t, vessels(t)["ordinary"])
	for _, name := range []string{"overhaul-2020-07-01-h-1.html", "cylinder-me1-1.html", "drawings.html", "index.html"} {
		got := parts.ReplaceAllString(string(pages[name]), "\n$0")
		golden := filepath.Join("testdata", "golden", name)
		if *update {
			must(t, os.MkdirAll(filepath.Dir(golden), 0o777))
			must(t, os.WriteFile(golden, []byte(got), 0o666))
			continue
		}
		want, err := os.ReadFile(golden)
		must(t, err)
		if got != string(want) {
			t.Errorf("%s differs from the golden page, from %q on", name, firstDifference(got, string(want)))
		}
	}
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
