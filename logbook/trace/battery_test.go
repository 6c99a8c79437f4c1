package trace_test

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"testing"
)

// The battery is a numbered list of attacks and faults: A signatures and the form of commits, B register
// and roles, C merges, D rewriting and rolling back, E stored bytes, F names and modes, L time, M the place.
// Each is a row, or a subtest, named by its number. None may get lost.
func TestBatteryIsWhole(t *testing.T) {
	rows := map[string]int{}
	form := regexp.MustCompile("[\"`]((?:[A-FLM][0-9]{2} )+)")
	number := regexp.MustCompile(`[A-FLM][0-9]{2}`)
	// The reader's memory is tried in its own package.
	for _, folder := range []string{".", "../memory", "../exchange", "../../cmd/needlebook", "../../checks"} {
		files, err := filepath.Glob(filepath.Join(folder, "*_test.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			text, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range form.FindAllSubmatch(text, -1) {
				for _, n := range number.FindAll(m[1], -1) {
					rows[string(n)]++
				}
			}
		}
	}
	for _, group := range []struct {
		letter string
		cases  int
	}{{"A", 30}, {"B", 34}, {"C", 24}, {"D", 22}, {"E", 24}, {"F", 40}, {"L", 16}, {"M", 12}} {
		for n := range group.cases {
			if name := fmt.Sprintf("%s%02d", group.letter, n+1); rows[name] == 0 {
				t.Errorf("no row is named %s", name)
			}
		}
	}
}
