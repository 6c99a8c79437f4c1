package main

import (
	"bytes"
	"encoding/json"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	vessel "needlebook/example-vessel"
	"needlebook/logbook/trace"
)

// Verify says of each commit of the example vessel what the list of events expects of it, and nothing else.
func TestStory(t *testing.T) {
	story, err := vessel.Story()
	if err != nil {
		t.Fatal(err)
	}
	steps, err := vessel.History()
	if err != nil {
		t.Fatal(err)
	}
	book := filepath.Join(t.TempDir(), "book")
	ids, err := exampleBook(book)
	if err != nil {
		t.Fatal(err)
	}
	proof, err := foundingProof(ids[0], steps[0].Signer)
	if err != nil {
		t.Fatal(err)
	}
	t.Setenv("NEEDLEBOOK_MEMORY", t.TempDir())
	var out, errs bytes.Buffer
	if status := run([]string{"verify", "--book", book, "--proof", proof, "--format", "json"}, strings.NewReader(""), &out, &errs); status != exitFindings {
		t.Fatalf("exit status %d: %s", status, errs.String())
	}
	var v verifyJSON
	if err := json.Unmarshal(out.Bytes(), &v); err != nil {
		t.Fatal(err)
	}
	said := map[string]commitJSON{}
	for _, c := range v.Commits {
		said[c.ID] = c
	}
	if len(said) != len(story) {
		t.Errorf("verify lists %d commits, want %d", len(said), len(story))
	}
	unproved := 0
	for i, e := range story {
		c := said[ids[i]]
		state := c.State
		if c.Adopted != "" {
			state += " by " + c.Adopted
		}
		got := append([]string{state}, c.Marks...)
		for _, ch := range c.Changes {
			switch {
			case ch.NotHis != "":
				got = append(got, ch.NotHis)
			case ch.Merged:
				got = append(got, ch.Path+" edited in a merge")
			case ch.From != "":
				got = append(got, ch.Path+" moved from "+ch.From)
			}
		}
		// What a mark says of a parent ends in its id, which no list of events can hold.
		if !slices.EqualFunc(got, e.Expect, func(g, w string) bool { return g == w || strings.HasPrefix(g, w+" ") }) {
			t.Errorf("%s %s: verify says %q, the list expects %q", e.At.Format("2006-01-02 15:04"), c.ID, got, e.Expect)
		}
		if e.Expect[0] == "unsigned" {
			unproved++
			if v.FirstAgainst != c.ID || v.Proven {
				t.Errorf("verify's first doubt is %s, want %s", v.FirstAgainst, c.ID)
			}
		}
	}
	if unproved != 1 {
		t.Errorf("%d commits stand in the way, want the altered record alone", unproved)
	}
	reviews := 0
	for _, c := range v.Countersignatures {
		if c.Role == "superintendent" {
			reviews++
		}
		if altered := c.Record == "overhauls/me1/c4/2023-04-20-h-110.md" && c.Person == "o.lindqvist"; (c.State == "countersigned") == altered {
			t.Errorf("%s: %s by %s", c.Record, c.State, c.Person)
		}
	}
	if reviews != 12 { // two rounds of six
		t.Errorf("%d superintendent's reviews, want 12", reviews)
	}
}

// Git itself takes every commit of the example vessel that is signed, finds nothing to complain of, and sees a clean folder.
func TestStoryByGit(t *testing.T) {
	plainTools(t)
	steps, err := vessel.History()
	if err != nil {
		t.Fatal(err)
	}
	book := filepath.Join(t.TempDir(), "book")
	if _, err := exampleBook(book); err != nil {
		t.Fatal(err)
	}
	git := func(args ...string) string {
		t.Helper()
		cmd := exec.Command("git", args...)
		cmd.Dir = book // the register is named from the top of the book
		cmd.Env = append(cmd.Environ(), "GIT_CONFIG_NOSYSTEM=1", "GIT_CONFIG_GLOBAL=/dev/null")
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("git %v: %v\n%s", args, err, out)
		}
		return strings.TrimSpace(string(out))
	}
	if said := git("fsck", "--full", "--strict", "--no-dangling"); said != "" {
		t.Errorf("git fsck: %s", said)
	}
	if said := git("status", "--porcelain"); said != "" {
		t.Errorf("git status: %s", said)
	}
	counts := map[string]int{}
	for line := range strings.Lines(git("log", "--format=%G? %s")) {
		counts[line[:1]]++
		if line[0] != 'G' && strings.TrimSpace(line) != "N typo" {
			t.Errorf("git says %s", line)
		}
	}
	if counts["G"] != len(steps)-1 || counts["N"] != 1 {
		t.Errorf("git's verdicts: %v, want %d G and one N", counts, len(steps)-1)
	}
	if said := git("log", "--follow", "--format=%h", "--", "overhauls/me2/c5/2023-11-22-h-111.md"); strings.Count(said, "\n") < 2 {
		t.Errorf("git does not follow the moved record: %s", said)
	}
}

// Of a list that a merge put together each row is traced to the commit on its own side that brought it, and a row that was changed
// keeps what stood there before.
func TestStoryRows(t *testing.T) {
	book := filepath.Join(t.TempDir(), "book")
	if _, err := exampleBook(book); err != nil {
		t.Fatal(err)
	}
	trail, err := trace.Read(book, trace.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ file, row, signer, day string }{
		{"stores/stock.csv", "2023-02-06 nozzle 6QZ-1603 N-2044", "s.okonjo", "2023-02-07"},
		{"stores/stock.csv", "2023-02-12 seal kit 6QZ-1680", "l.penhaligon", "2023-02-24"},
		{"stores/stock.csv", "2022-01-08 seal kit 6QZ-1680", "i.tamm", "2022-02-01"},
		{"fuel/bunkers.csv", "Maple Ness 2023-02-03", "s.okonjo", "2023-02-07"},
		{"hours/me1.csv", "head", "r.santangelo", "2021-01-11"},
	} {
		s, ok := trail.Records[c.file].Values[c.row]
		if !ok {
			t.Errorf("%s: no row %q", c.file, c.row)
			continue
		}
		if k := trail.At(s.Commit); k.Person != c.signer || k.Stated.Format("2006-01-02") != c.day || len(s.Before) != 0 {
			t.Errorf("%s: row %q is set by %s on %s, was %v before; want %s on %s", c.file, c.row, k.Person, k.Stated, s.Before, c.signer, c.day)
		}
	}
}
