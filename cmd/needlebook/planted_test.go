package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/exchange"
)

// programs are settings by which git runs a program; those of another repository may be a stranger's. %s stands for the program. (git's
// own documentation of its settings, git-config(1), 2.39.)
var programs = `[gpg]
	program = %s
[gpg "openpgp"]
	program = %s
[gpg "x509"]
	program = %s
[gpg "ssh"]
	program = %s
	defaultKeyCommand = %s
[core]
	fsmonitor = %s
	sshCommand = %s
	pager = %s
	editor = %s
	askPass = %s
	gitProxy = %s
	alternateRefsCommand = %s
	attributesFile = planted-attributes
[pager]
	log = %s
	show = %s
	config = %s
[sequence]
	editor = %s
[credential]
	helper = !%s
[diff]
	external = %s
[diff "planted"]
	command = %s
	textconv = %s
[filter "planted"]
	clean = %s
	smudge = %s
	process = %s
	required = true
[merge "planted"]
	driver = %s
[interactive]
	diffFilter = %s
[uploadpack]
	packObjectsHook = %s
[remote "origin"]
	uploadpack = %s
	receivepack = %s
	vcs = planted
[alias]
	log = !%s
	config = !%s
	fsck = !%s
	init = !%s
[trailer "x"]
	command = %s
[submodule "x"]
	update = !%s
[user]
	name = mate
	email = mate@ship
`

// plantIn lets a repository name a program wherever git would run one: in its settings, in a file that they include, as hooks, in a
// folder of hooks, for all files by attributes. It gives the file in which the programs write down that they ran.
func plantIn(t *testing.T, git string) (ran func() []string) {
	t.Helper()
	bin := t.TempDir()
	log := filepath.Join(bin, "ran")
	program := func(name string) string {
		file := filepath.Join(bin, name)
		if err := os.WriteFile(file, fmt.Appendf(nil, "#!/bin/sh\necho %s >> %s\n", name, log), 0o755); err != nil {
			t.Fatal(err)
		}
		return file
	}
	settings, section, n := "", "", 0
	for line := range strings.Lines(programs) {
		if strings.HasPrefix(line, "[") {
			section = strings.NewReplacer("[", "", "]", "", "\"", "", " ", ".", "\n", "").Replace(line)
		}
		if strings.Contains(line, "%s") {
			n++
			key, _, _ := strings.Cut(strings.TrimSpace(line), " ")
			line = fmt.Sprintf(line, program(section+"."+key))
		}
		settings += line
	}
	included := filepath.Join(bin, "included")
	write := func(name, text string) {
		t.Helper()
		if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(text), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	write(included, settings)
	config := filepath.Join(git, "config")
	own, err := os.ReadFile(config)
	if err != nil {
		t.Fatal(err)
	}
	hooks := filepath.Join(bin, "hooks")
	write(config, string(own)+settings+"[include]\n\tpath = "+included+"\n[core]\n\thooksPath = "+hooks+"\n")
	for _, h := range []string{"pre-commit", "post-commit", "commit-msg", "prepare-commit-msg", "pre-push", "pre-receive", "post-receive", "update", "post-update",
		"proc-receive", "reference-transaction", "post-checkout", "post-merge", "pre-auto-gc", "post-index-change", "fsmonitor-watchman", "push-to-checkout"} {
		text := fmt.Sprintf("#!/bin/sh\necho hook %s >> %s\n", h, log)
		write(filepath.Join(git, "hooks", h), text)
		write(filepath.Join(hooks, h), text)
	}
	write(filepath.Join(git, "info", "attributes"), "* filter=planted diff=planted merge=planted\n")
	if n < 30 {
		t.Fatalf("only %d settings name a program", n)
	}
	return func() []string {
		text, err := os.ReadFile(log)
		if err != nil {
			return nil
		}
		os.Remove(log)
		names := strings.Split(strings.TrimSpace(string(text)), "\n")
		slices.Sort(names)
		return slices.Compact(names)
	}
}

// Nothing of ours runs a program that a book names, nor one that the folder names to which it is carried, nor one that the environment
// hands to git; and each says the truth all the same. By design an installed git runs where sync goes over ssh or https, with the
// person's own settings, in a repository of ours; and it is asked for the person's name and key, which runs nothing.
func TestNoPlantedProgramRuns(t *testing.T) {
	plainTools(t)
	p := apart(t)
	book := filepath.Join(p.dir, "workshop")
	stick := filepath.Join(p.dir, "stick")
	p.git("clone", "-q", "--bare", "workshop", "stick")
	ofBook, ofStick := plantIn(t, filepath.Join(book, ".git")), plantIn(t, stick)
	ran := func() []string { return append(ofBook(), ofStick()...) }

	// git itself runs them: else the plants prove nothing.
	for _, args := range [][]string{{"log", "-1", "--format=%G?"}, {"push", "-q", stick, "HEAD:refs/heads/native"}} {
		cmd := exec.Command("git", args...)
		cmd.Dir = book
		cmd.CombinedOutput() // whatever comes of it
		if names := ran(); len(names) == 0 {
			t.Errorf("git %v was expected to run what is planted", args)
		}
	}

	p.does("workshop", exitClean, "verify", "--proof", p.proof)
	for _, args := range [][]string{{"check"}, {"pages", "--output", filepath.Join(p.dir, "pages")}, {"show", "ME1-3"},
		{"verify", "--format", "json", "--proof", p.proof}, {"mailbag", "pack", "--out", filepath.Join(p.dir, "bag")}} {
		var out bytes.Buffer
		if got := run(append(args, "--book", book), strings.NewReader(""), &out, &out); got == exitUse || got == exitFailed {
			t.Errorf("needlebook %v: exit status %d\n%s", args, got, out.String())
		}
		if names := ran(); len(names) > 0 {
			t.Errorf("needlebook %v ran %q", args, names)
		}
	}
	before := p.git("-C", "stick", "rev-parse", "main")
	var out bytes.Buffer
	record := filepath.Join(book, "overhauls/me1/c3/2024-01-04-h-103.md")
	text, err := os.ReadFile(record)
	if err == nil {
		err = os.WriteFile(record, append(text, "Seen again.\n"...), 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
	if got := run(append([]string{"sign", "2024-01-04-h-103", "--book", book}, p.as("mate")...), strings.NewReader(""), &out, &out); got != exitClean {
		t.Fatalf("sign: exit status %d\n%s", got, out.String())
	}
	if got := run(append([]string{"sync", stick, "--book", book}, p.as("mate")...), strings.NewReader(""), &out, &out); got == exitFailed || got == exitUse {
		t.Errorf("sync: exit status %d\n%s", got, out.String())
	}
	if names := ran(); len(names) > 0 {
		t.Errorf("sync ran %q", names)
	}
	if p.git("-C", "stick", "rev-parse", "main") == before {
		t.Errorf("sync sent nothing:\n%s", out.String())
	}

	// The two scripts, in the folder itself, with an environment that leads git elsewhere.
	explained := p.does("workshop", exitClean, "verify", "--explain", "2024-01-04-h-103")
	script := p.does("workshop", exitClean, "verify", "--script", "--proof", p.proof)
	planted := filepath.Join(p.dir, "environment")
	ofEnvironment := plantIn(t, func() string { p.git("init", "-q", planted); return filepath.Join(planted, ".git") }())
	for name, text := range map[string]string{"prove-again.sh": script, "the commands of --explain": explained} {
		cmd := exec.Command("sh", "-s")
		cmd.Dir, cmd.Stdin = book, strings.NewReader(text)
		cmd.Env = append(os.Environ(), "GIT_DIR="+planted+"/.git", "GIT_CONFIG_GLOBAL="+planted+"/.git/config", "GIT_CONFIG_COUNT=1",
			"GIT_CONFIG_KEY_0=gpg.ssh.program", "GIT_CONFIG_VALUE_0=false", "GIT_PAGER=false", "GIT_EXTERNAL_DIFF=false", "GIT_OBJECT_DIRECTORY="+p.dir)
		said, err := cmd.CombinedOutput()
		if names := append(ran(), ofEnvironment()...); len(names) > 0 {
			t.Errorf("%s ran %q", name, names)
		}
		if name == "prove-again.sh" && (err != nil || !strings.Contains(string(said), "PROVEN") || !strings.HasPrefix(string(said), "# reads a copy in ")) {
			t.Errorf("%s: %v\n%s", name, err, said)
		}
		if name != "prove-again.sh" && !strings.Contains(string(said), " G SHA256:") {
			t.Errorf("%s: %v\n%s", name, err, said)
		}
	}
}

// A repository that a stranger made lies to a script that believes more than its objects: a program that calls every signature good, a
// graph of commits with other parents, objects from elsewhere, an index that is not its pack's, links for objects.
func TestProveAgainIsNotLiedTo(t *testing.T) {
	plainTools(t)
	h := &told{t: t, lines: map[string]string{}}
	h.line("office", []string{"superintendent"}, 0)
	h.line("mate", engineerRoles, 0)
	h.commit("office", h.register(), exchange.Change{Path: ".gitattributes", Text: []byte(exchange.Attributes)})
	h.commit("mate", file("overhauls/me1/c1/2024-01-03-h-1.md", "a"))
	h.commit("stranger", file("overhauls/me1/c1/2024-01-03-h-1.md", "b"))
	for _, c := range []struct {
		name, says string
		lie        func(t *testing.T, dir string)
	}{
		{"as it is", "NOT PROVEN", func(*testing.T, string) {}},
		{"a program that calls all good", "NOT PROVEN", func(t *testing.T, dir string) {
			good := filepath.Join(t.TempDir(), "good")
			os.WriteFile(good, []byte("#!/bin/sh\necho 'Good \"git\" signature for mate@ship with ED25519 key SHA256:x'\n"), 0o755)
			gitIn(t, dir, "config", "gpg.ssh.program", good)
		}},
		{"another text in place of the commit", "NOT PROVEN", func(t *testing.T, dir string) {
			gitIn(t, dir, "update-ref", "refs/replace/"+strings.TrimSpace(gitIn(t, dir, "rev-parse", "HEAD")), "HEAD^")
		}},
		{"a grafted parent", "no whole one of its own", func(t *testing.T, dir string) {
			os.MkdirAll(filepath.Join(dir, ".git/info"), 0o755)
			os.WriteFile(filepath.Join(dir, ".git/info/grafts"), []byte(gitIn(t, dir, "rev-parse", "HEAD")), 0o644)
		}},
		{"borrowed objects", "no whole one of its own", func(t *testing.T, dir string) {
			os.WriteFile(filepath.Join(dir, ".git/objects/info/alternates"), []byte("/elsewhere\n"), 0o644)
		}},
		{"links for objects", "holds links", func(t *testing.T, dir string) {
			os.MkdirAll(filepath.Join(dir, ".git/objects/ab"), 0o755)
			os.Symlink("/etc/hostname", filepath.Join(dir, ".git/objects/ab", strings.Repeat("c", 38)))
		}},
		{"a pack cut short", "BROKEN", func(t *testing.T, dir string) {
			packs, _ := filepath.Glob(filepath.Join(dir, ".git/objects/pack/*.pack"))
			text, _ := os.ReadFile(packs[0])
			os.Chmod(packs[0], 0o644)
			os.WriteFile(packs[0], text[:len(text)-30], 0o644)
		}},
		{"a branch that leads nowhere", "BROKEN", func(t *testing.T, dir string) {
			os.WriteFile(filepath.Join(dir, ".git/HEAD"), []byte("ref: refs/heads/none\n"), 0o644)
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			dir := filepath.Join(t.TempDir(), "a book")
			ids, err := exchange.Build(dir, h.steps)
			if err != nil {
				t.Fatal(err)
			}
			c.lie(t, dir)
			proof, err := foundingProof(ids[0], h.key("office"))
			if err != nil {
				t.Fatal(err)
			}
			cmd := exec.Command("sh", "-s", proof)
			cmd.Dir, cmd.Stdin = dir, strings.NewReader(logbook.ProofScript(""))
			if said, err := cmd.CombinedOutput(); err == nil || !strings.Contains(string(said), c.says) {
				t.Errorf("%v, want %s:\n%s", err, c.says, said)
			}
		})
	}
}

func gitIn(t *testing.T, dir string, args ...string) string {
	t.Helper()
	cmd := exec.Command("git", args...)
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("git %v: %v\n%s", args, err, out)
	}
	return string(out)
}
