package content

import (
	"iter"
	"strconv"

	"needlebook/logbook"
	"needlebook/site/page"
)

// enginePages are the engines with the page of each, in the order of the book.
func (w *Writer) enginePages() iter.Seq2[string, page.Ref] {
	return func(yield func(string, page.Ref) bool) {
		seen := map[string]bool{}
		for _, e := range w.Book.Vessel.Engines {
			name := e.ID.Written
			if !seen[name] && !yield(name, w.at.Engine[name]) {
				return
			}
			seen[name] = true
		}
	}
}

// cylindersOf are the positions of an engine.
func (w *Writer) cylindersOf(engine string) []logbook.Position {
	var all []logbook.Position
	for _, at := range w.Positions {
		if at.Engine == engine {
			all = append(all, at)
		}
	}
	return all
}

// unexplained are the overhauls that took a nozzle out of use which nothing else on record explains.
func (w *Writer) unexplained() map[*logbook.Overhaul]bool {
	all := map[*logbook.Overhaul]bool{}
	for _, r := range w.Recurring().Rejections {
		if r.Renewed && !r.LifeOver && r.Explained == "" && !r.Unjudged {
			all[r.Overhaul] = true
		}
	}
	return all
}

// bar is a service period on a chart, without its ends.
func (w *Writer) bar(st *logbook.ServicePeriod, n int) page.Bar {
	b := page.Bar{Name: st.Holder, Words: st.Valve(), Page: w.at.Holder[st.Holder],
		Odd: n%2 == 1}
	if st.Closed != nil {
		b.Page, b.Pulled = w.at.Overhaul[st.Closed], st.Closed.Removed.Reason.Is("symptom")
	}
	return b
}

// nozzleUse is a term of time in which nozzles were used.
type nozzleUse struct {
	name     string
	from, to logbook.Day
	renewed  int
	hours    float64 // of all engines
}

// rate is how many were renewed for every 1000 hours; 0 where the hours are not known.
func (u nozzleUse) rate() float64 {
	if u.hours <= 0 {
		return 0
	}
	return float64(u.renewed) / u.hours * 1000
}

// byYear are the years of the book.
func (w *Writer) byYear() []nozzleUse {
	first := w.Today
	for _, o := range w.Book.Overhauls {
		if d := o.Day(); d != 0 {
			first = min(first, d)
		}
	}
	var all []nozzleUse
	for y := first.Time().Year(); y <= w.Today.Time().Year() && first != 0 && len(w.Book.Overhauls) > 0; y++ {
		all = append(all, nozzleUse{name: strconv.Itoa(y), from: logbook.NewDay(y, 1, 1),
			to: min(logbook.NewDay(y, 12, 31), w.Today)})
	}
	return all
}
