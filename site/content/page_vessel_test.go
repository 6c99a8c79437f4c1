package content

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// TestPlan holds every cylinder of the plan against what is known of its valve.
func TestPlan(t *testing.T) {
	w := exampleVessel(t)
	bores := 0
	for i, plan := range blocksOf[page.Plan](w.vesselPage()) {
		engine := w.Book.Vessel.Engines[i].ID.Written
		for _, b := range plan.Banks[0].Bores {
			bores++
			at := logbook.Position{Engine: engine, Cylinder: b.Cylinder}
			now := w.PresentIn(at)
			left, known := now.Left()
			if b.To != w.at.To(at) || b.Known != known || b.Worst != gradeMark(facts.Gravest(w.OpenOn(at))) {
				t.Errorf("%s: %+v", at, b)
			}
			if known && b.Share != now.Run/now.Interval.Hours.Float() {
				t.Errorf("%s: a share of %g after %g h of %s", at, b.Share, now.Run, now.Interval.Hours)
			}
			words := page.Hours(left) + " to go"
			if left < 0 {
				words = page.Hours(-left) + " over"
			}
			if b.Rest.String() != words || b.Valve.String() != now.ServicePeriod.Holder+"\n"+now.ServicePeriod.Nozzle {
				t.Errorf("%s: %q, %q", at, b.Rest, b.Valve)
			}
			concerns := w.OpenOn(at)
			if len(b.Open) != min(len(concerns), openShown+1) {
				t.Errorf("%s: %d findings, %d are open", at, len(b.Open), len(concerns))
			}
			for i, f := range concerns[:min(len(concerns), openShown)] {
				if want := f.Grade.String() + " " + plainName(f.Check); b.Open[i].String() != want {
					t.Errorf("%s: %q, want %q", at, b.Open[i], want)
				}
			}
			if o := now.ServicePeriod.Opened; b.Left.String() != o.AsLeft.Opening.Median().Written+" as left" {
				t.Errorf("%s: %q, its record says %q", at, b.Left, o.AsLeft.Opening.Median().Written)
			}
			if len(b.More) != len(w.DeferralsOn(now.ServicePeriod)) {
				t.Errorf("%s: %d deferrals", at, len(b.More))
			}
		}
	}
	if bores != len(w.Positions) {
		t.Errorf("%d cylinders of %d", bores, len(w.Positions))
	}
	empty := w.bore(logbook.Position{Engine: "ME1", Cylinder: "99"})
	if !empty.Empty || empty.Known || empty.Worst != page.NoMark {
		t.Errorf("a cylinder without a valve: %+v", empty)
	}
}

// foundOnly is the writer of the same book with other findings.
func (w *Writer) foundOnly(list ...*checks.Finding) *Writer {
	known := *w.Facts
	report := *known.Report
	report.Findings = nil
	known.Report, known.Ordered = &report, facts.ByGrade(list)
	known.Found.Grade, known.Found.Subject = map[checks.Grade][]*checks.Finding{}, map[checks.Subject][]*checks.Finding{}
	for _, f := range list {
		report.Findings = append(report.Findings, *f)
		known.Found.Grade[f.Grade] = append(known.Found.Grade[f.Grade], f)
		known.Found.Subject[f.Subject] = append(known.Found.Subject[f.Subject], f)
	}
	return &Writer{Facts: &known, at: w.at}
}

// TestOpenInGroups writes the open findings group by group: stops one by one, the newest first, and not too many of them;
// the same said many times as a number; an empty group with what was looked at.
func TestOpenInGroups(t *testing.T) {
	example := exampleVessel(t)
	var list []*checks.Finding
	for i := range linesInFull + 2 {
		list = append(list, &checks.Finding{Grade: checks.Stop, Check: "seat", Message: strconv.Itoa(i),
			Place: logbook.Place{Path: "book.md", Line: i}, Since: logbook.Day(100 + i)})
	}
	for i := range wheresShown + 1 {
		list = append(list, &checks.Finding{Grade: checks.Action, Check: "spray", Message: "m",
			Place: logbook.Place{Path: "file" + strconv.Itoa(i) + ".md", Line: 1}})
	}
	list = append(list, &checks.Finding{Grade: checks.Action, Check: "rings", Message: "alone", Next: "look",
		Place: logbook.Place{Path: "book.md", Line: 3}},
		&checks.Finding{Grade: checks.Advice, Check: "nuts", Message: "loose", Place: logbook.Place{Path: "book.md", Line: 4},
			Subject: checks.Subject{Kind: checks.OfPocket, Name: "ME1-2"}},
		&checks.Finding{Grade: checks.Note, Check: "nuts", Message: "noted", Place: logbook.Place{Path: "book.md", Line: 5}},
		&checks.Finding{Grade: checks.Stop, Check: "nuts", Message: "made good", State: checks.ClosedByWork})
	s := example.foundOnly(list...).openInGroups().(*page.Section)
	var lines []string
	for _, b := range s.Blocks {
		switch b := b.(type) {
		case page.Heading:
			lines = append(lines, "# "+b.Text.String())
		case page.Para:
			lines = append(lines, strings.TrimSpace(b.Text.String()))
		case page.Findings:
			for _, f := range b {
				lines = append(lines, f.Whose.String()+"|"+page.GradeWord(f.Grade)+" "+f.Message+"|"+f.Next)
			}
		case page.List:
			for _, i := range b.Items {
				lines = append(lines, i.Text.String())
			}
		}
	}
	want := []string{"10 stop 8 action 1 advice 1 note",
		"11 answers by the persons of the book, 11 of which do not count.",
		"# On the engines now", "pocket of ME1-2|advice loose|",
		"# Ready spares", "Nothing is open: 7 valves in the spares rack were looked at.",
		"# Ship and instruments", "|stop 9|", "|stop 8|", "|stop 7|", "|stop 6|", "|stop 5|", "|stop 4|", "|stop 3|", "|stop 2|",
		"|action alone|look", "action spray: 7 times file6.md file5.md file4.md file3.md file2.md file1.md all",
		"# Records to put right", "Nothing is open: 128 overhauls were looked at.", "and 2 more of grade stop"}
	if !slices.Equal(lines, want) {
		t.Errorf("the groups are\n%s\nwant\n%s", strings.Join(lines, "\n"), strings.Join(want, "\n"))
	}
	quiet := example.foundOnly().openInGroups().(*page.Section).Blocks[0].(page.Para)
	if got := quiet.Text.String(); quiet.Style != page.Quiet || !strings.HasPrefix(got, "Nothing to do. ") ||
		!strings.Contains(got, " looked at 12 cylinders, 7 spare valves, ") || !strings.HasSuffix(got, " and 128 overhauls.") {
		t.Errorf("of a quiet ship: %q", got)
	}
}

// TestEndedLately names what was ended since the last review, or lately where there was none, the latest first.
func TestEndedLately(t *testing.T) {
	example := exampleVessel(t)
	today := example.Today
	one := func(message string, ago int) *checks.Finding {
		return &checks.Finding{Grade: checks.Action, Check: "seat", Message: message, State: checks.ClosedByWork,
			Ended: checks.Fact{Day: today - logbook.Day(ago), Words: "by work"}}
	}
	w := example.foundOnly(one("long ago", endedDays), one("older", 40), one("newer", 20), &checks.Finding{Message: "open"})
	lines := func() (title string, all []string) {
		s := w.endedLately().(*page.Section)
		for _, b := range blocksOf[page.List](&page.Page{Blocks: s.Blocks}) {
			for _, i := range b.Items {
				all = append(all, strings.TrimPrefix(i.Text.String(), ": "))
			}
		}
		return s.Title.String(), all
	}
	title, got := lines()
	want := []string{"newer closed by work " + (today - 20).String(), "older closed by work " + (today - 40).String()}
	if title != "Ended in the last 90 days" || !slices.Equal(got, want) {
		t.Errorf("%s: %q, want %q", title, got, want)
	}
	w.Facts.Before = &facts.Before{Why: "review by x", Day: today - 30, Report: &checks.Report{}}
	if title, got = lines(); title != "Ended since the review by x of "+(today-30).String() || !slices.Equal(got, want[:1]) {
		t.Errorf("since a review, %s: %q, want %q", title, got, want[:1])
	}
}

// TestDueNext holds the head of the due list against the list: what is past first, and the valves of the first day together.
func TestDueNext(t *testing.T) {
	w := exampleVessel(t)
	s := w.dueNext().(*page.Section)
	due := w.Due()
	past, _ := facts.NextDue(due)
	list := s.Blocks[1].(page.List)
	if want := min(max(dueShown, past+2), duePastShown); len(list.Items) != want {
		t.Errorf("%d lines, want %d", len(list.Items), want)
	}
	for i, item := range list.Items {
		row := due.Table("due").Rows[i]
		if text := item.Text.String(); !strings.HasPrefix(text, row[0].Text+" "+row[2].Text+" "+row[3].Text) || !strings.HasSuffix(text, ": "+row[5].Text) {
			t.Errorf("line %d is %q", i, text)
		}
	}
	_, next := facts.NextDue(w.DueEach())
	first := s.Blocks[0].(page.Para).Text.String()
	if !strings.HasPrefix(first, "The next valves: ") || !strings.Contains(first, next.Where+" "+next.Which) || !strings.Contains(first, "about "+next.Day) {
		t.Errorf("the next valves: %q, want those of %+v", first, *next)
	}
}

// TestWhereIs says where each part is, and agrees with the page of the part.
func TestWhereIs(t *testing.T) {
	w := exampleVessel(t)
	kinds := map[string]int{}
	for _, h := range w.Lives.Holders() {
		periods := w.Lives.OfHolder(h)
		text, page := w.whereIs("holder", h, periods).String(), w.holderPage(h).Blocks[0].(page.Para).Text.String()
		_, ended := w.Book.EndBy("holder", h, w.Today)
		_, spare := w.OnRack[facts.Piece{Kind: "holder", Serial: h}]
		fitted := len(periods) > 0 && periods[len(periods)-1].To == 0
		switch {
		case ended:
			kinds["ended"]++
			if strings.Contains(text, "spare") || strings.Contains(page, "In ME") {
				t.Errorf("%s has ended: %q, %q", h, text, page)
			}
		case spare:
			kinds["spare"]++
			if !strings.Contains(text, "spare") || !strings.Contains(page, "pare") {
				t.Errorf("%s is a spare: %q, %q", h, text, page)
			}
		case fitted:
			kinds["fitted"]++
			if at := periods[len(periods)-1].Position.String(); text != at || !strings.Contains(page, "In "+at+" since ") {
				t.Errorf("%s sits in %s: %q, %q", h, at, text, page)
			}
		}
	}
	if len(kinds) != 3 {
		t.Errorf("only %v", kinds)
	}
	if got := w.whereIs("holder", "none", nil).String(); got != "never fitted here" {
		t.Errorf("a holder that nobody knows: %q", got)
	}
}
