// Package stores works out what the stores of a ship hold and what will be needed of it until more can come. It knows
// movements, each nozzle's own age, lead times and running rates; it reports nothing and draws nothing up: the check on
// low stock and the paper of the stores rest on the same reckoning.
//
// Begin with [Count].
package stores

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"needlebook/logbook"
)

// Item is what the stores say of one item by a day, and what will be needed of it.
type Item struct {
	Name, PartNo string
	OnBoard      float64
	OnOrder      float64
	Due          logbook.Date // of the order
	Lead         int          // days; 0 where none is stated
	Nozzle       bool         // nozzles were moved under it by serial
	Types        []string     // of nozzles: the limits files of the engines they are for
	Serials      []string     // loose ones, in the order they came
	Last         *logbook.StockMove
	UsedIn       map[int]float64 // pieces that left the stores, by year
	Need         Need

	ever          []string // every serial that moved
	used, squares float64  // pieces used over the time looked at, and the sum of their squares
}

// Need is what will be used until an order made at the next look can be here.
type Need struct {
	Expected float64
	Minimum  float64 // what should be on board: what is expected, and the book's margin for its spread; whole pieces
	Days     int     // the lead time and the time until the next look
	Life     int     // of nozzles: those that reach their life in that time
	Rejected float64 // of nozzles: those likely to be rejected before
	Unknown  int     // of nozzles: fitted ones whose hours are not known, and that are not counted with those
	Used     float64 // of other items: pieces used in the time looked back on
	Over     float64 // days of that time
	Known    bool    // there is something to reckon from
}

// Short says that less is on board than the minimum, which needs a lead time to be known.
func (i *Item) Short() bool {
	return i.Lead > 0 && i.Need.Known && i.OnBoard < i.Need.Minimum
}

// ToOrder are the pieces missing to the minimum beside those that are on order.
func (i *Item) ToOrder() float64 { return math.Max(0, i.Need.Minimum-i.OnBoard-i.OnOrder) }

// ReviewDays is how often an order is looked at, which the lead time does not cover; use is counted over two years
// where the book is that long. Both are common practice, no source.
const (
	ReviewDays = 30
	useDays    = 730
)

// Count adds up the movements by a day, item by item, and works out what each will need. One part number is one item,
// whatever it is called; where none is stated its name is. Items stand in the order in which they first moved.
func Count(b *logbook.Book, today logbook.Day) []*Item {
	r := &reckoner{b: b, lives: b.Lives(), settings: b.Vessel.Settings.WithDefaults(), today: today}
	r.add()
	for _, it := range r.items {
		if it.Nozzle {
			it.Types = r.types(it)
		}
		it.Need = r.need(it)
	}
	return r.items
}

type reckoner struct {
	b        *logbook.Book
	lives    *logbook.Lives
	settings logbook.Settings
	today    logbook.Day
	items    []*Item
}

func (r *reckoner) add() {
	nozzles := map[string]bool{}
	for _, n := range r.lives.Nozzles() {
		nozzles[n] = true
	}
	for _, p := range r.b.Parts {
		nozzles[p.Number()] = nozzles[p.Number()] || p.Kind.Is("nozzle")
	}
	number := map[string]string{} // by name: the part number it has elsewhere
	moves := make([]*logbook.StockMove, 0, len(r.b.Stock))
	for i := range r.b.Stock {
		m := &r.b.Stock[i]
		moves = append(moves, m)
		if m.PartNo.Stated() {
			number[strings.ToLower(m.Item.Written)] = m.PartNo.Written
		}
	}
	slices.SortStableFunc(moves, func(a, b *logbook.StockMove) int { return cmp.Compare(a.Date.Day, b.Date.Day) })
	by := map[string]*Item{}
	for _, m := range moves {
		if m.Date.Day == 0 || m.Date.Day > r.today || !m.Item.Stated() ||
			strings.Contains(strings.ToLower(m.Item.Written), "regrind") {
			continue
		}
		no := m.PartNo.Written
		if no == "" {
			no = number[strings.ToLower(m.Item.Written)]
		}
		key := cmp.Or(no, strings.ToLower(m.Item.Written))
		it := by[key]
		if it == nil {
			it = &Item{Name: m.Item.Written, PartNo: no, UsedIn: map[int]float64{}}
			by[key], r.items = it, append(r.items, it)
		}
		it.move(m, r.today)
		it.Nozzle = it.Nozzle || m.Serial.Stated() && nozzles[m.Serial.Written] || namesNozzle(m.Item.Written)
	}
}

// namesNozzle says that an item is called a nozzle and nothing else with it: "fuel nozzle" and "nozzle 8x0.30" are,
// "nozzle nut" and "nozzle holder" are not. A new book knows no serial by which to tell.
func namesNozzle(item string) bool {
	words := strings.Fields(strings.ToLower(item))
	is := func(w string) bool { return strings.Trim(w, ".,;:s") == "nozzle" }
	if len(words) == 0 {
		return false
	}
	return is(words[len(words)-1]) || is(words[0]) && strings.ContainsAny(words[1], "0123456789")
}

func (i *Item) move(m *logbook.StockMove, today logbook.Day) {
	change := m.Change.Value
	i.OnBoard += change
	i.Last = m
	if change > 0 {
		i.OnOrder = math.Max(0, i.OnOrder-change)
	}
	if change < 0 && m.Date.Day != 0 {
		i.UsedIn[m.Date.Day.Time().Year()] -= change
		if today.Days(m.Date.Day) < useDays {
			i.used, i.squares = i.used-change, i.squares+change*change
		}
	}
	if m.OnOrder.Valid {
		i.OnOrder, i.Due = m.OnOrder.Value, m.Due
	}
	if m.LeadDays.Valid {
		i.Lead = m.LeadDays.Int()
	}
	if s := m.Serial.Written; s != "" {
		i.ever = append(i.ever, s)
		i.Serials = slices.DeleteFunc(i.Serials, func(x string) bool { return x == s })
		if change > 0 {
			i.Serials = append(i.Serials, s)
		}
	}
}
