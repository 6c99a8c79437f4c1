package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/crypto/ssh"

	vessel "needlebook/example-vessel"
	"needlebook/logbook"
	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

// plainTools skips a test where git or ssh-keygen is missing; under NEEDLEBOOK_WIDER it fails.
func plainTools(t *testing.T) {
	for _, tool := range []string{"git", "ssh-keygen", "sha256sum", "sh"} {
		if _, err := exec.LookPath(tool); err != nil {
			if os.Getenv("NEEDLEBOOK_WIDER") != "" {
				t.Fatal(err)
			}
			t.Skipf("%s is not installed", tool)
		}
	}
}

// told is a history in the making, one commit a call.
type told struct {
	t     *testing.T
	steps []exchange.Step
	lines map[string]string
}

func (h *told) key(who string) ssh.Signer {
	k, err := vessel.Key(who)
	if err != nil {
		h.t.Fatal(err)
	}
	return k
}

func (h *told) at(n int) time.Time {
	return time.Date(2024, 1, 2, 8, 0, 0, 0, time.UTC).AddDate(0, 0, n)
}

// line is a register line; before may be empty.
func (h *told) line(who string, roles []string, before int) {
	until := time.Time{}
	if before > 0 {
		until = h.at(before)
	}
	text, err := trace.SignersLine(who+"@ship", roles, h.at(-1), until, h.key(who).PublicKey(), "")
	if err != nil {
		h.t.Fatal(err)
	}
	h.lines[who] = text
}

func (h *told) register() exchange.Change {
	var b strings.Builder
	for _, who := range []string{"office", "chief", "mate", "new"} {
		if l := h.lines[who]; l != "" {
			b.WriteString(l + "\n")
		}
	}
	return exchange.Change{Path: "signers/allowed_signers", Text: []byte(b.String())}
}

func (h *told) commit(who string, changes ...exchange.Change) {
	s := exchange.Step{Draft: exchange.Draft{Author: exchange.Person{Name: "N", Email: "n@ship", When: h.at(len(h.steps))}, Message: "step", Changes: changes}}
	if who != "" {
		s.Signer = h.key(who)
	}
	h.steps = append(h.steps, s)
}

func file(path, text string) exchange.Change {
	return exchange.Change{Path: path, Text: []byte(text + "\n")}
}

var (
	engineerRoles = []string{"engineer"}
	chiefRoles    = []string{"engineer", "chief"}
)

// The script and verify give one verdict on every linear history, but for the kinds that the script says it cannot see.
func TestProveAgain(t *testing.T) {
	if testing.Short() {
		t.Skip("runs many programs one after another")
	}
	plainTools(t)
	record := func(text string) exchange.Change { return file("overhauls/me1/c1/2024-01-03-h-1.md", text) }
	for _, c := range []struct {
		name           string
		tell           func(h *told)
		script, verify bool   // proven
		why            string // why they differ
	}{
		{"all signed", func(h *told) { h.commit("mate", record("a")); h.commit("chief", record("b")) }, true, true, ""},
		{"one unsigned", func(h *told) { h.commit("", record("a")); h.commit("mate", record("b")) }, false, false, ""},
		{"unknown key", func(h *told) { h.commit("stranger", record("a")) }, false, false, ""},
		{"chief enrols an engineer", func(h *told) {
			h.line("new", engineerRoles, 0)
			h.commit("chief", h.register())
			h.commit("new", record("a"))
		}, true, true, ""},
		{"chief enrols a chief", func(h *told) { h.line("new", chiefRoles, 0); h.commit("chief", h.register()) }, false, false, ""},
		{"office enrols a chief", func(h *told) {
			h.line("new", chiefRoles, 0)
			h.commit("office", h.register())
			h.commit("new", record("a"))
		}, true, true, ""},
		{"engineer enrols", func(h *told) { h.line("new", engineerRoles, 0); h.commit("mate", h.register()) }, false, false, ""},
		{"stranger enrols himself", func(h *told) { h.line("new", chiefRoles, 0); h.commit("new", h.register()) }, false, false, ""},
		{"engineer raises himself", func(h *told) { h.line("mate", chiefRoles, 0); h.commit("mate", h.register()) }, false, false, ""},
		{"signed off, then signs", func(h *told) {
			h.line("mate", engineerRoles, 1)
			h.commit("chief", h.register())
			h.commit("mate", record("a"))
		}, false, false, ""},
		{"signed before the sign-off", func(h *told) {
			h.commit("mate", record("a"))
			h.line("mate", engineerRoles, 1)
			h.commit("chief", h.register())
		}, true, true, ""},
		{"register taken out", func(h *told) {
			h.commit("office", exchange.Change{Path: "signers/allowed_signers", Delete: true})
			h.commit("mate", record("a"))
		}, false, false, ""},
		{"engineer edits the limits", func(h *told) { h.commit("mate", file("limits/t.md", "x")) }, true, false, "who may change which file"},
		{"a record is taken out", func(h *told) {
			h.commit("mate", record("a"))
			h.commit("mate", exchange.Change{Path: record("").Path, Delete: true})
		}, true, false, "records that a merge or a commit left out"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			h := &told{t: t, lines: map[string]string{}}
			h.line("office", []string{"superintendent"}, 0)
			h.line("chief", chiefRoles, 0)
			h.line("mate", engineerRoles, 0)
			h.commit("office", h.register(), file("book.md", "x"), file("limits/t.md", "a"))
			c.tell(h)
			dir := filepath.Join(t.TempDir(), "book")
			ids, err := exchange.Build(dir, h.steps)
			if err != nil {
				t.Fatal(err)
			}
			proof, err := foundingProof(ids[0], h.steps[0].Signer)
			if err != nil {
				t.Fatal(err)
			}
			trail, err := trace.Read(dir, trace.Options{FoundingProof: proof})
			if err != nil {
				t.Fatal(err)
			}
			status, said := runScript(t, dir, logbook.ProofScript(proof))
			if (status == 0) != c.script || trail.Proved != c.verify {
				t.Errorf("script exit %d, verify proved %v; want %v and %v\n%s\n%s", status, trail.Proved, c.script, c.verify, said, trail.Headline)
			}
			if c.script != c.verify && !strings.Contains(strings.Join(strings.Fields(said), " "), c.why) {
				t.Errorf("the script does not say that it cannot see %q:\n%s", c.why, said)
			}
			if !c.script && !c.verify && !strings.Contains(said, "since "+trail.At(trail.First).ID) {
				t.Errorf("script and verify begin their doubt at different commits: %s\n%s", said, trail.Headline)
			}
			// A wrong proof is a wrong root for both: another key, and a commit that is not there.
			for _, wrong := range []string{ids[0] + "@" + ssh.FingerprintSHA256(h.key("mate").PublicKey()), strings.Repeat("0", 40) + proof[40:]} {
				if status, said := runScript(t, dir, logbook.ProofScript(wrong)); status != exitRewound {
					t.Errorf("wrong founding proof: exit %d, want %d\n%s", status, exitRewound, said)
				}
				if _, err := trace.Read(dir, trace.Options{FoundingProof: wrong}); !errors.Is(err, trace.ErrWrongRoot) {
					t.Errorf("wrong founding proof: verify says %v", err)
				}
			}
		})
	}
}

func runScript(t *testing.T, dir, script string) (int, string) {
	cmd := exec.Command("sh", "-s")
	cmd.Dir = dir
	cmd.Stdin = strings.NewReader(script)
	out, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		return exit.ExitCode(), string(out)
	}
	if err != nil {
		t.Fatal(err)
	}
	return 0, string(out)
}

// The commands for one record run as they are, and git, ssh-keygen and sha256sum answer what stands behind them.
func TestExplainRecord(t *testing.T) {
	plainTools(t)
	steps, err := vessel.History()
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "book")
	if _, err := exchange.Build(dir, steps); err != nil {
		t.Fatal(err)
	}
	trail, err := trace.Read(dir, trace.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{
		"overhauls/me1/c4/2023-04-20-h-110.md", // signed, countersigned, then changed by an unsigned commit
		"overhauls/me2/c5/2023-11-22-h-111.md", // moved, countersigned and reviewed
		"stores/stock.csv",                     // edited in a merge
		"parts/n-x381.md",                      // sent late and adopted
	} {
		proveRecord(t, dir, trail, name)
	}
	if trail.ProofCommands("overhauls/none.md") != "" {
		t.Error("commands for a record that is not there")
	}
}

// proveRecord runs the commands for one record.
func proveRecord(t *testing.T, dir string, trail *logbook.Trail, name string) {
	t.Helper()
	status, said := runScript(t, dir, "set -e\n"+trail.ProofCommands(name))
	if status != 0 {
		t.Fatalf("%s: exit %d\n%s", name, status, said)
	}
	r := trail.Records[name]
	for _, v := range r.Versions {
		c := trail.At(v.Commit)
		want := c.ID + " N"
		if c.Key != "" {
			want = c.ID + " G " + c.Key
		}
		if !strings.Contains(said, want) {
			t.Errorf("%s: git does not say %q:\n%s", name, want, said)
		}
	}
	for _, c := range r.Countersignatures {
		if n := strings.Count(said, c.SHA256); n < 2 {
			t.Errorf("the digest %s of %s stands %d times, want in the file and by sha256sum:\n%s", c.SHA256, c.Path, n, said)
		}
	}
}

// A merge is held against what both sides have in force: a hand let in on one side signs for both, one signed off on either signs for
// neither.
func TestExplainMerge(t *testing.T) {
	plainTools(t)
	h := &told{t: t, lines: map[string]string{}}
	h.line("office", []string{"superintendent"}, 0)
	h.line("chief", chiefRoles, 0)
	h.line("mate", engineerRoles, 0)
	h.commit("office", h.register(), file("book.md", "x"), file("limits/t.md", "a"))
	h.commit("mate", file("overhauls/me1/c1/2024-01-03-h-1.md", "a")) // one side
	h.line("new", engineerRoles, 0)
	h.commit("chief", h.register()) // the other side lets a new signer in
	h.steps[2].Parents = []int{0}
	// The new signer merges both, and both changed the record's folder: he edits what came of it.
	h.commit("new", file("overhauls/me1/c1/2024-01-03-h-1.md", "b"))
	h.steps[3].Parents = []int{2, 1}
	dir := filepath.Join(t.TempDir(), "book")
	if _, err := exchange.Build(dir, h.steps); err != nil {
		t.Fatal(err)
	}
	trail, err := trace.Read(dir, trace.Options{})
	if err != nil {
		t.Fatal(err)
	}
	const name = "overhauls/me1/c1/2024-01-03-h-1.md"
	if v := trail.Records[name].Now(); v.State != logbook.MergeEdit {
		t.Fatalf("the merge's text is %s", v.State)
	}
	proveRecord(t, dir, trail, name)
	if said := trail.ProofCommands(name); !strings.Contains(said, "# a merge of 2 sides") {
		t.Errorf("the merge is not named:\n%s", said)
	}
}
