package merge

import (
	"bytes"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/tree"
)

// A Loss is a value that one side wrote and that a text does not hold.
type Loss struct {
	// Path is the value's path, or "remarks"; Was is what was written there, empty where the side had taken the value out.
	Path, Was string
}

// Lost lists what either side wrote and a text, the one that a signer decides for, does not hold; of a file that was
// compared by its lines, the lines, of a table the rows.
func (o Outcome) Lost(text []byte) []Loss {
	if o.rows != nil {
		return o.lostRows(text)
	}
	if o.Plain != "" {
		return o.lostLines(text)
	}
	t := logbook.TreeOf(text)
	if t.Doubt != "" {
		return nil
	}
	stands := map[string][]string{}
	var walk func(n node, path string)
	walk = func(n node, path string) {
		stands[plain(path)] = append(stands[plain(path)], n.shown())
		for i, e := range n.below() {
			walk(e, under(path, e.Key, i))
		}
	}
	for _, n := range nodes(text, t.Root.Below) {
		walk(n, n.Key)
	}
	remarks := squeezed(string(text[t.Body:]))
	var all []Loss
	for _, f := range o.Fields {
		for _, v := range []string{f.Ours, f.Theirs} {
			held := slices.Contains(stands[plain(f.Path)], v) || v == "" && stands[plain(f.Path)] == nil
			if f.Path == "remarks" {
				held = strings.Contains(remarks, v)
			}
			if loss := (Loss{f.Path, v}); v != f.Base && !held && !slices.Contains(all, loss) {
				all = append(all, loss)
			}
		}
	}
	return all
}

func (o Outcome) lostLines(text []byte) []Loss {
	said := squeezed(string(text))
	var all []Loss
	for _, f := range o.Fields {
		for _, v := range []string{f.Ours, f.Theirs} {
			held := v != "" && strings.Contains(said, v) || v == "" && !strings.Contains(said, f.Base)
			if loss := (Loss{f.Path, v}); v != f.Base && !held && strings.HasPrefix(f.Path, "line ") &&
				!slices.Contains(all, loss) {
				all = append(all, loss)
			}
		}
	}
	return all
}

// Unsettled is the first line, from 1, of a text that is one of git's markers and that no side wrote; 0 where there is
// none.
func (s Sides) Unsettled(text []byte) int {
	written := map[string]bool{}
	for _, side := range [][]byte{s.Base, s.Ours, s.Theirs} {
		for _, l := range lines(side) {
			written[strings.TrimRight(l, "\r\n")] = true
		}
	}
	for i, l := range lines(text) {
		bare := strings.TrimRight(l, "\r\n")
		for _, c := range []string{"<", ">", "|"} {
			if rest := strings.TrimLeft(bare, c); len(bare)-len(rest) >= 7 && strings.HasPrefix(rest, " ") && !written[bare] {
				return i + 1
			}
		}
	}
	return 0
}

// shown is what stands at an entry: a single value as written, a group or list on one line.
func (n node) shown() string {
	switch {
	case !n.there():
		return ""
	case n.Kind == tree.Value:
		return n.Value
	}
	return squeezed(string(bytes.TrimSpace(n.src[n.ValueAt:n.ValueEnd])))
}
