package checks

import (
	"fmt"
	"strings"

	"needlebook/logbook"
)

// moment is when a commit says that it was made.
func moment(k *logbook.Commit) string { return k.When("2006-01-02 15:04 UTC") }

// writtenBy says under which key or name a commit was made: facts only, and a name that no key speaks for is said to be
// a name.
func writtenBy(k *logbook.Commit) string {
	words := ""
	if line, _, _ := strings.Cut(strings.TrimSpace(k.Message), "\n"); line != "" {
		words = fmt.Sprintf(" (%q)", line)
	}
	switch {
	case k.State == logbook.Adopted:
		return fmt.Sprintf("in the name of %s, adopted by %s%s", k.AuthorName, k.AdoptedBy, words)
	case k.State.Speaks():
		return fmt.Sprintf("by %s with key %s%s", k.Signer, short(k.Key), words)
	case k.Signer != "":
		return fmt.Sprintf("in the name of %s with a key of %s, %s%s", k.AuthorName, k.Signer, k.State, words)
	}
	return fmt.Sprintf("in the name of %s, %s%s", k.AuthorName, k.State, words)
}

// short cuts a digest, a fingerprint or an id to what tells two apart by eye.
func short(id string) string {
	algorithm, rest, found := strings.Cut(id, ":")
	if !found {
		algorithm, rest = "", id
	} else {
		algorithm += ":"
	}
	if len(rest) > 12 {
		rest = rest[:12]
	}
	return algorithm + rest
}
