package site

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"needlebook/logbook"
)

// names gives every page of the site its file name: flat, lower case, from letters, digits and dashes alone, so that no identity
// of a record can reach outside the output folder or name a device of some system. Two identities never share a name, on systems
// that ignore case either.
type names struct {
	taken map[string]bool
}

func newNames() *names {
	n := &names{taken: map[string]bool{}}
	for _, fixed := range []ref{pageVessel, pageFindings, pageTrace, pageReading, pageCautions, pageChecks, pageRounds, pageParts, pageOverhauls, pageFiles, pageSince, pageDrawings, pageDrawnValves, pageDrawnStroke, pageDrawnWhere, styleFile} {
		n.taken[string(fixed)] = true
	}
	for _, p := range slices.Concat(paperPages, manualPages) {
		n.taken[string(p)] = true
	}
	return n
}

// The pages that every site has.
const (
	pageVessel    ref = "index.html"
	pageFindings  ref = "findings.html"
	pageTrace     ref = "trace.html"
	pageReading   ref = "how-to-read-this.html"
	pageCautions  ref = "cautions.html"
	pageChecks    ref = "checks.html"
	pageRounds    ref = "rounds.html"
	pageParts     ref = "parts.html"
	pageOverhauls ref = "overhauls.html"
	pageFiles     ref = "files.html"
	pageSince     ref = "since.html"
	pageDrawings  ref = "drawings.html"
	styleFile     ref = "style.css"
	comfortFile   ref = "comfort.js"
	searchFile    ref = "search-index.js"
	proofScript   ref = "prove-again.sh"
)

// longest is the longest part of an identity that goes into a file name.
const longest = 64

// give makes the name of a page from its kind and the identity it is about. Identities are given in a fixed order, so that the
// same book has the same names; where two fall together the later one carries a digest of its identity.
func (n *names) give(kind, identity string) ref {
	slug := slugOf(identity)
	name := kind + "-" + slug + ".html"
	if slug == "" || len(slug) > longest || n.taken[name] {
		name = kind + "-" + strings.Trim(cut(slug, longest-17)+"-"+digestOf(identity), "-") + ".html"
	}
	for n.taken[name] { // the same identity twice
		name = strings.TrimSuffix(name, ".html") + "-x.html"
	}
	n.taken[name] = true
	return ref(name)
}

// spread names the pages over which a list of so many entries is spread, at least one.
func (n *names) spread(first ref, kind string, entries, onPage int) []ref {
	all := []ref{first}
	for i := 1; i*onPage < entries; i++ {
		all = append(all, n.give(kind, strconv.Itoa(i+1)))
	}
	return all
}

func digestOf(identity string) string {
	sum := sha256.Sum256([]byte(identity))
	return hex.EncodeToString(sum[:8])
}

// cut keeps at most so many bytes of a text, and no half of a character.
func cut(s string, most int) string {
	if len(s) <= most {
		return s
	}
	for most > 0 && !utf8.RuneStart(s[most]) {
		most--
	}
	return s[:most]
}

// slugOf is an identity in the letters of a file name: lower case, everything else one dash.
func slugOf(identity string) string {
	var b strings.Builder
	dash := false
	for _, r := range strings.ToLower(identity) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			if dash && b.Len() > 0 {
				b.WriteByte('-')
			}
			b.WriteRune(r)
			dash = false
		default:
			dash = true
		}
	}
	return b.String()
}

// at is the place within a page that an id marks. The id must be made of the letters of a file name.
func (r ref) at(id string) ref {
	if r == "" {
		return ""
	}
	return r + "#" + ref(id)
}

// lineID is the id of a line of a file as written.
func lineID(line int) string { return "l" + strconv.Itoa(max(line, 1)) }

// keyID is the id of the row that shows a verdict: its key in the letters of an id.
func keyID(key string) string { return "v-" + slugOf(key) }

// positionKey is a position as one text that no other position has.
func positionKey(p logbook.Position) string { return p.Engine + "\x00" + p.Cylinder }
