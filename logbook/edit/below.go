package edit

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/tree"
)

// Supply puts what a text has and another one of the same record lacks into that other one: whole keys, each where the
// schema has it. Values that stand in both stay as the other has them, alike or not. lacking names the keys that could
// not be put in, because the group that they belong to is written in braces or is no group.
func Supply(src, from []byte, fields []logbook.Field) (out []byte, added, lacking []string, err error) {
	for {
		t, f := logbook.TreeOf(src), logbook.TreeOf(from)
		if t.Doubt != "" || f.Doubt != "" {
			return nil, nil, nil, fmt.Errorf("cannot add to it: %s", t.Doubt+f.Doubt)
		}
		s := supply{to: t, from: f, lacking: lacking}
		if !s.next(t.Root, f.Root, "", fields) {
			return src, added, s.lacking, nil
		}
		src, lacking = splice(src, s.at, s.at, strings.ReplaceAll(s.block, "\n", tree.LineEnd(src))), s.lacking
		added = append(added, s.key)
	}
}

// supply looks for the next key that is missing.
type supply struct {
	to, from *tree.Tree
	lacking  []string
	key      string
	at       int
	block    string
}

func (s *supply) next(to, from *tree.Node, above string, fields []logbook.Field) bool {
	for _, want := range from.Below {
		key := above + want.Key
		i := slices.IndexFunc(to.Below, func(n *tree.Node) bool { return n.Key == want.Key })
		f := slices.IndexFunc(fields, func(f logbook.Field) bool { return f.Key == want.Key })
		switch {
		case i >= 0 && f >= 0 && to.Below[i].Kind == tree.Group && want.Kind == tree.Group:
			if s.next(to.Below[i], want, key+".", fields[f].Fields) {
				return true
			}
		case i >= 0 && want.Kind == tree.Group && !slices.Contains(s.lacking, key):
			s.lacking = append(s.lacking, key)
		case i >= 0 || slices.Contains(s.lacking, key):
		case to != s.to.Root && (to.Style == tree.Brackets || len(to.Below) == 0):
			s.lacking = append(s.lacking, key)
		default:
			s.key = key
			s.put(to, want, fields)
			return true
		}
	}
	return false
}

// put finds where a key goes in a group, and writes it as deep as the others of it.
func (s *supply) put(to, want *tree.Node, fields []logbook.Field) {
	rank := func(key string) int {
		return slices.IndexFunc(fields, func(f logbook.Field) bool { return f.Key == key })
	}
	s.at = s.to.Close
	depth := 0
	if to != s.to.Root {
		depth = to.Below[0].KeyColumn - 1
		last := to.Below[len(to.Below)-1]
		s.at = last.From + len(bytes.TrimRight(s.to.Src[last.From:last.To], " \r\n"))
		if i := bytes.IndexByte(s.to.Src[s.at:], '\n'); i >= 0 {
			s.at += i + 1
		}
	}
	for _, n := range slices.Backward(to.Below) {
		if rank(n.Key) > rank(want.Key) {
			s.at = s.to.Above(n)
		}
	}
	start := s.from.Lines.Start(s.from.Lines.Of(want.KeyAt))
	lines := strings.TrimRight(string(s.from.Src[start:want.To]), " \n")
	less := strings.Repeat(" ", want.KeyColumn-1)
	for line := range strings.SplitSeq(lines, "\n") {
		s.block += strings.Repeat(" ", depth) + strings.TrimPrefix(line, less) + "\n"
	}
}
