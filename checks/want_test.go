package checks

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rogpeppe/go-internal/txtar"

	"needlebook/example-vessel/invent"
	"needlebook/logbook"
)

// The records that a check is tried on stand in testdata/<check>/. A .md file is one overhaul, a .txtar file several files of a
// book; both are laid over the small book in testdata/base. A comment at the end of a line holds what a finding there must say:
//
//	time: 3.1 s # want "below"
//	Remarks. <!-- want "below" -->
//
// want+1 and want-2 reach a neighbouring line; want:action also asserts the grade. Missing and surplus findings both fail.
// A file named trail.json in a .txtar is no part of the book: it holds what the history shows, a logbook.Trail.

var wantMark = regexp.MustCompile(`want(:[a-z]+)?([+-][0-9]+)?((?: "(?:[^"\\]|\\.)*")+)`)
var wantPattern = regexp.MustCompile(`"(?:[^"\\]|\\.)*"`)

type want struct {
	path    string
	line    int
	grade   string
	pattern *regexp.Regexp
	met     bool
}

func TestWant(t *testing.T) {
	base := folder(t, "testdata/base")
	told := beside{}
	defer told.held(t)
	for _, k := range All() {
		t.Run(k.Name, func(t *testing.T) {
			dir := filepath.Join("testdata", k.Name)
			cases, err := os.ReadDir(dir)
			if err != nil {
				t.Fatalf("check %s has no test data: %v", k.Name, err)
			}
			passing, failing := 0, 0
			for _, c := range cases {
				t.Run(c.Name(), func(t *testing.T) {
					n := tryCase(t, k, base, filepath.Join(dir, c.Name()), told)
					if n == 0 {
						passing++
					} else {
						failing++
					}
				})
			}
			if passing == 0 || failing == 0 {
				t.Errorf("check %s has %d passing and %d failing records; it needs both", k.Name, passing, failing)
			}
		})
	}
}

// caseFiles are the files of a book with one case laid over it, and what its history shows.
func caseFiles(t *testing.T, base fstest.MapFS, file string) (fstest.MapFS, *logbook.Trail) {
	t.Helper()
	src, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	book := maps.Clone(base)
	for p, data := range caseOver(t, file, src) {
		if string(data) == "deleted\n" {
			delete(book, p)
			continue
		}
		book[p] = &fstest.MapFile{Data: data}
	}
	trail := logbook.PlainFolder()
	if src, ok := book["trail.json"]; ok {
		strict := json.NewDecoder(bytes.NewReader(src.Data))
		strict.DisallowUnknownFields()
		if err := strict.Decode(trail); err != nil {
			t.Fatalf("trail.json: %v", err)
		}
		trail.UnderGit = true
		delete(book, "trail.json")
	}
	return book, trail
}

// caseOver are the files that a case lays over the book: those of an archive, or one record at its place.
func caseOver(t *testing.T, file string, src []byte) map[string][]byte {
	over := map[string][]byte{}
	if !strings.HasSuffix(file, ".txtar") {
		over[recordPath(t, src)] = src
		return over
	}
	for _, f := range txtar.Parse(src).Files {
		over[f.Name] = f.Data
	}
	return over
}

// tryCase runs one check on one case and returns the number of findings it wants.
func tryCase(t *testing.T, k *Check, base fstest.MapFS, file string, told beside) int {
	t.Helper()
	book, trail := caseFiles(t, base, file)
	src, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	over := caseOver(t, file, src)
	delete(over, "trail.json")
	b, err := logbook.Read(book)
	if err != nil {
		t.Fatal(err)
	}
	var wants []*want
	for p, data := range over {
		wants = append(wants, wantsIn(t, p, string(data))...)
	}
	report := Run(b, Options{Only: []*Check{k}, Trail: trail})
	mayStop(t, b, Options{Trail: trail}, report.Findings)
	told.take(report.Findings)
	for _, f := range report.Findings {
		if !meet(wants, f) {
			t.Errorf("%s: unexpected finding of grade %s: %s", f.Place, f.Grade, f.Message)
		}
	}
	for _, f := range report.Findings {
		for _, r := range f.Related { // what is told under another is said all the same
			if words, told := r.Follows(); told {
				meet(wants, Finding{Place: r.Place, Message: words})
			}
		}
	}
	tryProposals(t, k, book, trail, report.Findings)
	for _, o := range b.Overhauls {
		about := func(f Finding) bool { return f.Place.Path == o.Path }
		if k.Holds != nil && !k.Holds(o) && slices.ContainsFunc(report.Findings, about) {
			t.Errorf("%s speaks of %s, which by Holds has nothing that it looks at", k.Name, o.Path)
		}
	}
	for _, w := range wants {
		if !w.met {
			t.Errorf("%s:%d: no finding matches %q", w.path, w.line, w.pattern)
		}
	}
	return len(wants)
}

// beside is what the findings of all cases say beside their messages: what is to be done next, and in which words each
// names other places. A case asks for a message; this file holds the rest, each once for a check.
type beside map[string]bool

func (b beside) take(findings []Finding) {
	for _, f := range findings {
		if f.Next != "" {
			b[f.Check+": next: "+f.Next] = true
		}
		for _, r := range f.Related {
			b[f.Check+": beside: "+r.Words] = true
		}
	}
}

func (b beside) held(t *testing.T) {
	if strings.Contains(flag.Lookup("test.run").Value.String(), "/") { // a part of the cases
		return
	}
	const file = "testdata/beside.txt"
	text := strings.Join(slices.Sorted(maps.Keys(b)), "\n") + "\n"
	if *update {
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	is, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(text) {
		if !strings.Contains("\n"+string(is), "\n"+line) {
			t.Errorf("%s does not hold %s", file, line)
		}
	}
	for line := range strings.Lines(string(is)) {
		if !b[strings.TrimSuffix(line, "\n")] {
			t.Errorf("no case says %s", line)
		}
	}
}

func meet(wants []*want, f Finding) bool {
	for _, w := range wants {
		if !w.met && w.path == f.Place.Path && w.line == max(f.Place.Line, 1) && w.pattern.MatchString(f.inFull()) && (w.grade == "" || f.Grade == 0 || w.grade == f.Grade.String()) {
			w.met = true
			return true
		}
	}
	return false
}

// mayStop asks that no finding is graver than its check says, and that every stop was said by MayStop: whoever signs is
// shown no other.
func mayStop(t *testing.T, b *logbook.Book, opt Options, findings []Finding) {
	t.Helper()
	said := map[string]bool{}
	for _, f := range findings {
		if k := Named(f.Check); k != nil && f.Grade > k.Grade {
			t.Errorf("%s is of grade %s, its check of %s", f.Check, f.Grade, k.Grade)
		}
		if f.Grade == Stop && len(said) == 0 {
			all, err := MayStop(b, opt)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range all {
				said[m.Check+m.Place.String()] = true
			}
		}
		if f.Grade == Stop && !said[f.Check+f.Place.String()] {
			t.Errorf("%s: %s is a stop that MayStop does not say", f.Place, f.Check)
		}
	}
}

func wantsIn(t *testing.T, p, text string) []*want {
	var wants []*want
	for i, line := range strings.Split(text, "\n") {
		for _, m := range wantMark.FindAllStringSubmatch(line, -1) {
			offset, _ := strconv.Atoi(m[2])
			for _, q := range wantPattern.FindAllString(m[3], -1) {
				s, err := strconv.Unquote(q)
				if err != nil {
					t.Fatalf("%s:%d: %s: %v", p, i+1, q, err)
				}
				wants = append(wants, &want{path: p, line: i + 1 + offset, grade: strings.TrimPrefix(m[1], ":"), pattern: regexp.MustCompile(s)})
			}
		}
	}
	return wants
}

// recordPath is where a lone record belongs in the book, from what it says itself.
func recordPath(t *testing.T, src []byte) string {
	o, _ := logbook.ReadOverhaul("case.md", src)
	stem := fmt.Sprintf("%s-%s", o.Day(), logbook.FileName(o.Holder.Written))
	if !o.Holder.Stated() {
		stem = "2024-01-01-h-0"
	}
	dir := "overhauls/spares"
	if o.Removed.Stated() {
		dir = path.Join("overhauls", logbook.FileName(o.Removed.Engine.Written), "c"+logbook.FileName(o.Removed.Cylinder.Written))
	}
	return path.Join(dir, stem+".md")
}

func folder(t *testing.T, dir string) fstest.MapFS {
	all, err := invent.Laid(nil, dir)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// TestList holds the list of checks to its form.
func TestList(t *testing.T) {
	seen := map[string]bool{}
	slips := map[string]string{}
	for _, k := range All() {
		switch {
		case seen[k.Name]:
			t.Errorf("%s stands twice in the list", k.Name)
		case k.Doc == "" || k.Subject == 0 || k.Ends == nil || len(k.Ends.Ways) == 0 || k.Version == 0 || k.Source == "" || k.Level == 0 || k.Grade == 0:
			t.Errorf("%s: documentation, source, subject, end, version, level or grade is missing", k.Name)
		case k.Each == nil && k.Whole == nil && len(k.Slips) == 0:
			t.Errorf("%s does nothing", k.Name)
		}
		seen[k.Name] = true
		for _, s := range k.Slips {
			if other := slips[s]; other != "" {
				t.Errorf("slip %s is reported by both %s and %s", s, other, k.Name)
			}
			slips[s] = k.Name
		}
	}
}

// TestBaseIsQuiet keeps the small book under the test data free of findings, so that every finding of a case is its own.
func TestBaseIsQuiet(t *testing.T) {
	b, err := logbook.Read(folder(t, "testdata/base"))
	if err != nil {
		t.Fatal(err)
	}
	on, _ := logbook.ParseDay("2020-06-01") // its valves are never pulled, and on that day none of them is due yet
	for _, f := range Run(b, Options{On: on}).Findings {
		t.Errorf("%s: %s: %s", f.Place, f.Check, f.Message)
	}
}

// A file that this program failed to read, and a record that a check or the judge fails at, are named where they stand; the rest is looked at.
func TestUnread(t *testing.T) {
	b, err := logbook.Read(folder(t, "testdata/base"))
	if err != nil {
		t.Fatal(err)
	}
	b.Problems = append(b.Problems, logbook.Problem{Place: logbook.Place{Path: "crew.csv", Line: 1, Column: 1}, Slip: logbook.SlipFault, Found: "could not read crew.csv: boom at logbook/table.go:1"})
	b.Overhauls = append([]*logbook.Overhaul{{File: logbook.File{Path: "overhauls/one.md", Opening: logbook.Place{Path: "overhauls/one.md", Line: 1, Column: 1}}}}, b.Overhauls...)
	seen := 0
	bad := &Check{Name: "bad", Grade: Note, Each: func(c *Case, o *logbook.Overhaul) {
		if seen++; o == b.Overhauls[0] {
			panic("boom")
		}
	}}
	r := Run(b, Options{Only: []*Check{bad}})
	var got []string
	for _, f := range r.Failed() {
		got = append(got, f.Place.Path+" "+f.Message)
	}
	if len(got) != 2 || !strings.HasPrefix(got[0], "crew.csv could not read crew.csv: boom") || !strings.HasPrefix(got[1], "overhauls/one.md could not run the check bad: boom at checks/want_test.go:") || seen != len(b.Overhauls) {
		t.Errorf("%d of %d seen: %q", seen, len(b.Overhauls), got)
	}
}

// TestPanicIsReported shows that a check that fails is named and the others go on.
func TestPanicIsReported(t *testing.T) {
	b, err := logbook.Read(folder(t, "testdata/base"))
	if err != nil {
		t.Fatal(err)
	}
	bad := &Check{Name: "bad", Grade: Note, Whole: func(*Case) { panic("boom") }}
	good := &Check{Name: "good", Grade: Note, Whole: func(c *Case) { c.Report(Finding{Message: "still here"}) }}
	fs := Run(b, Options{Only: []*Check{bad, good}}).Findings
	if len(fs) != 2 || fs[1].Message != "still here" || !strings.Contains(fs[0].Message, "could not run the check bad: boom at checks/want_test.go:") || fs[0].Check != CheckFailed {
		t.Errorf("Run = %v, want the good check's finding and one that names the bad check", fs)
	}
}
