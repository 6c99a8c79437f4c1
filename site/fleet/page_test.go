package fleet

import (
	"slices"
	"strings"
	"testing"

	"needlebook/site/page"
)

// ship is one with a summary: proved, with overhauls, and quiet, unless changed.
func ship(name string, change func(*Summary)) Ship {
	s := &Summary{Format: Format, Vessel: name, Day: "2024-06-01", Overhauls: 9, History: History{UnderGit: true, Proved: true}}
	if change != nil {
		change(s)
	}
	return Ship{Name: name, Folder: name, Summary: s}
}

func grave(grade string, stop, answer int) func(*Summary) {
	return func(s *Summary) {
		s.Gravest, s.Grades = &Finding{Grade: grade, About: "ME1-1", Message: "words", Page: "a.html"}, Grades{Stop: stop, Action: answer}
	}
}

// TestOrder puts ships that need a look first: those not read, then by their gravest grade and how many, not proved before proved; an empty
// book is not among the quiet ones. No outside source.
func TestOrder(t *testing.T) {
	ships := []Ship{ship("quiet", nil), ship("advice", grave("advice", 0, 0)), ship("one stop", grave("stop", 1, 9)),
		ship("two stops", grave("stop", 2, 0)), ship("action", grave("action", 0, 2)), {Name: "absent", Why: "not built"},
		ship("empty", func(s *Summary) { s.Overhauls = 0 }), ship("not proved", func(s *Summary) { s.History.Proved = false }),
		ship("more actions", grave("action", 0, 3)), ship("a quiet", nil)}
	var names []string
	for _, x := range inOrder(ships) {
		names = append(names, x.name())
	}
	want := []string{"absent", "two stops", "one stop", "more actions", "action", "advice", "empty", "not proved", "a quiet", "quiet"}
	if !slices.Equal(names, want) {
		t.Errorf("the order is %q, want %q", names, want)
	}
}

// cells are the texts of a row.
func cells(row []page.Cell) []string {
	var all []string
	for _, c := range row {
		all = append(all, c.Text.String())
	}
	return all
}

// TestShipRow says of a ship what a superintendent asks first, each in its column.
func TestShipRow(t *testing.T) {
	loud := ship("Marigold", grave("stop", 3, 1))
	s := loud.Summary
	s.Past, s.Ready, s.ToOrder = 4, 5, []string{"2 nozzle", "1 spring"}
	s.Next = &Due{Day: "2024-07-01", Where: "ME1-2", Left: "100 h over"}
	s.History = History{UnderGit: true, NotCommitted: 2}
	s.Pattern = []*Finding{{About: "holder H-9", Message: "fails", Page: "holder-h-9.html"}, nil, {About: "third", Message: "not shown"}}
	got := cells(shipRow(loud))
	want := []string{"Marigold", "stop of 3", "ME1-1: wordsholder H-9: fails", "not proved 2 files not as committed", "4",
		"2024-07-01 ME1-2, 100 h over", "5", "2 nozzle, 1 spring", "2024-06-01"}
	if !slices.Equal(got, want) {
		t.Errorf("the line is %q, want %q", got, want)
	}
	if got := cells(shipRow(ship("Novice", nil)))[1:8]; !slices.Equal(got, []string{"– nothing is open", "", "proved", "–", "not known", "0", "–"}) {
		t.Errorf("the line of a quiet ship is %q", got)
	}
	s.History.UnderGit = false
	if got := history(loud).String(); !strings.HasPrefix(got, "not under git") {
		t.Errorf("the history of a plain folder: %q", got)
	}
}

// TestTypes sets only ships of one type beside one another, the worst by the low end of its interval first.
func TestTypes(t *testing.T) {
	of := func(name, kind string, bad int, low float64) Ship {
		return ship(name, func(s *Summary) {
			s.Types = []Type{{Type: kind, Opened: 10, Bad: bad, Low: low, High: 0.9, Nozzles: 3, EngineHours: 6000, Lost: 7.25, LostOf: 8}}
		})
	}
	s := sameTypes([]Ship{of("a", "4T20", 1, 0.1), of("b", "4T20", 4, 0.4), of("c", "9L", 1, 0.1)}).(*page.Section)
	var tables []*page.Table
	for _, b := range s.Blocks {
		if table, ok := b.(*page.Table); ok {
			tables = append(tables, table)
		}
	}
	if len(tables) != 1 || len(tables[0].Rows) != 2 {
		t.Fatalf("%d tables", len(tables))
	}
	want := []string{"b", "10", "4", "40 % to 90 %", "", "3", "0.5", "7.2 bar of 8"}
	if got := cells(tables[0].Rows[0].Cells); !slices.Equal(got, want) {
		t.Errorf("the first line is %q, want %q", got, want)
	}
	if share := tables[0].Rows[0].Cells[4].Blocks[0].(page.Share); share != (page.Share{Share: 0.4, Low: 0.4, High: 0.9}) {
		t.Errorf("the share is %+v", share)
	}
	last := s.Blocks[len(s.Blocks)-1].(page.Para)
	if last.Text.String() != "One type is on one ship only." {
		t.Errorf("the last word is %q", last.Text)
	}
}

// TestReviews says what is new to answer, and names the ships that nobody compared.
func TestReviews(t *testing.T) {
	reviewed := ship("a", func(s *Summary) {
		s.Review = &Review{Why: "review by s.okonjo", Day: "2024-02-20", Gone: make([]Finding, 4), New: []Finding{{Grade: "note", Message: "light"},
			{Grade: "stop", About: "ME1-1", Message: "one"}, {Grade: "action", Message: "two"}, {Grade: "action", Message: "three"},
			{Grade: "action", Message: "four"}}}
	})
	want := []string{"a", "review by s.okonjo, 2024-02-20", "5", "4", "stop ME1-1 one\naction two\naction three"}
	if got := cells(reviewRow(reviewed)); !slices.Equal(got, want) {
		t.Errorf("the line is %q, want %q", got, want)
	}
	s := sinceReviews([]Ship{reviewed, ship("b", nil), {Name: "absent"}}).(*page.Section)
	if got := s.Blocks[1].(page.Para).Text.String(); got != "No review was compared: b." {
		t.Errorf("who was not compared: %q", got)
	}
}

// TestPagesOfShips follows only names that a build of ours gives.
func TestPagesOfShips(t *testing.T) {
	for name, want := range map[string]page.Ref{"a.html": "a%20b/a.html", "a.html#l3": "a%20b/a.html#l3", "../a.html": "", "javascript:x": "",
		"A.html": "", "a.html#\"x": "", "": ""} {
		if got := (Ship{Folder: "a b"}).page(name); got != want {
			t.Errorf("page(%q) = %q, want %q", name, got, want)
		}
	}
	if got := (Ship{}).page("a.html"); got != "" {
		t.Errorf("a ship without pages has %q", got)
	}
}
