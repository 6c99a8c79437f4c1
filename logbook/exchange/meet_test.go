package exchange

import (
	"crypto/ed25519"
	"encoding/pem"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"bytes"

	"golang.org/x/crypto/ssh"

	"needlebook/logbook/trace"
	"time"
)

const (
	recordPath = "overhauls/me1/c1/2024-01-01-h-1.md"
	recordText = "---\nholder: H-1\nby: a\nmeasured:\n  lift: 0.76 mm\n  holder_wear: 0.03 mm\n---\n\nFirst.\n"
)

func set1(pairs ...string) []Change {
	var list []Change
	for i := 0; i < len(pairs); i += 2 {
		c := Change{Path: pairs[i], Text: []byte(pairs[i+1])}
		if pairs[i+1] == "" {
			c = Change{Path: pairs[i], Delete: true}
		}
		list = append(list, c)
	}
	return list
}

func replaced1(old, new string) string { return strings.Replace(recordText, old, new, 1) }

// meetingBook gives a book whose tip is the last of the steps; the founding step holds a register, a record, readings and two more files.
func meetingBook(t *testing.T, steps ...Step) (dir string, ids []string) {
	t.Helper()
	line, err := trace.SignersLine("berg@chief", []string{"engineer", "chief", "superintendent"}, time.Time{}, time.Time{}, testKey.PublicKey(), "")
	if err != nil {
		t.Fatal(err)
	}
	first := Step{Draft: draft(0, set1("signers/allowed_signers", line+"\n", ".gitattributes", Attributes, recordPath, recordText, "hours/me1.csv", "date,counter_h,note\n",
		"parts/n-1.md", "---\nserial: N-1\n---\n", "photos/a.jpg", "\xff\x001")...)}
	for i := range steps {
		steps[i].Author, steps[i].Signer, steps[i].Message = draft(i+1).Author, testKey, "step"
	}
	dir = filepath.Join(scratch(t), "book")
	ids, err = Build(dir, append([]Step{first}, steps...))
	if err != nil {
		t.Fatal(err)
	}
	return dir, ids
}

func side1(parents []int, changes ...Change) Step {
	return Step{Draft: Draft{Changes: changes}, Parents: parents}
}

func anyPath(string) string { return "" }

// git runs the reference program in a book.
func git(t *testing.T, dir string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath("git"); err != nil {
		if os.Getenv("NEEDLEBOOK_WIDER") == "1" {
			t.Fatal(err)
		}
		t.Skip("git is not installed")
	}
	cmd := exec.Command("git", args...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "GIT_CONFIG_GLOBAL=/dev/null", "GIT_CONFIG_SYSTEM=/dev/null", "LC_ALL=C", "GIT_EDITOR=true")
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("git %s: %v\n%s", strings.Join(args, " "), err, out)
	}
	return string(out)
}

// marks are what the history holds against its commits.
func marks(t *testing.T, dir string) (all []string) {
	t.Helper()
	trail, err := trace.Read(dir, trace.Options{EveryText: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range trail.Commits {
		all = append(all, c.Marks...)
		if !c.State.Speaks() {
			all = append(all, string(c.State)+" "+c.Why)
		}
	}
	for _, v := range trail.Vanished {
		all = append(all, "vanished "+v.Path)
	}
	for _, w := range trail.WorkTree {
		all = append(all, w.Path+" "+w.What)
	}
	return all
}

// What two sides may do to the files of a book: common practice, no source. A merge that goes through leaves no mark in the history.
func TestWhatBecomesOfEachFile(t *testing.T) {
	base, own := []int{0}, []int{0}
	both := func(ours, theirs []Change) []Step { return []Step{side1(base, theirs...), side1(own, ours...)} }
	moved := "overhauls/me1/c2/2024-01-01-h-1.md"
	const hours, head = "hours/me1.csv", "date,counter_h,note\n"
	for _, c := range []struct {
		name   string
		steps  []Step
		theirs int // the step that is taken in
		open   string
		merged string
		want   []string // path, text; "" for none
	}{
		{"different files", both(set1("parts/n-2.md", "2\n"), set1("parts/n-3.md", "3\n", "parts/n-1.md", "1\n")), 1, "", "",
			[]string{"parts/n-2.md", "2\n", "parts/n-3.md", "3\n", "parts/n-1.md", "1\n"}},
		{"readings", both(set1("hours/me1.csv", "date,counter_h,note\na\n"), set1("hours/me1.csv", "date,counter_h,note\nb\n")), 1, "", "hours/me1.csv",
			[]string{"hours/me1.csv", "date,counter_h,note\na\nb\n"}},
		// Two commits brought it: two, and somebody is asked.
		{"the same reading, and one more there", both(set1("hours/me1.csv", "date,counter_h,note\na\n"), set1("hours/me1.csv", "date,counter_h,note\na\nb\n")), 1, "", "hours/me1.csv",
			[]string{"hours/me1.csv", "date,counter_h,note\na\na\nb\n"}},
		{"one record", both(set1(recordPath, replaced1("0.76", "0.75")), set1(recordPath, replaced1("0.03", "0.04"), "parts/n-3.md", "3\n")), 1, recordPath, "",
			[]string{recordPath, strings.Replace(replaced1("0.03", "0.04"), "0.76", "0.75", 1), "parts/n-3.md", "3\n"}},
		{"the same change", both(set1(recordPath, replaced1("0.76", "0.75")), set1(recordPath, replaced1("0.76", "0.75"))), 1, "", "",
			[]string{recordPath, replaced1("0.76", "0.75")}},
		{"one record begun twice", both(set1("parts/n-9.md", "---\na: 1\n---\n"), set1("parts/n-9.md", "---\na: 2\n---\n")), 1, "parts/n-9.md", "",
			[]string{"parts/n-9.md", "---\n<<<<<<< here\na: 1\n=======\na: 2\n>>>>>>> there\n---\n"}},
		{"taken out there, changed here", both(set1("parts/n-1.md", "x\n"), set1("parts/n-1.md", "")), 1, "parts/n-1.md", "", []string{"parts/n-1.md", "x\n"}},
		{"taken out here, changed there", both(set1("parts/n-1.md", ""), set1("parts/n-1.md", "x\n")), 1, "parts/n-1.md", "", []string{"parts/n-1.md", "x\n"}},
		{"moved here, changed there", both([]Change{{Path: moved, From: recordPath}}, set1(recordPath, replaced1("0.76", "0.75"))), 1, "", "",
			[]string{moved, replaced1("0.76", "0.75"), recordPath, ""}},
		{"changed here, moved there", both(set1(recordPath, replaced1("0.76", "0.75")), []Change{{Path: moved, From: recordPath}}), 1, "", "",
			[]string{moved, replaced1("0.76", "0.75"), recordPath, ""}},
		{"moved here and changed, changed there", both([]Change{{Path: moved, From: recordPath, Text: []byte(replaced1("0.76", "0.75"))}}, set1(recordPath, replaced1("0.03", "0.04"))), 1, moved, "",
			[]string{moved, strings.Replace(replaced1("0.03", "0.04"), "0.76", "0.75", 1), recordPath, ""}},
		{"moved to the same place on both sides", both([]Change{{Path: moved, From: recordPath}}, []Change{{Path: moved, From: recordPath}}), 1, "", "",
			[]string{moved, recordText, recordPath, ""}},
		{"a picture each under one name", both(set1("photos/b.jpg", "\xff1"), set1("photos/b.jpg", "\xff2")), 1, "photos/b.jpg", "", []string{"photos/b.jpg", "\xff1"}},
		{"pictures of one name in two folders", both(set1("photos/x/b.jpg", "\xff1"), set1("photos/y/b.jpg", "\xff2")), 1, "", "",
			[]string{"photos/x/b.jpg", "\xff1", "photos/y/b.jpg", "\xff2"}},
		{"changed here and back, changed there", []Step{side1(base, set1(recordPath, replaced1("0.76", "0.75"))...), side1(base, set1(recordPath, replaced1("0.76", "0.77"))...),
			side1([]int{2}, set1(recordPath, recordText)...)}, 1, recordPath, "", []string{recordPath, replaced1("0.76", "0.75")}},
		// Both had merged the other's work, and the record was changed before by one and afterwards by him again.
		{"criss-cross, one goes on", []Step{side1(base, set1("parts/n-2.md", "2\n")...), side1(base, set1(recordPath, replaced1("0.76", "0.75"))...),
			side1([]int{1, 2}, set1(recordPath, replaced1("0.76", "0.75"))...), side1([]int{2, 1}, set1("parts/n-2.md", "2\n")...), side1([]int{3}, set1("parts/n-4.md", "4\n")...),
			side1([]int{4}, set1(recordPath, replaced1("0.76", "0.74"))...)}, 5, "", "",
			[]string{recordPath, replaced1("0.76", "0.74"), "parts/n-2.md", "2\n", "parts/n-4.md", "4\n"}},
		{"criss-cross, both go on", []Step{side1(base, set1("parts/n-2.md", "2\n")...), side1(base, set1(recordPath, replaced1("0.76", "0.75"))...),
			side1([]int{1, 2}, set1(recordPath, replaced1("0.76", "0.75"))...), side1([]int{2, 1}, set1("parts/n-2.md", "2\n")...), side1([]int{3}, set1(recordPath, strings.Replace(replaced1("0.76", "0.75"), "0.03", "0.04", 1))...),
			side1([]int{4}, set1(recordPath, replaced1("0.76", "0.74"))...)}, 5, recordPath, "",
			[]string{recordPath, strings.Replace(replaced1("0.76", "0.74"), "0.03", "0.04", 1)}},
		{"readings that crossed, one goes on", []Step{side1(base, set1(hours, head+"a\n")...), side1(base, set1(hours, head+"b\n")...),
			side1([]int{1, 2}, set1(hours, head+"a\nb\n")...), side1([]int{2, 1}, set1(hours, head+"b\na\n")...), side1([]int{4}, set1(hours, head+"b\na\nc\n")...)}, 3, "", "",
			[]string{hours, head + "b\na\nc\n"}},
		{"readings that crossed, both go on", []Step{side1(base, set1(hours, head+"a\n")...), side1(base, set1(hours, head+"b\n")...),
			side1([]int{1, 2}, set1(hours, head+"a\nb\n")...), side1([]int{2, 1}, set1(hours, head+"b\na\n")...), side1([]int{3}, set1(hours, head+"a\nb\nd\n")...),
			side1([]int{4}, set1(hours, head+"b\nc\n")...)}, 5, "", hours,
			[]string{hours, head + "b\nc\nd\n"}},
		{"one reading changed on both sides", []Step{side1(base, set1(hours, head+"a\n")...), side1([]int{1}, set1(hours, head+"b\n")...), side1([]int{1}, set1(hours, head+"c\n")...)}, 2, hours, "",
			[]string{hours, head + "<<<<<<< here\nc\n=======\nb\n>>>>>>> there\n"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, ids := meetingBook(t, c.steps...)
			taken, err := TakeIn(t.Context(), dir, ids[c.theirs], draft(30), anyPath)
			if err != nil {
				t.Fatal(err)
			}
			var open []string
			for _, x := range taken.Conflicts {
				open = append(open, x.Sides.Path)
			}
			if got := strings.Join(open, " "); got != c.open || strings.Join(taken.Merged, " ") != c.merged {
				t.Errorf("left to a person %q, merged %q; want %q, %q", got, taken.Merged, c.open, c.merged)
			}
			for i := 0; i < len(c.want); i += 2 {
				text, err := os.ReadFile(filepath.Join(dir, c.want[i]))
				if string(text) != c.want[i+1] || c.want[i+1] == "" && err == nil {
					t.Errorf("%s holds %q (%v), want %q", c.want[i], text, err, c.want[i+1])
				}
			}
			status := git(t, dir, "status", "--porcelain")
			if c.open == "" {
				if m := marks(t, dir); len(m) > 0 || status != "" {
					t.Errorf("the history holds against the merge: %q; git status %q", m, status)
				}
			} else if !strings.Contains(git(t, dir, "status"), "Unmerged paths:") || !strings.Contains(git(t, dir, "ls-files", "-u"), c.open) {
				t.Errorf("git does not see an unfinished merge:\n%s", git(t, dir, "status"))
			}
			git(t, dir, "fsck", "--strict")
		})
	}
}

// keyFile writes the test's key where git can sign with it.
func keyFile(t *testing.T) string {
	block, err := ssh.MarshalPrivateKey(ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, 32)), "")
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "key")
	if err := os.WriteFile(name, pem.EncodeToMemory(block), 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

// openMerge is a book in the middle of a merge of one record, with another file gone through.
func openMerge(t *testing.T) (dir string, ids []string) {
	t.Helper()
	dir, ids = meetingBook(t, side1([]int{0}, set1(recordPath, replaced1("0.76", "0.75"), "parts/n-3.md", "3\n", "hours/me1.csv", "date,counter_h,note\nb\n")...),
		side1([]int{0}, set1(recordPath, replaced1("0.76", "0.77"), "hours/me1.csv", "date,counter_h,note\na\n")...))
	taken, err := TakeIn(t.Context(), dir, ids[1], Draft{Author: draft(9).Author, Message: "merge of the office's work", Signer: testKey}, anyPath)
	if err != nil || len(taken.Conflicts) != 1 {
		t.Fatalf("took in: %v", err)
	}
	return dir, ids
}

// Plain git sees an unfinished merge, shows it, finishes it and signs it.
func TestGitFinishesTheMerge(t *testing.T) {
	dir, ids := openMerge(t)
	if out := git(t, dir, "status"); !strings.Contains(out, "both modified:   "+recordPath) || !strings.Contains(out, "new file:   parts/n-3.md") {
		t.Errorf("git status:\n%s", out)
	}
	if out := git(t, dir, "diff"); !strings.Contains(out, "++<<<<<<< here") {
		t.Errorf("git diff:\n%s", out)
	}
	if out := git(t, dir, "show", ":1:"+recordPath); out != recordText {
		t.Errorf("stage 1: %q", out)
	}
	if _, err := Write(dir, draft(10, set1("parts/n-7.md", "7\n")...)); !errors.Is(err, ErrUnfinished) {
		t.Errorf("a commit in the middle of a merge: %v", err)
	}
	want := replaced1("0.76 mm", "0.76 mm   # read again")
	if err := os.WriteFile(filepath.Join(dir, recordPath), []byte(want), 0o666); err != nil {
		t.Fatal(err)
	}
	git(t, dir, "add", recordPath)
	git(t, dir, "-c", "user.name=berg", "-c", "user.email=b@example.org", "-c", "user.signingkey="+keyFile(t), "-c", "gpg.format=ssh", "commit", "-q", "-S", "--no-edit")
	finished(t, dir, ids, want)
}

// finished looks at a merge that was finished.
func finished(t *testing.T, dir string, ids []string, want string) {
	t.Helper()
	if got := strings.Fields(git(t, dir, "log", "-1", "--format=%P")); !slices.Equal(got, []string{ids[2], ids[1]}) {
		t.Errorf("parents %v, want %v", got, []string{ids[2], ids[1]})
	}
	if got := git(t, dir, "show", "HEAD:"+recordPath); got != want {
		t.Errorf("the record is %q, want %q", got, want)
	}
	if got := git(t, dir, "show", "HEAD:hours/me1.csv"); got != "date,counter_h,note\na\nb\n" {
		t.Errorf("the readings are %q", got)
	}
	if m := marks(t, dir); len(m) > 0 {
		t.Errorf("the history holds against it: %q", m)
	}
	if out := git(t, dir, "status"); !strings.Contains(out, "nothing to commit, working tree clean") {
		t.Errorf("git status:\n%s", out)
	}
	if _, err := ReadOpen(dir); !errors.Is(err, ErrNoMerge) {
		t.Errorf("ReadOpen: %v, want ErrNoMerge", err)
	}
	if got := git(t, dir, "log", "-1", "--format=%s"); got != "merge of the office's work\n" {
		t.Errorf("message %q", got)
	}
	git(t, dir, "fsck", "--strict")
}

func TestFinishMerge(t *testing.T) {
	dir, ids := openMerge(t)
	open, err := ReadOpen(dir)
	if err != nil || !slices.Equal(open.Left(), []string{recordPath}) || !slices.Equal(open.Merged, []string{"hours/me1.csv"}) {
		t.Fatalf("ReadOpen = %+v, %v", open, err)
	}
	if _, err := FinishMerge(dir, draft(10), anyPath); !errors.Is(err, ErrUnfinished) {
		t.Errorf("FinishMerge with a file left: %v", err)
	}
	want := replaced1("0.76 mm", "0.76 mm   # read again")
	if _, err := Resolve(dir, recordPath, []byte("what the caller had seen"), []byte(want)); !errors.Is(err, ErrEdited) {
		t.Errorf("Settle of a file that was saved meanwhile: %v", err)
	}
	if _, err := Resolve(dir, recordPath, open.Files[0].Marked, []byte(want)); err != nil {
		t.Fatal(err)
	}
	if open, err = ReadOpen(dir); err != nil || len(open.Left()) > 0 || !open.Files[0].Resolved {
		t.Fatalf("ReadOpen = %+v, %v", open, err)
	}
	if _, err := FinishMerge(dir, Draft{Author: draft(10).Author, Signer: testKey}, func(p string) string {
		if p == recordPath {
			return "no"
		}
		return ""
	}); err == nil || err.Error() != "no" {
		t.Errorf("FinishMerge by one who may not: %v", err)
	}
	if _, err := FinishMerge(dir, Draft{Author: draft(10).Author, Signer: testKey}, anyPath); err != nil {
		t.Fatal(err)
	}
	finished(t, dir, ids, want)
}

// before fails unless the book stands as before the merge.
func before(t *testing.T, what, dir, tip string) {
	t.Helper()
	if got := strings.TrimSpace(git(t, dir, "rev-parse", "HEAD")); got != tip {
		t.Errorf("%s: HEAD is %s, want %s", what, got, tip)
	}
	if out := git(t, dir, "status"); !strings.Contains(out, "nothing to commit, working tree clean") || strings.Contains(out, "merg") {
		t.Errorf("%s: git status:\n%s", what, out)
	}
}

func TestGiveUp(t *testing.T) {
	dir, ids := openMerge(t)
	if err := os.WriteFile(filepath.Join(dir, recordPath), []byte("half a resolution\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	kept, err := GiveUp(dir)
	if err != nil || len(kept) != 1 || kept[0].Path != recordPath {
		t.Fatalf("GiveUp = %v, %v", kept, err)
	}
	if got := git(t, dir, "cat-file", "blob", kept[0].Blob); got != "half a resolution\n" {
		t.Errorf("kept %q", got)
	}
	before(t, "given up", dir, ids[2])
	if _, err := os.Stat(filepath.Join(dir, "parts/n-3.md")); err == nil {
		t.Error("a file that the merge had brought is left")
	}
	if _, err := GiveUp(dir); !errors.Is(err, ErrNoMerge) {
		t.Errorf("a second time: %v", err)
	}
	dir, ids = openMerge(t)
	git(t, dir, "merge", "--abort")
	before(t, "given up by git", dir, ids[2])
}

// A merge that a hand will finish does not begin over what is staged; nor over an edit that is not signed.
func TestMergeDoesNotBeginOverEdits(t *testing.T) {
	steps := func() []Step {
		return []Step{side1([]int{0}, set1(recordPath, replaced1("0.76", "0.75"))...), side1([]int{0}, set1(recordPath, replaced1("0.76", "0.77"))...)}
	}
	dir, ids := meetingBook(t, steps()...)
	if err := os.WriteFile(filepath.Join(dir, "parts/n-1.md"), []byte("staged\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	git(t, dir, "add", "parts/n-1.md")
	var way *InTheWayError
	if _, err := TakeIn(t.Context(), dir, ids[1], draft(9), anyPath); !errors.As(err, &way) || !slices.Equal(way.Edited, []string{"parts/n-1.md"}) {
		t.Errorf("over a staged file: %v", err)
	}
	dir, ids = meetingBook(t, steps()...)
	if err := os.WriteFile(filepath.Join(dir, recordPath), []byte("edited\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := TakeIn(t.Context(), dir, ids[1], draft(9), anyPath); !errors.As(err, &way) || !slices.Equal(way.Edited, []string{recordPath}) {
		t.Errorf("over an edit: %v", err)
	}
	if text, _ := os.ReadFile(filepath.Join(dir, recordPath)); string(text) != "edited\n" {
		t.Errorf("the edit became %q", text)
	}
	if _, err := ReadOpen(dir); !errors.Is(err, ErrNoMerge) {
		t.Errorf("a merge was begun: %v", err)
	}
}

// A merge that keeps one side's text loses nothing when that text says all that the other side wrote; else the history says so.
func TestMergeThatKeepsOneSide(t *testing.T) {
	more := strings.Replace(replaced1("0.76", "0.75"), "0.03", "0.04", 1)
	for _, c := range []struct {
		name, ours, theirs, result string
		drops                      bool
	}{
		{"the other wrote the same", replaced1("0.76", "0.75"), more, more, false},
		{"the other wrote more", replaced1("0.76", "0.75"), more, replaced1("0.76", "0.75"), true},
		{"the other wrote something else", replaced1("0.76", "0.77"), more, more, true},
		{"the other took a value out", replaced1("  lift: 0.76 mm\n", ""), replaced1("First", "Second"), replaced1("First", "Second"), true},
		{"the other added a remark", recordText + "Ours.\n", recordText + "Theirs.\n", recordText + "Theirs.\n", true},
	} {
		merge := side1([]int{2, 1})
		if c.result != c.ours {
			merge.Changes = set1(recordPath, c.result)
		}
		dir, _ := meetingBook(t, side1([]int{0}, set1(recordPath, c.theirs)...), side1([]int{0}, set1(recordPath, c.ours)...), merge)
		if m := strings.Join(marks(t, dir), "; "); strings.Contains(m, "drops") != c.drops {
			t.Errorf("%s: the history holds against it: %q", c.name, m)
		}
	}
}

// What a signer can decide of a photo, and of a record that one side took out, leaves no mark: nothing of it is lost.
func TestSettledWithoutLoss(t *testing.T) {
	moved := func(to string) []Change {
		return []Change{{Path: strings.Replace(recordPath, "c1", to, 1), From: recordPath}}
	}
	for _, c := range []struct {
		name         string
		ours, theirs []Change
		chosen       string
		beside       []string
	}{
		{"ours of two photos", set1("photos/b.jpg", "\xff1\r\n"), set1("photos/b.jpg", "\xff2\r\n"), "\xff1\r\n", []string{"photos/b-2.jpg", "\xff2\r\n"}},
		{"theirs of two photos", set1("photos/a.jpg", "\xff1"), set1("photos/a.jpg", "\xff2"), "\xff2", []string{"photos/a-2.jpg", "\xff1"}},
		{"a name that is taken", set1("photos/b.jpg", "\xff1", "photos/b-2.jpg", "\xff3"), set1("photos/b.jpg", "\xff2"), "\xff1", []string{"photos/b-3.jpg", "\xff2"}},
		{"a third photo", set1("photos/b.jpg", "\xff1"), set1("photos/b.jpg", "\xff2"), "\xff3", []string{"photos/b-2.jpg", "\xff1", "photos/b-3.jpg", "\xff2"}},
		{"bytes elsewhere", set1("parts/n-1.pdf", "\xff1"), set1("parts/n-1.pdf", "\xff2"), "\xff2", []string{"parts/n-1-2.pdf", "\xff1"}},
		{"moved to two places", moved("c2"), moved("c3"), recordText, nil},
		{"taken out there", set1(recordPath, replaced1("0.76", "0.75")), set1(recordPath, ""), replaced1("0.76", "0.75"), nil},
		{"taken out here", set1(recordPath, ""), set1(recordPath, replaced1("0.76", "0.75")), replaced1("0.76", "0.75"), nil},
	} {
		dir, ids := meetingBook(t, side1([]int{0}, c.theirs...), side1([]int{0}, c.ours...))
		taken, err := TakeIn(t.Context(), dir, ids[1], draft(9), anyPath)
		if err != nil || len(taken.Conflicts) != 1 {
			t.Fatalf("%s: TakeIn = %+v, %v", c.name, taken, err)
		}
		where := taken.Conflicts[0].Sides.Path
		for range 2 { // a second time changes nothing
			lies, err := os.ReadFile(filepath.Join(dir, where))
			if err != nil {
				t.Fatal(err)
			}
			beside, err := Resolve(dir, where, lies, []byte(c.chosen))
			if err != nil || len(beside) != len(c.beside)/2 {
				t.Fatalf("%s: Settle = %q, %v", c.name, beside, err)
			}
			for i, name := range beside {
				text, err := os.ReadFile(filepath.Join(dir, name))
				if name != c.beside[2*i] || string(text) != c.beside[2*i+1] {
					t.Errorf("%s: %s holds %q (%v), want %q", c.name, name, text, err, c.beside[2*i:])
				}
			}
		}
		if _, err := FinishMerge(dir, draft(10), anyPath); err != nil {
			t.Fatal(err)
		}
		for _, m := range marks(t, dir) {
			if m != "takes out "+recordPath { // by the commit that did it, not by the merge
				t.Errorf("%s: the history holds against it: %q", c.name, m)
			}
		}
		if out := git(t, dir, "status", "--porcelain"); out != "" {
			t.Errorf("%s: git status %q", c.name, out)
		}
		git(t, dir, "fsck", "--strict")
	}
}

func TestFileHereFolderThere(t *testing.T) {
	for _, other := range [][]Change{nil, set1(recordPath, replaced1("0.76", "0.77"))} {
		theirs := append(set1("parts/x/y.md", "y\n"), set1(recordPath, replaced1("0.76", "0.75"))...)
		if other == nil {
			theirs = theirs[:1]
		}
		dir, ids := meetingBook(t, side1([]int{0}, theirs...), side1([]int{0}, append(set1("parts/x", "x\n"), other...)...))
		if _, err := TakeIn(t.Context(), dir, ids[1], draft(9), anyPath); err == nil || !strings.Contains(err.Error(), "do not fit into one folder") {
			t.Errorf("TakeIn: %v", err)
		}
		before(t, "refused", dir, ids[2])
	}
}

// The register grows from both sides; one that would not be a register any more waits for a person.
func TestRegistersMeet(t *testing.T) {
	key := func(n byte) ssh.Signer {
		s, err := ssh.NewSignerFromKey(ed25519.NewKeyFromSeed(bytes.Repeat([]byte{n}, 32)))
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	line := func(who string, n byte, until int, roles ...string) string {
		end := time.Time{}
		if until > 0 {
			end = draft(until).Author.When
		}
		l, err := trace.SignersLine(who, roles, time.Time{}, end, key(n).PublicKey(), "")
		if err != nil {
			t.Fatal(err)
		}
		return l + "\n"
	}
	all := []string{"engineer", "chief", "superintendent"}
	founder, mate := line("berg@chief", 7, 0, all...), line("mate@second", 8, 0, "engineer")
	pending := strings.TrimSuffix(mate, "\n") + " key pending\n"
	until := strings.TrimSuffix(line("mate@second", 8, 60, "engineer"), "\n") + " key pending\n"
	for _, c := range []struct {
		name, base, ours, theirs, want string
		open                           bool
	}{
		{"both enrol", founder, founder + line("a@x", 9, 0, "engineer"), founder + line("b@x", 10, 0, "engineer"), founder + line("a@x", 9, 0, "engineer") + line("b@x", 10, 0, "engineer"), false},
		{"both enrol the same hand", founder, founder + line("a@x", 9, 0, "engineer"), founder + line("a@x", 9, 0, "engineer") + line("b@x", 10, 0, "engineer"), founder + line("a@x", 9, 0, "engineer") + line("b@x", 10, 0, "engineer"), false},
		{"one enrols, the other signs off", founder + mate, founder + line("mate@second", 8, 60, "engineer"), founder + mate + line("a@x", 9, 0, "engineer"), founder + line("mate@second", 8, 60, "engineer") + line("a@x", 9, 0, "engineer"), false},
		{"one enrols, the other withdraws", founder + mate, founder, founder + mate + line("a@x", 9, 0, "engineer"), founder + line("a@x", 9, 0, "engineer"), false},
		{"both enrol one key under two names", founder, founder + line("a@x", 9, 0, "engineer"), founder + line("b@x", 9, 0, "engineer"), "", true},
		{"signed off with two dates", founder + mate, founder + line("mate@second", 8, 60, "engineer"), founder + line("mate@second", 8, 90, "engineer"), founder + line("mate@second", 8, 60, "engineer"), false},
		{"signed off with two dates, the other way round", founder + mate, founder + line("mate@second", 8, 90, "engineer"), founder + line("mate@second", 8, 60, "engineer"), founder + line("mate@second", 8, 60, "engineer"), false},
		{"withdrawn, and signed off", founder + mate, founder, founder + line("mate@second", 8, 60, "engineer"), founder, false},
		{"signed off, and withdrawn", founder + mate, founder + line("mate@second", 8, 60, "engineer"), founder, founder, false},
		{"confirmed, and signed off", founder + pending, founder + mate, founder + until, founder + until, false},
		{"signed off, and confirmed", founder + pending, founder + until, founder + mate, founder + until, false},
	} {
		dir, ids := meetingBook(t, side1([]int{0}, set1("signers/allowed_signers", c.base, "parts/n-5.md", "5\n")...), side1([]int{1}, set1("signers/allowed_signers", c.theirs)...), side1([]int{1}, set1("signers/allowed_signers", c.ours)...))
		if c.base == founder { // the founding step holds it
			dir, ids = meetingBook(t, side1([]int{0}, set1("parts/n-5.md", "5\n")...), side1([]int{1}, set1("signers/allowed_signers", c.theirs)...), side1([]int{1}, set1("signers/allowed_signers", c.ours)...))
		}
		taken, err := TakeIn(t.Context(), dir, ids[2], draft(9), anyPath)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if open := len(taken.Conflicts) > 0; open != c.open {
			t.Errorf("%s: waits for a person: %v, want %v", c.name, open, c.open)
		}
		if c.open {
			continue
		}
		if text, _ := os.ReadFile(filepath.Join(dir, "signers/allowed_signers")); string(text) != c.want {
			t.Errorf("%s: the register is\n%swant\n%s", c.name, text, c.want)
		}
		if m := marks(t, dir); len(m) > 0 {
			t.Errorf("%s: the history holds against it: %q", c.name, m)
		}
	}
}

// A folder whose lines end as on Windows is no difference, and a file resolved there stays so.
func TestSettleWithWindowsLines(t *testing.T) {
	dir, ids := openMerge(t)
	want := replaced1("0.76 mm", "0.76 mm   # read again")
	lies := []byte(strings.ReplaceAll(want, "\n", "\r\n"))
	if err := os.WriteFile(filepath.Join(dir, recordPath), lies, 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := Resolve(dir, recordPath, lies, []byte(want)); err != nil {
		t.Fatal(err)
	}
	if _, err := FinishMerge(dir, Draft{Author: draft(10).Author, Signer: testKey}, anyPath); err != nil {
		t.Fatal(err)
	}
	if now, _ := os.ReadFile(filepath.Join(dir, recordPath)); !bytes.Equal(now, lies) {
		t.Errorf("the file became %q", now)
	}
	finished(t, dir, ids, want)
}

// Repair knows a merge that waits, and one that was cut short, and leaves both to resolve.
func TestRepairLeavesMergesAlone(t *testing.T) {
	dir, ids := openMerge(t)
	said := func() string {
		found, err := Troubles(dir)
		if err != nil {
			t.Fatal(err)
		}
		text := ""
		for _, f := range found {
			if f.Remedy != "" {
				t.Errorf("mend would %s for %s", f.Remedy, f.Path)
			}
			text += f.What + "\n"
		}
		return text
	}
	if got := said(); !strings.Contains(got, "a merge waits to be finished") {
		t.Errorf("an open merge: %q", got)
	}
	for _, name := range []string{"MERGE_HEAD", "MERGE_MSG", "MERGE_MODE"} {
		if err := os.Remove(filepath.Join(dir, ".git", name)); err != nil {
			t.Fatal(err)
		}
	}
	if got := said(); !strings.Contains(got, "cut short while it began") {
		t.Errorf("a merge cut short: %q", got)
	}
	if _, err := GiveUp(dir); err != nil {
		t.Error(err)
	}
	before(t, "given up", dir, ids[2])
}
