package main

import (
	"bytes"
	"encoding/pem"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/crypto/ssh"

	vessel "needlebook/example-vessel"
	"needlebook/logbook/exchange"
)

// threeBooks are copies of one book in which people have worked apart.
type threeBooks struct {
	t     *testing.T
	dir   string
	proof string
	first string // the founding commit
}

// apart founds a book and gives the workshop, the control room and the office a month each: the workshop's engineer and the control
// room's overhaul, the chief countersigns, the office changes limits and answers for parts; both sides book spares.
func apart(t *testing.T) *threeBooks {
	t.Helper()
	p := &threeBooks{t: t, dir: t.TempDir()}
	t.Setenv("HOME", p.dir)
	t.Setenv("GIT_CONFIG_NOSYSTEM", "1")
	t.Setenv("GIT_CONFIG_GLOBAL", filepath.Join(p.dir, "none"))
	t.Setenv("NEEDLEBOOK_PROOF", "")
	t.Setenv("NEEDLEBOOK_MEMORY", filepath.Join(p.dir, "memory"))
	h := &told{t: t, lines: map[string]string{}}
	h.line("office", []string{"superintendent"}, 0)
	h.line("chief", chiefRoles, 0)
	h.line("mate", engineerRoles, 0)
	h.line("new", engineerRoles, 0)
	text := func(name string) exchange.Change {
		b, err := os.ReadFile(filepath.Join("..", "..", "example-vessel", name))
		if err != nil {
			t.Fatal(err)
		}
		return exchange.Change{Path: name, Text: b}
	}
	shared := overhaul("H-103", "ME1", 3, "new")
	h.commit("office", h.register(), exchange.Change{Path: ".gitattributes", Text: []byte(exchange.Attributes)}, text("book.md"), text("limits/6qz31.md"),
		file("stores/stock.csv", "date,item,part_no,serial,change,on_order,due,price,lead_days,note"))
	h.commit("new", shared)
	base := h.steps
	work := func(name string, month func(h *told)) {
		side := &told{t: t, steps: append([]exchange.Step{}, base...), lines: h.lines}
		month(side)
		ids, err := exchange.Build(filepath.Join(p.dir, name), side.steps)
		if err != nil {
			t.Fatal(err)
		}
		p.first = ids[0]
	}
	stock := func(rows string) exchange.Change {
		return file("stores/stock.csv", "date,item,part_no,serial,change,on_order,due,price,lead_days,note\n"+rows)
	}
	work("workshop", func(h *told) {
		one := overhaul("H-101", "ME1", 1, "mate")
		h.commit("mate", one)
		h.commit("mate", stock("2024-01-05,seal kit,77-1,,-1,,,,,H-101"))
		h.commit("mate", exchange.Change{Path: shared.Path, Text: bytes.Replace(shared.Text, []byte("lift: 0.74 mm"), []byte("lift: 0.75 mm"), 1)})
		h.commit("chief", exchange.Countersigning("countersigned", "chief", one.Path, one.Text, "as seen", ""))
	})
	work("control", func(h *told) {
		h.commit("new", overhaul("H-102", "ME1", 2, "new"))
		h.commit("", overhaul("H-104", "ME1", 4, "new")) // signed by nobody
		h.commit("new", exchange.Change{Path: shared.Path, Text: append(bytes.Clone(shared.Text), "\nSpring ends polished.\n"...)})
	})
	work("office", func(h *told) {
		h.commit("office", stock("2024-01-20,seal kit,77-1,,20,,,,,sent with the mail"))
		h.commit("office", file("parts/n-2001.md", "---\nserial: \"N-2001\"\nkind: nozzle\n---\n\nCertificate seen ashore."))
		limits := text("limits/6qz31.md")
		limits.Text = bytes.Replace(limits.Text, []byte("\n---\n"), []byte("\n---\n\nRead again by the office.\n"), 1)
		h.commit("office", limits)
	})
	p.git("init", "-q", "--bare", "-b", "main", "between.git")
	for _, who := range []string{"office", "chief", "mate", "new"} {
		block, err := ssh.MarshalPrivateKey(vessel.Secret(who), who)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(p.dir, who+".key"), pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	var err error
	if p.proof, err = foundingProof(p.first, h.key("office")); err != nil {
		t.Fatal(err)
	}
	return p
}

func overhaul(holder, engine string, cylinder int, by string) exchange.Change {
	path := fmt.Sprintf("overhauls/%s/c%d/2024-01-04-%s.md", strings.ToLower(engine), cylinder, strings.ToLower(holder))
	return file(path, fmt.Sprintf("---\nholder: %q\nremoved: {engine: %s, cylinder: %d, date: 2024-01-04, counter: 59000 h, reason: planned}\nas_found:\n  date: 2024-01-04\n  opening_pressure: [300 bar, 300 bar, 305 bar]\nmeasured:\n  lift: 0.74 mm\nby: %s\n---\n\nWorked on by %s.",
		holder, engine, cylinder, by, by))
}

func (p *threeBooks) git(args ...string) string {
	p.t.Helper()
	cmd := exec.Command("git", args...)
	cmd.Dir = p.dir
	out, err := cmd.CombinedOutput()
	if err != nil {
		p.t.Fatalf("git %v: %v\n%s", args, err, out)
	}
	return string(out)
}

// does runs the program in a place and gives what it said.
func (p *threeBooks) does(place string, want int, args ...string) string {
	p.t.Helper()
	var out bytes.Buffer
	if got := run(append(args, "--book", filepath.Join(p.dir, place)), strings.NewReader(""), &out, &out); got != want {
		p.t.Fatalf("in the %s, needlebook %v: exit status %d, want %d\n%s", place, args, got, want, out.String())
	}
	return out.String()
}

// same fails unless every place stands on the same commit and git finds nothing wrong with it, and gives that commit.
func (p *threeBooks) same(names ...string) string {
	p.t.Helper()
	tip := ""
	for _, n := range names {
		at := strings.TrimSpace(p.git("-C", n, "rev-parse", "HEAD"))
		if tip == "" {
			tip = at
		}
		if at != tip {
			p.t.Errorf("the %s stands on %s, the %s on %s", n, at, names[0], tip)
		}
		if out := p.git("-C", n, "fsck", "--strict", "--no-dangling") + p.git("-C", n, "status", "--porcelain"); out != "" {
			p.t.Errorf("in the %s git says:\n%s", n, out)
		}
	}
	return tip
}

// as gives the flag that signs with a hand's key.
func (p *threeBooks) as(who string) []string {
	return []string{"--key", filepath.Join(p.dir, who+".key")}
}

// A month apart, three places, all editing, one countersigning; then everyone syncs once, and once more to get what the others had
// merged. The pages show what each wrote, and the history is proved but for the one commit that nobody signed, until the chief
// answers for it. (Common practice, no source.)
func TestAMonthApartThenSync(t *testing.T) {
	if testing.Short() {
		t.Skip("runs many programs one after another")
	}
	plainTools(t)
	p := apart(t)
	for _, place := range []string{"workshop", "control", "office"} {
		p.git("-C", place, "remote", "add", "origin", filepath.Join(p.dir, "between.git"))
	}
	sync := func(place string, want int, who string) string {
		return p.does(place, want, append([]string{"sync"}, p.as(who)...)...)
	}
	sync("workshop", 0, "mate")
	p.settles(sync("control", 1, "new"))
	sync("control", 0, "new")
	sync("office", 1, "office") // one commit is not proven
	sync("control", 0, "new")
	sync("workshop", 1, "mate")
	p.same("workshop", "control", "office")
	p.adopts()
	sync("workshop", 0, "chief")
	sync("office", 0, "office")
	p.shows()
}

// The same by mailbag alone.
func TestAMonthApartThenMailbag(t *testing.T) {
	if testing.Short() {
		t.Skip("runs many programs one after another")
	}
	plainTools(t)
	p := apart(t)
	bags := 0
	carry := func(from, to string, want int, who string, more ...string) string {
		t.Helper()
		bags++
		bag := filepath.Join(p.dir, fmt.Sprint("bag", bags))
		p.does(from, 0, append([]string{"mailbag", "pack", "--side", to, "-o", bag}, more...)...)
		files, err := filepath.Glob(filepath.Join(bag, "*"))
		if err != nil || len(files) == 0 {
			t.Fatalf("no files from the %s: %v", from, err)
		}
		args := append([]string{"mailbag", "open", "--side", from, "-o", bag}, p.as(who)...)
		return p.does(to, want, append(args, files...)...)
	}
	known := []string{"--since", p.first}
	p.settles(carry("workshop", "control", 1, "new", known...))
	carry("control", "office", 1, "office", known...) // one commit is not proven
	carry("office", "control", 0, "new")
	carry("control", "workshop", 1, "mate")
	p.same("workshop", "control", "office")
	p.adopts()
	carry("workshop", "control", 0, "new")
	carry("control", "office", 0, "office")
	p.shows()
}

// resolves takes the proposal for the record that workshop and control room both wrote into.
func (p *threeBooks) settles(said string) {
	p.t.Helper()
	if !strings.Contains(said, "measured.lift") || !strings.Contains(said, "Spring ends polished.") {
		p.t.Errorf("what both wrote into one record was not shown:\n%s", said)
	}
	p.does("control", 0, append([]string{"resolve", "2024-01-04-h-103", "--proposal"}, p.as("new")...)...)
}

// adopts lets the chief answer for the commit that nobody signed; with that the workshop's book is proved.
func (p *threeBooks) adopts() {
	p.t.Helper()
	said := p.does("workshop", 1, "verify", "--proof", p.proof)
	if !strings.Contains(said, "unsigned") || strings.Contains(said, "drops") {
		p.t.Errorf("verify says\n%s", said)
	}
	unsigned := strings.TrimSpace(p.git("-C", "workshop", "log", "--format=%h", "--diff-filter=A", "--", "overhauls/me1/c4"))
	p.does("workshop", 0, append([]string{"adopt", unsigned, "--reason", "written by the control room, seen"}, p.as("chief")...)...)
	p.does("workshop", 0, "verify", "--proof", p.proof)
}

// shows looks at the office's book and pages.
func (p *threeBooks) shows() {
	p.t.Helper()
	p.same("workshop", "office")
	p.does("office", 0, "verify", "--proof", p.proof)
	pages := filepath.Join(p.dir, "pages")
	p.does("office", 0, "pages", "-o", pages, "--proof", p.proof)
	for what, words := range map[string][]string{
		"the workshop's record":    {"Worked on by mate.", "countersigned"},
		"the control room's":       {"H-102", "Worked on by new."},
		"the one both wrote into":  {"H-103", "0.75 mm", "Spring ends polished.", "edited in a merge"},
		"the one that was adopted": {"H-104", "adopted"},
		"the office's part":        {"N-2001", "Certificate seen ashore."},
	} {
		if !onePage(p.t, pages, words) {
			p.t.Errorf("%s: no page shows %q", what, words)
		}
	}
	stock, err := os.ReadFile(filepath.Join(p.dir, "office", "stores/stock.csv"))
	if err != nil || !strings.Contains(string(stock), "H-101") || !strings.Contains(string(stock), "sent with the mail") {
		p.t.Errorf("the stock of both sides: %q, %v", stock, err)
	}
}

// onePage says whether one of the pages holds all the words.
func onePage(t *testing.T, dir string, words []string) bool {
	found := false
	err := filepath.WalkDir(dir, func(name string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || filepath.Ext(name) != ".html" {
			return err
		}
		text, err := os.ReadFile(name)
		all := true
		for _, w := range words {
			all = all && bytes.Contains(text, []byte(w))
		}
		found = found || all
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}
