package fleet

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// Title is the name of the front page.
const Title = "All ships"

// Page is the front page of several ships: one line a ship, exceptions first.
func Page(ships []Ship) *page.Page {
	all := inOrder(ships)
	p := &page.Page{Name: address.Vessel, Title: Title, Kind: "ships", Head: Title}
	p.Add(lead(all), shipTable(all), sameTypes(all), sinceReviews(all))
	return p
}

// lead says in a line how many ships there are and how many need a look.
func lead(all []Ship) page.Block {
	unread, unproved, quiet, newest := 0, 0, 0, ""
	for _, x := range all {
		one := x.Summary
		if one == nil {
			unread++
			continue
		}
		if one.Gravest == nil && one.Overhauls > 0 {
			quiet++
		}
		if !one.History.Proved {
			unproved++
		}
		if one.Day != logbook.Day(0).String() { // a book without counter readings has no day
			newest = max(newest, one.Day)
		}
	}
	t := page.Words(page.UpperFirst(page.Counted(len(all), "one ship", "ships")))
	if newest != "" {
		t = t.Say(", the newest book of ").Say(newest)
	}
	return page.Para{Style: page.Lead, Text: t.Say(". ").Int(quiet).Say(" quiet, ").Int(unproved).Say(" not proved, ").
		Int(unread).
		Say(" not read.")}
}

// shipTable is one line a ship.
func shipTable(all []Ship) page.Block {
	t := page.NewTable(page.Fleet, "ship", "gravest open", "why", "history", "past due", "next valve due", "ready",
		"to order", "book of")
	for _, x := range all {
		if x.Summary == nil {
			why := page.Text{}.Draw(page.StrokeBroken).Say("not read: ").Say(x.Why)
			t.Rows = append(t.Rows, page.Row{State: page.Unread, Cells: []page.Cell{page.RowHead(page.Words(x.name())),
				{Kind: page.OfAlarm, Wide: 8, Text: why}}})
			continue
		}
		t.Row(shipRow(x)...)
	}
	return page.Under("What needs a look", t)
}

// shipRow is the line of a ship.
func shipRow(x Ship) []page.Cell {
	one := x.Summary
	gravest, why := gravestOpen(x)
	past, next, order := dash(), page.Words("not known"), dash()
	if one.Past > 0 {
		past = page.Link(x.page(string(address.Due)), strconv.Itoa(one.Past))
	}
	if n := one.Next; n != nil {
		next = page.Words(n.Day).Say(" ").In(page.Also, n.Where+", "+facts.LeftWords(n.Left))
	}
	if len(one.ToOrder) > 0 {
		order = page.Link(x.page(string(address.Stores)), brief(page.Joined(one.ToOrder)))
	}
	return []page.Cell{x.head(string(address.Vessel)), page.Marked(gravest), why, page.Quantity(history(x)),
		page.Quantity(past),
		page.Quantity(next), page.Number(one.Ready), page.Said(order), page.Value(one.Day)}
}

func dash() page.Text { return page.In(page.Quiet, "–") }

// head is the name of a ship as the head of its row, with her folder where another bears the same name.
func (s Ship) head(to string) page.Cell {
	t := page.Link(s.page(to), s.name())
	if s.namesake {
		t = t.Say(" ").In(page.More, s.Name)
	}
	return page.RowHead(t)
}

// gravestOpen is the gravest open finding of a ship, and what it is about.
func gravestOpen(x Ship) (page.Text, page.Cell) {
	one := x.Summary
	switch g := one.Gravest; {
	case g == nil && one.Overhauls == 0:
		return page.Words("–"), page.Cell{Kind: page.OfReason, Text: page.Words("no overhaul in the book yet")}
	case g == nil:
		return page.Text{}.Nothing("nothing is open"), page.Cell{}
	}
	gravest := gradeOf(one.Gravest.Grade)
	if n := one.count(one.Gravest.Grade); n > 1 {
		gravest = gravest.Say(" ").Put(page.More, page.Words("of ").Int(n))
	}
	why := named(x, one.Gravest)
	for _, p := range one.Pattern[:min(len(one.Pattern), 2)] {
		if p != nil {
			why = why.Put(page.Also, page.Link(x.page(p.Page), p.About).Say(": ").Say(brief(p.Message)))
		}
	}
	return gravest, page.Cell{Kind: page.OfReason, Text: why}
}

// named is a finding by what it is about.
func named(x Ship, f *Finding) page.Text {
	if f.About == "" {
		return page.Link(x.page(f.Page), brief(f.Message))
	}
	return page.Link(x.page(f.Page), f.About).Say(": ").Say(brief(f.Message))
}

// history says whether that of a ship is proved.
func history(x Ship) page.Text {
	h := x.Summary.History
	t := page.In(page.Quiet, "proved")
	if !h.Proved {
		words := "not proved"
		if !h.UnderGit {
			words = "not under git"
		}
		t = page.Text{}.Put(page.Loud, page.Text{}.Draw(page.StrokeBroken).Link(x.page(string(address.Trail)), words))
	}
	if h.NotCommitted > 0 {
		t = t.Say(" ").In(page.Loud, page.Counted(h.NotCommitted, "one file not as committed", "files not as committed"))
	}
	return t
}

// gradeOf is a grade by its word, as a summary has it.
func gradeOf(word string) page.Text {
	return page.Text{{Style: page.Graded, Mark: page.Grade(word), Words: word}}
}

func (s *Summary) count(grade string) int {
	return map[string]int{"stop": s.Grades.Stop, "action": s.Grades.Action, "advice": s.Grades.Advice,
		"note": s.Grades.Note}[grade]
}

// brief cuts a message to a line of a table.
func brief(text string) string {
	const most = 140
	if r := []rune(text); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return text
}

// typeRow is what one ship's engines of a type showed.
type typeRow struct {
	ship Ship
	Type
}

// sameTypes sets ships with the same type of engine beside one another.
func sameTypes(all []Ship) page.Block {
	by := map[string][]typeRow{}
	for _, x := range all {
		if x.Summary == nil {
			continue
		}
		for _, t := range x.Summary.Types {
			by[t.Type] = append(by[t.Type], typeRow{x, t})
		}
	}
	var names []string
	for name := range by {
		names = append(names, name)
	}
	slices.Sort(names)
	s := page.Under("Ships of the same type", page.Para{Style: page.Source,
		Text: page.Words("Valves opened for their hours in the last two years " +
			"of each book, and how many of them were failed as found, with the 95 % interval of the true share; " +
			"nozzles renewed " +
			"against engine hours; " +
			"what a used setting lost in service. A few valves prove little: look at the interval, not at the share.")}).
		Named("types")
	alone := 0
	for _, name := range names {
		if len(by[name]) < 2 {
			alone++
			continue
		}
		s.Add(page.Heading{Text: page.Words(page.OrDash(name))}, typeTable(by[name]))
	}
	if alone == len(names) {
		s.Add(page.Para{Style: page.Quiet, Text: page.Words("No two ships have engines of one type.")})
	} else if alone > 0 {
		words := page.UpperFirst(page.Counted(alone, "one type is on one ship only", "types are on one ship only")) +
			"."
		s.Add(page.Para{Style: page.Quiet, Text: page.Words(words)})
	}
	return s
}

func typeTable(rows []typeRow) page.Block {
	slices.SortStableFunc(rows, func(a, b typeRow) int { return cmp.Compare(b.Low, a.Low) })
	t := page.NewTable(page.Listed, "ship", "opened", "bad", "share of bad, 95 %", "0 to 100 %", "nozzles renewed",
		"per 1000 engine h",
		"setting lost, median")
	for _, r := range rows {
		interval, share := page.Value("–"), page.Cell{}
		if r.Opened > 0 {
			interval = page.Value(page.Percent(r.Low) + " to " + page.Percent(r.High))
			share = page.Holding(nil, page.Share{Share: float64(r.Bad) / float64(r.Opened), Low: r.Low, High: r.High})
		}
		rate, lost := page.Value("not known"), page.Value("–")
		if r.EngineHours > 0 {
			rate = page.Value(page.Fixed(float64(r.Nozzles)/r.EngineHours*1000, 1))
		}
		if r.LostOf > 0 {
			lost = page.Quantity(page.Words(page.Fixed(r.Lost, 1)+" bar ").Put(page.More, page.Words("of ").Int(r.LostOf)))
		}
		t.Row(r.ship.head(string(address.Vessel)), page.Number(r.Opened), page.Number(r.Bad), interval, share,
			page.Number(r.Nozzles), rate, lost)
	}
	return t
}

// sinceReviews says what is new on each ship since her last review.
func sinceReviews(all []Ship) page.Block {
	s := page.Under("Since the last review").Named("since")
	t := page.NewTable(page.Listed, "ship", "since", "new", "gone", "new and to answer")
	var never []string
	for _, x := range all {
		switch {
		case x.Summary == nil:
		case x.Summary.Review != nil:
			t.Row(reviewRow(x)...)
		case x.namesake:
			never = append(never, x.name()+" ("+x.Name+")")
		default:
			never = append(never, x.name())
		}
	}
	if len(t.Rows) > 0 {
		s.Add(t)
	}
	if len(never) > 0 {
		s.Add(page.Para{Text: page.Words("No review was compared: " + page.Joined(never) + ".")})
	}
	return s
}

// newShown is how many new findings of a ship are written out.
const newShown = 3

func reviewRow(x Ship) []page.Cell {
	r := x.Summary.Review
	var fresh page.Text
	n := 0
	for _, f := range r.New {
		if f.Grade != "stop" && f.Grade != "action" || n == newShown {
			continue
		}
		if n++; n > 1 {
			fresh = fresh.Break()
		}
		fresh = fresh.Then(gradeOf(f.Grade)).Say(" ").Link(x.page(f.Page), brief(strings.TrimSpace(f.About+" "+f.Message)))
	}
	if n == 0 {
		fresh = dash()
	}
	return []page.Cell{x.head(string(address.Since)), page.Plainly(r.Why + ", " + r.Day), page.Number(len(r.New)),
		page.Number(len(r.Gone)),
		page.Said(fresh)}
}
