package main

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"needlebook/logbook"
)

// signerJSON, commitJSON, counterJSON and verifyJSON are the stable form of verify --format json.
type signerJSON struct {
	Principal string `json:"principal"`
	Role      string `json:"role"`
	Commits   int    `json:"commits"`
	First     string `json:"first"`
	Last      string `json:"last"`
	// Keys are the signer's keys, in the order in which they signed first.
	Keys []keyJSON `json:"keys"`
}

// keyJSON is a key and who let it in: nothing for one of the founding commit.
type keyJSON struct {
	Key     string `json:"key"`
	LetInBy string `json:"let_in_by,omitempty"`
	Pending bool   `json:"pending,omitempty"`
}

// letIn says of each key who let it in.
func (s *signerJSON) letIn() []string {
	var all []string
	for _, k := range s.Keys {
		words := logbook.LetIn(k.LetInBy)
		if k.Pending {
			words += " (key pending)"
		}
		all = append(all, words)
	}
	return all
}

type commitJSON struct {
	ID      string `json:"id"`
	Stated  string `json:"stated"`
	State   string `json:"state"`
	Why     string `json:"why,omitempty"`
	Signer  string `json:"signer,omitempty"`
	Named   string `json:"named_in_the_commit"`
	Message string `json:"message"`
	Stands  bool   `json:"stands"`
	// Received is between which receipts the commit was made; empty when none were given.
	Received string `json:"received,omitempty"`
	// Adopted is who answers for the commit, where that is not its signer.
	Adopted string `json:"adopted_by,omitempty"`
	// LetInBy is who let in the key of the one who answers, Pending that it waits for a superintendent.
	LetInBy string       `json:"let_in_by,omitempty"`
	Pending bool         `json:"key_pending,omitempty"`
	Marks   []string     `json:"marks,omitempty"`
	Paths   []string     `json:"paths,omitempty"`
	Changes []changeJSON `json:"changes,omitempty"` // only what is more than a new text of its signer's
}

type changeJSON struct {
	Path   string `json:"path"`
	From   string `json:"from,omitempty"`
	Merged bool   `json:"edited_in_a_merge,omitempty"`
	NotHis string `json:"not_theirs_to_change,omitempty"`
}

type counterJSON struct {
	Record  string   `json:"record"`
	Person  string   `json:"person"`
	Role    string   `json:"role"`
	LetInBy string   `json:"let_in_by,omitempty"`
	State   string   `json:"state"`
	Why     string   `json:"why,omitempty"`
	Changed []string `json:"changed,omitempty"`
}

type verifyJSON struct {
	Format            string        `json:"format"` // "needlebook verify 1"
	Proven            bool          `json:"proven"`
	Headline          string        `json:"headline"`
	Head              string        `json:"head"`
	FoundingProof     string        `json:"founding_proof,omitempty"`
	FirstAgainst      string        `json:"first_against,omitempty"`
	Signers           []signerJSON  `json:"signers"`
	Commits           []commitJSON  `json:"commits"`
	Countersignatures []counterJSON `json:"countersignatures"`
	WorkTree          []string      `json:"work_tree,omitempty"`
	Received          *receivedJSON `json:"received,omitempty"`
	Remembered        *remembered   `json:"remembered,omitempty"`
	Records           []stateJSON   `json:"records"`
}

// stateJSON is who answers for one overhaul, in the words of logbook.Standing.
type stateJSON struct {
	Path     string `json:"path"`
	State    string `json:"state"`
	Received string `json:"received,omitempty"`
}

func signersOf(t *logbook.Trail) []signerJSON {
	at := map[string]int{}
	var all []signerJSON
	for i := range t.Commits {
		c := &t.Commits[i]
		if c.State != logbook.Signed {
			continue
		}
		day := c.Stated.Format("2006-01-02")
		n, ok := at[c.Signer]
		if !ok {
			n = len(all)
			at[c.Signer] = n
			role := ""
			if len(c.Roles) > 0 {
				role = c.Roles[len(c.Roles)-1]
			}
			all = append(all, signerJSON{Principal: c.Signer, Role: role, First: day})
		}
		all[n].Commits++
		if k := (keyJSON{c.Key, c.LetInBy, c.Pending}); !slices.Contains(all[n].Keys, k) {
			all[n].Keys = append(all[n].Keys, k)
		}
		all[n].Last = day
	}
	return all
}

func verifyOf(t *logbook.Trail) verifyJSON {
	v := verifyJSON{Format: "needlebook verify 1", Proven: t.Proved, Headline: t.Headline, Head: t.Head,
		FoundingProof: t.FoundingProof, Signers: signersOf(t), Commits: []commitJSON{}, Countersignatures: []counterJSON{},
		Records: []stateJSON{}}
	if c := t.At(t.First); c != nil {
		v.FirstAgainst = c.ID
	}
	for i, c := range t.Commits {
		j := commitJSON{ID: c.ID, Stated: c.Stated.Format("2006-01-02T15:04:05Z"), State: string(c.State), Why: c.Why,
			Signer: c.Signer, Named: fmt.Sprintf("%s <%s>", c.AuthorName, c.AuthorEmail), Message: c.Message, Stands: c.Stands,
			Adopted: c.AdoptedBy, LetInBy: c.LetInBy, Pending: c.Pending, Marks: c.Marks}
		if t.Made != nil {
			j.Received = t.Made[i].String()
		}
		for _, ch := range c.Changes {
			j.Paths = append(j.Paths, ch.Path)
			if ch.From != "" || ch.Merged || ch.NotHis != "" {
				j.Changes = append(j.Changes, changeJSON{ch.Path, ch.From, ch.Merged, ch.NotHis})
			}
		}
		v.Commits = append(v.Commits, j)
	}
	for _, r := range sortedRecords(t) {
		if strings.HasPrefix(r.Path, "overhauls/") {
			at := t.Standing(r.Path)
			v.Records = append(v.Records, stateJSON{r.Path, at.String(), at.Received})
		}
		for _, s := range r.Countersignatures {
			c := counterJSON{Record: r.Path, Person: s.Person, Role: s.Role, LetInBy: s.LetInBy, State: string(s.State),
				Why: s.Why}
			for _, ch := range s.Changed {
				c.Changed = append(c.Changed, fmt.Sprintf("%s: %s → %s", ch.Path, ch.Old, ch.New))
			}
			for _, ch := range s.Evidence {
				c.Changed = append(c.Changed, replaced(ch))
			}
			v.Countersignatures = append(v.Countersignatures, c)
		}
	}
	for _, w := range t.WorkTree {
		v.WorkTree = append(v.WorkTree, w.Path+": "+w.What)
	}
	return v
}

func sortedRecords(t *logbook.Trail) []*logbook.RecordTrail {
	var rs []*logbook.RecordTrail
	for _, r := range t.Records {
		rs = append(rs, r)
	}
	sort.Slice(rs, func(i, j int) bool { return rs[i].Path < rs[j].Path })
	return rs
}

func sortedValues(r *logbook.RecordTrail) []string {
	var keys []string
	for k := range r.Values {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
