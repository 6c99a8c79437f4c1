package site

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"needlebook/checks/causes"
	"needlebook/checks/evidence"
	"needlebook/checks/survival"
	"needlebook/logbook"
)

// The pages of the book as a whole in drawings: rounds and ages, valves by their hours, strokes, and who sat where. Each drawing has its numbers
// beside it, and its points lead to their records. What says nothing is not drawn: no mean without its spread, no score of a spray, nothing
// over the calendar that goes by hours.
const (
	pageDrawnValves ref = "drawings-valves.html"
	pageDrawnStroke ref = "drawings-strokes.html"
	pageDrawnWhere  ref = "drawings-where.html"
)

// drawingWays lead from each page of drawings to the others.
func (s *sheet) drawingWays(now ref) {
	s.m(`<nav class="near" aria-label="drawings">`)
	for _, w := range []struct {
		to   ref
		text string
	}{{pageDrawings, "rounds and ages"}, {pageDrawnValves, "valves by their hours"}, {pageDrawnStroke, "strokes"}, {pageDrawnWhere, "who sat where"}} {
		if w.to == now {
			s.m(`<b aria-current="page">`).t(w.text).m("</b> ")
		} else {
			s.a(w.to, w.text).m(" ")
		}
	}
	s.m("</nav>")
}

func (s *sheet) drawingsPage() error {
	s.begin("in drawings", "list", step{"", "in drawings"})
	s.m("<h1>In drawings: rounds and ages</h1>")
	s.drawingWays(pageDrawings)
	s.roundStrip()
	s.fineByAge()
	s.nozzlesUsed()
	return s.end(pageDrawings, s.footShort)
}

// roundsDrawn is how many rounds the strip shows, the newest.
const roundsDrawn = 32

// roundStrip draws every round in a row: what each valve lost since it was set, on the band of this ship's normal.
func (s *sheet) roundStrip() {
	byRound := map[string][]causes.Shift{}
	for _, sh := range s.causes().Shifts {
		if name := s.pages.roundOf[sh.Overhaul]; name != "" {
			byRound[name] = append(byRound[name], sh)
		}
	}
	var rounds []logbook.Round
	for _, r := range s.rounds {
		if len(byRound[r.Name]) > 0 {
			rounds = append(rounds, r)
		}
	}
	rounds = rounds[max(0, len(rounds)-roundsDrawn):]
	s.m(`<section id="rounds"><h2>How each round came back</h2><p class="src">Opening pressure as found less as left before, a dot a valve, a row a round, oldest first. A gauge that reads wrong moves a whole row; a holder that fails moves one dot. The band is what this ship's used settings lose, twice their spread to either side.</p>`)
	if len(rounds) == 0 {
		s.quietLine("No valve in the book compares with how it was left.")
		s.m("</section>")
		return
	}
	values := []float64{0}
	for _, r := range rounds {
		for _, sh := range byRound[r.Name] {
			values = append(values, sh.Bar)
		}
	}
	const left, row, top = 150.0, 17, 26
	x := newAxis(values, left, 620, false)
	height := top + len(rounds)*row + 24
	s.drawn++
	id := markup("d" + strconv.Itoa(s.drawn))
	s.m(`<figure><figcaption>opening pressure as found less as left, round by round</figcaption><svg class="plot rounds" viewBox="0 0 632 `).i(height).m(`"><g role="img" aria-labelledby="`, id, `t"><title id="`, id, `t">opening pressure as found less as left, round by round; the numbers stand in the table below</title>`)
	if n := s.causes().Usual(logbook.Used); n.N > 0 { // the same as the names below go by
		low, high := x.at(n.Median-2*n.Spread), x.at(n.Median+2*n.Spread)
		s.m(`<rect class="normal" x="`).f(low).m(`" y="`).i(top - 4).m(`" width="`).f(high - low).m(`" height="`).i(len(rounds)*row + 4).m(`"/><text class="x" x="`).f(x.at(n.Median)).m(`" y="14">normal</text>`)
	}
	s.m(`<path class="base" d="M`).f(x.at(0)).m(" ").i(top - 4).m("V").i(top + len(rounds)*row).m(`"/>`)
	ticks := x.ticks(6)
	for _, v := range ticks {
		s.xTick(tickText(v, ticks), x.at(v), 600, float64(height-6)) // "bar" stands at the end
	}
	s.m(`<text class="x name" x="628" y="`).i(height - 6).m(`">bar</text>`)
	for i, r := range rounds {
		y := top + i*row + row/2
		s.m(`<path class="hair" d="M150 `).i(y).m(`H620"/><text class="y" x="144" y="`).i(y + 4).m(`">`).t(clippedTo(r.Name, 19)).m("</text>")
	}
	s.m("</g>")
	usual := s.causes().Usual(logbook.Used)
	names := &labels{sheet: box{left, 0, 630, float64(height)}}
	for i, r := range rounds {
		var out []*logbook.Overhaul
		for _, sh := range byRound[r.Name] {
			if usual.N > 0 && sh.Bar < usual.Median-2*usual.Spread {
				out = append(out, sh.Overhaul)
			}
		}
		for _, sh := range byRound[r.Name] {
			label := ""
			if len(out) == 1 && out[0] == sh.Overhaul {
				label = sh.Overhaul.Holder.Written // the one that leaves its round
			}
			s.dot(dot{label: label, found: true, shape: shapeOf(sh.Left.Class), to: s.pages.overhaul[sh.Overhaul], words: r.Name + ", " + sh.Overhaul.Holder.Written + ": " + signedBar(sh.Bar)}, x.at(sh.Bar), float64(top+i*row+row/2), names)
		}
	}
	s.m(`</svg><details><summary>the numbers</summary>`)
	s.table("list", "round", "valves", "lowest", "middle", "highest")
	for _, r := range slices.Backward(rounds) {
		var values []float64
		for _, sh := range byRound[r.Name] {
			values = append(values, sh.Bar)
		}
		s.m(`<tr><th scope="row">`).a(s.pages.round[r.Name], r.Name).m(`</th><td class="n">`).i(len(values))
		for _, share := range []float64{0, 0.5, 1} {
			s.m(`</td><td class="n">`).t(signedBar(quantile(values, share)))
		}
		s.m("</td></tr>")
	}
	s.m("</tbody></table></div></details></figure></section>")
}

// ageSteps are the ends of the age bands in hours; the last goes on. They part the ages, they judge nothing.
var ageSteps = []float64{1000, 1500, 2000, 2500}

// fineByAge shows the share found fine by the age at which the valve was opened, never without its interval.
func (s *sheet) fineByAge() {
	type band struct{ fine, bad int }
	bands := make([]band, len(ageSteps)+1)
	for _, o := range s.evidence().Openings {
		if o.State == evidence.Unknown {
			continue
		}
		i, _ := slices.BinarySearch(ageSteps, o.Hours)
		if o.State == evidence.Bad {
			bands[i].bad++
		} else {
			bands[i].fine++
		}
	}
	s.m(`<section id="ages"><h2>How many were fine, by the age at which they were opened</h2><p class="src">All openings of the book, whatever they were opened for. The line is the 95 % interval of the true share, the tick the share in this book. What special causes take away stands under `).a(pageInterval, "how long may it wait").m(".</p>")
	s.table("list", "hours in service", "opened", "fine", "0 to 100 %", "the true share lies between")
	for i, b := range bands {
		words := "over " + grouped(int(ageSteps[len(ageSteps)-1]))
		if i < len(ageSteps) {
			from := 0.0
			if i > 0 {
				from = ageSteps[i-1]
			}
			words = grouped(int(from)) + " to " + grouped(int(ageSteps[i]))
		}
		n := b.fine + b.bad
		s.m(`<tr><th scope="row">`).t(words).m(`</th><td class="n">`).i(n).m(`</td><td class="n">`).i(b.fine).m("</td><td>")
		in, err := survival.BadShare(b.fine, n, 0.95)
		if n == 0 || err != nil {
			s.m("</td><td>–</td></tr>")
			continue
		}
		s.shareBar(b.fine, n, in.Low, in.High)
		s.m(`</td><td class="n">`).t(percent(in.Low) + " and " + percent(in.High)).m("</td></tr>")
	}
	s.m("</tbody></table></div></section>")
}

// nozzlesUsed shows how many nozzles were renewed against the engine hours: by year, and by the fuel in use.
func (s *sheet) nozzlesUsed() {
	s.m(`<section id="nozzles"><h2>What nozzles cost</h2><p class="src">Nozzles taken out of use for every 1000 engine hours of all engines together. Holder by holder it stands under `).a(pageCauses, "what goes together").m("; what is on board and on order under ").a(pageStores, "what we have").m(".</p>")
	days := map[logbook.Day]int{}
	first := s.today
	for _, o := range s.Book.Overhauls {
		if o.Decided.Nozzle.Is("renew", "condemn") && o.Removed.Stated() {
			days[o.Day()]++
		}
		if d := o.Day(); d != 0 {
			first = min(first, d)
		}
	}
	row := func(name string, from, to logbook.Day, widest float64) float64 {
		n, run := 0, s.engineHours(from, to)
		for d, k := range days {
			if from <= d && d <= to {
				n += k
			}
		}
		rate := 0.0
		if run > 0 {
			rate = float64(n) / run * 1000
		}
		if widest > 0 {
			s.m(`<tr><th scope="row">`).t(name).m(`</th><td class="n">`).i(n).m(`</td><td class="n">`)
			if run > 0 {
				s.t(hours(run)).m(`</td><td class="n">`).t(fixed(rate, 2)).m(`</td><td><svg class="ruler" viewBox="0 0 96 16" aria-hidden="true"><path class="hair" d="M2 8h92"/><path class="ok" d="M2 8h`).f(92 * rate / widest).m(`"/></svg>`)
			} else {
				s.m("not known</td><td>–</td><td>")
			}
			s.m("</td></tr>")
		}
		return rate
	}
	type stretch struct {
		name     string
		from, to logbook.Day
	}
	var years, fuels []stretch
	for y := first.Time().Year(); y <= s.today.Time().Year() && first != 0 && len(s.Book.Overhauls) > 0; y++ {
		years = append(years, stretch{strconv.Itoa(y), logbook.NewDay(y, 1, 1), min(logbook.NewDay(y, 12, 31), s.today)})
	}
	for _, b := range s.Book.Bunkers {
		if b.From.Day == 0 {
			continue
		}
		to := b.To.Day
		if to == 0 || to > s.today {
			to = s.today
		}
		fuels = append(fuels, stretch{b.Stem.Written + " from " + b.From.Written, b.From.Day, to})
	}
	widest := 0.01
	for _, st := range slices.Concat(years, fuels) {
		widest = max(widest, row(st.name, st.from, st.to, 0))
	}
	for _, list := range []struct {
		what markup
		all  []stretch
	}{{"year", years}, {"fuel in use", fuels}} {
		if len(list.all) == 0 {
			continue
		}
		s.table("list", list.what, "renewed", "engine hours", "for 1000 h", "against the most")
		for _, st := range list.all {
			row(st.name, st.from, st.to, widest)
		}
		s.m("</tbody></table></div>")
	}
	s.m("</section>")
}

// engineHours are the hours that all engines ran between two days, by the readings.
func (s *site) engineHours(from, to logbook.Day) float64 {
	sum := 0.0
	for _, e := range s.Book.Vessel.Engines {
		begin, ok := s.Book.TotalOn(e.ID.Written, max(from, s.Book.Vessel.Opening.Date.Day))
		end, also := s.Book.TotalOn(e.ID.Written, to)
		if ok && also && end > begin {
			sum += end - begin
		}
	}
	return sum
}

// dotsDrawn is how many points of one drawing are links, the newest; older ones are left out, and the page says so.
const dotsDrawn = 150

func (s *sheet) drawnValvesPage() error {
	s.begin("in drawings", "list", step{pageDrawings, "in drawings"}, step{"", "valves by their hours"})
	s.m("<h1>In drawings: valves by their hours</h1>")
	s.drawingWays(pageDrawnValves)
	s.legend("")
	s.shareOfLeft("opening", "Opening pressure as found, in per cent of how it was left", false, s.openingShares())
	s.shareOfLeft("leak", "Leak-down as found, in per cent of how it was left", true, s.leakShares())
	return s.end(pageDrawnValves, s.footShort)
}

func (s *sheet) drawnStrokesPage() error {
	s.begin("in drawings", "list", step{pageDrawings, "in drawings"}, step{"", "strokes"})
	s.m("<h1>In drawings: strokes</h1>")
	s.drawingWays(pageDrawnStroke)
	s.strokes()
	return s.end(pageDrawnStroke, s.footShort)
}

// share is a value as found in per cent of the same valve's as left.
type share struct {
	o              *logbook.Overhaul
	hours, percent float64
	class          logbook.Class
	words          string
}

func (s *site) openingShares() []share {
	var all []share
	for _, sh := range s.causes().Shifts {
		left := sh.Found.Float() - sh.Bar
		if sh.Hours > 0 && left > 0 {
			all = append(all, share{sh.Overhaul, sh.Hours, 100 * sh.Found.Float() / left, sh.Left.Class, sh.Found.String() + ", left at " + sh.Left.Opening.String()})
		}
	}
	return all
}

func (s *site) leakShares() []share {
	var all []share
	for _, l := range s.causes().LeakChanges() {
		if st := s.lives.ClosedBy(l.Overhaul); st != nil && st.HoursKnown && st.Hours > 0 && l.Left > 0 {
			all = append(all, share{l.Overhaul, st.Hours, l.Share(), s.lives.ClassOf(l.Before), fixed(l.Found, 1) + " s, left at " + fixed(l.Left, 1) + " s at the same oil"})
		}
	}
	return all
}

// labelled is how many points of a drawing bear the name of their holder: the lowest.
const labelled = 6

// lowest are the indexes of the lowest shares.
func lowest(all []share) map[int]bool {
	order := make([]int, len(all))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(all[a].percent, all[b].percent) })
	named := map[int]bool{}
	for _, i := range order[:min(labelled, len(order))] {
		named[i] = true
	}
	return named
}

// shareOfLeft draws shares over the hours in service.
func (s *sheet) shareOfLeft(id markup, title string, log bool, all []share) {
	s.m(`<section id="`, id, `"><h2>`).t(title).m("</h2>")
	left := len(all) - dotsDrawn
	all = all[max(0, left):]
	p := plot{title: title + ", over the hours in service", unit: "%", xUnit: "h in service", log: log, lines: []stepLine{{"as left", [][2]float64{{0, 100}}}}}
	named := lowest(all)
	for i, x := range all {
		label := ""
		if named[i] {
			label = x.o.Holder.Written
		}
		p.dots = append(p.dots, dot{label: label, x: x.hours, y: x.percent, found: true, shape: shapeOf(x.class), to: s.pages.overhaul[x.o], words: x.o.Holder.Written + ", " + x.o.Day().String() + ": " + fixed(x.percent, 0) + " %, " + x.words})
	}
	if left > 0 {
		p.after = fmt.Sprintf("The newest %d; %d older ones are left out.", dotsDrawn, left)
	}
	s.plotWithTable(p, func() {
		s.table("list", "hours in service", "valves", "lowest", "middle half", "highest")
		lower := 0.0
		for _, upper := range append(slices.Clone(ageSteps), 1e12) {
			var values []float64
			for _, x := range all {
				if x.hours > lower && x.hours <= upper {
					values = append(values, x.percent)
				}
			}
			if len(values) > 0 {
				words := "over " + grouped(int(lower))
				if upper < 1e12 {
					words = grouped(int(lower)) + " to " + grouped(int(upper))
				}
				s.m(`<tr><th scope="row">`).t(words).m(`</th><td class="n">`).i(len(values)).m(`</td><td class="n">`).t(fixed(quantile(values, 0), 0)).m(` %</td><td class="n">`).t(fixed(quantile(values, 0.25), 0) + " to " + fixed(quantile(values, 0.75), 0)).m(` %</td><td class="n">`).t(fixed(quantile(values, 1), 0)).m(" %</td></tr>")
			}
			lower = upper
		}
		s.m("</tbody></table></div>")
	})
	s.m("</section>")
}

// strokes draws the effective stroke over the hours of each nozzle, a line a nozzle, broken where it was ground or lapped.
func (s *sheet) strokes() {
	const title = "Effective stroke over the hours of the nozzle"
	s.m(`<section id="strokes"><h2>`, title, `</h2>`)
	p := plot{title: title + ", a line a nozzle", unit: "mm", xUnit: "h of the nozzle"}
	type at struct {
		o        *logbook.Overhaul
		hours, v float64
		words    string
		beyond   bool
	}
	by := map[string][]at{}
	for _, o := range s.Book.Overhauls {
		v := s.valued(o, effectiveStroke.found)
		h, known := s.lives.NozzleHours(o.Nozzle.Found.Written, o.Removed.Date.Day)
		if v != nil && known && o.Removed.Stated() {
			by[o.Nozzle.Found.Written] = append(by[o.Nozzle.Found.Written], at{o, h, v.Value.Float(), v.Value.String(), v.Result.Out()})
		}
	}
	var all []at
	for _, n := range s.lives.Nozzles() {
		list := by[n]
		for i, a := range list {
			all = append(all, a)
			if i > 0 && !list[i-1].o.Decided.Nozzle.Is("grind", "lap") {
				p.lives = append(p.lives, [4]float64{list[i-1].hours, list[i-1].v, a.hours, a.v})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b at) int { return int(a.o.Day()) - int(b.o.Day()) })
	if left := len(all) - dotsDrawn; left > 0 {
		p.after = fmt.Sprintf("The newest %d as points and in the table; %d older ones are in the lines alone, and on the page of each nozzle.", dotsDrawn, left)
		all = all[left:]
	}
	since := logbook.Day(0) // nozzles with an older last reading are not listed
	if len(all) > 0 && len(all) == dotsDrawn {
		since = all[0].o.Day()
	}
	for _, a := range all {
		p.dots = append(p.dots, dot{x: a.hours, y: a.v, found: true, beyond: a.beyond, to: s.pages.overhaul[a.o].at(keyID(effectiveStroke.found)), words: cmp.Or(a.o.Nozzle.Found.Written, "a nozzle") + " in " + cmp.Or(a.o.Holder.Written, "a holder without a serial") + ", " + a.o.Day().String() + ": " + a.words})
	}
	seen := map[string]bool{}
	for _, e := range s.Book.Vessel.Engines {
		l := s.Book.LimitsOf(e.ID.Written)
		if l == nil || seen[e.Limits.Written] {
			continue
		}
		seen[e.Limits.Written] = true
		if in, ok := l.On(s.today); ok && in.Effective.Max.Quantity.Valid() {
			p.lines = append(p.lines, stepLine{"largest, " + e.Limits.Written, [][2]float64{{0, in.Effective.Max.Float()}}})
		}
	}
	s.plotWithTable(p, func() {
		s.table("list", "nozzle", "readings", "first", "at", "last", "at")
		for _, n := range s.lives.Nozzles() {
			if list := by[n]; len(list) > 0 && list[len(list)-1].o.Day() >= since {
				a, b := list[0], list[len(list)-1]
				s.m(`<tr><th scope="row">`).a(s.pages.nozzle[n], n).m(`</th><td class="n">`).i(len(list)).m(`</td><td class="n">`).t(a.words).m(`</td><td class="n">`).t(hours(a.hours)).m(`</td><td class="n">`).t(b.words).m(`</td><td class="n">`).t(hours(b.hours)).m("</td></tr>")
			}
		}
		s.m("</tbody></table></div>")
	})
	s.m("</section>")
}

// barsOnPage is about how many service lives are drawn on one page of who sat where.
const barsOnPage = 200

// engineRows are cylinders of one engine, a row each.
type engineRows struct {
	engine string
	rows   []logbook.Position
}

// whereDrawn parts the cylinders of all engines over pages, at least one, so that each draws about as much.
func (s *site) whereDrawn(positions []logbook.Position) [][]engineRows {
	pages := [][]engineRows{nil}
	bars := 0
	for _, e := range s.Book.Vessel.Engines {
		rows := engineRows{engine: e.ID.Written}
		for _, p := range positions {
			if p.Engine != rows.engine {
				continue
			}
			n := 0
			for _, st := range s.lives.InPosition(p) {
				if cmp.Or(st.To, s.today) >= s.matrixFrom() {
					n++
				}
			}
			if bars += n; bars > barsOnPage && bars > n {
				if len(rows.rows) > 0 {
					pages[len(pages)-1] = append(pages[len(pages)-1], rows)
				}
				pages, rows.rows, bars = append(pages, nil), nil, n
			}
			rows.rows = append(rows.rows, p)
		}
		pages[len(pages)-1] = append(pages[len(pages)-1], rows)
	}
	return pages
}

// firstFitted is the first day on which a valve of a list was fitted; 0 where no such day is known.
func firstFitted(stays []*logbook.Stay) logbook.Day {
	for _, st := range stays {
		if st.From != 0 {
			return st.From
		}
	}
	return 0
}

// matrixFrom is the first day that the matrix may show.
func (s *site) matrixFrom() logbook.Day {
	return logbook.NewDay(s.today.Time().Year()-matrixYears, 1, 1)
}

func (s *sheet) drawnWherePage(page int) error {
	s.begin("in drawings", "list", step{pageDrawings, "in drawings"}, step{"", "who sat where"})
	s.m("<h1>In drawings: who sat where</h1>")
	s.drawingWays(pageDrawnWhere)
	s.m(`<p class="lead">A row a cylinder over the years, a bar a valve with its holder. A notch marks a valve that was pulled for a symptom; a heavy bar one that came out with a nozzle that nothing else on record explains. A holder that takes its fault along shows in more than one row; a fault of a cylinder stays in its own.</p>`)
	all := s.whereDrawn(s.pages.positions)
	name := func(i int) string {
		if len(all[i]) == 0 || len(all[i][0].rows) == 0 {
			return "–"
		}
		return "from " + all[i][0].rows[0].String() + " on"
	}
	s.pager(s.pages.where, page, name)
	for _, e := range all[page] {
		s.matrix(e.engine, e.rows)
	}
	s.pager(s.pages.where, page, name)
	return s.end(s.pages.where[page], s.footShort)
}

// matrixYears is how many years the matrix goes back.
const matrixYears = 6

// matrix draws the stays of the cylinders of an engine over time.
func (s *sheet) matrix(engine string, rows []logbook.Position) {
	rejected := map[*logbook.Overhaul]bool{}
	for _, r := range s.causes().Rejections {
		if r.Renewed && !r.LifeOver && r.Explained == "" {
			rejected[r.Overhaul] = true
		}
	}
	var first logbook.Day
	for _, p := range rows {
		if from := firstFitted(s.lives.InPosition(p)); from != 0 && (first == 0 || from < first) {
			first = from
		}
	}
	s.m(`<section><h2>`).t(engine).m("</h2>")
	if first == 0 {
		s.quietLine("No valve is booked into this engine.")
		s.m("</section>")
		return
	}
	from := max(first, s.matrixFrom())
	const left, right, row = 40.0, 928.0, 26
	x := axis{low: float64(from), high: float64(max(s.today, from+1)), from: left, to: right}
	height := len(rows)*row + 26
	s.drawn++
	id := markup("d" + strconv.Itoa(s.drawn))
	s.m(`<figure><figcaption>valves of `).t(engine).m(` by cylinder and time</figcaption><div class="wide" tabindex="0"><svg class="matrix" viewBox="0 0 932 `).i(height).m(`"><g role="img" aria-labelledby="`, id, `t"><title id="`, id, `t">valves of `).t(engine).m(` by cylinder and time; each cylinder's page lists them</title><path class="hair" d="`)
	for y := from.Time().Year(); y <= s.today.Time().Year(); y++ {
		if d := logbook.NewDay(y, 1, 1); d >= from {
			s.m("M").f(x.at(float64(d))).m(" 4V").i(height - 18)
		}
	}
	s.m(`"/>`)
	for y := from.Time().Year(); y <= s.today.Time().Year(); y++ {
		if d := max(logbook.NewDay(y, 1, 1), from); x.at(float64(d)) < right-30 {
			s.m(`<text x="`).f(x.at(float64(d)) + 2).m(`" y="`).i(height - 6).m(`">`).i(y).m("</text>")
		}
	}
	for i, p := range rows {
		s.m(`<text class="y" x="34" y="`).i(i*row + 20).m(`">`).t(clippedTo(p.Cylinder, 5)).m("</text>")
	}
	s.m("</g>")
	for i, p := range rows {
		for _, st := range s.lives.InPosition(p) {
			end := cmp.Or(st.To, s.today)
			if end < from {
				continue
			}
			to := s.pages.holder[st.Holder]
			class := markup("bar")
			if st.Closed != nil {
				to = s.pages.overhaul[st.Closed]
				if rejected[st.Closed] {
					class = "bar heavy"
				}
			}
			if to == "" {
				continue
			}
			a, b := x.at(float64(max(st.From, from))), x.at(float64(end))
			s.m(`<a href="`, markup(to), `"><title>`).t(p.String()+": "+st.Holder+" with "+orDash(st.Nozzle)+", "+st.From.String()+" to "+st.To.String()).m(`</title><rect class="`, class, `" x="`).f(a).m(`" y="`).i(i*row + 6).m(`" width="`).f(max(b-a, 1.5)).m(`" height="20"/>`)
			if st.Closed != nil && st.Closed.Removed.Reason.Is("symptom") {
				s.m(`<path class="notch" d="M`).f(b).m(" ").i(i*row + 6).m(`l-6 10 6 10z"/>`)
			}
			if b-a > textWidth(st.Holder, 12.5)+6 {
				s.m(`<text class="lab" x="`).f(a + 4).m(`" y="`).i(i*row + 20).m(`">`).t(st.Holder).m("</text>")
			}
			s.m("</a>")
		}
	}
	s.m("</svg></div></figure></section>")
}
