package invent

import (
	"fmt"
	"slices"
	"strings"
)

// ledger is stores/stock.csv as it grows.
type ledger struct {
	rows  []stockRow
	left  map[string]int
	maker string // letters of part numbers
}

type stockRow struct {
	day                day
	item, serial, note string
	change             int
}

func newLedger(w *world) *ledger {
	l := &ledger{left: map[string]int{}, maker: strings.ToUpper(w.manual.kind)}
	for _, item := range []string{"seal kit", "pocket ring"} {
		l.add(w.first, item, "", 60, "counted")
	}
	return l
}

func (l *ledger) add(d day, item, serial string, change int, note string) {
	l.rows = append(l.rows, stockRow{d, item, serial, note, change})
	l.left[item] += change
}

// take books one of an item out, and the next delivery where few are left.
func (l *ledger) take(d day, item string) {
	l.add(d, item, "", -1, "")
	if l.left[item] < 30 {
		l.add(d, item, "", 60, "received")
	}
}

func (l *ledger) table() string {
	rows := slices.Clone(l.rows)
	slices.SortStableFunc(rows, func(a, b stockRow) int {
		if a.day != b.day {
			return int(a.day - b.day)
		}
		return b.change - a.change // what came that day was there to be used
	})
	var b strings.Builder
	b.WriteString("date,item,part_no,serial,change,lead_days,note\n")
	for _, r := range rows {
		no := map[string]string{"nozzle": "03", "seal kit": "80", "pocket ring": "71", "spare holder": "01"}[r.item]
		lead := ""
		if r.item == "nozzle" && r.change > 0 {
			lead = "60"
		}
		fmt.Fprintf(&b, "%s,%s,%s-%s,%s,%d,%s,%s\n", r.day, r.item, l.maker, no, r.serial, r.change, lead, r.note)
	}
	return b.String()
}

// receive brings a new nozzle into store.
func (w *world) receive(n *nozzle, d day) {
	n.onBoard, n.received = true, d
	n.firstLift = w.manual.length.read(n.lift)
	w.shelf = append(w.shelf, n)
	w.stock.add(d, "nozzle", n.serial, 1, "")
}

// take brings a new nozzle out of store, and orders more in time.
func (w *world) take(d day) *nozzle {
	n := w.shelf[0]
	w.shelf = w.shelf[1:]
	w.stock.add(d, "nozzle", n.serial, -1, "")
	if least := w.leastNozzles(); len(w.shelf) < least {
		for range least {
			w.receive(w.newNozzle(), d)
		}
	}
	return n
}

// leastNozzles is how many a careful ship keeps: what may be due in a lead time, and some more.
func (w *world) leastNozzles() int {
	positions := 0
	for _, e := range w.engines {
		positions += len(e.at)
	}
	return 6 + positions/2
}

// bunker is one delivery of fuel.
type bunker struct {
	stem     string
	from, to day
	grade    string
	alSi     int
}

// fuelOn is the fuel in use on a day.
func (w *world) fuelOn(d day) bunker {
	for len(w.fuels) == 0 || w.fuels[len(w.fuels)-1].to < d {
		from := w.first - w.days(5, 40)
		if n := len(w.fuels); n > 0 {
			from = w.fuels[n-1].to + 1
		}
		grade := "low-sulphur residual blend"
		if w.seed%4 == 0 {
			grade = "gas oil"
		}
		w.fuels = append(w.fuels, bunker{pick(w.Rand, "Tern", "Gull", "Skua", "Petrel", "Dunlin", "Knot") + " " + pick(w.Rand,
			"Roads", "Quay", "Haven", "Strand", "Reach"), from, from + w.days(30, 80), grade, 5 + w.IntN(35)})
	}
	for _, b := range w.fuels {
		if d <= b.to {
			return b
		}
	}
	return w.fuels[len(w.fuels)-1]
}

func (w *world) bunkers() string {
	var b strings.Builder
	b.WriteString("stem,received,in_use_from,in_use_to,grade,al_si_mg_kg,viscosity,note\n")
	for i, f := range w.fuels {
		if f.from > w.last {
			break
		}
		to := f.to.String()
		if f.to > w.last {
			to = ""
		}
		viscosity := 120 + i%7*30
		if f.grade == "gas oil" {
			viscosity = 4
		}
		fmt.Fprintf(&b, "%s,%s,%s,%s,%s,%d,%d,\n", f.stem, f.from-4, f.from, to, f.grade, f.alSi, viscosity)
	}
	return b.String()
}

// loadOn is the load of the engines on a day: the voyage sets it, and days near one another are alike.
func (w *world) loadOn(d day) int {
	load := 79 + int(w.seed%7)
	if w.slow {
		load = 52
	}
	return load + w.IntN(3)
}

// logRun writes the running data of the cylinders down every other week, and every day while one of them is unwell.
func (w *world) logRun(e *engine, d day) {
	every := day(14)
	switch {
	case w.wanted > large:
		return
	case w.wanted > 200:
		every = 60
	}
	n := len(e.total)
	if n < 2 || e.total[n-1] == e.total[n-2] || d <= e.worked {
		return
	}
	b := w.runs[e.id]
	if b == nil {
		b = &strings.Builder{}
		b.WriteString("date,load_pct,fuel,cylinder,exhaust_c,exhaust_dev_k,pmax_bar,pmax_dev_bar\n")
		w.runs[e.id] = b
	}
	load := w.loadOn(d)
	for _, p := range e.at {
		sick := p.ill != "" && p.ill != "nothing"
		if (d-w.first)%every != 0 && !sick {
			continue
		}
		dev, pmax := p.habit+w.about(0, 3), w.about(0, 0.8)
		if sick {
			dev, pmax = dev+w.between(26, 38), pmax-w.between(2, 6)
		}
		fmt.Fprintf(b, "%s,%d,%s,%s,%.0f,%.0f,%.0f,%.0f\n", d, load, w.fuelOn(d).grade, p.name, 350+dev, dev, 142+pmax, pmax)
	}
}
