package joining_test

import (
	"bytes"
	"crypto/ed25519"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/crypto/ssh"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/exchange/joining"
	"needlebook/logbook/exchange/repair"
	"needlebook/logbook/trace"
)

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
	both := func(ours, theirs []exchange.Change) []exchange.Step {
		return []exchange.Step{trial.Side(base, theirs...), trial.Side(own, ours...)}
	}
	moved := "overhauls/me1/c2/2024-01-01-h-1.md"
	const hours, head = "hours/me1.csv", "date,counter_h,note\n"
	for _, c := range []struct {
		name   string
		steps  []exchange.Step
		theirs int // the step that is taken in
		open   string
		merged string
		want   []string // path, text; "" for none
	}{
		{"different files", both(trial.Set("parts/n-2.md", "2\n"), trial.Set("parts/n-3.md", "3\n", "parts/n-1.md", "1\n")), 1, "", "",
			[]string{"parts/n-2.md", "2\n", "parts/n-3.md", "3\n", "parts/n-1.md", "1\n"}},
		{"readings", both(trial.Set("hours/me1.csv", "date,counter_h,note\na\n"), trial.Set("hours/me1.csv", "date,counter_h,note\nb\n")), 1, "", "hours/me1.csv",
			[]string{"hours/me1.csv", "date,counter_h,note\na\nb\n"}},
		// Two commits brought it: two, and somebody is asked.
		{"the same reading, and one more there", both(trial.Set("hours/me1.csv", "date,counter_h,note\na\n"), trial.Set("hours/me1.csv", "date,counter_h,note\na\nb\n")), 1, "", "hours/me1.csv",
			[]string{"hours/me1.csv", "date,counter_h,note\na\na\nb\n"}},
		{"one record", both(trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.75")), trial.Set(trial.RecordPath, trial.Replaced("0.03", "0.04"), "parts/n-3.md", "3\n")), 1, trial.RecordPath, "",
			[]string{trial.RecordPath, strings.Replace(trial.Replaced("0.03", "0.04"), "0.76", "0.75", 1), "parts/n-3.md", "3\n"}},
		{"the same change", both(trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.75")), trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.75"))), 1, "", "",
			[]string{trial.RecordPath, trial.Replaced("0.76", "0.75")}},
		{"one record begun twice", both(trial.Set("parts/n-9.md", "---\na: 1\n---\n"), trial.Set("parts/n-9.md", "---\na: 2\n---\n")), 1, "parts/n-9.md", "",
			[]string{"parts/n-9.md", "---\n<<<<<<< here\na: 1\n=======\na: 2\n>>>>>>> there\n---\n"}},
		{"taken out there, changed here", both(trial.Set("parts/n-1.md", "x\n"), trial.Set("parts/n-1.md", "")), 1, "parts/n-1.md", "", []string{"parts/n-1.md", "x\n"}},
		{"taken out here, changed there", both(trial.Set("parts/n-1.md", ""), trial.Set("parts/n-1.md", "x\n")), 1, "parts/n-1.md", "", []string{"parts/n-1.md", "x\n"}},
		{"moved here, changed there", both([]exchange.Change{{Path: moved, From: trial.RecordPath}}, trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.75"))), 1, "", "",
			[]string{moved, trial.Replaced("0.76", "0.75"), trial.RecordPath, ""}},
		{"changed here, moved there", both(trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.75")), []exchange.Change{{Path: moved, From: trial.RecordPath}}), 1, "", "",
			[]string{moved, trial.Replaced("0.76", "0.75"), trial.RecordPath, ""}},
		{"moved here and changed, changed there", both([]exchange.Change{{Path: moved, From: trial.RecordPath, Text: []byte(trial.Replaced("0.76", "0.75"))}}, trial.Set(trial.RecordPath, trial.Replaced("0.03", "0.04"))), 1, moved, "",
			[]string{moved, strings.Replace(trial.Replaced("0.03", "0.04"), "0.76", "0.75", 1), trial.RecordPath, ""}},
		{"moved to the same place on both sides", both([]exchange.Change{{Path: moved, From: trial.RecordPath}}, []exchange.Change{{Path: moved, From: trial.RecordPath}}), 1, "", "",
			[]string{moved, trial.RecordText, trial.RecordPath, ""}},
		{"a picture each under one name", both(trial.Set("photos/b.jpg", "\xff1"), trial.Set("photos/b.jpg", "\xff2")), 1, "photos/b.jpg", "", []string{"photos/b.jpg", "\xff1"}},
		{"pictures of one name in two folders", both(trial.Set("photos/x/b.jpg", "\xff1"), trial.Set("photos/y/b.jpg", "\xff2")), 1, "", "",
			[]string{"photos/x/b.jpg", "\xff1", "photos/y/b.jpg", "\xff2"}},
		{"changed here and back, changed there", []exchange.Step{trial.Side(base, trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.75"))...), trial.Side(base, trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.77"))...),
			trial.Side([]int{2}, trial.Set(trial.RecordPath, trial.RecordText)...)}, 1, trial.RecordPath, "", []string{trial.RecordPath, trial.Replaced("0.76", "0.75")}},
		// Both had merged the other's work, and the record was changed before by one and afterwards by him again.
		{"criss-cross, one goes on", []exchange.Step{trial.Side(base, trial.Set("parts/n-2.md", "2\n")...), trial.Side(base, trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.75"))...),
			trial.Side([]int{1, 2}, trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.75"))...), trial.Side([]int{2, 1}, trial.Set("parts/n-2.md", "2\n")...), trial.Side([]int{3}, trial.Set("parts/n-4.md", "4\n")...),
			trial.Side([]int{4}, trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.74"))...)}, 5, "", "",
			[]string{trial.RecordPath, trial.Replaced("0.76", "0.74"), "parts/n-2.md", "2\n", "parts/n-4.md", "4\n"}},
		{"criss-cross, both go on", []exchange.Step{trial.Side(base, trial.Set("parts/n-2.md", "2\n")...), trial.Side(base, trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.75"))...),
			trial.Side([]int{1, 2}, trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.75"))...), trial.Side([]int{2, 1}, trial.Set("parts/n-2.md", "2\n")...), trial.Side([]int{3}, trial.Set(trial.RecordPath, strings.Replace(trial.Replaced("0.76", "0.75"), "0.03", "0.04", 1))...),
			trial.Side([]int{4}, trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.74"))...)}, 5, trial.RecordPath, "",
			[]string{trial.RecordPath, strings.Replace(trial.Replaced("0.76", "0.74"), "0.03", "0.04", 1)}},
		{"readings that crossed, one goes on", []exchange.Step{trial.Side(base, trial.Set(hours, head+"a\n")...), trial.Side(base, trial.Set(hours, head+"b\n")...),
			trial.Side([]int{1, 2}, trial.Set(hours, head+"a\nb\n")...), trial.Side([]int{2, 1}, trial.Set(hours, head+"b\na\n")...), trial.Side([]int{4}, trial.Set(hours, head+"b\na\nc\n")...)}, 3, "", "",
			[]string{hours, head + "b\na\nc\n"}},
		{"readings that crossed, both go on", []exchange.Step{trial.Side(base, trial.Set(hours, head+"a\n")...), trial.Side(base, trial.Set(hours, head+"b\n")...),
			trial.Side([]int{1, 2}, trial.Set(hours, head+"a\nb\n")...), trial.Side([]int{2, 1}, trial.Set(hours, head+"b\na\n")...), trial.Side([]int{3}, trial.Set(hours, head+"a\nb\nd\n")...),
			trial.Side([]int{4}, trial.Set(hours, head+"b\nc\n")...)}, 5, "", hours,
			[]string{hours, head + "b\nc\nd\n"}},
		{"one reading changed on both sides", []exchange.Step{trial.Side(base, trial.Set(hours, head+"a\n")...), trial.Side([]int{1}, trial.Set(hours, head+"b\n")...), trial.Side([]int{1}, trial.Set(hours, head+"c\n")...)}, 2, hours, "",
			[]string{hours, head + "<<<<<<< here\nc\n=======\nb\n>>>>>>> there\n"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, ids := trial.MeetingBook(t, c.steps...)
			taken, err := joining.TakeIn(t.Context(), dir, ids[c.theirs], trial.Draft(30), trial.AnyPath)
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

// openMerge is a book in the middle of a merge of one record, with another file gone through.
func openMerge(t *testing.T) (dir string, ids []string) {
	t.Helper()
	dir, ids = trial.MeetingBook(t, trial.Side([]int{0}, trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.75"), "parts/n-3.md", "3\n", "hours/me1.csv", "date,counter_h,note\nb\n")...),
		trial.Side([]int{0}, trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.77"), "hours/me1.csv", "date,counter_h,note\na\n")...))
	taken, err := joining.TakeIn(t.Context(), dir, ids[1], exchange.Draft{Author: trial.Draft(9).Author, Message: "merge of the office's work", Signer: trial.Key}, trial.AnyPath)
	if err != nil || len(taken.Conflicts) != 1 {
		t.Fatalf("took in: %v", err)
	}
	return dir, ids
}

// Plain git sees an unfinished merge, shows it, finishes it and signs it.
func TestGitFinishesTheMerge(t *testing.T) {
	dir, ids := openMerge(t)
	if out := git(t, dir, "status"); !strings.Contains(out, "both modified:   "+trial.RecordPath) || !strings.Contains(out, "new file:   parts/n-3.md") {
		t.Errorf("git status:\n%s", out)
	}
	if out := git(t, dir, "diff"); !strings.Contains(out, "++<<<<<<< here") {
		t.Errorf("git diff:\n%s", out)
	}
	if out := git(t, dir, "show", ":1:"+trial.RecordPath); out != trial.RecordText {
		t.Errorf("stage 1: %q", out)
	}
	if _, err := exchange.Write(dir, trial.Draft(10, trial.Set("parts/n-7.md", "7\n")...)); !errors.Is(err, exchange.ErrUnfinished) {
		t.Errorf("a commit in the middle of a merge: %v", err)
	}
	want := trial.Replaced("0.76 mm", "0.76 mm   # read again")
	if err := os.WriteFile(filepath.Join(dir, trial.RecordPath), []byte(want), 0o666); err != nil {
		t.Fatal(err)
	}
	git(t, dir, "add", trial.RecordPath)
	git(t, dir, "-c", "user.name=berg", "-c", "user.email=b@example.org", "-c", "user.signingkey="+trial.KeyFile(t), "-c", "gpg.format=ssh", "commit", "-q", "-S", "--no-edit")
	finished(t, dir, ids, want)
}

// finished looks at a merge that was finished.
func finished(t *testing.T, dir string, ids []string, want string) {
	t.Helper()
	if got := strings.Fields(git(t, dir, "log", "-1", "--format=%P")); !slices.Equal(got, []string{ids[2], ids[1]}) {
		t.Errorf("parents %v, want %v", got, []string{ids[2], ids[1]})
	}
	if got := git(t, dir, "show", "HEAD:"+trial.RecordPath); got != want {
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
	if _, err := joining.ReadOpen(dir); !errors.Is(err, joining.ErrNoMerge) {
		t.Errorf("ReadOpen: %v, want ErrNoMerge", err)
	}
	if got := git(t, dir, "log", "-1", "--format=%s"); got != "merge of the office's work\n" {
		t.Errorf("message %q", got)
	}
	git(t, dir, "fsck", "--strict")
}

func TestFinishMerge(t *testing.T) {
	dir, ids := openMerge(t)
	open, err := joining.ReadOpen(dir)
	if err != nil || !slices.Equal(open.Left(), []string{trial.RecordPath}) || !slices.Equal(open.Merged, []string{"hours/me1.csv"}) {
		t.Fatalf("ReadOpen = %+v, %v", open, err)
	}
	if _, err := joining.FinishMerge(dir, trial.Draft(10), trial.AnyPath); !errors.Is(err, exchange.ErrUnfinished) {
		t.Errorf("FinishMerge with a file left: %v", err)
	}
	want := trial.Replaced("0.76 mm", "0.76 mm   # read again")
	if _, err := joining.Resolve(dir, trial.RecordPath, []byte("what the caller had seen"), []byte(want)); !errors.Is(err, exchange.ErrEdited) {
		t.Errorf("Settle of a file that was saved meanwhile: %v", err)
	}
	if _, err := joining.Resolve(dir, trial.RecordPath, open.Files[0].Marked, []byte(want)); err != nil {
		t.Fatal(err)
	}
	if open, err = joining.ReadOpen(dir); err != nil || len(open.Left()) > 0 || !open.Files[0].Resolved {
		t.Fatalf("ReadOpen = %+v, %v", open, err)
	}
	if _, err := joining.FinishMerge(dir, exchange.Draft{Author: trial.Draft(10).Author, Signer: trial.Key}, func(p string) string {
		if p == trial.RecordPath {
			return "no"
		}
		return ""
	}); err == nil || err.Error() != "no" {
		t.Errorf("FinishMerge by one who may not: %v", err)
	}
	if _, err := joining.FinishMerge(dir, exchange.Draft{Author: trial.Draft(10).Author, Signer: trial.Key}, trial.AnyPath); err != nil {
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
	if err := os.WriteFile(filepath.Join(dir, trial.RecordPath), []byte("half a resolution\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	kept, err := joining.GiveUp(dir)
	if err != nil || len(kept) != 1 || kept[0].Path != trial.RecordPath {
		t.Fatalf("GiveUp = %v, %v", kept, err)
	}
	if got := git(t, dir, "cat-file", "blob", kept[0].Blob); got != "half a resolution\n" {
		t.Errorf("kept %q", got)
	}
	before(t, "given up", dir, ids[2])
	if _, err := os.Stat(filepath.Join(dir, "parts/n-3.md")); err == nil {
		t.Error("a file that the merge had brought is left")
	}
	if _, err := joining.GiveUp(dir); !errors.Is(err, joining.ErrNoMerge) {
		t.Errorf("a second time: %v", err)
	}
	dir, ids = openMerge(t)
	git(t, dir, "merge", "--abort")
	before(t, "given up by git", dir, ids[2])
}

// A merge that a hand will finish does not begin over what is staged; nor over an edit that is not signed.
func TestMergeDoesNotBeginOverEdits(t *testing.T) {
	steps := func() []exchange.Step {
		return []exchange.Step{trial.Side([]int{0}, trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.75"))...), trial.Side([]int{0}, trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.77"))...)}
	}
	dir, ids := trial.MeetingBook(t, steps()...)
	if err := os.WriteFile(filepath.Join(dir, "parts/n-1.md"), []byte("staged\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	git(t, dir, "add", "parts/n-1.md")
	var way *joining.InTheWayError
	if _, err := joining.TakeIn(t.Context(), dir, ids[1], trial.Draft(9), trial.AnyPath); !errors.As(err, &way) || !slices.Equal(way.Edited, []string{"parts/n-1.md"}) {
		t.Errorf("over a staged file: %v", err)
	}
	dir, ids = trial.MeetingBook(t, steps()...)
	if err := os.WriteFile(filepath.Join(dir, trial.RecordPath), []byte("edited\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := joining.TakeIn(t.Context(), dir, ids[1], trial.Draft(9), trial.AnyPath); !errors.As(err, &way) || !slices.Equal(way.Edited, []string{trial.RecordPath}) {
		t.Errorf("over an edit: %v", err)
	}
	if text, _ := os.ReadFile(filepath.Join(dir, trial.RecordPath)); string(text) != "edited\n" {
		t.Errorf("the edit became %q", text)
	}
	if _, err := joining.ReadOpen(dir); !errors.Is(err, joining.ErrNoMerge) {
		t.Errorf("a merge was begun: %v", err)
	}
}

// A merge that keeps one side's text loses nothing when that text says all that the other side wrote; else the history says so.
func TestMergeThatKeepsOneSide(t *testing.T) {
	more := strings.Replace(trial.Replaced("0.76", "0.75"), "0.03", "0.04", 1)
	for _, c := range []struct {
		name, ours, theirs, result string
		drops                      bool
	}{
		{"the other wrote the same", trial.Replaced("0.76", "0.75"), more, more, false},
		{"the other wrote more", trial.Replaced("0.76", "0.75"), more, trial.Replaced("0.76", "0.75"), true},
		{"the other wrote something else", trial.Replaced("0.76", "0.77"), more, more, true},
		{"the other took a value out", trial.Replaced("  lift: 0.76 mm\n", ""), trial.Replaced("First", "Second"), trial.Replaced("First", "Second"), true},
		{"the other added a remark", trial.RecordText + "Ours.\n", trial.RecordText + "Theirs.\n", trial.RecordText + "Theirs.\n", true},
	} {
		merge := trial.Side([]int{2, 1})
		if c.result != c.ours {
			merge.Changes = trial.Set(trial.RecordPath, c.result)
		}
		dir, _ := trial.MeetingBook(t, trial.Side([]int{0}, trial.Set(trial.RecordPath, c.theirs)...), trial.Side([]int{0}, trial.Set(trial.RecordPath, c.ours)...), merge)
		if m := strings.Join(marks(t, dir), "; "); strings.Contains(m, "drops") != c.drops {
			t.Errorf("%s: the history holds against it: %q", c.name, m)
		}
	}
}

// What a signer can decide of a photo, and of a record that one side took out, leaves no mark: nothing of it is lost.
func TestSettledWithoutLoss(t *testing.T) {
	moved := func(to string) []exchange.Change {
		return []exchange.Change{{Path: strings.Replace(trial.RecordPath, "c1", to, 1), From: trial.RecordPath}}
	}
	for _, c := range []struct {
		name         string
		ours, theirs []exchange.Change
		chosen       string
		beside       []string
	}{
		{"ours of two photos", trial.Set("photos/b.jpg", "\xff1\r\n"), trial.Set("photos/b.jpg", "\xff2\r\n"), "\xff1\r\n", []string{"photos/b-2.jpg", "\xff2\r\n"}},
		{"theirs of two photos", trial.Set("photos/a.jpg", "\xff1"), trial.Set("photos/a.jpg", "\xff2"), "\xff2", []string{"photos/a-2.jpg", "\xff1"}},
		{"a name that is taken", trial.Set("photos/b.jpg", "\xff1", "photos/b-2.jpg", "\xff3"), trial.Set("photos/b.jpg", "\xff2"), "\xff1", []string{"photos/b-3.jpg", "\xff2"}},
		{"a third photo", trial.Set("photos/b.jpg", "\xff1"), trial.Set("photos/b.jpg", "\xff2"), "\xff3", []string{"photos/b-2.jpg", "\xff1", "photos/b-3.jpg", "\xff2"}},
		{"bytes elsewhere", trial.Set("parts/n-1.pdf", "\xff1"), trial.Set("parts/n-1.pdf", "\xff2"), "\xff2", []string{"parts/n-1-2.pdf", "\xff1"}},
		{"moved to two places", moved("c2"), moved("c3"), trial.RecordText, nil},
		{"taken out there", trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.75")), trial.Set(trial.RecordPath, ""), trial.Replaced("0.76", "0.75"), nil},
		{"taken out here", trial.Set(trial.RecordPath, ""), trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.75")), trial.Replaced("0.76", "0.75"), nil},
	} {
		dir, ids := trial.MeetingBook(t, trial.Side([]int{0}, c.theirs...), trial.Side([]int{0}, c.ours...))
		taken, err := joining.TakeIn(t.Context(), dir, ids[1], trial.Draft(9), trial.AnyPath)
		if err != nil || len(taken.Conflicts) != 1 {
			t.Fatalf("%s: TakeIn = %+v, %v", c.name, taken, err)
		}
		where := taken.Conflicts[0].Sides.Path
		for range 2 { // a second time changes nothing
			lies, err := os.ReadFile(filepath.Join(dir, where))
			if err != nil {
				t.Fatal(err)
			}
			beside, err := joining.Resolve(dir, where, lies, []byte(c.chosen))
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
		if _, err := joining.FinishMerge(dir, trial.Draft(10), trial.AnyPath); err != nil {
			t.Fatal(err)
		}
		for _, m := range marks(t, dir) {
			if m != "takes out "+trial.RecordPath { // by the commit that did it, not by the merge
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
	for _, other := range [][]exchange.Change{nil, trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.77"))} {
		theirs := append(trial.Set("parts/x/y.md", "y\n"), trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.75"))...)
		if other == nil {
			theirs = theirs[:1]
		}
		dir, ids := trial.MeetingBook(t, trial.Side([]int{0}, theirs...), trial.Side([]int{0}, append(trial.Set("parts/x", "x\n"), other...)...))
		if _, err := joining.TakeIn(t.Context(), dir, ids[1], trial.Draft(9), trial.AnyPath); err == nil || !strings.Contains(err.Error(), "do not fit into one folder") {
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
			end = trial.Draft(until).Author.When
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
		dir, ids := trial.MeetingBook(t, trial.Side([]int{0}, trial.Set("signers/allowed_signers", c.base, "parts/n-5.md", "5\n")...), trial.Side([]int{1}, trial.Set("signers/allowed_signers", c.theirs)...), trial.Side([]int{1}, trial.Set("signers/allowed_signers", c.ours)...))
		if c.base == founder { // the founding step holds it
			dir, ids = trial.MeetingBook(t, trial.Side([]int{0}, trial.Set("parts/n-5.md", "5\n")...), trial.Side([]int{1}, trial.Set("signers/allowed_signers", c.theirs)...), trial.Side([]int{1}, trial.Set("signers/allowed_signers", c.ours)...))
		}
		taken, err := joining.TakeIn(t.Context(), dir, ids[2], trial.Draft(9), trial.AnyPath)
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
	want := trial.Replaced("0.76 mm", "0.76 mm   # read again")
	lies := []byte(strings.ReplaceAll(want, "\n", "\r\n"))
	if err := os.WriteFile(filepath.Join(dir, trial.RecordPath), lies, 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := joining.Resolve(dir, trial.RecordPath, lies, []byte(want)); err != nil {
		t.Fatal(err)
	}
	if _, err := joining.FinishMerge(dir, exchange.Draft{Author: trial.Draft(10).Author, Signer: trial.Key}, trial.AnyPath); err != nil {
		t.Fatal(err)
	}
	if now, _ := os.ReadFile(filepath.Join(dir, trial.RecordPath)); !bytes.Equal(now, lies) {
		t.Errorf("the file became %q", now)
	}
	finished(t, dir, ids, want)
}

// Repair knows a merge that waits, and one that was cut short, and leaves both to resolve.
func TestRepairLeavesMergesAlone(t *testing.T) {
	dir, ids := openMerge(t)
	said := func() string {
		found, err := repair.Troubles(dir)
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
	if _, err := joining.GiveUp(dir); err != nil {
		t.Error(err)
	}
	before(t, "given up", dir, ids[2])
}
