package edit

import (
	"slices"

	"needlebook/logbook"
)

// Typed are the ways to type what a check proposes, the likeliest first: in the place of the value that it speaks of,
// in quotes where the text needs them. Each leads to a text in which nothing more is amiss than before; what the file
// shows by itself has its [Choices]. name is the file's path in the book.
func Typed(name string, src []byte, p *logbook.Proposal) (all []Choice) {
	before := logbook.Problems(name, src)
	pg := pageOf(name, src)
	from, to, ok := pg.valueAt(p.Place)
	if !ok || string(src[from:to]) != p.Was || slices.ContainsFunc(before, func(x logbook.Problem) bool {
		return x.Place == p.Place
	}) {
		return nil
	}
	for _, typed := range p.Types {
		for _, put := range []string{typed, `"` + typed + `"`} {
			text := splice(src, from, to, put)
			if !brings(logbook.Problems(name, text), before) {
				all = append(all, Choice{Type: typed, Text: text})
				break
			}
		}
	}
	return all
}
