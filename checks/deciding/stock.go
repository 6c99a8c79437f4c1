package deciding

import (
	"strings"

	"needlebook/logbook"
)

// Supply is what the stores say of a part, or of the work of a workshop, up to a day.
type Supply struct {
	Price    string // price of one as written; empty where not known
	LeadDays string // days from order to the ship as written; empty where not known
	Counted  bool   // the stores list it at all
	OnBoard  int    // pieces on board by the movements booked
	OnOrder  int    // pieces said to be on order last; 0 where none is said
	Due      string // when those are expected, as written; empty where not said
}

// supply adds up the movements that concern something, up to the day of the work.
func (w *work) supply(concerns func(logbook.StockMove) bool) Supply {
	var s Supply
	for _, m := range w.stock {
		if m.Date.Day == 0 || m.Date.Day > w.day || !concerns(m) {
			continue
		}
		s.Counted = true
		if m.Change.Valid {
			s.OnBoard += m.Change.Int()
			if m.Change.Value > 0 { // what has come is no longer on order
				s.OnOrder = max(0, s.OnOrder-m.Change.Int())
			}
		}
		if m.OnOrder.Valid {
			s.OnOrder, s.Due = m.OnOrder.Int(), m.Due.Written
		}
		if m.Price.Valid {
			s.Price = m.Price.Written
		}
		if m.LeadDays.Valid {
			s.LeadDays = m.LeadDays.Written
		}
	}
	return s
}

// partNo is the part number of a serial, from its own file or the stores; empty where neither states it.
func (w *work) partNo(serial string) string {
	if p := w.book.Part("nozzle", serial); p != nil && p.PartNo.Stated() {
		return p.PartNo.Written
	}
	for _, m := range w.stock {
		if m.Serial.Written == serial && serial != "" && m.PartNo.Stated() {
			return m.PartNo.Written
		}
	}
	return ""
}

// isPart says that a movement is of the same part: the same part number, or where none is known the plain name.
func isPart(m logbook.StockMove, part, partNo string) bool {
	if regrind(m) {
		return false
	}
	if partNo != "" && m.PartNo.Stated() {
		return m.PartNo.Written == partNo
	}
	return strings.EqualFold(strings.TrimSpace(m.Item.Written), part)
}

// regrind says that a line is not a part but the price of grinding one: "regrind nozzle".
func regrind(m logbook.StockMove) bool {
	return strings.Contains(strings.ToLower(m.Item.Written), "regrind")
}

// regrindOf says that a line is the price of grinding this kind of part.
func regrindOf(m logbook.StockMove, part, partNo string) bool {
	if !regrind(m) {
		return false
	}
	if partNo != "" && m.PartNo.Stated() {
		return m.PartNo.Written == partNo
	}
	other := map[string]string{"nozzle": "holder", "holder": "nozzle"}[part]
	return !strings.Contains(strings.ToLower(m.Item.Written), other)
}
