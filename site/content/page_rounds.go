package content

import (
	"slices"

	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// roundsPage are the rounds, newest first, each a row with its differences and the ship's normal.
func (w *Writer) roundsPage() *page.Page {
	p := &page.Page{Name: address.Rounds, Title: "rounds", Kind: "list", Way: here("rounds"), Head: "Rounds"}
	p.Add(lead(page.Words("The valves of one engine pulled together. What is wrong with a gauge, a fuel or a habit " +
		"shows in a round before it " +
		"shows in a record.")))
	if len(w.Rounds) == 0 {
		p.Add(quiet("The book holds no removal yet."))
		return p
	}
	t := page.NewTable(page.Listed, "round", "valves", "as found less as left", "this ship's normal", "nozzles renewed",
		"open findings")
	for i := range slices.Backward(w.Rounds) {
		w.roundRow(t, i)
	}
	p.Add(t)
	return p
}

func (w *Writer) roundRow(t *page.Table, i int) {
	r := w.Rounds[i]
	var shifts, normal page.Text
	for _, a := range w.Recurring().Against {
		if a.Round.Name == r.Name && a.Round.Engine == r.Engine {
			shifts = shifts.Say(page.SignedBar(a.Mean) + " (").Int(len(a.Shifts)).Say(" " + a.Class.String() + ") ")
			normal = normal.Say(page.SignedBar(a.Normal.Median) + " ± " + page.Fixed(2*a.Normal.Spread, 1) + " ")
		}
	}
	if len(shifts) == 0 {
		shifts = page.In(page.Quiet, "too few that compare")
	}
	renewed := 0
	for _, o := range r.Overhauls {
		if facts.Renewed(o) {
			renewed++
		}
	}
	t.Row(page.RowHead(page.Link(w.at.RoundAt[i], r.Name)), page.Number(len(r.Overhauls)), page.Said(shifts),
		page.Said(normal),
		page.Number(renewed), page.Marked(gravest(w.Open(w.OfRound(r)))))
}
