package address

import (
	"crypto/sha256"
	"encoding/hex"
	"strconv"
	"strings"

	"needlebook/site/page"
)

// names gives every page of the site its file name: flat, lower case, from letters, digits and dashes alone, so that
// no identity of a record can reach outside the output folder or name a device of some system. Two identities never
// share a name, on systems that ignore case either.
type names struct {
	taken map[string]bool
}

func newNames() *names {
	n := &names{taken: map[string]bool{}}
	for _, f := range fixed {
		n.taken[string(f)] = true
	}
	return n
}

// longest is the longest part of an identity that goes into a file name.
const longest = 64

// give makes the name of a page from its kind and the identity it is about. Identities are given in a fixed order, so
// that the same book has the same names; where two fall together the later one carries a digest of its identity.
func (n *names) give(kind, identity string) page.Ref {
	slug := page.Slug(identity)
	name := kind + "-" + slug + ".html"
	if slug == "" || len(slug) > longest || n.taken[name] {
		name = kind + "-" + strings.Trim(page.Cut(slug, longest-17)+"-"+digestOf(identity), "-") + ".html"
	}
	for n.taken[name] { // the same identity twice
		name = strings.TrimSuffix(name, ".html") + "-x.html"
	}
	n.taken[name] = true
	return page.Ref(name)
}

// spread names the pages over which a list of so many entries is spread, at least one.
func (n *names) spread(first page.Ref, kind string, entries, onPage int) []page.Ref {
	all := []page.Ref{first}
	for i := 1; i*onPage < entries; i++ {
		all = append(all, n.give(kind, strconv.Itoa(i+1)))
	}
	return all
}

func digestOf(identity string) string {
	sum := sha256.Sum256([]byte(identity))
	return hex.EncodeToString(sum[:8])
}

// Further is the name of a further page of a list whose first page has a fixed name.
func Further(first page.Ref, i int) page.Ref {
	if i == 0 {
		return first
	}
	return page.Ref(strings.TrimSuffix(string(first), ".html") + "-" + strconv.Itoa(i+1) + ".html")
}

// Flat says that a name is one of the kind that is given out here: lower case, in the folder itself.
func Flat(name string) bool {
	for _, r := range name {
		if (r < 'a' || r > 'z') && (r < '0' || r > '9') && r != '-' && r != '.' {
			return false
		}
	}
	return name != "" && name[0] != '.'
}
