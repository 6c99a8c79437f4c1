// Package tree takes the text of a record apart and loses nothing of it: keys and values with their places, whatever
// is broken in between, and on demand the bytes of each. It knows neither what a key means nor what a slip is
// called.
//
// Three readers share the work:
//
//   - github.com/adrg/frontmatter finds the dashes around the front matter of every file and hands over the bytes
//     between them. It reads line by line and copies each: an eighth of the time that a record takes.
//   - [Reader.Read] is the Format that it hands them to. It takes the plain subset of YAML that nearly every record is
//     written in: keys of letters, digits, underscores and dashes; values on one line, plain, quoted without
//     backslashes, or in brackets, which may go on with the next line behind a comma; blocks and lists of blocks by
//     indentation with spaces; comments. It says no rather than guess, makes no copies and uses its nodes again: a
//     fifth of the time.
//   - the YAML library reads what is unusual: anchors, tags, tabs, text over several lines. It takes thirty times as
//     long as the quick reader. Where it reads nothing at all, [Reader.ReadBroken] leaves out the block that holds the
//     fault, so that the rest of the record is still read.
//
// Both give the same nodes at the same places for the same text; a fuzz test holds them against each other. [Of] finds
// the bytes of every node as well, for whoever changes a text: half as long as the library takes to read it.
package tree

// Node is one key with its value, or one item of a list. The node of a whole front matter has no key.
type Node struct {
	Key      string // as the reader takes it; empty for an item of a list
	Value    string // of a single value, as the reader takes it
	Kind     Kind
	Style    Style // of the value
	KeyStyle Style
	Null     bool // nothing stands there, or a word for it
	// Odd and OddKey are what YAML allows and a record does not, at the value and at the key; nil nearly always.
	Odd, OddKey *Odd

	// Lines and columns in the front matter, from 1; columns count characters. A group begins at its first key or its
	// brace, a list at its first dash or its bracket.
	Line, Column       int
	KeyLine, KeyColumn int

	Below []*Node // keys of a group, items of a list

	cut   bool // a number that a comma parts into what YAML takes for two
	Spans      // in a [Tree]
	Vague bool // in a [Tree]: what stands below cannot be told by its bytes
}

// Kind is what stands at a key.
type Kind uint8

// The kinds of nodes.
const (
	Value Kind = iota // a single value
	Group             // a group of keys
	List
	Unread // what could not be read, as its line tells; only in a [Tree]
)

// Style is how a value or key is written.
type Style uint8

// The styles.
const (
	Plain    Style = iota
	Single         // in single quotes
	Double         // in double quotes
	Literal        // a text over several lines behind | or >
	Brackets       // a group or list in brackets
)

// Quoted says that a text is marked as one: by quotes, or as one over several lines.
func (s Style) Quoted() bool { return s == Single || s == Double || s == Literal }

// Odd is what YAML allows and a record does not.
type Odd struct {
	Kind OddKind
	Text string // as it is shown: *name, &name, <<, or the tag
}

// OddKind tells what is odd.
type OddKind uint8

// The kinds of odd things.
const (
	Alias OddKind = iota + 1
	Anchor
	Merge
	Tag
)
