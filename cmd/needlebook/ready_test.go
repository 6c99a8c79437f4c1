package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"html"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"needlebook/checks"
	"needlebook/checks/deciding"
	"needlebook/checks/paper"
	"needlebook/example-vessel/invent"
)

// pageText is what a reader sees of a page, without its markup.
func pageText(t *testing.T, pages, name string) string {
	t.Helper()
	src, err := os.ReadFile(filepath.Join(pages, name))
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(strings.Fields(html.UnescapeString(tags.ReplaceAllString(string(src), " "))), " ")
}

// rowsOf are the rows of a table of a paper that name a thing, each as one text.
func rowsOf(p paper.Paper, table, names string) (rows []string) {
	for _, row := range p.Table(table).Rows {
		var cells []string
		for _, c := range row {
			cells = append(cells, c.Text)
		}
		if text := strings.Join(cells, " | "); strings.Contains(text, names) {
			rows = append(rows, text)
		}
	}
	return rows
}

// TestReadyIsSaidAlike goes over every spare of the example vessel and of an invented ship with faults: check, show, the
// papers, the pages, card and enter say of it what the list of spares says. Outside source: common practice, no source.
func TestReadyIsSaidAlike(t *testing.T) {
	dirs := []string{filepath.Join("..", "..", "example-vessel"), t.TempDir()}
	v := invent.Vessel(8115, invent.Options{Overhauls: 30, Faults: []string{"picture of another valve", "clamp nuts too tight", "holes shut as left"}})
	if err := os.CopyFS(dirs[1], v.FS()); err != nil {
		t.Fatal(err)
	}
	said := map[string]int{}
	for _, dir := range dirs {
		o, err := openFolder(context.Background(), dir, "", "", "", "")
		if err != nil {
			t.Fatal(err)
		}
		pages := t.TempDir()
		if _, err := (&program{ctx: context.Background()}).build(o, pages); err != nil {
			t.Fatal(err)
		}
		ready, papers := 0, map[string]paper.Paper{"handover": o.plan().Handover(), "due": o.plan().Due(0, true), "stores": o.plan().Stores()}
		for _, s := range o.report.Spares {
			said[s.State.Word()]++
			if s.State.Yes() {
				ready++
			}
			r := readyOf{t, o, s, dir, papers}
			r.terminal()
			r.papers()
			r.pages(pages)
			if said[s.State.Word()] == 1 {
				r.begun()
			}
		}
		var summary struct {
			Ready int `json:"ready_spares"`
		}
		src, err := os.ReadFile(filepath.Join(pages, "summary.json"))
		if err == nil {
			err = json.Unmarshal(src, &summary)
		}
		if err != nil || summary.Ready != ready {
			t.Errorf("%s: summary.json counts %d ready spares, want %d (%v)", dir, summary.Ready, ready, err)
		}
		o.close()
	}
	if t.Logf("%v", said); said["ready"] == 0 || said["not ready"] == 0 || said["test again"] == 0 {
		t.Errorf("%v: a spare of each kind must be tried", said)
	}
}

// readyOf is one spare and what is said of it.
type readyOf struct {
	*testing.T
	o   *opened
	s   deciding.Spare
	dir string
	all map[string]paper.Paper
}

func (r readyOf) wants(where, text, want string) {
	r.Helper()
	if !strings.Contains(text, want) {
		r.Errorf("%s: %s of %s does not say %q:\n%s", r.dir, where, r.s.Holder, want, text)
	}
}

// terminal asks what check and show print.
func (r readyOf) terminal() {
	state := r.s.State.String()
	for _, part := range checks.OfValve(r.s.Holder, r.s.Nozzle) {
		kind, serial := part.Kind.String(), part.Name
		var out bytes.Buffer
		p := &program{ctx: context.Background(), out: terminal{Writer: &out}}
		p.showPart(r.o, kind, serial, nil)
		r.wants("show "+serial, out.String(), "  ready: "+state+"\n")
		where := r.o.report.Whereabouts(part)
		want := "in the spares rack, " + r.s.State.Word()
		if r.s.State.Yes() {
			want = "ready spare"
		}
		if where.Words != want {
			r.Errorf("%s: findings about %s %s call it %q, want %q", r.dir, kind, serial, where.Words, want)
		}
	}
	if rec := r.s.Overhaul; rec != nil {
		line := readyLine(r.o, func(path string) bool { return path == rec.Path })
		r.wants("check "+rec.Path, line+"\n", "\nready: "+state+"\n")
	}
}

// papers asks the papers: handover, due and stores.
func (r readyOf) papers() {
	word, h := r.s.State.Word(), r.all["handover"]
	rack := strings.Join(rowsOf(h, "rack", r.s.Holder+" | "), "\n")
	if r.s.Overhaul != nil {
		r.wants("handover, rack", rack+"\n", "| "+r.s.State.String()+"\n")
	}
	if never := rowsOf(h, "never", "fit "+r.s.Holder); (len(never) > 0) == r.s.State.Yes() {
		r.Errorf("%s: %s is %s, and the handover forbids %q", r.dir, r.s.Holder, word, never)
	}
	r.wants("due", strings.Join(rowsOf(r.all["due"], "due", "| test in the spares rack | "+r.s.Holder+" |"), "\n"), " ago, "+word+" |")
	r.wants("stores", strings.Join(rowsOf(r.all["stores"], "ages", "in "+r.s.Holder), "\n"), "in "+r.s.Holder+", "+word+" |")
}

// pages asks the pages of the vessel, of its parts, and of the holder and the nozzle themselves.
func (r readyOf) pages(dir string) {
	r.wants("the front page", pageText(r.T, dir, "index.html"), r.s.State.String())
	want := "ready spare"
	if !r.s.State.Yes() {
		want = "in the spares rack, ready: " + r.s.State.String()
	}
	r.wants("the page of parts", pageText(r.T, dir, "parts.html"), want)
}

// begun asks card and enter: of a spare that is not ready both say why.
func (r readyOf) begun() {
	for _, verb := range [][]string{{"card"}, {"enter", "--print"}} {
		var out, errw bytes.Buffer
		status := run(append([]string{"--book", r.dir, verb[0], r.s.Holder}, verb[1:]...), strings.NewReader(""), &out, &errw)
		said := fmt.Sprintf("%s is in the spares rack, ready: %s", r.s.Holder, r.s.State)
		if status != 0 || strings.Contains(errw.String(), said) == r.s.State.Yes() || strings.Contains(errw.String(), "ready: yes") {
			r.Errorf("%s %s ends with %d: %q, want %q", verb[0], r.s.Holder, status, errw.String(), said)
		}
	}
}
