package site

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/site/fleet"
)

// TestJoin joins a ship to answer for, a quiet one and one that was not built: exceptions first, every link leads somewhere, and the same
// summaries give the same bytes.
func TestJoin(t *testing.T) {
	out := filepath.Join(t.TempDir(), "fleet")
	if _, err := Join(nil, out); err != nil {
		t.Fatal(err)
	}
	files := baseFiles(t, nil)
	files["book.md"].Data = bytes.Replace(files["book.md"].Data, []byte("vessel: "), []byte("vessel: Quiet "), 1)
	quiet := bookOf(t, files, nil)
	quiet.Report = &checks.Report{Book: quiet.Book, Today: quiet.Report.Today, Judgement: quiet.Report.Judgement}
	quiet.Trail = &logbook.Trail{UnderGit: true, Proved: true, Headline: "proved", First: -1, Founding: -1}
	must(t, build(quiet, filepath.Join(out, "quiet")))
	loud := vessels(t)["ordinary"]
	must(t, build(loud, filepath.Join(out, "loud")))
	ships := []fleet.Ship{fleet.In(filepath.Join(out, "quiet"), out), fleet.In(filepath.Join(out, "loud"), out), fleet.In(filepath.Join(out, "absent"), out)}
	if _, err := Join(ships, out); err != nil {
		t.Fatal(err)
	}
	page, err := os.ReadFile(filepath.Join(out, "index.html"))
	must(t, err)
	text := words(t, page)
	at := func(what string) int {
		i := strings.Index(text, what)
		if i < 0 {
			t.Fatalf("the front page does not say %q:\n%s", what, text)
		}
		return i
	}
	name := loud.Book.Vessel.Name.Written
	if !(at("not read:") < at(name) && at(name) < at("Quiet")) {
		t.Error("the ships do not stand in the order: not read, with findings, quiet")
	}
	for _, want := range []string{"absent", "3 ships", "1 quiet", "1 not read", "nothing is open"} {
		at(want)
	}
	for _, n := range nodes(t, filepath.Join(out, "index.html")) {
		for _, a := range n.Attr {
			if a.Key == "href" && !strings.HasPrefix(a.Val, "#") {
				file, _, _ := strings.Cut(a.Val, "#")
				if _, err := os.Stat(filepath.Join(out, filepath.FromSlash(file))); err != nil {
					t.Errorf("link to %q, which does not exist", a.Val)
				}
			}
		}
	}
	again, err := Join(ships, out)
	if err != nil || again.Written != 0 || again.Removed != 0 {
		t.Errorf("the second join: %+v, %v, want nothing written", again, err)
	}
}

// TestJoinKeepsApart holds that the front page and a vessel's pages never take one another's folder, and that foreign files stay.
func TestJoinKeepsApart(t *testing.T) {
	pages := filepath.Join(t.TempDir(), "ship")
	in := bookOf(t, baseFiles(t, nil), nil)
	must(t, build(in, pages))
	if _, err := Join(nil, pages); !errors.Is(err, ErrForeign) || !strings.Contains(err.Error(), "pages of one vessel") {
		t.Errorf("Join into a vessel's pages = %v, want ErrForeign", err)
	}
	front := filepath.Join(t.TempDir(), "front")
	if _, err := Join(nil, front); err != nil {
		t.Fatal(err)
	}
	if _, err := Build(in, front); !errors.Is(err, ErrForeign) || !strings.Contains(err.Error(), "front page of several ships") {
		t.Errorf("Build into a front page = %v, want ErrForeign", err)
	}
	foreign := t.TempDir()
	write(t, filepath.Join(foreign, "letter.txt"), "mine")
	if _, err := Join(nil, foreign); !errors.Is(err, ErrForeign) {
		t.Errorf("Join beside a letter = %v, want ErrForeign", err)
	}
}

// TestHostileSummary reads what another machine may send: broken, of another format, huge, a link, and one whose words and pages are
// hostile. None of it becomes markup or leads out of the ship's folder.
func TestHostileSummary(t *testing.T) {
	out := filepath.Join(t.TempDir(), "fleet")
	for name, text := range map[string]string{"broken": "{", "other": `{"format":"needlebook summary 99"}`, "huge": strings.Repeat(" ", 1<<20+1), "empty": ""} {
		dir := filepath.Join(out, name)
		must(t, os.MkdirAll(dir, 0o777))
		write(t, filepath.Join(dir, fleet.File), text)
		if s := fleet.In(dir, out); s.Summary != nil || s.Why == "" {
			t.Errorf("%s: read as %+v, want a reason", name, s)
		}
	}
	secret := filepath.Join(t.TempDir(), "secret.json")
	write(t, secret, `{"format":"needlebook summary 1","vessel":"secret"}`)
	link := filepath.Join(out, "link")
	must(t, os.MkdirAll(link, 0o777))
	if os.Symlink(secret, filepath.Join(link, fleet.File)) == nil {
		if s := fleet.In(link, out); s.Summary != nil {
			t.Error("a link out of the folder was read")
		}
	}
	var ships []fleet.Ship
	for i, bad := range []string{"javascript:alert(1)", "../../x.html", "//evil.example/", `x" onmouseover="alert(1)`, "https://evil.example/", "a.html#\"><script>"} {
		f := &fleet.Finding{Grade: venom, Check: venom, About: venom, Message: venom, Page: bad}
		s := fleet.Summary{Format: fleet.Format, Vessel: venom, Day: venom, History: fleet.History{Headline: venom}, Gravest: f, Pattern: []*fleet.Finding{f, nil, f}, ToOrder: []string{venom}, Next: &fleet.Due{Day: venom, Which: venom, Where: venom, Left: venom},
			Types: []fleet.Type{{Type: venom, Opened: 3, Bad: -7, Low: -1e300, High: 1e300}}, Review: &fleet.Review{Why: venom, Day: venom, New: []fleet.Finding{*f}}}
		if i == 1 {
			f.Grade = "stop"
		}
		ships = append(ships, fleet.Ship{Name: venom, Folder: "a b\"<c", Summary: &s}, fleet.Ship{Name: venom, Why: venom})
	}
	dir := filepath.Join(t.TempDir(), "front")
	if _, err := Join(ships, dir); err != nil {
		t.Fatal(err)
	}
	for _, n := range nodes(t, filepath.Join(dir, "index.html")) {
		if n.Data == "script" && (len(n.Attr) != 1 || n.Attr[0].Val != "comfort.js" || n.FirstChild != nil) {
			t.Error("a script that is not our file")
		}
		for _, a := range n.Attr {
			if strings.HasPrefix(a.Key, "on") {
				t.Errorf("attribute %s", a.Key)
			}
			if a.Key == "href" && a.Val != "style.css" && !strings.HasPrefix(a.Val, "#") && !strings.HasPrefix(a.Val, "a%20b%22%3Cc/") {
				t.Errorf("link to %q", a.Val)
			}
		}
	}
}

// TestSummaryIsDocumentedShape holds the summary to the names of its format: fields are only added within a number.
func TestSummaryShape(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	in := vessels(t)["ordinary"]
	must(t, build(in, out))
	text, err := os.ReadFile(filepath.Join(out, fleet.File))
	must(t, err)
	var got map[string]any
	must(t, json.Unmarshal(text, &got))
	for _, key := range []string{"format", "vessel", "state_of_the_book", "overhauls", "history", "findings", "gravest", "past_due", "next_due", "ready_spares", "to_order", "engines", "types", "review", "pattern"} {
		if _, ok := got[key]; !ok {
			t.Errorf("the summary has no %q", key)
		}
	}
	s, err := fleet.Read(out)
	must(t, err)
	if s.Overhauls != len(in.Book.Overhauls) || s.Vessel != in.Book.Vessel.Name.Written {
		t.Errorf("read back %d overhauls of %q", s.Overhauls, s.Vessel)
	}
}

func TestShipFolder(t *testing.T) {
	taken := map[string]bool{}
	for i, want := range []string{"ostrevane", "ostrevane-2", "ship", "merrivane-book"} {
		dir := []string{"/x/Ostrevane", "/y/ostrevane", "/…", "/z/Merrivane/book"}[i]
		if got := fleet.Folder(dir, taken); got != want {
			t.Errorf("fleet.Folder(%q) = %q, want %q", dir, got, want)
		}
	}
}

// TestSince compares a book with an earlier state of itself: what is new and what is gone is said, and nothing else.
func TestSince(t *testing.T) {
	in := vessels(t)["ordinary"]
	finding := func(check, message string) checks.Finding {
		return checks.Finding{Check: check, Grade: checks.Action, Message: message, Place: logbook.Place{Path: "book.md", Line: 1, Column: 1}}
	}
	report := *in.Report
	report.Findings = []checks.Finding{finding("stays", "1300 h"), finding("new", "it is new"), finding("twice", "a"), finding("twice", "b")}
	before := report
	before.Findings = []checks.Finding{finding("stays", "1200 h"), finding("gone", "it went"), finding("twice", "a")}
	in.Report, in.Before = &report, &Before{Why: "review by x", Commit: strings.Repeat("a", 40), Day: in.Report.Today, Report: &before}
	page := words(t, built(t, in)["since.html"])
	for _, want := range []string{"Since the review by x", "2 new findings", "it is new", "One finding was corrected", "it went"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if i, j := strings.Index(page, "2 new findings"), strings.Index(page, "One finding was corrected"); i < 0 || j < i || strings.Contains(page[i:j], "1300 h") {
		t.Error("a finding that stays is called new")
	}
	if s := fmt.Sprint(in.Before.Day); s == "" {
		t.Error("no day")
	}
}
