package tree

import (
	"regexp"
	"unicode/utf8"
)

// A number that a comma cuts in two is one value to whoever wrote it. Both readers put it together, so that nobody who
// walks the nodes meets the halves.
var (
	// grouped is a number without its decimals, whatever parts its thousands.
	grouped  = regexp.MustCompile(`^[+-]?[0-9]{1,3}([.'’ ]?[0-9]{3})*$|^[+-]?[0-9]+$`)
	whole    = regexp.MustCompile(`^[+-]*[0-9]+$`)
	fraction = regexp.MustCompile(`^[0-9] *\pL`)
)

// KeyAlone says that an entry of a group in braces is a bare text that begins with a digit: YAML makes a key of it.
func (n *Node) KeyAlone() bool {
	return n.OddKey == nil && n.Odd == nil && n.KeyStyle == Plain && n.Null && n.Value == "" && n.Key != "" &&
		n.Key[0] >= '0' && n.Key[0] <= '9'
}

// joinNumbers puts the numbers in a group or list in brackets together.
func joinNumbers(n *Node) {
	into := 0
	for i := 0; i < len(n.Below); i++ {
		e := n.Below[i]
		if i+1 < len(n.Below) && halves(n.Kind, e, n.Below[i+1]) {
			i++
			e.Value += "," + n.Below[i].Key + n.Below[i].Value // of an item the one is empty, of a key alone the other
			e.cut = true
		}
		n.Below[into] = e
		into++
	}
	n.Below = n.Below[:into]
}

// halves says that two entries are the halves of one number: in {value: 0,72 mm, with: DG-1} YAML sees a nought, and a
// key "72 mm" without a value; in [31,5 MPa, 31,0 MPa] a 31 without a unit and one of 5 MPa. In a list only one digit
// with a unit directly behind the comma is taken for a fraction: [31,30 MPa] may be two readings.
func halves(kind Kind, a, b *Node) bool {
	if a.Kind != Value || a.Style != Plain || a.Odd != nil {
		return false
	}
	line, column := a.Line, a.Column+utf8.RuneCountInString(a.Value)+1
	if kind == Group {
		return b.KeyAlone() && b.KeyLine == line && b.KeyColumn == column && grouped.MatchString(a.Value)
	}
	return b.Kind == Value && b.Style == Plain && b.Odd == nil && b.Line == line && b.Column == column &&
		whole.MatchString(a.Value) && fraction.MatchString(b.Value)
}
