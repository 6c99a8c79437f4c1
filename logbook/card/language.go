package card

import (
	_ "embed"
	"encoding/csv"
	"slices"
	"strings"
)

// A further language is a column of this table, headed by its two letters: see the test beside it for what is missing.
//
//go:embed languages.csv
var languagesText string

var languages = func() [][]string {
	rows, err := csv.NewReader(strings.NewReader(languagesText)).ReadAll()
	if err != nil || len(rows) == 0 {
		panic(err) // part of the program: a test reads it
	}
	return rows
}()

// Languages are those that a card can be printed in, the book's own first: "en".
func Languages() []string { return languages[0] }

// tongue is the words of a card in the reader's language, by those of the book; nil for the book's own.
type tongue map[string]string

func tongueOf(language string) tongue {
	column := slices.Index(languages[0], language)
	if column <= 0 {
		return nil
	}
	t := tongue{}
	for _, row := range languages[1:] {
		t[row[0]] = row[column]
	}
	return t
}

// say is a word in the reader's language, or as it is.
func (t tongue) say(english string) string {
	if said := t[english]; said != "" {
		return said
	}
	return english
}

// word is a word to ring: as the reader says it, and as the record has it where that is another.
type word struct{ Said, Record string }

func (t tongue) word(standard string) word {
	if said := t.say(standard); said != standard {
		return word{said, standard}
	}
	return word{Said: standard}
}

// side puts a side into the reader's language. What is in the records, and the limits, stay as they are.
func (t tongue) side(s *side) {
	for _, parts := range s.Columns {
		for i := range parts {
			p := &parts[i]
			p.Name, p.Hold = t.say(p.Name), t.say(p.Hold)
			for j := range p.Rows {
				r := &p.Rows[j]
				r.Label = t.say(r.Label)
				for k := range r.Boxes {
					r.Boxes[k].Label = t.say(r.Boxes[k].Label)
					for _, w := range r.Boxes[k].Ring {
						r.Boxes[k].Words = append(r.Boxes[k].Words, t.word(w))
					}
				}
			}
		}
	}
}
