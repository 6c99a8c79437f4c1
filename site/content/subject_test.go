package content

import (
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/checks"
	"needlebook/example-vessel/invent"
	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/page"
)

// tried are the ships whose pages are looked at from the first to the last: the example vessel, and an invented one on which
// every fault is planted that it has room for.
func tried(t *testing.T) map[string]*Writer {
	return map[string]*Writer{"example vessel": exampleVessel(t),
		"heads exchanged": writerOf(t, headsExchanged()),
		"invented ship":   writerOf(t, invent.Vessel(11, invent.Options{Overhauls: 90, Faults: invent.Faults()}).FS())}
}

// headsExchanged is a ship on which two rings came out of two pockets, whose heads came off since: one is on another cylinder, one
// on none.
func headsExchanged() fstest.MapFS {
	files := fstest.MapFS{"book.md": {Data: []byte("---\nvessel: Ostrevane\nengines: [{id: ME1, type: 4T20, cylinders: [1, 2, 3]}]\n" +
		"opening: {date: 2020-01-01}\nhead_exchanged:\n" +
		"  - {engine: ME1, cylinder: 1, date: 2020-08-01, counter: 3000 h, head: CH-8, off: CH-1}\n" +
		"  - {engine: ME1, cylinder: 2, date: 2020-08-01, counter: 3000 h, head: CH-9, off: CH-2}\n" +
		"  - {engine: ME1, cylinder: 3, date: 2020-08-02, counter: 3010 h, head: CH-2}\n---\n")},
		"hours/me1.csv": {Data: []byte("date,counter_h,note\n2020-01-01,1000,\n2021-01-01,5000,\n")}}
	for _, c := range []string{"1", "2"} {
		files["overhauls/me1/c"+c+"/2020-07-01-h-"+c+".md"] = &fstest.MapFile{Data: []byte("---\nholder: H-" + c +
			"\nnozzle: {found: N-1, left: N-1}\nremoved: {engine: ME1, cylinder: " + c +
			", date: 2020-07-01, counter: 2800 h, reason: planned, rings_out: 2}\n---\n")}
	}
	return files
}

// The page of a cylinder says which head is on it, since when, and which was before it.
func TestHeadOfACylinder(t *testing.T) {
	w := writerOf(t, headsExchanged())
	for _, c := range []struct{ cylinder, want string }{
		{"1", "CH-8 since 2020-08-01; what is known of the pocket is of the time since then; before it CH-1, off 2020-08-01"},
		{"3", "CH-2 since 2020-08-02; what is known of the pocket is of the time since then; before it no number known, off 2020-08-02"},
	} {
		if got := w.headOn(logbook.Position{Engine: "ME1", Cylinder: c.cylinder}).String(); got != c.want {
			t.Errorf("cylinder %s: %q, want %q", c.cylinder, got, c.want)
		}
	}
}

// What was found about a pocket is under Now on the page of the cylinder that its head is on, and leads to its record where the head
// is on none. No outside source.
func TestPocketIsWhereItsHeadIs(t *testing.T) {
	w := writerOf(t, headsExchanged())
	var found []string
	for _, f := range w.Ordered {
		if f.Check != "rings" {
			continue
		}
		found = append(found, w.whose(f).String()+" | "+string(w.at.Subject(f)))
		for _, p := range w.Positions {
			if is, want := slices.Contains(w.OpenOn(p), f), f.Subject.Name == p.String(); is != want {
				t.Errorf("%s is open on %s: %v", w.whose(f), p, is)
			}
		}
	}
	want := []string{
		"pocket of head CH-1, off ME1-1 2020-08-01 | " + string(w.at.Overhaul[w.Book.Overhaul("2020-07-01-h-1")]),
		"pocket of ME1-3 | " + string(w.at.To(w.Positions[2]))}
	if !slices.Equal(found, want) {
		t.Errorf("%q, want %q", found, want)
	}
}

// pagesOf are all pages of a ship, by name.
func pagesOf(w *Writer) map[page.Ref]*page.Page {
	all := map[page.Ref]*page.Page{}
	for _, j := range w.Jobs() {
		for _, p := range j.Make() {
			all[p.Name] = p
		}
	}
	return all
}

// shown is the finding of the report that a page shows with all it rests on; nil for one that it shows in brief.
func shown(w *Writer, one page.Finding) *checks.Finding {
	rests := one.Rests.String()
	for _, f := range w.Ordered {
		if f.Message == one.Message && strings.HasPrefix(rests, f.Place.String()+" · "+f.Check) {
			return f
		}
	}
	return nil
}

// TestNoFindingOnAForeignCylinder goes over the pages of every cylinder: under Now are the findings about the position, its pocket and the
// valve that the book has in it, all that are open and no other; any other finding on the page says whose it is, in a section of its own.
func TestNoFindingOnAForeignCylinder(t *testing.T) {
	for ship, w := range tried(t) {
		open, named := 0, 0
		for _, at := range w.Positions {
			mine := func(f *checks.Finding) bool {
				where := w.Report.Where(f)
				return where == at.String() && f.Subject.Kind == checks.OfPosition || where == "pocket of "+at.String() ||
					strings.HasSuffix(where, ", in "+at.String())
			}
			wanted := map[*checks.Finding]bool{}
			for _, f := range w.Ordered {
				if w.Report.IsOpen(f) && mine(f) {
					wanted[f] = true
				}
			}
			open += len(wanted)
			total := len(wanted)
			for leaf := range w.at.Cylinders[at] {
				for _, b := range w.cylinderPage(at, leaf).Blocks {
					s, is := b.(*page.Section)
					if !is {
						continue
					}
					for _, list := range blocksOf[page.Findings](&page.Page{Blocks: []page.Block{s}}) {
						for _, one := range list {
							f := shown(w, one)
							switch title := s.Title.String(); {
							case f == nil:
								t.Fatalf("%s, %s: no check says %q", ship, at, one.Message)
							case len(one.Whose) == 0:
								t.Errorf("%s, %s: %q does not say whose it is", ship, at, one.Message)
							case title == "Now":
								if !wanted[f] {
									t.Errorf("%s, %s: %q is about %s", ship, at, f.Message, w.Report.Where(f))
								}
								delete(wanted, f)
							case title == "What has ended here":
								if !mine(f) || w.Report.IsOpen(f) {
									t.Errorf("%s, %s: %q has not ended here: %s", ship, at, f.Message, w.Report.Where(f))
								}
							default:
								t.Errorf("%s, %s: %q is under %q", ship, at, f.Message, title)
							}
						}
					}
					for _, list := range blocksOf[page.List](&page.Page{Blocks: []page.Block{s}}) {
						for _, i := range list.Items {
							if s.Title.String() == "Findings about other things" {
								named++
								saysWhose(t, w, i.Text.String(), mine)
							}
						}
					}
				}
			}
			if len(wanted) > max(0, total-heavyShown) {
				t.Errorf("%s, %s: %d of %d open findings are not shown", ship, at, len(wanted), total)
			}
		}
		if open == 0 || named == 0 {
			t.Errorf("%s: %d are open on cylinders, %d are about other things", ship, open, named)
		}
	}
}

// saysWhose holds that a line about another thing begins with what it is about, and that this is not the cylinder.
func saysWhose(t *testing.T, w *Writer, line string, mine func(*checks.Finding) bool) {
	t.Helper()
	for _, f := range w.Ordered {
		if !mine(f) && line == f.Grade.String()+" "+w.whose(f).String()+": "+f.Message+", "+f.State.String() {
			return
		}
	}
	t.Errorf("%q does not say whose it is, or is about the cylinder", line)
}

// TestEndedIsReachable goes over every finding that was closed by work, answered or deferred: the page of its record and that of what it is
// about show it with what ended it, and the link there leads to the line that says so.
func TestEndedIsReachable(t *testing.T) {
	ended := map[checks.State]int{}
	for ship, w := range tried(t) {
		pages := pagesOf(w)
		for _, f := range w.Ended(w.Ordered) {
			ended[f.State]++
			on := []page.Ref{w.at.Subject(f)}
			if o := w.RecordOf(f); o != nil {
				on = append(on, w.at.Overhaul[o])
			}
			for _, to := range on {
				name, _, _ := strings.Cut(string(to), "#")
				p := pages[page.Ref(name)]
				if p == nil {
					t.Errorf("%s: %s: %q is about %s, which has no page", ship, f.Check, f.Message, f.Subject)
					continue
				}
				one := findingOn(w, p, f)
				if one == nil {
					t.Errorf("%s: %s does not show %s: %q, %s", ship, name, f.Check, f.Message, f.State)
					continue
				}
				words := one.Stands.String()
				if f.Ended.Day != 0 && !strings.Contains(words, f.State.String()+" "+f.Ended.Day.String()+": ") {
					t.Errorf("%s: %s: %q does not say when it ended: %q", ship, name, f.Message, words)
				}
				if !strings.Contains(words, f.State.String()) || !strings.Contains(words, f.Ended.Words) {
					t.Errorf("%s: %s: %q does not say what ended it: %q", ship, name, f.Message, words)
				}
				follow(t, ship, pages, f, one.Stands)
			}
		}
	}
	if ended[checks.ClosedByWork] == 0 || ended[checks.Answered] == 0 {
		t.Errorf("only %v have ended", ended)
	}
}

// findingOn is a finding as a page shows it; nil where it does not.
func findingOn(w *Writer, p *page.Page, f *checks.Finding) *page.Finding {
	for _, list := range blocksOf[page.Findings](p) {
		for i := range list {
			if list[i].Message == f.Message && shown(w, list[i]) == f {
				return &list[i]
			}
		}
	}
	return nil
}

// follow holds that what is said of an ended finding leads to a page with the line of what ended it, or to the row of the answer.
func follow(t *testing.T, ship string, pages map[page.Ref]*page.Page, f *checks.Finding, stands page.Text) {
	t.Helper()
	to := ""
	for _, s := range stands {
		if s.To != "" {
			to = string(s.To)
		}
	}
	name, id, _ := strings.Cut(to, "#")
	p := pages[page.Ref(name)]
	if p == nil {
		t.Errorf("%s: %q ended at %s, the link leads to %q", ship, f.Message, f.Ended.Place, to)
		return
	}
	if f.State == checks.Answered {
		for _, table := range blocksOf[*page.Table](p) {
			for _, r := range table.Rows {
				if p.Name == address.Answers && r.ID == id {
					return
				}
			}
		}
	}
	for _, lines := range blocksOf[page.Lines](p) {
		for _, l := range lines {
			if id == "l"+strconv.Itoa(l.Number) && l.Number == f.Ended.Place.Line {
				return
			}
		}
	}
	t.Errorf("%s: %q ended at %s, and %q shows no such line", ship, f.Message, f.Ended.Place, to)
}

// TestAnswers lists every answer of the book once, with the finding it was given to and whether it counts, and each answered finding leads to
// its answer.
func TestAnswers(t *testing.T) {
	w := exampleVessel(t)
	rows := map[string]page.Row{}
	for _, table := range blocksOf[*page.Table](w.answersPage()) {
		for _, r := range table.Rows {
			rows[r.ID] = r
		}
	}
	if len(rows) != len(w.Book.Answers) {
		t.Errorf("%d rows for %d answers", len(rows), len(w.Book.Answers))
	}
	answered := map[string]*checks.Finding{}
	for _, f := range w.Ordered {
		if f.State == checks.Answered {
			answered[address.AnswerID(f.Ended.Place)] = f
		}
	}
	not := 0
	for _, a := range w.Book.Answers {
		id := address.AnswerID(a.Place)
		cells := rows[id].Cells
		if len(cells) != 5 || cells[0].Text.String() != a.Date.Written || cells[3].Text.String() != a.Answer.Written {
			t.Errorf("%s: %+v", id, cells)
			continue
		}
		f, counts := answered[id], cells[4].Text.String()
		switch {
		case f == nil:
			not++
			if !strings.HasPrefix(counts, "no: ") {
				t.Errorf("%s does not count and says %q", id, counts)
			}
		case counts != "yes" || !strings.Contains(cells[2].Text.String(), f.Message) || cells[1].Text.String() != w.whose(f).String():
			t.Errorf("%s: %q, %q, %q", id, cells[1].Text, cells[2].Text, counts)
		}
	}
	if line := w.answersLine().(page.Para).Text.String(); not == 0 || !strings.HasPrefix(line, strconv.Itoa(len(rows))+" answers") ||
		!strings.Contains(line, page.Counted(not, "one of which does not count", "of which do not count")) {
		t.Errorf("%d do not count; %q", not, line)
	}
	none := writerOf(t, os.DirFS("../../checks/testdata/base"))
	if none.answersLine() != nil || len(blocksOf[*page.Table](none.answersPage())) != 0 {
		t.Error("a book without answers lists some")
	}
}

// TestWhose says of each kind of subject what it is and where, as a person would, with the way to its page.
func TestWhose(t *testing.T) {
	w := exampleVessel(t)
	o := w.Book.Overhaul("2023-04-20-h-110")
	nameless := &logbook.Overhaul{Stem: "x"}
	for _, c := range []struct {
		kind   checks.SubjectKind
		name   string
		record string
		want   string
		to     page.Ref // of the last link
	}{
		{checks.OfHolder, "H-110", "", "H-110, landed 2024-06-20", "holder-h-110.html"},
		{checks.OfHolder, "H-101", "", "H-101, in ME1-1", "cylinder-me1-1.html"},
		{checks.OfNozzle, "N-X381", "", "N-X381, scrapped on 2024-02-08", "nozzle-n-x381.html"},
		{checks.OfHolder, "H-999", "", "H-999", ""},
		{checks.OfPosition, "ME2-6", "", "ME2-6", "cylinder-me2-6.html"},
		{checks.OfPocket, "ME2-6", "", "pocket of ME2-6", "cylinder-me2-6.html"},
		{checks.OfEngine, "ME2", "", "ME2", "index.html#engine-me2"},
		{checks.OfInstrument, "PG-01", "", "PG-01", "instrument-pg-01.html"},
		{checks.OfRecord, o.Stem, o.Stem, "H-110, pulled from ME1-4 2023-04-20", "overhaul-2023-04-20-h-110.html"},
		{checks.OfRecord, "crew.csv", "", "crew.csv", "file-crew.html"},
		{checks.OfRound, "ME2 2022-01-08", "", "round ME2 2022-01-08", "round-me2-2022-01-08.html"},
		{checks.OfPost, "second engineer", "", "second engineer", "file-crew.html"},
		{checks.OfBook, "", "", "the book", "file-book.html"},
	} {
		f := &checks.Finding{Subject: checks.Subject{Kind: c.kind, Name: c.name}, About: checks.About{Record: c.record}}
		got := w.whose(f)
		var to page.Ref
		for _, s := range got {
			if s.To != "" {
				to = s.To
			}
		}
		if got.String() != c.want || to != c.to {
			t.Errorf("%s %s is %q, to %q; want %q, to %q", c.kind, c.name, got, to, c.want, c.to)
		}
	}
	if got := w.valveOf(nameless).String(); got != "overhauled x" {
		t.Errorf("a record that says nothing is %q", got)
	}
}
