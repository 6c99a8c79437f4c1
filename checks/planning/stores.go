package planning

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"needlebook/checks/paper"
	"needlebook/logbook"
)

// item is what the stores say of one item by today.
type item struct {
	name, partNo  string
	onBoard       float64
	onOrder       float64
	due           logbook.Date
	lead          int
	nozzle        bool
	serials       []string // loose ones, in the order they came
	last          logbook.Place
	used, squares float64 // pieces used over the time looked at, and the sum of their squares
	usedIn        map[int]float64
}

// Use is counted over two years where the book is that long: common practice, no source. An order is looked at once a month, which the
// lead time does not cover.
const (
	useDays    = 730
	reviewDays = 30
)

// items adds up the movements, item by item: one part number is one item, whatever it is called; where none is stated its name is.
func (p *Plan) items() []*item {
	nozzles := map[string]bool{}
	for _, n := range p.lives.Nozzles() {
		nozzles[n] = true
	}
	number := map[string]string{} // by name: the part number it has elsewhere
	for _, m := range p.Book.Stock {
		if m.PartNo.Stated() {
			number[strings.ToLower(m.Item.Written)] = m.PartNo.Written
		}
	}
	moves := slices.Clone(p.Book.Stock)
	slices.SortStableFunc(moves, func(a, b logbook.StockMove) int { return cmp.Compare(a.Date.Day, b.Date.Day) })
	by := map[string]*item{}
	var all []*item
	for _, m := range moves {
		if m.Date.Day == 0 || m.Date.Day > p.today || !m.Item.Stated() || strings.Contains(strings.ToLower(m.Item.Written), "regrind") {
			continue
		}
		no := m.PartNo.Written
		if no == "" {
			no = number[strings.ToLower(m.Item.Written)]
		}
		key := cmp.Or(no, strings.ToLower(m.Item.Written))
		it := by[key]
		if it == nil {
			it = &item{name: m.Item.Written, partNo: no, usedIn: map[int]float64{}}
			by[key], all = it, append(all, it)
		}
		it.move(m, p.today)
		it.nozzle = it.nozzle || m.Serial.Stated() && (nozzles[m.Serial.Written] || p.isNozzle(m.Serial.Written))
	}
	return all
}

func (it *item) move(m logbook.StockMove, today logbook.Day) {
	change := m.Change.Value
	it.onBoard += change
	it.last = m.Place
	if change > 0 {
		it.onOrder = math.Max(0, it.onOrder-change)
	}
	if change < 0 {
		it.usedIn[m.Date.Day.Time().Year()] -= change
		if today.Days(m.Date.Day) < useDays {
			it.used, it.squares = it.used-change, it.squares+change*change
		}
	}
	if m.OnOrder.Valid {
		it.onOrder, it.due = m.OnOrder.Value, m.Due
	}
	if m.LeadDays.Valid {
		it.lead = m.LeadDays.Int()
	}
	if s := m.Serial.Written; s != "" {
		it.serials = slices.DeleteFunc(it.serials, func(x string) bool { return x == s })
		if change > 0 {
			it.serials = append(it.serials, s)
		}
	}
}

// need is what will be used until an order made next month can be here, and its variance.
func (p *Plan) need(it *item) (mean, variance float64, how string) {
	days := float64(it.lead + reviewDays)
	if it.nozzle {
		life, rejected := p.nozzleNeed(days)
		return float64(life) + rejected, float64(life) + rejected, fmt.Sprintf("%d reach their life, %.1f likely rejected before", life, rejected)
	}
	over := math.Min(useDays, float64(p.today.Days(p.firstDay())))
	if over <= 0 {
		return 0, 0, "no time to count over"
	}
	return it.used * days / over, it.squares * days / over, fmt.Sprintf("%.0f used in %.0f d", it.used, over)
}

func (p *Plan) firstDay() logbook.Day {
	first := p.today
	for _, m := range p.Book.Stock {
		if m.Date.Day != 0 {
			first = min(first, m.Date.Day)
		}
	}
	return first
}

// nozzleNeed counts the fitted nozzles that reach their life within so many days by their own age, and those likely to be rejected before
// it, from how often that happened for each hour run.
func (p *Plan) nozzleNeed(days float64) (life int, rejected float64) {
	hours := 0.0
	for _, a := range p.Ages() {
		r := p.rates[a.Position.Engine]
		if !r.known {
			continue
		}
		hours += r.perDay * days
		if a.Known && a.Life > 0 && a.Hours+r.perDay*days >= a.Life {
			life++
		}
	}
	early, ran := 0.0, 0.0
	for _, o := range p.Book.Overhauls {
		if x := p.renewed(o); x == renewedEarly {
			early++
		}
	}
	for _, s := range p.lives.Stays {
		ran += s.Hours
	}
	if ran > 0 {
		rejected = early / ran * hours
	}
	return life, rejected
}

// Stores lists what is on board against what is needed until more can come, by each part's own age.
func (p *Plan) Stores() paper.Paper {
	out := paper.Paper{Name: "stores", Title: "What we have on " + p.Book.Vessel.Name.Written + ", on " + p.today.String(), Lead: []string{p.rateText(),
		fmt.Sprintf("minimum: what is expected in the lead time and %d days until the next look, and %s spreads more (setting stock_margin)", reviewDays, p.settings.StockMargin.Written)}}
	stock := paper.Table{Name: "stock", Title: "on board, and enough until more can come?", Columns: []string{"item", "part no", "on board", "on order", "order due", "lead d", "expected", "minimum", "to order", "rests on"}, Empty: "the book keeps no stores"}
	for _, it := range p.items() {
		mean, variance, how := p.need(it)
		least := math.Max(0, math.Ceil(mean+p.settings.StockMargin.Value*math.Sqrt(variance)-1e-9))
		lead, minimum, order := "–", "–", "lead time not stated"
		if it.lead > 0 {
			lead, minimum, order = fmt.Sprint(it.lead), fmt.Sprintf("%.0f", least), fmt.Sprintf("%.0f", math.Max(0, least-it.onBoard-it.onOrder))
		}
		if it.lead > 0 && it.onBoard < least && it.onBoard+it.onOrder >= least {
			order = "0, see that the order comes"
		}
		stock.Add(paper.Placed(it.name, it.last), paper.Text(dash(it.partNo)), num(it.onBoard), num(it.onOrder), paper.Text(dash(it.due.Written)), paper.Text(lead),
			paper.Text(fmt.Sprintf("%.1f", mean)), paper.Text(minimum), paper.Text(order), paper.Text(how))
	}
	out.Tables = append(out.Tables, stock, p.wave(), p.ages(), p.consumption(), p.loose(), p.markings())
	out.Notes = append(out.Notes, "nozzles are counted by each one's own hours: those bought together wear out together, and no average shows it coming",
		"a nozzle on the rack does not age; one out of a valve is counted as on board only where the stores book it back",
		"order by part number, and compare the marking with the permitted list when it comes aboard")
	return out
}

func num(x float64) paper.Cell { return paper.Text(fmt.Sprintf("%g", x)) }

// wave counts, quarter by quarter, the fitted nozzles that reach their life, up to when the last of them does.
func (p *Plan) wave() paper.Table {
	t := paper.Table{Name: "wave", Title: "fitted nozzles that reach their life, by quarter, if each ran on in its engine", Columns: []string{"quarter", "reach their life", "on board and due by then", "which"}, Empty: "no life or no rate is known"}
	by := map[string][]string{}
	for _, a := range p.Ages() {
		if at, _, _ := p.in(a.Position.Engine, a.Life-a.Hours); a.Known && a.Life > 0 && at != 0 {
			q := quarter(max(at, p.today))
			by[q] = append(by[q], a.Nozzle)
		}
	}
	var have float64
	var due logbook.Day
	var coming float64
	for _, it := range p.items() {
		if it.nozzle {
			have, due, coming = have+it.onBoard, it.due.Day, coming+it.onOrder
		}
	}
	quarters := make([]string, 0, len(by))
	for q := range by {
		quarters = append(quarters, q)
	}
	slices.Sort(quarters)
	for _, q := range quarters {
		if due != 0 && quarter(due) <= q {
			have, coming = have+coming, 0
		}
		n := float64(len(by[q]))
		t.Add(paper.Text(q), num(n), num(have), paper.Text(strings.Join(by[q], ", ")))
		have -= n
	}
	return t
}

func quarter(d logbook.Day) string {
	m := d.Time()
	return fmt.Sprintf("%d-Q%d", m.Year(), (int(m.Month())+2)/3)
}

func (p *Plan) ages() paper.Table {
	t := paper.Table{Name: "ages", Title: "each nozzle's own age", Columns: []string{"nozzle", "where", "has run", "life", "never beyond", "reaches it about"}, Empty: "no nozzle is on record"}
	for _, a := range p.Ages() {
		where := paper.Text("rack, in " + a.Holder)
		at := logbook.Day(0)
		if a.Position != (logbook.Position{}) {
			where = paper.At(a.Position)
			if a.Known && a.Life > 0 {
				at, _, _ = p.in(a.Position.Engine, a.Life-a.Hours)
			}
		}
		t.Add(paper.Nozzle(a.Nozzle), where, paper.Text(hoursOf(a.Hours, a.Known)), paper.Text(hoursOf(a.Life, a.Life > 0)), paper.Text(hoursOf(a.Never, a.Never > 0)), paper.Text(at.String()))
	}
	return t
}

// why a nozzle was taken out of use.
type renewal int

const (
	notRenewed renewal = iota
	renewedAtLife
	renewedEarly
)

func (p *Plan) renewed(o *logbook.Overhaul) renewal {
	if !o.Nozzle.Found.Stated() || !o.Decided.Nozzle.Is("renew", "condemn") || o.Day() > p.today {
		return notRenewed
	}
	hours, known := p.lives.NozzleHours(o.Nozzle.Found.Written, o.Day())
	if l := p.Book.LimitsFor(o); l != nil && known {
		if e, ok := l.On(o.Day()); ok && e.NozzleLife.Renew.Quantity.Valid() && hours >= e.NozzleLife.Renew.Float() {
			return renewedAtLife
		}
	}
	return renewedEarly
}

// consumption counts nozzles by year: renewed on the bench, and why, and what the stores moved, for each 1000 h that the engines ran.
func (p *Plan) consumption() paper.Table {
	t := paper.Table{Name: "consumption", Title: "nozzles by year", Columns: []string{"year", "renewed", "at their life", "before it", "most by one holder", "out of the stores", "engine hours", "renewed per 1000 h"}, Empty: "none was renewed"}
	type year struct {
		n, life int
		of      map[string]int
	}
	by := map[int]*year{}
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
		if w := p.renewed(o); w != notRenewed {
			by[y].n++
			if w == renewedAtLife {
				by[y].life++
			} else {
				by[y].of[o.Holder.Written]++
			}
		}
	}
	moved := map[int]float64{}
	for _, it := range p.items() {
		if it.nozzle {
			for y, n := range it.usedIn {
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
		t.Add(paper.Text(fmt.Sprint(y)), num(float64(x.n)), num(float64(x.life)), num(float64(x.n-x.life)), paper.Text(name), num(moved[y]), paper.Text(fmt.Sprintf("%.0f", hours)), paper.Text(per))
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

// isNozzle says that the book has a file of a nozzle with the serial.
func (p *Plan) isNozzle(serial string) bool {
	part := p.Book.Part("nozzle", serial)
	return part != nil && part.Kind.Is("nozzle")
}

func (p *Plan) loose() paper.Table {
	t := paper.Table{Name: "loose", Title: "parts with a serial in the stores", Columns: []string{"serial", "item", "marking"}, Empty: "none by the movements booked"}
	for _, it := range p.items() {
		for _, s := range it.serials {
			mark := "–"
			if part := p.Book.Part("nozzle", s); part != nil {
				mark = dash(part.Marking.Written)
			}
			c := paper.Holder(s)
			if it.nozzle {
				c = paper.Nozzle(s)
			}
			t.Add(c, paper.Text(it.name), paper.Text(mark))
		}
	}
	return t
}

func (p *Plan) markings() paper.Table {
	t := paper.Table{Name: "markings", Title: "nozzle markings permitted today", Columns: []string{"engine", "permitted", "source"}, Empty: "the limits state none"}
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
		from, _ := l.EditionOf(in.Markings.Place)
		t.Add(paper.Text(e.ID.Written), paper.Text(strings.Join(all, ", ")), paper.Placed(from.Source.Written, in.Markings.Place))
	}
	return t
}
