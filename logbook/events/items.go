package events

import (
	"path"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"needlebook/logbook"
	"needlebook/logbook/tree"
)

// Kind says what an item is.
type Kind uint8

// The kinds of items.
const (
	Row    Kind = iota // of a table
	Head               // the first row of a table, with the names of its columns
	Remark             // what stands behind a #
	Blank              // an empty line
	Value              // of a record
	Line               // of a list or of free text
	Entry              // of the register: the line of one key, and there is one for a key
	Whole              // a file of bytes
)

// An Item is one thing that a text says.
type Item struct {
	Kind Kind
	// Text is what is compared: the cells of a row without their quotes and separators, a value behind its path
	// and a blank, a line.
	Text string
	// Key tells which item it is when its text changes: the date and cylinder of a row, the path of a value
	// without places in lists. It may be empty.
	Key string
	// Raw is the item as written, with its line end; only of tables and lists.
	Raw string
	// Line is where it begins, from 1; only of tables and lists.
	Line int
}

// is what makes two items the same.
type is struct {
	kind Kind
	text string
}

func (it *Item) is() is { return is{it.Kind, it.Text} }

// Joins reports whether a file is joined item by item without anybody looking: a table, or a list of those who may
// sign.
func Joins(name string) bool {
	return path.Ext(name) == ".csv" && !strings.HasPrefix(name, "logs/") || strings.HasPrefix(name, "signers/")
}

// Of takes a text apart. A nil text, of a file that is not there, holds nothing.
func Of(name string, text []byte) []Item {
	switch {
	case text == nil:
		return nil
	case Joins(name) && path.Ext(name) == ".csv":
		items, _ := Table(text)
		return items
	case name == "signers/allowed_signers":
		return list(string(text), Entry)
	case strings.HasPrefix(name, "signers/"):
		return list(string(text), Line)
	case opaque(name, text):
		return []Item{{Kind: Whole, Text: string(text)}}
	case path.Ext(name) == ".md":
		if items := record(text); items != nil {
			return items
		}
	}
	return lines(nil, string(text))
}

// opaque says that a file is no text that lines can be told in.
func opaque(name string, text []byte) bool {
	kept := strings.HasPrefix(name, "photos/") || strings.HasPrefix(name, "logs/")
	return kept || !utf8.Valid(text) || slices.Contains(text, 0)
}

func lines(all []Item, text string) []Item {
	for l := range strings.Lines(text) {
		if l = strings.TrimRight(l, " \t\r\n"); l != "" {
			all = append(all, Item{Kind: Line, Text: l})
		}
	}
	return all
}

var place = regexp.MustCompile(`\[[0-9]+\]`)

// record gives the values of a record, the lines of its free text and its remarks behind a #; nil where it has no
// keys.
func record(text []byte) []Item {
	values := logbook.Values(text)
	var all []Item
	for _, v := range values {
		if v.Path == "remarks" {
			continue
		}
		key := place.ReplaceAllString(v.Path, "[]")
		all = append(all, Item{Kind: Value, Key: key, Text: key + " " + v.Written})
	}
	if all == nil {
		return nil
	}
	for _, v := range values {
		if v.Path == "remarks" {
			all = lines(all, v.Written)
		}
	}
	for _, s := range logbook.TreeOf(text).All() {
		switch part := string(text[s.From:s.To]); s.Kind {
		case tree.Remark:
			all = append(all, Item{Kind: Remark, Text: strings.TrimRight(part, " \t")})
		case tree.Rest: // what cannot be read may end with one
			for l := range strings.Lines(part) {
				if at := hash(l); at >= 0 {
					all = append(all, Item{Kind: Remark, Text: strings.TrimRight(l[at:], " \t\r\n")})
				}
			}
		}
	}
	return all
}

// hash is where a line's remark begins, -1 where it has none.
func hash(l string) int {
	for i := range len(l) {
		if l[i] == '#' && (i == 0 || l[i-1] == ' ' || l[i-1] == '\t') {
			return i
		}
	}
	return -1
}

// list gives the lines of one of the lists under hands, each of a kind.
func list(text string, kind Kind) []Item {
	var all []Item
	n := 0
	for l := range strings.Lines(text) {
		n++
		it := Item{Kind: kind, Text: strings.TrimRight(l, " \t\r\n"), Raw: l, Line: n}
		switch {
		case it.Text == "":
			it.Kind = Blank
		case it.Text[0] == '#':
			it.Kind = Remark
		default:
			it.Key = listKey(it.Text)
		}
		all = append(all, it)
	}
	return all
}

// listKey is the key that a line lets in, or the commit or fingerprint that it begins with.
func listKey(line string) string {
	words := strings.Fields(line)
	for i, w := range words[:len(words)-1] {
		if strings.HasSuffix(w, "ssh-ed25519") || strings.HasSuffix(w, "@openssh.com") {
			return words[i+1]
		}
	}
	return words[0]
}
