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

// TestFolded folds the light findings away where there are many, and says where those without room are.
func TestFolded(t *testing.T) {
	w := exampleVessel(t)
	list := func(stops, notes int) []*checks.Finding {
		var all []*checks.Finding
		for range notes {
			all = append(all, &checks.Finding{Grade: checks.Note})
		}
		for range stops {
			all = append(all, &checks.Finding{Grade: checks.Stop})
		}
		return all
	}
	for _, c := range []struct{ stops, notes, open, folded int }{
		{2, lightShown, 2 + lightShown, 0}, {2, lightShown + 1, 2, lightShown + 1}, {0, 9, 0, 9}, {heavyShown + 5, 0, heavyShown, 0},
		{1, heavyShown + 4, 1, heavyShown},
	} {
		open, folded, left := 0, 0, 0
		for _, b := range w.folded(list(c.stops, c.notes)) {
			switch b := b.(type) {
			case page.Findings:
				open = len(b)
				if b[0].Grade != page.GradeStop && c.stops > 0 {
					t.Errorf("%+v: the first is not the gravest", c)
				}
			case page.Fold:
				folded = len(b.Blocks[0].(page.Findings))
				left += len(b.Blocks) - 1
			case page.Para:
				left++
			}
		}
		if open != c.open || folded != c.folded || (left > 0) != (open+folded < c.stops+c.notes) {
			t.Errorf("%+v: %d open, %d folded, %d times more", c, open, folded, left)
		}
	}
}

// TestOtherCylinders sets each cylinder beside the others of its engine and those of its number, with what they showed.
func TestOtherCylinders(t *testing.T) {
	w := exampleVessel(t)
	at := w.Positions[1]
	known := *w.Facts
	one := &facts.OtherCylinder{At: at, Overhauls: 4, Failed: 1, Judged: 3, Symptom: 2, Renewed: 5, ToAnswer: 6, ServiceHours: 8000,
		Lost: []float64{10, 20, 40}, Exhaust: []float64{-8, -4, 0, 4, 8}}
	known.OtherCylinders = func() map[logbook.Position]*facts.OtherCylinder {
		all := map[logbook.Position]*facts.OtherCylinder{}
		for _, p := range w.Positions {
			all[p] = &facts.OtherCylinder{At: p}
		}
		all[at] = one
		return all
	}
	table := (&Writer{Facts: &known, at: w.at}).amongOthers(at).(*page.Section).Blocks[1].(*page.Table)
	if len(table.Rows) != 7 { // six of the engine, and the second of the other
		t.Errorf("%d rows", len(table.Rows))
	}
	want := [][]string{{"ME1-1", "0", "–", "0 of 0", "0", "0", "–", "–", "0"},
		{"ME1-2 (this one)", "4", "2\u202f000 h", "1 of 3", "2", "5", "20 bar of 3", "-4 to +4 K of 5", "6"}}
	for i, row := range want {
		for j, text := range row {
			if got := table.Rows[i].Cells[j].Text.String(); got != text {
				t.Errorf("row %d, %s: %q, want %q", i, table.Columns[j], got, text)
			}
		}
	}
}

// TestGradeWords holds that a grade is called on a page as the checks call it.
func TestGradeWords(t *testing.T) {
	for g := checks.Stop; g >= checks.Note; g-- {
		m := gradeMark(g)
		if page.GradeWord(m) != g.String() || page.Grade(g.String()) != m || m == page.NoMark {
			t.Errorf("the grade %s is %q on a page", g, page.GradeWord(m))
		}
	}
}

// TestReadySpares names the spares before a valve is pulled, with the age of their test, and says so where there are none.
func TestReadySpares(t *testing.T) {
	w := exampleVessel(t)
	known := *w.Facts
	report := *known.Report
	known.Report = &report
	said := func() string {
		s := (&Writer{Facts: &known, at: w.at}).beforePulling(w.Positions[0]).(*page.Section)
		return s.Blocks[0].(page.Terms).Terms[1].Says.String()
	}
	for i, r := range report.Spares {
		if text := r.Holder + " (tested " + strconv.Itoa(r.Age) + " days ago"; !strings.Contains(said(), text) {
			t.Errorf("spare %d: %q does not hold %q", i, said(), text)
		}
	}
	report.Spares = nil
	if got := said(); got != "none" {
		t.Errorf("without spares: %q", got)
	}
}

// TestOnItsRecord says beside the valve that its paper is to be put right, with how much and where, and nothing where it is in order.
func TestOnItsRecord(t *testing.T) {
	example := exampleVessel(t)
	period := example.PresentIn(logbook.Position{Engine: "ME1", Cylinder: "1"}).ServicePeriod
	stem := period.Opened.Stem
	slip := &checks.Finding{Grade: checks.Action, Subject: checks.Subject{Kind: checks.OfRecord, Name: stem}}
	ended := &checks.Finding{Grade: checks.Stop, State: checks.Answered, Subject: slip.Subject}
	other := &checks.Finding{Grade: checks.Stop, Subject: checks.Subject{Kind: checks.OfRecord, Name: "2020-01-01-h-1"}}
	line := example.foundOnly(slip, ended, other).onItsRecord(period).(page.Para)
	if got := line.Text.String(); got != "Its record is to be put right, 1 action: "+stem+"." {
		t.Errorf("a slip on its record: %q", got)
	}
	if b := example.foundOnly(ended, other).onItsRecord(period); b != nil {
		t.Errorf("a record in order: %v", b)
	}
	if b := example.foundOnly(slip).onItsRecord(&logbook.ServicePeriod{}); b != nil {
		t.Errorf("a valve of the starting state: %v", b)
	}
}

// TestEmptyCylinder shows what is open about the pocket where no valve is booked, in the plan and on the cylinder's page.
func TestEmptyCylinder(t *testing.T) {
	example := exampleVessel(t)
	at := logbook.Position{Engine: "ME1", Cylinder: "99"}
	w := example.foundOnly(&checks.Finding{Grade: checks.Action, Check: "rings", Message: "two rings",
		Subject: checks.Subject{Kind: checks.OfPocket, Name: at.String()}})
	if b := w.bore(at); !b.Empty || b.Worst != page.GradeAction || len(b.Open) != 1 || b.Open[0].String() != "action rings" {
		t.Errorf("in the plan: %+v", b)
	}
	s := w.sitsThere(at).(*page.Section)
	list := blocksOf[page.Findings](&page.Page{Blocks: s.Blocks})
	if len(list) != 1 || list[0][0].Message != "two rings" {
		t.Errorf("on its page: %v", list)
	}
	if s = example.sitsThere(at).(*page.Section); len(s.Blocks) != 1 {
		t.Errorf("where nothing is open: %v", s.Blocks)
	}
}
