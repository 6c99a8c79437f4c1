package content

import (
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
			if b.To != w.at.To(at) || b.Known != known || b.Worst != gradeMark(facts.Gravest(w.Concerns(now.ServicePeriod))) {
				t.Errorf("%s: %+v", at, b)
			}
			if known && b.Share != now.Run/now.Interval.Hours.Float() {
				t.Errorf("%s: a share of %g after %g h of %s", at, b.Share, now.Run, now.Interval.Hours)
			}
			words := page.Hours(left) + " left"
			if left < 0 {
				words = page.Hours(-left) + " over"
			}
			if b.Rest.String() != words || b.Valve.String() != now.ServicePeriod.Holder+"\n"+now.ServicePeriod.Nozzle {
				t.Errorf("%s: %q, %q", at, b.Rest, b.Valve)
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

// TestExceptions writes what stops in full, the newest first, and not too much of it; what needs an answer stands check by check.
func TestExceptions(t *testing.T) {
	example := exampleVessel(t)
	known := *example.Facts
	known.Found.Grade = map[checks.Grade][]*checks.Finding{}
	for i := range linesInFull + 2 {
		f := &checks.Finding{Grade: checks.Stop, Check: "seat", Message: strconv.Itoa(i), Place: logbook.Place{Path: "book.md", Line: i}, State: checks.Open, Since: logbook.Day(100 + i)}
		known.Found.Grade[checks.Stop] = append(known.Found.Grade[checks.Stop], f)
	}
	for i := range wheresShown + 1 {
		known.Found.Grade[checks.Action] = append(known.Found.Grade[checks.Action], &checks.Finding{Grade: checks.Action, Check: "spray",
			Message: "m", Place: logbook.Place{Path: "file" + strconv.Itoa(i) + ".md", Line: 1}, State: checks.Open})
	}
	known.Found.Grade[checks.Action] = append(known.Found.Grade[checks.Action], &checks.Finding{Grade: checks.Action, Check: "rings", Message: "alone",
		Place: logbook.Place{Path: "book.md", Line: 3}, State: checks.Open})
	known.Found.Grade[checks.Advice] = []*checks.Finding{{Grade: checks.Advice, Check: "nuts", Message: "loose", State: checks.Open,
		Place: logbook.Place{Path: "book.md", Line: 4}, Subject: checks.Subject{Kind: checks.OfPocket, Name: "ME1-2"}}}
	w := &Writer{Facts: &known, at: example.at}
	s := w.exceptions().(*page.Section)
	var headings []string
	for _, b := range s.Blocks {
		if h, is := b.(page.Heading); is {
			headings = append(headings, h.Text.String())
		}
	}
	if got := strings.Join(headings, ", "); got != "On the engines now, Ship and instruments" {
		t.Errorf("groups: %s", got)
	}
	pocket := s.Blocks[2].(page.List).Items[0].Text.String()
	if pocket != "advice nuts: pocket of ME1-2: loose book.md " {
		t.Errorf("in a pocket: %q", pocket)
	}
	full := s.Blocks[4].(page.Findings)
	if len(full) != linesInFull || full[0].Message != strconv.Itoa(linesInFull+1) {
		t.Errorf("%d in full, the first is %q", len(full), full[0].Message)
	}
	if got := s.Blocks[6].(page.Para).Text.String(); got != "and 2 more of grade stop" {
		t.Errorf("then %q", got)
	}
	groups := s.Blocks[5].(page.List)
	if len(groups.Items) != 2 {
		t.Fatalf("%d checks to answer", len(groups.Items))
	}
	spray, rings := groups.Items[0].Text.String(), groups.Items[1].Text.String()
	if !strings.HasPrefix(spray, "action spray: 7 times file6.md file5.md ") || strings.Contains(spray, "file0.md") || !strings.HasSuffix(spray, "all") {
		t.Errorf("of one check: %q", spray)
	}
	if rings != "action rings: alone book.md " {
		t.Errorf("of another: %q", rings)
	}
	known.Report = &checks.Report{}
	if got := w.exceptions().(*page.Section).Blocks[0].(page.Para); got.Style != page.Quiet || !strings.Contains(got.Text.String(), "looked at 127 overhauls") {
		t.Errorf("of a quiet ship: %q", got.Text)
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
			if strings.Contains(text, "spare") || strings.Contains(page, "Sits in") {
				t.Errorf("%s has ended: %q, %q", h, text, page)
			}
		case spare:
			kinds["spare"]++
			if !strings.Contains(text, "spare") || !strings.Contains(page, "pare") {
				t.Errorf("%s is a spare: %q, %q", h, text, page)
			}
		case fitted:
			kinds["fitted"]++
			if at := periods[len(periods)-1].Position.String(); text != at || !strings.Contains(page, "Sits in "+at+" since ") {
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
