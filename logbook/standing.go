package logbook

import (
	"fmt"
	"slices"
	"strings"
)

// A Standing is what is known of who answers for a file of the book as it stands, in the words that the
// terminal, the JSON and the pages share.
type Standing struct {
	// Writer is the state of the text and whose it is: "signed by m.oyelaran", "adopted by i.tamm: sent late",
	// "unsigned", "not committed".
	Writer string
	// Silent counts the values of a signed text that an earlier commit set and nobody's signature speaks for.
	Silent int
	// Seen are the signatures of those who saw it, one each: "countersigned by i.tamm", "changed since
	// countersigned by o.lindqvist", "reviewed by s.okonjo". An overhaul that nobody saw has "not countersigned".
	Seen []string
	// Keys say of the writer and of those who saw it who let their keys in: "i.tamm by s.okonjo".
	Keys []string
	// Received is between which receipts the text was committed; empty when the history was held against none.
	Received string
	// Answered is true when a signer of the book answers for every value of the text.
	Answered bool
}

// String is the whole in one line.
func (s Standing) String() string {
	words := []string{s.Writer}
	switch {
	case s.Silent == 1:
		words = append(words, "one value that no signature speaks for")
	case s.Silent > 1:
		words = append(words, Counted(s.Silent, "value")+" that no signature speaks for")
	}
	words = append(words, s.Seen...)
	if s.Received != "" {
		words = append(words, s.Received)
	}
	return strings.Join(words, " · ")
}

// Standing says who answers for a file of the book. The words name the hand, the part of the register's
// principal before the @.
func (t *Trail) Standing(path string) Standing {
	if !t.UnderGit {
		return Standing{Writer: t.Lacking + ": nothing is proved"}
	}
	for _, w := range t.WorkTree {
		if w.Path == path && w.What == "changed" {
			return Standing{Writer: "changed since its last commit: not committed"}
		} else if w.Path == path {
			return Standing{Writer: w.What}
		}
	}
	r := t.Records[path]
	if r == nil {
		return Standing{Writer: "not committed"}
	}
	now := r.Now()
	s := Standing{Writer: t.Writer(r.Current, r), Silent: t.silent(r)}
	s.Answered = now.State.Speaks() && s.Silent == 0
	s.letIn(t.answers(now.Commit), t.At(now.Commit).LetInBy)
	for i := range r.Countersignatures {
		c := &r.Countersignatures[i]
		s.Seen = append(s.Seen, c.Words())
		s.letIn(c.Person, c.LetInBy)
	}
	if len(s.Seen) == 0 && strings.HasPrefix(path, "overhauls/") {
		s.Seen = []string{"not countersigned"}
	}
	if t.Made != nil {
		s.Received = t.Made[now.Commit].String()
	}
	return s
}

// answers is the signer who answers for a commit; empty where nobody does.
func (t *Trail) answers(commit int) string {
	c := t.At(commit)
	if c.State == Adopted {
		adopter, _, _ := strings.Cut(c.AdoptedBy, "@")
		return adopter
	} else if c.State.Speaks() {
		return c.Person
	}
	return ""
}

// letIn adds who let a hand's key in.
func (s *Standing) letIn(signer, by string) {
	if words := signer + " by " + LetIn(by); signer != "" && !slices.Contains(s.Keys, words) {
		s.Keys = append(s.Keys, words)
	}
}

// LetIn names who let a key in, by the principal that stands in Commit.LetInBy.
func LetIn(by string) string {
	if by == "" {
		return "the founding commit"
	}
	signer, _, _ := strings.Cut(by, "@")
	return signer
}

// PendingWords are said wherever a key that waits for a superintendent is named.
const PendingWords = "key pending, does not count for four eyes"

// Writer says of one version of a record, by its index, in which state it is and whose. Of a state that does
// not speak, the signer is the key's owner, and that is said.
func (t *Trail) Writer(version int, r *RecordTrail) string {
	v := &r.Versions[version]
	c := t.At(v.Commit)
	switch {
	case v.State == Adopted:
		return fmt.Sprintf("%s by %s: %s", v.State, t.answers(v.Commit), v.Why)
	case v.State.Speaks() && c.Pending:
		return fmt.Sprintf("%s by %s, %s", v.State, c.Person, PendingWords)
	case v.State.Speaks():
		return fmt.Sprintf("%s by %s", v.State, c.Person)
	case c.Person != "":
		return fmt.Sprintf("%s: a key of %s", v.State, c.Person)
	}
	return string(v.State)
}

// Words says whose signature it is and whether it holds for the text as it stands.
func (c *Countersignature) Words() string {
	verb := string(Countersigned)
	if c.Role == "superintendent" {
		verb = "reviewed"
	}
	switch c.State {
	case Countersigned:
		words := verb + " by " + c.Person
		if c.Word == "remarks" {
			words += " with remarks"
		}
		if len(c.Added) > 0 {
			words += ", added to since"
		}
		return words
	case ChangedSince:
		return "changed since " + verb + " by " + c.Person
	case Refused:
		return "refused by " + c.Person
	}
	if c.Person == "" {
		return fmt.Sprintf("countersignature in %s %s: %s", c.Path, c.State, c.Why)
	}
	return fmt.Sprintf("%s by %s %s: %s", verb, c.Person, c.State, c.Why)
}

// silent counts the values of a record that nobody's signature speaks for, where a signer signed the text as a
// whole.
func (t *Trail) silent(r *RecordTrail) int {
	if !r.Now().State.Speaks() {
		return 0
	}
	n := 0
	for _, v := range r.Values {
		if !t.At(v.Commit).State.Speaks() {
			n++
		}
	}
	return n
}
