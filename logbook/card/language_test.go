package card

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/draft"
	"needlebook/logbook/language"
)

// Every word on a card, of a valve from the engine and of one received, and every word of a closed list of a record, is in the table with its
// word in each language; and nothing is in the table that is neither.
func TestEveryWordIsInEveryLanguage(t *testing.T) {
	b, err := logbook.Read(os.DirFS(filepath.Join("..", "..", "example-vessel")))
	if err != nil {
		t.Fatal(err)
	}
	used := map[string]bool{}
	for _, w := range []string{"last", "holes", "rings", "spares rack", "steps", // beside a limit, without a position, without a limit
		"marked", "damaged", "cracked", "language"} { // the letters of what is looked at; the language itself
		used[w] = true
	}
	source, err := os.ReadFile("page.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`(?i)say\("([^"]+)"\)`).FindAllSubmatch(source, -1) {
		used[string(m[1])] = true
	}
	for _, w := range append(headWords[:], signWords[:]...) {
		used[w] = true
	}
	s, err := draft.At(b, b.Positions()[0], b.Vessel.Opening.Date.Day+700)
	if err != nil {
		t.Fatal(err)
	}
	received := *s
	received.Received = true
	for _, sheet := range []*draft.Sheet{s, &received} {
		for _, parts := range lay(sheet, nil).Columns {
			for _, p := range parts {
				used[p.Name], used[p.Hold] = true, true
				for _, r := range p.Rows {
					used[r.Label] = true
					for _, x := range r.Boxes {
						used[x.Label] = true
						for _, w := range x.Ring {
							used[w] = true
						}
					}
				}
			}
		}
	}
	at := map[string]bool{} // words at the last key before them
	logbook.KindNamed("overhaul").Walk(func(path string, f logbook.Field) {
		for _, w := range f.Words {
			used[w], at[f.Key+": "+w] = true, true
		}
	})
	delete(used, "")
	for _, name := range language.Known()[1:] {
		words := language.Of(name)
		for w := range words {
			if !used[w] && !at[w] {
				t.Errorf("%q is on no card and in no list of a record", w)
			}
		}
		for w := range used {
			if words[w] == "" && !regexp.MustCompile(`^[0-9]+$`).MatchString(w) {
				t.Errorf("%q has no word in %s", w, name)
			}
		}
	}
}

// A word to ring has the record's own beside it, so that the record is written in that; figures, limits and cautions stay.
func TestCardInAnotherLanguage(t *testing.T) {
	b, err := logbook.Read(os.DirFS(filepath.Join("..", "..", "example-vessel")))
	if err != nil {
		t.Fatal(err)
	}
	s, err := draft.At(b, logbook.Position{Engine: "ME1", Cylinder: "3"}, b.Vessel.Opening.Date.Day+1000)
	if err != nil {
		t.Fatal(err)
	}
	said := func(language string) string {
		var out strings.Builder
		if err := Write(&out, Card{Vessel: "Ostrevane", Sheets: []*draft.Sheet{s}, Language: language}); err != nil {
			t.Fatal(err)
		}
		return out.String()
	}
	for _, want := range []string{`<html lang="es">`, `<span class="two">desechar<small>condemn</small></span>`, "<h2>Como se dejó<span class=\"stop\">ALTO: como se dejó</span></h2>", "últ. ", "320 +10/-0 bar", "high-pressure injection of oil"} {
		if !strings.Contains(said("es"), want) {
			t.Errorf("the card in Spanish does not say %q", want)
		}
	}
	if own := said("en"); own != said("") || strings.Contains(own, `class="two"`) || !strings.Contains(own, "<span>condemn</span>") {
		t.Error("the card in the book's own language has other words")
	}
}
