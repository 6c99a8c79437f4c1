package logbook

import (
	"cmp"
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"
)

// Place is where something stands in a file of the book.
type Place struct {
	Path   string // relative to the book, with forward slashes
	Line   int    // from 1; 0 when the file as a whole is meant
	Column int    // from 1, in characters (Unicode code points)
}

// String is path:line:column, as terminals and editors understand it.
func (p Place) String() string {
	if p.Line == 0 {
		return p.Path
	}
	return p.Path + ":" + strconv.Itoa(p.Line) + ":" + strconv.Itoa(p.Column)
}

// Compare orders places as the files and their lines stand: by path, line and column. It is negative where p stands
// first.
func (p Place) Compare(q Place) int {
	return cmp.Or(cmp.Compare(p.Path, q.Path), cmp.Compare(p.Line, q.Line), cmp.Compare(p.Column, q.Column))
}

// Problem is something amiss in the reading of a file: a plain fact with its place. A check of the same name as the
// slip puts it into words and grades it.
type Problem struct {
	Place    Place
	Slip     string   // which slip: one of the Slip constants here or in package measure
	Key      string   // the key it concerns, as "as_found.leak_down.time"; empty where none
	Found    string   // the text at fault
	Expected string   // what belongs there
	Type     string   // what to type in the place of the whole value; empty where only the writer can know
	Meant    []string // every value that may be meant, whole, the likeliest first
	Read     bool     // whether a value was read all the same

	// The correction: what is put in the place of Len bytes from At on within the value as written; empty for none.
	At, Len int
	Instead string
	Newer   bool  // a newer program wrote it, and this one does not know it
	Related Place // a second place, such as the first mention of a repeated key; zero for none
}

// Proposal is what is known to belong in the place of what is written: a text to type, or a name for the file.
// Whether it is meant, only the writer knows.
type Proposal struct {
	Place Place
	Was   string   // as it is written there
	Types []string // what may be typed in its place, the likeliest first
	Path  string   // where the file belongs, where not its text is at fault
}

// String is the proposal in words: "type 57705 h", "type 57705 h or 57.7 h, whichever is meant", "rename the file to
// h-101.md"; empty where only the writer can know.
func (c *Proposal) String() string {
	const few = 3
	switch {
	case c == nil:
	case c.Path != "" && path.Dir(c.Path) == path.Dir(c.Place.Path):
		return "rename the file to " + path.Base(c.Path)
	case c.Path != "":
		return "move it to " + c.Path
	case len(c.Types) == 1:
		return "type " + c.Types[0]
	case len(c.Types) > 1 && len(c.Types) <= few:
		return "type " + strings.Join(c.Types, " or ") + ", whichever is meant"
	}
	return ""
}

// Proposal is what is known to belong where the problem is; nil where only the writer can know.
func (p Problem) Proposal() *Proposal {
	c := &Proposal{Place: p.Place, Was: p.Found}
	switch {
	case p.Type == "" && len(p.Meant) == 0:
		return nil
	case p.Slip == SlipFolder:
		c.Path = p.Type
	case p.Slip == SlipStem:
		c.Path = path.Join(path.Dir(p.Place.Path), p.Type)
	case p.Type != "":
		c.Types = []string{p.Type}
	default:
		c.Types = p.Meant
	}
	return c
}

// proposeOnly takes back each proposal that is not good.
func (p *Problem) proposeOnly(good func(typed string) bool) {
	if p.Type != "" && !good(p.Type) {
		p.Type, p.Instead = "", ""
	}
	p.Meant = slices.DeleteFunc(slices.Clone(p.Meant), func(typed string) bool { return !good(typed) })
}

// Retyped is a line of the file with what is proposed in the place of what was found there; ok is false where the line
// does not hold it.
func (p Problem) Retyped(line string) (is string, ok bool) {
	before, after, ok := strings.Cut(line, p.Found)
	return before + p.Type + after, ok && p.Type != ""
}

// String is for tests and debugging.
func (p Problem) String() string {
	return fmt.Sprintf("%s: %s: %s: found %q, expected %s", p.Place, p.Slip, p.Key, p.Found, p.Expected)
}

// The slips of form that reading a file can meet, beside those of package measure.
const (
	SlipTooLarge        = "file-too-large"
	SlipEncoding        = "text-encoding"
	SlipByteOrderMark   = "byte-order-mark"
	SlipControl         = "control-character"
	SlipHidden          = "hidden-character"
	SlipNoFrontMatter   = "no-front-matter"
	SlipNotClosed       = "front-matter-not-closed"
	SlipDelimiter       = "front-matter-delimiter"
	SlipKeyBelow        = "key-below-front-matter"
	SlipTab             = "tab"
	SlipYAML            = "yaml-form"
	SlipRepeatedKey     = "repeated-key"
	SlipUnknownKey      = "unknown-key"
	SlipAnchor          = "yaml-anchor"
	SlipTag             = "yaml-tag"
	SlipDocument        = "second-document"
	SlipShape           = "wrong-shape"
	SlipCurly           = "curly-quotes"
	SlipUnquoted        = "serial-not-quoted"
	SlipWord            = "word-not-known"
	SlipDate            = "date-form"
	SlipReason          = "reason-missing"
	SlipBrokenReason    = "reason-cut"
	SlipHeader          = "table-header"
	SlipRow             = "table-row"
	SlipStem            = "record-name"
	SlipSameStem        = "record-twice"
	SlipNotARecord      = "stray-file"
	SlipUnreadable      = "file-unreadable"
	SlipFault           = "file-fault" // this program failed at the file
	SlipRevisionOverlap = "revision-order"
	SlipAttachment      = "attachment-missing"
	SlipAttachmentLarge = "attachment-too-large"
	SlipNoPicture       = "attachment-no-picture"
	SlipPictureName     = "attachment-name"
	SlipFolderCrowded   = "folder-crowded"
	SlipPathName        = "path-name"
	SlipMisplaced       = "file-misplaced"
	SlipFolder          = "record-folder"
	SlipCopy            = "file-copied"      // nothing of its own is in it
	SlipCopiedOver      = "file-copied-over" // its own text is gone
	SlipLeftBehind      = "file-left-behind"
	SlipSecondBook      = "second-book"
	SlipLost            = "file-lost" // the last commit has what the folder has not
	SlipDayAstray       = "date-ahead"
	SlipIdent           = "id-not-the-file"
	SlipFromNought      = "range-from-nought"
)

// Leaf is what stands at one key of a file, whatever its type.
type Leaf struct {
	Place   Place
	Key     string // the key with those above it: "as_found.leak_down.time"
	Written string // the scalar as written; empty for a block or a list
	Not     string // "not measured", "not done" … where that is what was written
	Why     string // the reason given in brackets behind Not
	present bool
}

// Present says that the key stands in the file, with a value or with the reason why there is none.
func (l Leaf) Present() bool { return l.present }

// Stated says that a value stands there, rather than nothing or the reason why there is none.
func (l Leaf) Stated() bool { return l.present && l.Not == "" }

// Excused says that the value is missing with a reason.
func (l Leaf) Excused() bool { return l.present && l.Not != "" && l.Why != "" }

func (l *Leaf) leaf() *Leaf { return l }

// Block is a group of keys: "as_found", "leak_down". It embeds a Leaf, so that a whole block may be "not done (why)".
type Block struct{ Leaf }

// Text is free text.
type Text struct{ Leaf }

// String is the text as written.
func (t Text) String() string { return t.Written }

// Serial is an identity: text always, compared as written.
type Serial struct{ Leaf }

// Stated says that an identity stands there: a blank names nothing, nor does one of two that are not believed.
func (s Serial) Stated() bool { return s.Leaf.Stated() && s.Written != "" }

// String is the identity as written.
func (s Serial) String() string { return s.Written }

// Unreadable says that characters of the serial could not be read: they are written as question marks.
func (s Serial) Unreadable() bool { return strings.Contains(s.Written, "?") }

// Word is one of a closed list of words.
type Word struct{ Leaf }

// String is the word as written.
func (w Word) String() string { return w.Written }

// Is says that the word is one of these.
func (w Word) Is(words ...string) bool {
	for _, x := range words {
		if w.Written == x && w.Stated() {
			return true
		}
	}
	return false
}
