package content

import (
	"cmp"
	"fmt"
	"slices"

	"needlebook/checks/evidence"
	"needlebook/checks/recurring"
	"needlebook/checks/survival"
	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// The pages of the book as a whole in charts: rounds and ages, valves by their hours, lifts, and which valve was
// where. Each chart has its numbers beside it, and its points lead to their records. What says nothing has no chart:
// no mean without its spread, no score of a spray, nothing over the calendar that goes by hours.

// chartWays lead from each page of charts to the others.
func chartWays(now page.Ref) page.Block {
	n := page.Nav{Kind: page.Near, Label: "charts", To: []page.NavStep{{To: address.Charts, Text: "rounds and ages"},
		{To: address.ChartsValves, Text: "valves by their hours"}, {To: address.ChartsLift, Text: "lifts"},
		{To: address.ChartsWhere, Text: "fitting history"}}}
	for i := range n.To {
		if n.To[i].To == now {
			n.To[i].To = ""
		}
	}
	return n
}

// chartPage is one page of charts, without them.
func chartPage(name, kind page.Ref, what string) *page.Page {
	p := &page.Page{Name: name, Title: "charts", Kind: "list",
		Way:  []page.Step{{To: address.Charts, Text: "charts"}, {Text: what}},
		Head: "Charts: " + what}
	p.Add(chartWays(kind))
	return p
}

func (w *Writer) chartsPage() *page.Page {
	p := chartPage(address.Charts, address.Charts, "rounds and ages")
	p.Way = here("charts")
	p.Add(w.roundChart(), w.fineByAge(), w.nozzlesUsed())
	return p
}

// roundsDrawn is how many rounds the chart shows, the newest.
const roundsDrawn = 32

// roundChart is every round in a row: what each valve lost since it was set, on the band of this ship's normal.
func (w *Writer) roundChart() page.Block {
	byRound := map[string][]recurring.Shift{}
	for _, sh := range w.Recurring().Shifts {
		if name := w.at.RoundOf[sh.Overhaul]; name != "" {
			byRound[name] = append(byRound[name], sh)
		}
	}
	var rounds []logbook.Round
	for _, r := range w.Rounds {
		if len(byRound[r.Name]) > 0 {
			rounds = append(rounds, r)
		}
	}
	rounds = rounds[max(0, len(rounds)-roundsDrawn):]
	s := page.Under("How each round came back",
		from("Opening pressure as found less as left before, a dot a valve, a row a round, oldest first. "+
			"A gauge that reads wrong moves a whole row; a holder that fails moves one dot. "+
			"Used settings are rings, new ones squares, each on the band of what this ship's settings of that kind lose, "+
			"twice their spread to either side.")).Named("rounds")
	if len(rounds) == 0 {
		s.Add(quiet("No valve in the book compares with how it was left."))
		return s
	}
	t := page.NewTable(page.Listed, "round", "valves", "lowest", "middle", "highest")
	side := &page.Box{Style: page.Charts}
	for _, class := range []logbook.Class{logbook.Used, logbook.New, logbook.Reground} {
		if c := w.roundsOf(class, rounds, byRound); len(c.Rows) > 0 {
			side.Add(&page.Charted{Wide: true, Chart: c,
				Caption: "opening pressure as found less as left, " + class.String() + " settings"})
		}
	}
	for _, r := range slices.Backward(rounds) {
		var values []float64
		for _, sh := range byRound[r.Name] {
			values = append(values, sh.Bar)
		}
		t.Row(page.RowHead(page.Link(w.at.Round[r.Name], r.Name)), page.Number(len(values)),
			page.Value(page.SignedBar(facts.Quantile(values, 0))),
			page.Value(page.SignedBar(facts.Quantile(values, 0.5))), page.Value(page.SignedBar(facts.Quantile(values, 1))))
	}
	s.Add(side, page.Fold{Summary: page.Words("the numbers"), Blocks: []page.Block{t}})
	return s
}

// roundsOf are the valves of one setting, a row for each round that has any, on the band of that setting.
func (w *Writer) roundsOf(class logbook.Class, rounds []logbook.Round,
	byRound map[string][]recurring.Shift) page.Rounds {
	usual := w.Recurring().Usual(class)
	c := page.Rounds{Setting: class.String(),
		Normal: page.Normal{Known: usual.N > 0, Median: usual.Median, Spread: usual.Spread}}
	for _, r := range rounds {
		var of []recurring.Shift
		for _, sh := range byRound[r.Name] {
			if sh.Left.Class == class {
				of = append(of, sh)
			}
		}
		if len(of) > 0 {
			c.Rows = append(c.Rows, page.PointRow{Name: r.Name, Points: w.roundPoints(r, of, c.Normal)})
		}
	}
	return c
}

// roundPoints are the valves of a round. The one that leaves the band alone bears its name.
func (w *Writer) roundPoints(r logbook.Round, shifts []recurring.Shift, normal page.Normal) []page.Point {
	low, _ := normal.Ends()
	alone := -1
	for i, sh := range shifts {
		if normal.Known && sh.Bar < low {
			if alone >= 0 {
				alone = len(shifts) // more than one
				break
			}
			alone = i
		}
	}
	var all []page.Point
	for i, sh := range shifts {
		holder := sh.Overhaul.Holder.Written
		d := page.Point{X: sh.Bar, Found: true, Shape: shapeOf(sh.Left.Class), To: w.at.Overhaul[sh.Overhaul],
			Words: r.Name + ", " + holder + ": " + page.SignedBar(sh.Bar)}
		if i == alone {
			d.Label = holder
		}
		all = append(all, d)
	}
	return all
}

// ageSteps are the ends of the age bands in hours; the last goes on. They part the ages, they judge nothing.
var ageSteps = []float64{1000, 1500, 2000, 2500}

// ageBand is the name of an age band; the one after the last step goes on.
func ageBand(i int) string {
	if i == len(ageSteps) {
		return "over " + page.Grouped(int(ageSteps[i-1]))
	}
	lower := 0.0
	if i > 0 {
		lower = ageSteps[i-1]
	}
	return page.Grouped(int(lower)) + " to " + page.Grouped(int(ageSteps[i]))
}

// fineByAge is the share found fine by the age at which the valve was opened, never without its interval.
func (w *Writer) fineByAge() page.Block {
	bands := make([]struct{ fine, n int }, len(ageSteps)+1)
	for _, o := range w.Evidence().Openings {
		if o.State == evidence.Unknown {
			continue
		}
		i, _ := slices.BinarySearch(ageSteps, o.Hours)
		if bands[i].n++; o.State != evidence.Bad {
			bands[i].fine++
		}
	}
	t := page.NewTable(page.Listed, "hours in service", "opened", "fine", "0 to 100 %", "the true share is between")
	for i, b := range bands {
		cells := []page.Cell{page.RowHead(page.Words(ageBand(i))), page.Number(b.n), page.Number(b.fine)}
		in, err := survival.BadShare(b.fine, b.n, 0.95)
		if err != nil { // none was opened at that age
			t.Row(append(cells, page.Cell{}, page.Plainly("–"))...)
			continue
		}
		share := page.Share{Share: float64(b.fine) / float64(b.n), Low: in.Low, High: in.High}
		t.Row(append(cells, page.Holding(nil, share), page.Value(page.Percent(in.Low)+" and "+page.Percent(in.High)))...)
	}
	note := page.Words("All overhauls of the book, whatever they were opened for. The line is the 95 % interval of the "+
		"true share, the tick the "+
		"share in this book. Without special causes: ").Link(address.Interval, "interval review").
		Say(".")
	return page.Under("How many were fine, by the age at which they were opened",
		page.Para{Style: page.Source, Text: note}, t).Named("ages")
}

// nozzlesUsed is how many nozzles were renewed against the engine hours: by year, and by the fuel in use.
func (w *Writer) nozzlesUsed() page.Block {
	note := page.Words("Nozzles taken out of use for every 1000 engine hours of all engines together. Holder by holder: ").
		Link(address.Recurring, "recurring findings").Say("; what is on board and on order under ").
		Link(address.Stores, "spares and stores").Say(".")
	s := page.Under("What nozzles cost", page.Para{Style: page.Source, Text: note}).Named("nozzles")
	years, fuels := w.byYear(), w.byFuel()
	widest := 0.01
	for _, list := range [][]nozzleUse{years, fuels} {
		for i := range list {
			w.countRenewed(&list[i])
			widest = max(widest, list[i].rate())
		}
	}
	if len(years) > 0 {
		s.Add(nozzleTable("year", years, widest))
	}
	if len(fuels) > 0 {
		s.Add(nozzleTable("fuel in use", fuels, widest))
	}
	return s
}

func (w *Writer) countRenewed(u *nozzleUse) {
	u.hours = w.EngineHours(u.from, u.to)
	for _, o := range w.Book.Overhauls {
		if d := o.Day(); facts.Renewed(o) && o.Removed.Stated() && u.from <= d && d <= u.to {
			u.renewed++
		}
	}
}

func nozzleTable(what string, all []nozzleUse, widest float64) page.Block {
	t := page.NewTable(page.Listed, what, "renewed", "engine hours", "for 1000 h", "against the most")
	for _, u := range all {
		cells := []page.Cell{page.RowHead(page.Words(u.name)), page.Number(u.renewed)}
		if u.hours > 0 {
			cells = append(cells, page.Value(page.Hours(u.hours)), page.Value(page.Fixed(u.rate(), 2)),
				page.Holding(nil, page.Part{Of: u.rate() / widest}))
		} else {
			cells = append(cells, page.Value("not known"), page.Plainly("–"), page.Cell{})
		}
		t.Row(cells...)
	}
	return t
}

// byFuel are the times in which each bunker was in use.
func (w *Writer) byFuel() []nozzleUse {
	var all []nozzleUse
	for _, b := range w.Book.Bunkers {
		if b.From.Day == 0 {
			continue
		}
		to := b.To.Day
		if to == 0 || to > w.Today {
			to = w.Today
		}
		all = append(all, nozzleUse{name: b.Stem.Written + " from " + b.From.Written, from: b.From.Day, to: to})
	}
	return all
}

// dotsDrawn is how many points of one chart are links, the newest; older ones are left out, and the page says so.
const dotsDrawn = 150

func (w *Writer) valvesPage() *page.Page {
	p := chartPage(address.ChartsValves, address.ChartsValves, "valves by their hours")
	p.Add(page.Legend{}, w.shareChart("opening", "Opening pressure as found, in per cent of how it was left", false,
		w.OpeningShares()),
		w.shareChart("leak", "Leak-down as found, in per cent of how it was left", true, w.LeakShares()))
	return p
}

// labelled is how many points of a chart bear the name of their holder: the lowest.
const labelled = 6

// lowest are the indexes of the lowest shares.
func lowest(all []facts.Share) map[int]bool {
	order := make([]int, len(all))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(all[a].Percent, all[b].Percent) })
	named := map[int]bool{}
	for _, i := range order[:min(labelled, len(order))] {
		named[i] = true
	}
	return named
}

// shareChart are shares over the hours in service.
func (w *Writer) shareChart(id, title string, log bool, all []facts.Share) page.Block {
	left := len(all) - dotsDrawn
	all = all[max(0, left):]
	p := &page.Plot{Title: title + ", over the hours in service", Unit: "%", XUnit: "h in service", Log: log,
		Lines: []page.StepLine{{Words: "as left", Steps: []page.XY{{0, 100}}}}}
	named := lowest(all)
	for i, x := range all {
		holder := x.Overhaul.Holder.Written
		d := page.Point{X: x.Hours, Y: x.Percent, Found: true, Shape: shapeOf(x.Class), To: w.at.Overhaul[x.Overhaul],
			Words: holder + ", " + x.Overhaul.Day().String() + ": " + page.Fixed(x.Percent, 0) + " %, " + x.Words}
		if named[i] {
			d.Label = holder
		}
		p.Points = append(p.Points, d)
	}
	after := ""
	if left > 0 {
		after = fmt.Sprintf("The newest %d; %s left out.", dotsDrawn,
			logbook.Counted(left, "older one is", "older ones are"))
	}
	return page.Under(title, plotted(p, after, shareTable(all))).Named(id)
}

// shareTable are the numbers of a chart of shares, by the age of the valves.
func shareTable(all []facts.Share) page.Block {
	t := page.NewTable(page.Listed, "hours in service", "valves", "lowest", "middle half", "highest")
	for i := range len(ageSteps) + 1 {
		var values []float64
		for _, x := range all {
			if n, _ := slices.BinarySearch(ageSteps, x.Hours); n == i {
				values = append(values, x.Percent)
			}
		}
		if len(values) == 0 {
			continue
		}
		at := func(share float64) string { return page.Fixed(facts.Quantile(values, share), 0) }
		t.Row(page.RowHead(page.Words(ageBand(i))), page.Number(len(values)), page.Value(at(0)+" %"),
			page.Value(at(0.25)+" to "+at(0.75)+" %"), page.Value(at(1)+" %"))
	}
	return t
}
