package card

import "needlebook/logbook/language"

// word is a word to ring: as the reader says it, and as the record has it where that is another.
type word struct{ Said, Record string }

func wordOf(w language.Words, key, standard string) word {
	if said := w.Word(key, standard); said != standard {
		return word{said, standard}
	}
	return word{Said: standard}
}

// translate puts a side into the reader's language. What is in the records, and the limits, stay as they are.
func translate(w language.Words, s *side) {
	for _, parts := range s.Columns {
		for i := range parts {
			p := &parts[i]
			p.Name, p.Hold = w.Say(p.Name), w.Say(p.Hold)
			for j := range p.Rows {
				r := &p.Rows[j]
				r.Label = w.Say(r.Label)
				for k := range r.Boxes {
					b := &r.Boxes[k]
					b.Label = w.Say(b.Label)
					for _, standard := range b.Ring {
						b.Words = append(b.Words, wordOf(w, b.Key, standard))
					}
				}
			}
		}
	}
}
