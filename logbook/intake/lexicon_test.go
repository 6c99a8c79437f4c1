package intake

import (
	"strings"
	"testing"

	"needlebook/logbook"
)

// Every line of the lexicons is about a key or a word of a record, and folded as it is looked for; no name of a column is
// in two lines.
func TestLexicons(t *testing.T) {
	seen := map[string]string{}
	for _, n := range lexicon(columnsText) {
		if n.means != "?hours" {
			for _, key := range suggested(n.means) {
				if f, _, ok := keyed(key); !ok || f.Shape == logbook.ShapeBlock {
					t.Errorf("%s: no key %q", n.means, key)
				}
			}
			if len(suggested(n.means)) == 0 {
				t.Errorf("%s is no key", n.means)
			}
		}
		for _, w := range n.written {
			if fold(w) != w || seen[w] != "" {
				t.Errorf("%s: %q is folded %q, and in %q already", n.means, w, fold(w), seen[w])
			}
			seen[w] = n.means
		}
	}
	words := map[string]bool{}
	logbook.KindNamed("overhaul").Walk(func(_ string, f logbook.Field) {
		for _, w := range f.Words {
			words[w] = true
		}
	})
	for _, n := range lexicon(wordsText) {
		if !words[n.means] {
			t.Errorf("%q is no word of a record", n.means)
		}
		for _, w := range n.written {
			if together(w) != w {
				t.Errorf("%s: %q is folded %q", n.means, w, together(w))
			}
		}
	}
	for _, beginnings := range monthNames {
		for _, b := range beginnings {
			if together(b) != b {
				t.Errorf("month %q", b)
			}
		}
	}
	for name, month := range map[string]int{"März": 3, "mayo": 5, "Mai": 5, "maggio": 5, "Maret": 3, "maart": 3, "Juni": 6, "juillet": 7, "Juli": 7, "ago": 8, "août": 8, "Desember": 12, "Peb": 2, "x": 0} {
		if got := monthNamed(name); got != month {
			t.Errorf("%s is month %d, want %d", name, got, month)
		}
	}
}

// The name of a column counts when every word of it is accounted for.
func TestMeans(t *testing.T) {
	for name, want := range map[string]string{
		"Opening pressure as found": "as_found.opening_pressure", "Öffnungsdruck nachher": "as_left.opening_pressure",
		"Presión de apertura": "@.opening_pressure", "Valve No.": "holder", "Spring pressure of pump": "", "Tekanan": "?@.opening_pressure",
		"Nozzle no. left": "nozzle.left", "Zyl.-Nr.": "removed.cylinder", "Date": "", "Carrera de la aguja": "measured.lift", "Date fitted": "fitted.date",
	} {
		m, ok := means(bareName(name))
		if got := m.key; (ok && m.whole) != (want != "") || want != "" && got != want {
			t.Errorf("%s is %q, whole %v, want %q", name, got, m.whole, want)
		}
	}
	for name, want := range map[string]string{"Lift [mm]": "Lift|mm", "Hub mm": "Hub|mm", "Druck (bar)": "Druck|bar", "Zahl (neu)": "Zahl (neu)|", "in": "in|"} {
		rest, unit := splitUnit(name)
		if got := strings.Join([]string{rest, unit}, "|"); got != want {
			t.Errorf("%s is %s, want %s", name, got, want)
		}
	}
}
