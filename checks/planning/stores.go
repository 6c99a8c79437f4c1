package planning

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"needlebook/checks/paper"
	"needlebook/checks/stores"
	"needlebook/logbook"
)

// Stores lists what is on board against what is needed until more can come, by each part's own age.
func (p *Plan) Stores() paper.Paper {
	out := paper.Paper{Name: "stores", Title: "Spares and stores of " + p.Book.Vessel.Called() + " on " + p.on(),
		Lead: []string{p.rateText(),
			fmt.Sprintf("minimum: what is expected in the lead time and %d days until the next look, and %s spreads more "+
				"(setting stock_margin)", stores.ReviewDays, p.settings.StockMargin.Written)}}
	stock := paper.Table{Name: "stock", Title: "on board, and enough until more can come?",
		Columns: []string{"item", "part no", "on board", "on order", "order due", "lead d", "expected", "minimum", "to order",
			"rests on"}, Empty: "the book keeps no stores"}
	for _, it := range p.items {
		lead, minimum, order := "–", "–", "lead time not stated"
		expected := "not known"
		if it.Need.Known {
			expected = fmt.Sprintf("%.1f", it.Need.Expected)
		}
		switch {
		case it.Lead > 0 && !it.Need.Known:
			lead, order = fmt.Sprint(it.Lead), "not known"
		case it.Lead > 0:
			lead, minimum, order = fmt.Sprint(it.Lead), fmt.Sprintf("%.0f", it.Need.Minimum), fmt.Sprintf("%.0f", it.ToOrder())
		}
		if it.OnBoard < 0 {
			order = countFirst
		} else if it.Short() && it.ToOrder() == 0 {
			order = "0, see that the order comes"
		}
		stock.Add(paper.Placed(it.Name, it.Last.Place), paper.Text(dash(it.PartNo)), num(it.OnBoard), num(it.OnOrder),
			paper.Text(dash(it.Due.Written)), paper.Text(lead),
			paper.Text(expected), paper.Text(minimum), paper.Text(order), paper.Text(restsOn(it)))
	}
	out.Tables = append(out.Tables, stock, p.order(), p.wave(), p.ages(), p.consumption(), p.loose(), p.markings())
	if away := p.away(); len(away.Rows) > 0 {
		out.Tables = append(out.Tables, away)
	}
	out.Notes = append(out.Notes,
		"nozzles are counted by each one's own hours: those bought together wear out together, and no average "+
			"shows it coming",
		"a nozzle in the spares rack does not age; one out of a valve is counted as on board only where the stores "+
			"book it back",
		"order by part number, and compare the marking with the permitted list when it comes aboard")
	return out
}

// order is the list to send ashore: what is missing to the minimum beside what is on order, with the marking that a
// nozzle must bear.
func (p *Plan) order() paper.Table {
	t := paper.Table{Name: "order", Title: "order list", Columns: []string{"part no", "item", "pieces", "lead d",
		"marking"}, Empty: "nothing, by what the stores and the lead times say"}
	if len(p.items) == 0 {
		t.Empty = "not known: the book keeps no stores"
	}
	for _, it := range p.items {
		pieces := num(it.ToOrder())
		switch {
		case it.OnBoard < 0:
			pieces = paper.Text(countFirst)
		case it.Lead == 0 || !it.Need.Known || it.ToOrder() == 0:
			continue
		}
		lead := "not stated"
		if it.Lead > 0 {
			lead = fmt.Sprint(it.Lead)
		}
		mark := "–"
		if it.Nozzle {
			mark = cmp.Or(p.marks(it), "the limits state none")
		}
		t.Add(paper.Text(dash(it.PartNo)), paper.Placed(it.Name, it.Last.Place), pieces, paper.Text(lead), paper.Text(mark))
	}
	return t
}

// marks are the markings permitted today on the engines that a nozzle is for.
func (p *Plan) marks(it *stores.Item) string {
	var all []string
	for _, e := range p.Book.Vessel.Engines {
		if l := p.Book.LimitsOf(e.ID.Written); l != nil && slices.Contains(it.Types, l.Name) {
			if text, _ := p.permitted(e.ID.Written, p.today); text != "" && !slices.Contains(all, text) {
				all = append(all, text)
			}
		}
	}
	return strings.Join(all, "; ")
}

// countFirst is said of an item of which the movements leave less than none.
const countFirst = "count it first: more was booked out than in"

// restsOn says what a need was reckoned from.
func restsOn(it *stores.Item) string {
	switch n := it.Need; {
	case !n.Known && it.Nozzle:
		return "no life, no running rate or no nozzle's hours are known"
	case !n.Known:
		return "no time to count over"
	case it.Nozzle:
		text := fmt.Sprintf("%d reach their life, %.1f likely rejected before", n.Life, n.Rejected)
		if n.Unknown > 0 {
			text += fmt.Sprintf("; %d of unknown hours are not counted", n.Unknown)
		}
		return text
	default:
		return fmt.Sprintf("%.0f used in %.0f d", n.Used, n.Over)
	}
}

func num(x float64) paper.Cell { return paper.Text(fmt.Sprintf("%g", x)) }

// wave counts, quarter by quarter, the fitted nozzles that reach their life, up to when the last of them does: each
// type of valve by itself, since no nozzle of one serves the other.
func (p *Plan) wave() paper.Table {
	t := paper.Table{Name: "wave", Title: "fitted nozzles that reach their life, by quarter, if each ran on in its engine",
		Columns: []string{"quarter", "type", "reach their life", "on board and due by then", "which"},
		Empty:   "not known: no life, no rate or no nozzle's hours are known"}
	var order []string
	by := map[string]map[string][]string{}
	unknown := map[string][]string{}
	for _, a := range p.Ages() {
		l := p.Book.LimitsOf(a.Position.Engine)
		if a.Position == (logbook.Position{}) || l == nil {
			continue
		}
		if by[l.Name] == nil {
			order, by[l.Name] = append(order, l.Name), map[string][]string{}
		}
		if !a.Known {
			unknown[l.Name] = append(unknown[l.Name], a.Nozzle)
		}
		if at, _, _ := p.in(a.Position.Engine, a.Life-a.Hours); a.Known && a.Life > 0 && at != 0 {
			q := quarter(max(at, p.today))
			by[l.Name][q] = append(by[l.Name][q], a.Nozzle)
		}
	}
	for _, name := range order {
		p.waveOf(&t, name, by[name], unknown[name])
	}
	return t
}

// waveOf adds the rows of one type.
func (p *Plan) waveOf(t *paper.Table, name string, by map[string][]string, unknown []string) {
	var have, coming float64
	var due logbook.Day
	kept := false // its nozzles are booked in the stores at all
	for _, it := range p.items {
		if it.Nozzle && slices.Contains(it.Types, name) {
			kept = true
			have, due, coming = have+it.OnBoard, it.Due.Day, coming+it.OnOrder
		}
	}
	quarters := slices.Sorted(maps.Keys(by))
	for _, q := range quarters {
		if due != 0 && quarter(due) <= q {
			have, coming = have+coming, 0
		}
		n := float64(len(by[q]))
		stock := fmt.Sprintf("%g", have)
		switch {
		case !kept:
			stock = "not known: the stores book none"
		case have < n:
			stock = fmt.Sprintf("%g, %g short at its end", max(have, 0), n-have)
		}
		t.Add(paper.Text(q), paper.Text(name), num(n), paper.Text(stock), paper.Text(strings.Join(by[q], ", ")))
		have -= n
	}
	if len(quarters) > 0 && len(unknown) > 0 {
		t.Add(paper.Text("hours not known"), paper.Text(name), num(float64(len(unknown))), paper.Text("–"),
			paper.Text(strings.Join(unknown, ", ")))
	}
}

func quarter(d logbook.Day) string {
	m := d.Time()
	return fmt.Sprintf("%d-Q%d", m.Year(), (int(m.Month())+2)/3)
}

// stands says in a word whether the valve of a holder in the spares rack is ready.
func (p *Plan) stands(holder string) string {
	for _, s := range p.Report.Spares {
		if s.Holder == holder {
			return s.State.Word()
		}
	}
	return "not known"
}

func (p *Plan) ages() paper.Table {
	t := paper.Table{Name: "ages", Title: "each nozzle's own age", Columns: []string{"nozzle", "where", "has run", "life",
		"never beyond", "reaches it about"}, Empty: "no nozzle is on record"}
	for _, a := range p.Ages() {
		where := paper.Text("rack, in " + a.Holder + ", " + p.stands(a.Holder))
		at := logbook.Day(0)
		if a.Position != (logbook.Position{}) {
			where = paper.At(a.Position)
			if a.Known && a.Life > 0 {
				at, _, _ = p.in(a.Position.Engine, a.Life-a.Hours)
			}
		}
		t.Add(paper.Nozzle(a.Nozzle), where, paper.Text(hoursOf(a.Hours, a.Known)), paper.Text(statedHours(a.Life)),
			paper.Text(statedHours(a.Never)), paper.Text(at.String()))
	}
	return t
}

// consumption counts nozzles by year: renewed on the bench, and why, and what the stores moved, for each 1000 h that
// the engines ran.
func (p *Plan) consumption() paper.Table {
	t := paper.Table{Name: "consumption", Title: "nozzles by year", Columns: []string{"year", "renewed", "at their life",
		"before it", "most by one holder", "out of the stores", "engine hours", "renewed per 1000 h"},
		Empty: "none was renewed"}
	type year struct {
		n, life int
		of      map[string]int
	}
	by := map[int]*year{}
	if p.today == 0 { // a book without a day has no years
		return t
	}
	first := p.today.Time().Year()
	for _, o := range p.Book.Overhauls {
		if o.Day() == 0 {
			continue
		}
		y := o.Day().Time().Year()
		first = min(first, y)
		if by[y] == nil {
			by[y] = &year{of: map[string]int{}}
		}
		if w := stores.RenewalOf(p.Book, o, p.today); w != stores.NotRenewed {
			by[y].n++
			if w == stores.AtLife {
				by[y].life++
			} else {
				by[y].of[o.Holder.Written]++
			}
		}
	}
	moved, kept := map[int]float64{}, false
	for _, it := range p.items {
		if it.Nozzle {
			kept = true
			for y, n := range it.UsedIn {
				moved[y] += n
			}
		}
	}
	for y := first; y <= p.today.Time().Year(); y++ {
		x := by[y]
		if x == nil {
			x = &year{}
		}
		most, name := 0, "–"
		for h, n := range x.of {
			if n > most || n == most && h < name {
				most, name = n, h
			}
		}
		if most > 0 {
			name = fmt.Sprintf("%s: %d", name, most)
		}
		hours := p.ranIn(y)
		per := "–"
		if hours > 0 {
			per = fmt.Sprintf("%.2f", 1000*float64(x.n)/hours)
		}
		out := "not known"
		if kept {
			out = fmt.Sprintf("%g", moved[y])
		}
		t.Add(paper.Text(fmt.Sprint(y)), num(float64(x.n)), num(float64(x.life)), num(float64(x.n-x.life)), paper.Text(name),
			paper.Text(out), paper.Text(fmt.Sprintf("%.0f", hours)), paper.Text(per))
	}
	return t
}

// ranIn are the hours that all engines ran in a year together, as far as the counters tell.
func (p *Plan) ranIn(y int) float64 {
	sum := 0.0
	for _, e := range p.Book.Vessel.Engines {
		from, to := logbook.NewDay(y-1, 12, 31), min(logbook.NewDay(y, 12, 31), p.today)
		b, ok := p.Book.TotalOn(e.ID.Written, to)
		a, before := p.Book.TotalOn(e.ID.Written, from)
		for d := from; !before && d < to; d++ { // the book began within the year
			a, before = p.Book.TotalOn(e.ID.Written, d)
		}
		if ok && before {
			sum += b - a
		}
	}
	return sum
}

// away are the valves that were landed and have not come back.
func (p *Plan) away() paper.Table {
	t := paper.Table{Name: "away", Title: "valves that were landed, no spares until they are received again",
		Columns: []string{"holder", "nozzle", "landed", "to", "delivery note", "promised", "now"}}
	for _, a := range p.Book.Landed(p.today) {
		if !a.Waits() {
			continue
		}
		l, now := &a.Landed, "day not promised"
		if l.Promised.Day != 0 {
			now = fmt.Sprintf("%d d to go", l.Promised.Day.Days(p.today))
		}
		if l.Promised.Day != 0 && l.Promised.Day < p.today {
			now = fmt.Sprintf("%d d overdue", p.today.Days(l.Promised.Day))
		}
		t.Add(paper.Holder(a.Holder.Written), paper.Nozzle(a.NozzleOut()),
			paper.Placed(a.Since.String(), l.Place), paper.Text(dash(l.To.Written)), paper.Text(dash(l.Note.Written)),
			paper.Text(dash(l.Promised.Written)), paper.Text(now))
	}
	return t
}

func (p *Plan) loose() paper.Table {
	t := paper.Table{Name: "loose", Title: "parts with a serial in the stores",
		Columns: []string{"serial", "item", "marking"}, Empty: "none by the movements booked"}
	for _, it := range p.items {
		for _, s := range it.Serials {
			mark := "–"
			if part := p.Book.Part("nozzle", s); part != nil {
				mark = dash(part.Marking.Written)
			}
			c := paper.Holder(s)
			if it.Nozzle {
				c = paper.Nozzle(s)
			}
			t.Add(c, paper.Text(it.Name), paper.Text(mark))
		}
	}
	return t
}

func (p *Plan) markings() paper.Table {
	t := paper.Table{Name: "markings", Title: "nozzle markings permitted today", Columns: []string{"engine", "permitted",
		"source"}, Empty: "the limits state none"}
	for _, e := range p.Book.Vessel.Engines {
		l := p.Book.LimitsOf(e.ID.Written)
		if l == nil {
			continue
		}
		in, ok := l.On(p.today)
		if !ok || len(in.Markings.Each) == 0 {
			continue
		}
		var all []string
		for _, m := range in.Markings.Each {
			all = append(all, m.Written)
		}
		from, _ := l.RevisionOf(in.Markings.Place)
		t.Add(paper.Text(e.ID.Written), paper.Text(strings.Join(all, ", ")),
			paper.Placed(from.Source.Written, in.Markings.Place))
	}
	return t
}
