package merge

import (
	"slices"
	"strings"
)

// union puts the lines of a table or list together: what either side added stays, what either side took out goes, and a line that
// both added in the same place stands once. Where git's own union is free of doubt it gives the same; where one side changed
// a line and the other added one beside it, git brings the old line back, and this does not.
func union(base, us, them []byte) []byte {
	var out []string
	for _, s := range sections(lines(ended(base)), lines(ended(us)), lines(ended(them))) {
		switch s.who {
		case nobody, ours, alike:
			out = append(out, s.o...)
		case theirs:
			out = append(out, s.t...)
		default:
			out = append(out, both(s)...)
		}
	}
	return []byte(strings.Join(out, ""))
}

// both is a section to which both sides did something.
func both(s section) []string {
	// A line of the base that one side took out goes, though the other kept it.
	kept := func(mine, other []string) []string {
		gone := taken(s.b, other)
		return slices.DeleteFunc(slices.Clone(mine), func(l string) bool {
			if gone[l] > 0 {
				gone[l]--
				return true
			}
			return false
		})
	}
	o, t := kept(s.o, s.t), kept(s.t, s.o)
	var out []string
	at := 0
	for _, h := range changes(o, t) {
		out = append(append(out, o[at:h.to]...), t[h.at:h.until]...)
		at = h.to
	}
	return append(out, o[at:]...)
}

// taken counts the lines that a side took out.
func taken(base, side []string) map[string]int {
	n := map[string]int{}
	for _, l := range base {
		n[l]++
	}
	for _, l := range side {
		n[l]--
	}
	return n
}

// ended gives the last line its line end, so that it is not glued to what the other side added.
func ended(text []byte) []byte {
	if len(text) == 0 || text[len(text)-1] == '\n' {
		return text
	}
	return append(slices.Clone(text), '\n')
}
