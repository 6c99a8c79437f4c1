package language

import (
	"slices"
	"strings"
	"testing"
)

// The tables are whole: every cell has its words, every row is there once, and all have the same languages.
func TestTablesAreWhole(t *testing.T) {
	if !slices.Equal(remarks[0][1:], words[0]) {
		t.Errorf("remarks have the languages %v, words %v", remarks[0][1:], words[0])
	}
	if len(Known()) < 3 || Known()[0] != Standard {
		t.Errorf("the languages are %v", Known())
	}
	for name, rows := range map[string][][]string{"words": words, "remarks": remarks, "written": written} {
		seen := map[string]bool{}
		for i, row := range rows[1:] {
			key := strings.Join(row[:len(row)-len(words[0])+1], "/")
			if name == "written" {
				key = row[1] + "/" + row[2]
				if !slices.Contains(Known()[1:], row[1]) || Of(row[1])[row[0]] == "" || row[2] != strings.ToLower(row[2]) {
					t.Errorf("written line %d: %v is no standard word, no language, or has capitals", i+2, row)
				}
			}
			if seen[key] {
				t.Errorf("%s line %d: %q is there twice", name, i+2, key)
			}
			seen[key] = true
			for _, cell := range row {
				if cell == "" || strings.TrimSpace(cell) != cell {
					t.Errorf("%s line %d: %q", name, i+2, row)
				}
			}
		}
	}
}

func TestWordsAtTheirKey(t *testing.T) {
	es := Of("es")
	for _, x := range [][3]string{{"decided.nozzle", "clean", "limpiar"}, {"as_found.connection", "clean", "limpia"}, {"as_left.cooling.state", "tight", "estanca"}, {"as_left.lock_nut", "tight", "apretada"}, {"x", "no such word", "no such word"}} {
		if got := es.Word(x[0], x[1]); got != x[2] {
			t.Errorf("%s at %s is %q, want %q", x[1], x[0], got, x[2])
		}
	}
	if Of("en") != nil || Of("xx") != nil || Of("en").Say("holder") != "holder" || Name("id") != "Bahasa Indonesia" || Name("en") != "English" || Name("xx") != "xx" {
		t.Error("the language of the records has words of its own, or a name is not its own")
	}
}

func TestWhatIsMeant(t *testing.T) {
	decisions := []string{"reuse", "clean", "lap", "grind", "renew", "condemn"}
	for text, want := range map[string]string{"desechar": "condemn", "Desechada": "condemn", " diafkir ": "condemn", "limpio": "clean", "condenar": "", "": "", "seco": ""} {
		if got := Meant("decided.nozzle", text, decisions); got != want {
			t.Errorf("%q means %q, want %q", text, got, want)
		}
	}
	if got := Meant("x", "limpiar", []string{"renew", "reuse"}); got != "" {
		t.Errorf("a word that is not allowed is %q", got)
	}
	// longgar is loose in the second language, whatever it is of
	if got := Meant("assembled.dowels", "longgar", []string{"seated", "loose"}); got != "loose" {
		t.Errorf("loose dowels are %q", got)
	}
}

func TestRemarks(t *testing.T) {
	if r := Remarks("es", "decided.why"); len(r) < 10 || r[0] != (Remark{"dentro de límites", "within limits"}) {
		t.Errorf("%v", r)
	}
	if r := Remarks("xx", "remarks"); len(r) < 10 || r[0] != (Remark{"nothing found", "nothing found"}) {
		t.Errorf("%v", r)
	}
	if r := Remarks("id", "removed"); r != nil {
		t.Errorf("%v", r)
	}
}
