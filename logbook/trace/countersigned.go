package trace

import (
	"encoding/hex"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook"
)

var digestForm = regexp.MustCompile(`^[0-9a-f]{64}$`)

// countersign gives each record the countersignatures over it. What counts of a countersigning file is the last text
// of it that its person was entitled to write: whoever changes it without being so, or takes it out, takes nothing from
// what was signed. One whose record is not there is marked on its commit.
func (h *history) countersign(trails map[string]*logbook.RecordTrail,
	broken func(path, blob string, err error) error) error {
	s := &sighted{history: h, trails: trails, byStem: map[string]*logbook.RecordTrail{},
		tips: map[string]*logbook.RecordTrail{}, broken: broken}
	for p, t := range trails {
		s.tips[h.key(p)] = t
		// of two with one name always the same
		if strings.HasPrefix(p, "overhauls/") && (s.byStem[t.Stem] == nil || p < s.byStem[t.Stem].Path) {
			s.byStem[t.Stem] = t
		}
	}
	for _, key := range slices.Sorted(maps.Keys(h.files)) { // countersigned before reviews
		if strings.HasPrefix(key, "countersigned/") || strings.HasPrefix(key, "reviews/") {
			if err := s.file(key); err != nil {
				return err
			}
		}
	}
	for _, t := range trails {
		slices.SortStableFunc(t.Countersignatures, func(a, b logbook.Countersignature) int {
			if a.Role != b.Role {
				return strings.Compare(a.Role, b.Role) // chief before superintendent
			}
			return a.Commit - b.Commit
		})
		h.seenAgain(t.Countersignatures, t)
		h.seenAgain(t.Superseded, t)
	}
	return nil
}

// sighted is what the countersigning files are read against.
type sighted struct {
	*history
	trails, byStem, tips map[string]*logbook.RecordTrail // by path, by name, by key
	broken               func(path, blob string, err error) error
	replaced             map[string]bool // evidence of which there was more than one text, by key; nil until asked for
}

// file reads one countersigning file, the text of the tip first, then the earlier ones.
func (s *sighted) file(key string) error {
	f, tip := s.files[key], s.tips[key]
	current := -1
	if tip != nil {
		_, current = s.current(tip)
	}
	order := []int{}
	for i := range slices.Backward(f.versions) {
		if i != current && !f.versions[i].blob.IsZero() {
			order = append(order, i)
		}
	}
	if current >= 0 {
		order = slices.Insert(order, 0, current)
	}
	counted := false
	for _, i := range order {
		c, t, err := s.given(f.versions[i], i == current)
		switch counts := c.State != logbook.NotCounted; {
		case err != nil:
			return err
		case t == nil:
		case counts && counted:
			if len(c.Changed)+len(c.Evidence) > 0 {
				t.Superseded = append(t.Superseded, c)
			}
		case counts || i == current:
			t.Countersignatures = append(t.Countersignatures, c)
			counted = counts
		}
	}
	return nil
}

// given is the countersignature of one text of a file, and the record that it is over; nil where that is not to be had.
func (s *sighted) given(v version, tip bool) (c logbook.Countersignature, t *logbook.RecordTrail, err error) {
	written, err := s.written(v.blob)
	if err != nil {
		return c, nil, s.broken(v.path, v.blob.String(), err)
	}
	c, record := s.seen(v, written)
	if t = s.trails[record]; t == nil {
		t = s.byStem[stem(record)]
	}
	if t == nil {
		if m := &s.commits[c.Commit]; tip {
			m.Marks = append(m.Marks, fmt.Sprintf("%s names %q, which is no record of the book", v.path, clip(record)))
		}
		return c, nil, nil
	}
	if err := s.compare(&c, t, written); err != nil {
		c.Discount("a text of the record is broken")
		return c, t, s.broken(t.Path, "", err)
	}
	return c, t, nil
}

// seen takes one text of a countersigning file and judges who signed it; the record is what it names.
func (h *history) seen(of version, written map[string]string) (c logbook.Countersignature, record string) {
	commit, v := &h.commits[of.commit], h.version(of)
	c = logbook.Countersignature{Path: of.path, Role: "chief", Signer: commit.Signer, Person: commit.Person,
		LetInBy: commit.LetInBy, Commit: of.commit, SeenCommit: -1, State: logbook.Countersigned}
	if strings.HasPrefix(of.path, "reviews/") {
		c.Role = "superintendent"
	}
	record, c.SHA256, c.Word, c.Remarks = written["record"], written["sha256"], written["seen"], written["remarks"]
	// A hand's id may hold dots: what follows the record's own name is the hand.
	named := strings.TrimPrefix(stem(of.path), stem(record)+".")
	switch {
	case !v.State.Speaks() || v.State == logbook.Adopted:
		c.Discount(reason(&v))
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
func (s *sighted) compare(c *logbook.Countersignature, t *logbook.RecordTrail, written map[string]string) error {
	h := s.history
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
	if err := s.evidence(c, f.versions[seen].blob, written); err != nil {
		return err
	}
	if len(c.Evidence) > 0 && c.State == logbook.Countersigned {
		c.State = logbook.ChangedSince
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

// evidence finds the pictures and logs named in the text that was seen which are not those that were seen. Which those
// were the countersigning file says by their digests; one that names none was written with the newest in sight.
func (s *sighted) evidence(c *logbook.Countersignature, seen id, written map[string]string) error {
	if s.replaced == nil {
		s.replaced = map[string]bool{}
		for key, f := range s.files {
			if strings.HasPrefix(key, "photos/") || strings.HasPrefix(key, "logs/") {
				s.replaced[key] = len(f.versions) > 1 || s.tips[key] == nil
			}
		}
		maps.DeleteFunc(s.replaced, func(_ string, more bool) bool { return !more })
	}
	if len(s.replaced) == 0 {
		return nil
	}
	text, err := s.store.read(seen, plumbing.BlobObject)
	if err != nil {
		return err
	}
	digests, past := digestsOf(written), bits(nil)
	for _, name := range logbook.EvidenceIn(text) {
		key := s.key(name)
		if !s.replaced[key] {
			continue
		}
		if past == nil {
			past = s.sight(c.Commit)
		}
		was, err := s.versionSeen(key, digests[name], past)
		if err != nil {
			return err
		}
		x := logbook.EvidenceChange{Path: name, Old: hexOrEmpty(was), Commit: s.lastOf(key)}
		if t := s.tips[key]; t != nil {
			x.New, x.Commit = t.Now().Blob, t.Now().Commit
		}
		if x.Old != x.New && x.Old != "" {
			c.Evidence = append(c.Evidence, x)
		}
	}
	return nil
}

// digestsOf are the digests of the evidence that a countersigning file states, by path.
func digestsOf(written map[string]string) map[string]string {
	digests := map[string]string{}
	for i := 0; ; i++ {
		name, ok := written[fmt.Sprintf("evidence[%d].file", i)]
		if !ok {
			return digests
		}
		digests[name] = written[fmt.Sprintf("evidence[%d].sha256", i)]
	}
}

// versionSeen is the text of a file that was seen: the one of a digest, or where none is stated the newest in sight.
func (s *sighted) versionSeen(key, digest string, past bits) (was id, err error) {
	for _, v := range s.files[key].versions {
		if !past.has(v.commit) || v.blob.IsZero() {
			continue
		}
		if digest != "" {
			text, err := s.text(v.blob, false)
			if err != nil {
				return id{}, err
			}
			if hex.EncodeToString(text.sum[:]) != digest {
				continue
			}
		}
		was = v.blob
	}
	return was, nil
}

// lastOf is the commit that changed a file last, or the merge that dropped it.
func (s *sighted) lastOf(key string) int {
	all := s.files[key].versions
	return max(all[len(all)-1].commit, s.lost[key])
}

// seenAgain notes which countersignatures were given with a change in sight.
func (h *history) seenAgain(all []logbook.Countersignature, t *logbook.RecordTrail) {
	for i := range all {
		for j := range all[i].Changed {
			v := &all[i].Changed[j]
			for _, other := range t.Countersignatures {
				counts := other.State == logbook.Countersigned || other.State == logbook.ChangedSince
				if counts && !differsIn(&other, v.Path) && h.sight(other.SeenCommit).has(v.Commit) {
					v.SeenBy = append(v.SeenBy, other.Commit)
				}
			}
		}
	}
}

// differsIn says that a value is another now than the one a countersignature is over.
func differsIn(c *logbook.Countersignature, path string) bool {
	return slices.ContainsFunc(c.Changed, func(v logbook.ValueChange) bool { return v.Path == path })
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
