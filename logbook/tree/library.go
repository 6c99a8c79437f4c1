package tree

import (
	"errors"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"
)

// Trouble is what keeps a front matter from being read as it stands.
type Trouble struct {
	Kind         TroubleKind
	Line, Column int    // in the front matter, from 1
	Found        string // the text at fault; of broken YAML the whole text
	Message      string // of broken YAML: what the library says of it
}

// TroubleKind tells troubles apart.
type TroubleKind uint8

// The kinds of troubles.
const (
	Indented  TroubleKind = iota // by a tab or a no-break space
	Undecided                    // git's marks around what two sides wrote
	Broken                       // no YAML
)

// PlainIndent makes plain spaces of what indents a line: a tab is as wide as two of them.
var PlainIndent = strings.NewReplacer("\t", "  ", "\u00a0", " ")

// ReadBroken reads a text with the YAML library. What it cannot read it tells, and reads on without it: tabs become
// spaces, what two sides wrote and nobody has decided is passed over, and so is the top-level block that holds the
// line that tell gives back for broken YAML. root is nil where nothing is left.
func (r *Reader) ReadBroken(front string, tell func(Trouble) (line int)) (root *Node) {
	r.used, r.left = 0, map[int]bool{}
	lines := strings.Split(undecided(untabbed(front, tell), tell), "\n")
	for range 40 {
		n, err := r.load([]byte(strings.Join(lines, "\n")))
		if err == nil {
			return n
		}
		if !slices.ContainsFunc(lines, holdsMore) {
			return nil
		}
		t := troubleOf(err)
		line := t.Line
		// else what goes on behind lines that are left out begins above them
		if line < 1 || line > len(lines) || lines[line-1] != leftOut {
			t.Found = strings.ReplaceAll(strings.Join(lines, "\n"), leftOut, "")
			line = tell(t)
		}
		if !r.leaveOut(lines, line) {
			return nil
		}
	}
	return nil
}

// leftOut stands for a line that is not to be read: a remark to the library, and an error within a text in quotes or
// one that goes on behind it, so that nothing is read across it.
const leftOut = `# \! ' "`

// holdsMore says that a line holds more than a remark.
func holdsMore(line string) bool {
	line = strings.TrimSpace(line)
	return line != "" && line[0] != '#'
}

// load reads a text with the YAML library; nil where it holds nothing.
func (r *Reader) load(text []byte) (*Node, error) {
	var root yaml.Node
	if err := yaml.Load(text, &root); err != nil {
		return nil, err
	}
	top := &root
	if root.Kind == yaml.DocumentNode && len(root.Content) == 1 {
		top = root.Content[0]
	} else if root.Kind == 0 || root.Kind == yaml.DocumentNode {
		return nil, nil
	}
	n := r.node()
	r.take(n, top)
	return n, nil
}

// take makes a node of the library's.
func (r *Reader) take(n *Node, y *yaml.Node) {
	n.Line, n.Column, n.Style, n.Odd = y.Line, y.Column, styleOf(y.Style), oddOf(y)
	switch y.Kind {
	case yaml.MappingNode:
		n.Kind = Group
		for i := 0; i+1 < len(y.Content); i += 2 {
			key, entry := y.Content[i], r.below(n)
			entry.Key, entry.KeyLine, entry.KeyColumn = key.Value, key.Line, key.Column
			entry.KeyStyle, entry.OddKey = styleOf(key.Style), oddOf(key)
			r.take(entry, y.Content[i+1])
		}
	case yaml.SequenceNode:
		n.Kind = List
		for _, item := range y.Content {
			r.take(r.below(n), item)
		}
	case yaml.ScalarNode:
		n.Value, n.Null = y.Value, y.Tag == "!!null"
	}
	if n.Style == Brackets {
		joinNumbers(n)
	}
}

func styleOf(s yaml.Style) Style {
	switch {
	case s&yaml.SingleQuotedStyle != 0:
		return Single
	case s&yaml.DoubleQuotedStyle != 0:
		return Double
	case s&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		return Literal
	case s&yaml.FlowStyle != 0:
		return Brackets
	}
	return Plain
}

func oddOf(y *yaml.Node) *Odd {
	switch {
	case y.Kind == yaml.AliasNode:
		return &Odd{Alias, "*" + y.Value}
	case y.Anchor != "":
		return &Odd{Anchor, "&" + y.Anchor}
	case y.Value == "<<" && y.Tag == "!!merge":
		return &Odd{Merge, "<<"}
	case y.Style&yaml.TaggedStyle != 0:
		return &Odd{Tag, y.Tag}
	}
	return nil
}

// troubleOf is where the library met what it cannot read. An open bracket or quote is best shown where it was opened,
// not where the library gave up.
func troubleOf(err error) Trouble {
	var many *yaml.LoadErrors
	var one *yaml.LoadError
	t := Trouble{Kind: Broken, Line: 1, Column: 1, Message: err.Error()}
	if errors.As(err, &many) && len(many.Errors) > 0 {
		one = many.Errors[0]
	} else {
		errors.As(err, &one)
	}
	if one == nil {
		return t
	}
	t.Line, t.Column, t.Message = one.Mark.Line, one.Mark.Column, one.Message
	opened := strings.Contains(one.ContextMsg, "flow") || strings.Contains(one.ContextMsg, "quoted")
	if t.Line == 0 || one.ContextMark.Line > 0 && opened {
		t.Line, t.Column = one.ContextMark.Line, one.ContextMark.Column
	}
	if one.ContextMsg != "" {
		t.Message = one.ContextMsg + ": " + t.Message
	}
	return t
}

// untabbed tells tabs and no-break spaces that indent and puts spaces in their place.
func untabbed(front string, tell func(Trouble) int) string {
	if !strings.ContainsAny(front, "\t\u00a0") {
		return front
	}
	var out strings.Builder
	line := 0
	for s := range strings.Lines(front) {
		line++
		rest := strings.TrimLeft(s, " \t\u00a0")
		indent := s[:len(s)-len(rest)]
		if i := strings.IndexAny(indent, "\t\u00a0"); i >= 0 && strings.TrimSpace(rest) != "" {
			tell(Trouble{Kind: Indented, Line: line, Column: i + 1, Found: indent[i:]})
			indent = PlainIndent.Replace(indent)
		}
		out.WriteString(indent + rest)
	}
	return out.String()
}

// undecided tells where git's marks stand, because two sides wrote there and nobody has decided yet, and leaves out
// what stands between them.
func undecided(front string, tell func(Trouble) int) string {
	if !strings.Contains(front, "<<<<<<< ") {
		return front
	}
	lines := strings.Split(front, "\n")
	for i := 0; i < len(lines); i++ {
		if !strings.HasPrefix(lines[i], "<<<<<<<") {
			continue
		}
		end := slices.IndexFunc(lines[i:], func(l string) bool { return strings.HasPrefix(l, ">>>>>>>") })
		if end < 0 {
			break
		}
		tell(Trouble{Kind: Undecided, Line: i + 1, Column: 1, Found: strings.TrimSpace(lines[i])})
		for j := i; j <= i+end; j++ {
			lines[j] = leftOut
		}
	}
	return strings.Join(lines, "\n")
}

// beginsBlock says that a line begins a top-level block.
func beginsBlock(line string) bool {
	return line != "" && !strings.ContainsRune(" \t#-}]", rune(line[0]))
}

// leaveOut leaves out the top-level block that holds a line; false where nothing of it was left.
func (r *Reader) leaveOut(lines []string, line int) (some bool) {
	first := max(min(line, len(lines)), 1)
	for first > 1 && !beginsBlock(lines[first-1]) {
		first--
	}
	for i := first; i == first || i <= len(lines) && !beginsBlock(lines[i-1]); i++ {
		some = some || lines[i-1] != "" && lines[i-1] != leftOut
		lines[i-1], r.left[i] = leftOut, true
	}
	return some
}
