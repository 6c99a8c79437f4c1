package trace

import (
	"encoding/hex"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook"
)

var digestForm = regexp.MustCompile(`^[0-9a-f]{64}$`)

// countersign reads the countersigning files of the tip and gives each to the record it names. One
// whose record is not there is marked on its commit.
func (h *history) countersign(trails map[string]*logbook.RecordTrail,
	broken func(path, blob string, err error) error) error {
	byStem := map[string]*logbook.RecordTrail{}
	var files []string
	for p, t := range trails {
		switch {
		case strings.HasPrefix(p, "countersigned/") || strings.HasPrefix(p, "reviews/"):
			files = append(files, p)
		// of two with one name always the same
		case strings.HasPrefix(p, "overhauls/") && (byStem[t.Stem] == nil || p < byStem[t.Stem].Path):
			byStem[t.Stem] = t
		}
	}
	slices.Sort(files) // countersigned before reviews
	for _, p := range files {
		written, err := h.written(plumbing.NewHash(trails[p].Now().Blob))
		if err != nil {
			if err := broken(p, trails[p].Now().Blob, err); err != nil {
				return err
			}
			continue
		}
		c, record := h.seen(p, written, trails[p])
		t := trails[record]
		if t == nil {
			t = byStem[stem(record)]
		}
		if t == nil {
			m := &h.commits[c.Commit]
			m.Marks = append(m.Marks, fmt.Sprintf("%s names %q, which is no record of the book", p, clip(record)))
			continue
		}
		if err := h.compare(&c, t); err != nil {
			c.Discount("a text of the record is broken")
			if err := broken(t.Path, "", err); err != nil {
				return err
			}
		}
		t.Countersignatures = append(t.Countersignatures, c)
	}
	for _, t := range trails {
		slices.SortStableFunc(t.Countersignatures, func(a, b logbook.Countersignature) int {
			if a.Role != b.Role {
				return strings.Compare(a.Role, b.Role) // chief before superintendent
			}
			return a.Commit - b.Commit
		})
	}
	return nil
}

// seen reads one countersigning file and judges who signed it; the record is what it names.
func (h *history) seen(p string, written map[string]string, t *logbook.RecordTrail) (c logbook.Countersignature,
	record string) {
	commit := &h.commits[t.Now().Commit]
	c = logbook.Countersignature{Path: p, Role: "chief", Signer: commit.Signer, Person: commit.Person,
		LetInBy: commit.LetInBy,
		Commit:  t.Now().Commit, SeenCommit: -1, State: logbook.Countersigned}
	if strings.HasPrefix(p, "reviews/") {
		c.Role = "superintendent"
	}
	record, c.SHA256, c.Word, c.Remarks = written["record"], written["sha256"], written["seen"], written["remarks"]
	// A hand's id may hold dots: what follows the record's own name is the hand.
	named := strings.TrimPrefix(t.Stem, stem(record)+".")
	switch {
	case !t.Now().State.Speaks() || t.Now().State == logbook.Adopted:
		c.Discount(reason(t.Now()))
	case commit.Pending:
		c.Discount(fmt.Sprintf("key pending of %s", c.Person))
		c.Pending = true
	case !slices.Contains(commit.Roles, c.Role):
		c.Discount(fmt.Sprintf("%s is no %s", c.Signer, c.Role))
	case named != c.Person:
		c.Discount(fmt.Sprintf("the file is named for %s, but %s signed it", named, c.Signer))
	case !digestForm.MatchString(c.SHA256):
		c.Discount(fmt.Sprintf("sha256 holds %q, wanted 64 hexadecimal digits", clip(c.SHA256)))
	case c.Word != "as seen" && c.Word != "remarks" && c.Word != "refused":
		c.Discount(fmt.Sprintf("seen holds %q, wanted as seen, remarks or refused", clip(c.Word)))
	case c.Word == "refused":
		c.State = logbook.Refused
	}
	return c, record
}

func reason(v *logbook.Version) string {
	if v.Why == "" {
		return string(v.State)
	}
	return string(v.State) + ": " + v.Why
}

// compare finds the text that was seen among the record's versions and says what became of it since.
func (h *history) compare(c *logbook.Countersignature, t *logbook.RecordTrail) error {
	f, now := h.current(t)
	seen := -1
	for i := now; i >= 0 && seen < 0; i-- {
		if f.versions[i].blob.IsZero() {
			continue
		}
		text, err := h.text(f.versions[i].blob, false)
		if err != nil {
			return err
		}
		if hex.EncodeToString(text.sum[:]) == c.SHA256 {
			seen = i
		}
	}
	if seen < 0 {
		c.Discount("no version of the record has the digest that was signed")
		return nil
	}
	c.SeenCommit = f.versions[seen].commit
	past := h.sight(c.SeenCommit)
	for _, v := range f.versions {
		if past.has(v.commit) {
			h.secondPerson(c, v.commit)
		}
	}
	if f.versions[seen].blob == f.versions[now].blob {
		return nil
	}
	then, err := h.written(f.versions[seen].blob)
	if err != nil {
		return err
	}
	told, err := h.values(f, now)
	if err != nil {
		return err
	}
	since(c, then, told)
	if len(c.Changed) > 0 && c.State == logbook.Countersigned {
		c.State = logbook.ChangedSince
	}
	return nil
}

// secondPerson discounts a countersignature by the one who wrote, or answers for, what he saw; and a chief's over
// what a pending key wrote, which may be his own or another chief's. A superintendent's word is more than a chief's.
func (h *history) secondPerson(c *logbook.Countersignature, wrote int) {
	w := &h.commits[wrote]
	adopter, _, _ := strings.Cut(w.AdoptedBy, "@")
	switch {
	case c.Person == "":
	case w.Person != "" && SamePerson(w.Person, c.Person):
		c.Discount(fmt.Sprintf("%s wrote the record too, see commit %s", c.Person, h.short(wrote)))
	case adopter != "" && SamePerson(adopter, c.Person):
		c.Discount(fmt.Sprintf("%s answers for the record too, see commit %s", c.Person, h.short(wrote)))
	case w.Pending && w.State == logbook.Signed && c.Role == "chief":
		c.Discount(fmt.Sprintf("key pending of %s, see commit %s", w.Person, h.short(wrote)))
		c.Pending = true
	}
}

// since tells the values that were changed or taken out from those that were only added. Remarks that
// go on behind the old ones are added.
func since(c *logbook.Countersignature, then map[string]string, now told) {
	for p, old := range then {
		s, ok := now.set[p]
		switch {
		case !ok:
			c.Changed = append(c.Changed, logbook.ValueChange{Path: p, Old: old, Commit: now.gone[p].Commit,
				Correction: now.gone[p].Correction})
		case s.Written == old:
		case p == "remarks" && strings.HasPrefix(s.Written, old+"\n"):
			c.Added = append(c.Added, logbook.ValueChange{Path: p, New: strings.TrimSpace(s.Written[len(old):]),
				Commit: s.Commit})
		default:
			c.Changed = append(c.Changed, logbook.ValueChange{Path: p, Old: old, New: s.Written, Commit: s.Commit,
				Correction: s.Correction})
		}
	}
	for p, s := range now.set {
		if _, ok := then[p]; !ok {
			c.Added = append(c.Added, logbook.ValueChange{Path: p, New: s.Written, Commit: s.Commit})
		}
	}
	byPath := func(a, b logbook.ValueChange) int { return strings.Compare(a.Path, b.Path) }
	slices.SortFunc(c.Changed, byPath)
	slices.SortFunc(c.Added, byPath)
}
