package site

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"time"

	"needlebook/logbook"
)

// trailOf is a history made by hand: each overhaul written in one commit by its hand, and the first of them countersigned and then
// changed without a signature.
func trailOf(b *logbook.Book) *logbook.Trail {
	t := &logbook.Trail{UnderGit: true, Branch: "main", Founding: 0, First: -1, Records: map[string]*logbook.RecordTrail{}}
	add := func(c logbook.Commit) int {
		sum := sha256.Sum256([]byte(fmt.Sprint(len(t.Commits), c.Message)))
		c.ID = hex.EncodeToString(sum[:20])
		c.Stated = time.Date(2020, 7, 1, 8, 0, 0, 0, time.UTC).Add(time.Duration(len(t.Commits)) * time.Hour)
		if n := len(t.Commits); n > 0 {
			c.Parents = []int{n - 1}
		}
		t.Commits = append(t.Commits, c)
		return len(t.Commits) - 1
	}
	signed := func(who, message string, roles ...string) logbook.Commit {
		return logbook.Commit{State: logbook.Signed, Signer: who + "@test", Person: who, Roles: roles, Message: message, CommitterName: who, Stands: true}
	}
	add(signed("s.hore", "found the book", "superintendent"))
	for i, o := range b.Overhauls {
		by := o.By.Written
		n := add(signed(by, "overhaul "+o.Stem, "engineer"))
		t.Commits[n].Changes = []logbook.PathChange{{Path: o.Path}}
		r := &logbook.RecordTrail{Path: o.Path, Stem: o.Stem, Versions: []logbook.Version{{Commit: n, Path: o.Path, State: logbook.Signed}}, Signers: []string{by + "@test"}}
		t.Records[o.Path] = r
		if i > 0 {
			continue
		}
		seen := add(signed("c.one", "countersign", "chief"))
		r.Countersignatures = []logbook.Countersignature{{Path: "countersigned/x.c.one.md", Signer: "c.one@test", Person: "c.one", Role: "chief", SHA256: "00", Word: "as seen",
			Commit: seen, SeenCommit: n, State: logbook.ChangedSince, Changed: []logbook.ValueChange{{Path: "as_left.leak_down.time", Old: "3.1 s", New: "9.8 s", Commit: seen + 1}}}}
		edit := add(logbook.Commit{State: logbook.Unsigned, Why: "no signature", CommitterName: "workshop", Message: "typo"})
		r.Versions = append(r.Versions, logbook.Version{Commit: edit, Path: o.Path, State: logbook.Unsigned, Why: "no signature"})
		r.Current = 1
		r.Values = map[string]logbook.Setting{
			"as_left.leak_down.time":         {Commit: edit, Written: "9.8 s", Before: []logbook.Earlier{{Commit: n, Written: "3.1 s"}}},
			"as_found.opening_pressure[0]":   {Commit: n, Written: "280 bar"},
			"as_found.opening_pressure[1]":   {Commit: n, Written: "280 bar"},
			"measured.holder_wear.value":     {Commit: n, Written: "0.01 mm"},
			"fitted.clamp_nuts.torque":       {Commit: n, Written: "80 N·m"},
			"as_left.opening_pressure[1]":    {Commit: n, Written: "305 bar"},
			"nozzle.marking":                 {Commit: n, Written: "8x0.30"},
			"as_found.leak_down.time":        {Commit: n, Written: "9.2 s"},
			"assembled.nozzle_nut.lubricant": {Commit: n, Written: "thread paste"},
		}
		t.First = edit
	}
	if n := len(t.Commits); n > 0 {
		t.Head = t.Commits[n-1].ID
	}
	t.Proved = t.First < 0
	t.Headline = "not proved: an unsigned commit stands in the way"
	return t
}

// spitefulTrail is a history whose every text was written by a hostile stranger.
func spitefulTrail(b *logbook.Book) *logbook.Trail {
	t := trailOf(b)
	for i := range t.Commits {
		c := &t.Commits[i]
		c.Message, c.AuthorName, c.CommitterName, c.Signer, c.Person, c.Why = venom, venom, venom, venom, venom, venom
		c.Roles, c.Marks, c.AdoptedBy = []string{venom}, []string{venom}, venom
		c.Changes = append(c.Changes, logbook.PathChange{Path: venom, NotHis: venom})
	}
	for _, r := range t.Records {
		r.Signers = []string{venom}
		for i := range r.Versions {
			r.Versions[i].Why = venom
		}
		for i := range r.Countersignatures {
			c := &r.Countersignatures[i]
			c.Remarks, c.Word, c.Why, c.Signer, c.Person, c.Role = venom, venom, venom, venom, venom, venom
			c.Changed = []logbook.ValueChange{{Path: venom, Old: venom, New: venom, Commit: 0}}
		}
	}
	t.Headline, t.FoundingProof, t.Branch = venom, venom, venom
	t.WorkTree = []logbook.WorkChange{{Path: venom, What: venom}}
	t.Broken = []logbook.BrokenText{{Path: venom, Blob: venom, Why: venom}}
	t.Vanished = []logbook.Vanished{{Path: venom, Stem: venom, LastBlob: venom}}
	return t
}
