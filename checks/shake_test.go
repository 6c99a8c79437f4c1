package checks

import (
	"bytes"
	"io/fs"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// oddities are what may stand where something else belongs.
var oddities = []string{"0", "-5 bar", "1000000 mm", "not measured (why)", "not done", "[]", "{}", "999999999 bar", "0 mm", "0 h", "0 s", "0 bar", "5 K", "12 psi",
	"cracked", `"?"`, "2999-01-01", "1900-01-01", "reuse", "grind", "lap", "condemn", ""}

// TestShaken takes lines out of a book and puts other values in, and asks that every check does its work all the same, says
// where, and shows no figure that is none. No outside source: it is a property.
func TestShaken(t *testing.T) {
	whole := folder(t, "testdata/base")
	maps.Copy(whole, folder(t, "testdata/shaken"))
	whole["deferrals/d-1.md"] = &fstest.MapFile{Data: []byte("---\nid: D-1\nlimit: effective_lift\nhours: 500 h\napproved: {by: s.ashore}\n---\n")}
	whole["parts/n-90.md"] = &fstest.MapFile{Data: []byte("---\nserial: \"N-90\"\nkind: nozzle\nmarking: 8x0.30\nreceived: 2020-01-01\n---\n")}
	settings := bytes.Replace(whole["book.md"].Data, []byte("accepts:"), []byte("settings:\n  not_believed: 300 %\n  sum_within: 0.01 mm\n  set_baseline: 6\n  oil_range: 15 .. 30 °C\naccepts:"), 1)
	whole["book.md"] = &fstest.MapFile{Data: settings}
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 1))
		b, err := logbook.Read(shaken(r, whole))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range Run(b, Options{}).Findings {
			if f.Check == CheckFailed || f.Place.Path == "" || strings.Contains(f.inFull(), "NaN") || strings.Contains(f.inFull(), "Inf") || strings.Contains(f.inFull(), "%!") {
				t.Errorf("seed %d: %s: %s: %s", seed, f.Place, f.Check, f.Message)
			}
		}
	}
}

// shaken is the book with about one line in twelve gone or with another value.
func shaken(r *rand.Rand, whole fstest.MapFS) fs.FS {
	book := fstest.MapFS{}
	for _, p := range slices.Sorted(maps.Keys(whole)) {
		var out [][]byte
		for _, line := range bytes.Split(whole[p].Data, []byte("\n")) {
			key, _, isValue := bytes.Cut(line, []byte(": "))
			switch k := r.IntN(24); {
			case k == 0 && !bytes.HasPrefix(line, []byte("---")):
				continue
			case k == 1 && isValue:
				line = append(append(bytes.Clone(key), ": "...), oddities[r.IntN(len(oddities))]...)
			}
			out = append(out, line)
		}
		book[p] = &fstest.MapFile{Data: bytes.Join(out, []byte("\n"))}
	}
	return book
}
