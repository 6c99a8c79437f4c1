package intake

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/edit"
	"needlebook/logbook/keys"
)

// Renewed is what a record of the book becomes when its row is read again.
type Renewed struct {
	Text    []byte
	Added   []string // keys that it gets
	Differs []string // in words: what it holds otherwise than its row gives it now, and keeps
	// Moved says that a value stands under another key than the map now gives it: nothing is added then, or it would
	// stand in both.
	Moved bool
}

// Renew adds to a record of the book what its row gives and it does not have. What it has stays, and is told where the
// row now says something else.
func Renew(was []byte, rec Record) (r Renewed, err error) {
	r.Text = was
	before, after := valuesOf(was), valuesOf(rec.Text)
	for _, v := range after {
		i := slices.IndexFunc(before, func(w logbook.ValueAt) bool { return w.Path == v.Path })
		if i >= 0 && before[i].Written != v.Written {
			r.Differs = append(r.Differs, fmt.Sprintf("%s is %q there, and %q by its row now", v.Path, before[i].Written,
				v.Written))
		}
		if i >= 0 {
			continue
		}
		for _, w := range before {
			gone := !slices.ContainsFunc(after, func(a logbook.ValueAt) bool { return a.Path == w.Path })
			if gone && w.Written == v.Written {
				r.Moved = true
				r.Differs = append(r.Differs, fmt.Sprintf("%s is %q there, and %s by its row now", w.Path, w.Written, v.Path))
			}
		}
	}
	if r.Moved {
		return r, nil
	}
	text, added, lacking, err := edit.Supply(was, rec.Text, logbook.KindNamed("overhaul").Fields)
	if err != nil {
		return r, err
	}
	for _, key := range lacking {
		r.Differs = append(r.Differs, key+" is written otherwise there")
	}
	if r.Text, r.Added = text, added; len(added) > 0 {
		r.Text = sourced(text, rec.Text)
	}
	return r, nil
}

// valuesOf are the values of a record but for where it comes from and its remarks.
func valuesOf(text []byte) []logbook.ValueAt {
	return slices.DeleteFunc(logbook.Values(text), func(v logbook.ValueAt) bool {
		return strings.HasPrefix(v.Path, "reconstructed") || v.Path == keyRemarks
	})
}

// sourced names the bytes of the table that a value came from beside those that the record came from.
func sourced(text, from []byte) []byte {
	of := func(src []byte) string {
		for _, v := range logbook.Values(src) {
			if v.Path == keys.ReconstructedFrom {
				return v.Written
			}
		}
		return ""
	}
	was, is := of(text), of(from)
	_, digest, ok := strings.Cut(is, digestMark)
	if !ok || strings.Contains(was, digest) || !strings.Contains(was, digestMark) {
		return text
	}
	return bytes.Replace(text, []byte(was), []byte(was+" and "+digest), 1)
}
