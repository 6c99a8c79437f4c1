package content

import (
	"cmp"

	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

func (w *Writer) wherePage(i int) *page.Page {
	p := chartPage(w.at.Where[i], address.ChartsWhere, "fitting history")
	pages := pager(w.at.Where, i, func(i int) string {
		rows := w.at.WhereRows[i]
		if len(rows) == 0 || len(rows[0].Rows) == 0 {
			return "–"
		}
		return "from " + rows[0].Rows[0].String() + " on"
	})
	p.Add(lead(page.Words("A row a cylinder over the years, a bar a valve with its holder. A notch marks a valve that "+
		"was pulled for a symptom; a "+
		"heavy bar one that came out with a nozzle that nothing else on record explains. A holder that takes its fault "+
		"along shows in more "+
		"than one row; a fault of a cylinder is in its own row alone.")), pages)
	for _, e := range w.at.WhereRows[i] {
		p.Add(w.matrix(e))
	}
	p.Add(pages)
	return p
}

// matrix are the valves of the cylinders of an engine over time.
func (w *Writer) matrix(e address.EngineRows) page.Block {
	s := page.Under(e.Engine)
	var first logbook.Day
	for _, p := range e.Rows {
		if from := facts.FirstFitted(w.Lives.InPosition(p)); from != 0 && (first == 0 || from < first) {
			first = from
		}
	}
	if first == 0 {
		s.Add(quiet("No valve is booked into this engine."))
		return s
	}
	from := max(first, w.at.MatrixFrom())
	c := page.Matrix{Engine: e.Engine, From: float64(from), Today: float64(w.Today)}
	rejected := w.unexplained()
	for _, p := range e.Rows {
		row := page.BarRow{Name: p.Cylinder}
		for _, st := range w.Lives.InPosition(p) {
			end := cmp.Or(st.To, w.Today)
			if end < from {
				continue
			}
			b := page.Bar{From: float64(max(st.From, from)), To: float64(end), Name: st.Holder, Page: w.at.Holder[st.Holder],
				Words: p.String() + ": " + st.Valve() + ", " + st.From.String() + " to " +
					st.To.String()}
			if o := st.Closed; o != nil {
				b.Page, b.Heavy, b.Pulled = w.at.Overhaul[o], rejected[o], o.Removed.Reason.Is("symptom")
			}
			if b.Page != "" {
				row.Bars = append(row.Bars, b)
			}
		}
		c.Rows = append(c.Rows, row)
	}
	s.Add(&page.Charted{Caption: "valves of " + e.Engine + " by cylinder and time", Wide: true, Chart: c})
	return s
}
