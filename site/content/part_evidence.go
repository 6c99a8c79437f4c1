package content

import (
	"fmt"

	"needlebook/logbook"
	"needlebook/logbook/benchlog"
	"needlebook/site/page"
)

// logsOf are the pressure logs of a record: each drawn small, with what was read from it beside what was booked; nil
// for a record that names none.
func (w *Writer) logsOf(o *logbook.Overhaul) page.Block {
	if len(o.Logs) == 0 {
		return nil
	}
	s, charts := page.Under("Pressure logs"), &page.Box{Style: page.Charts} // as found beside as left
	s.TitleID = "logs"
	for i := range o.Logs {
		l := &o.Logs[i]
		r := w.Book.LogOf(o, l)
		switch {
		case r == nil:
			s.Add(page.Para{Text: page.Words(l.Log.Written + ": not in the book")})
		case r.Reading == nil:
			s.Add(page.Para{Text: page.Words("The log " + l.Test.Written + " was not read: " + whyNot(r.Why) + ".")})
		default:
			charts.Add(&page.Charted{Caption: "pressure log " + l.Test.Written, Chart: w.logPlot(o, i, r),
				Blocks: []page.Block{logTable(o.LogTest(l.Test), r.Reading)}})
		}
	}
	if len(charts.Blocks) > 0 {
		s.Add(charts)
	}
	s.Add(page.Para{Style: page.Source,
		Text: page.Words("What was read is a suggestion: the value that was booked is the value.")})
	return s
}

func whyNot(why *benchlog.Refused) string {
	if why == nil {
		return "the file cannot be read"
	}
	return why.Reason.Says()
}

// logPlot draws one log, with the other log of the same record behind it in grey.
func (w *Writer) logPlot(o *logbook.Overhaul, i int, r *logbook.LogReading) *page.Plot {
	read := r.Reading
	c := &page.Plot{Title: "pressure", Unit: "bar", XUnit: "s"}
	for k := range r.Time {
		c.Trend = append(c.Trend, page.XY{r.Time[k], r.Bar[k]})
	}
	for n, x := range read.Openings {
		words := fmt.Sprintf("opening pressure %.1f bar", x.Bar)
		if n == 0 {
			words = "first " + words
		}
		c.Points = append(c.Points, page.Point{X: x.At, Y: x.Bar, Words: words, To: w.at.Line(o.Logs[i].Log.Place)})
	}
	for _, x := range []struct {
		at, bar float64
		words   string
	}{{read.HoldFrom, read.From, "leak-down from"}, {read.HoldTo, read.To, "leak-down to"}} {
		if x.at > 0 {
			c.Lines = append(c.Lines, page.StepLine{Words: fmt.Sprintf("%s %.0f bar", x.words, x.bar),
				Steps: []page.XY{{0, x.bar}, {read.Duration, x.bar}}})
			c.Points = append(c.Points, page.Point{X: x.at, Y: x.bar, Shape: page.Square,
				Words: fmt.Sprintf("%s %.0f bar at %.2f s", x.words, x.bar, x.at), To: w.at.Line(o.Logs[i].Log.Place)})
		}
	}
	for k := range o.Logs {
		if other := w.Book.LogOf(o, &o.Logs[k]); k != i && other != nil && other.Reading != nil {
			c.OthersAre = "the log " + o.Logs[k].Test.Written
			for j := range other.Time {
				c.Others = append(c.Others, page.XY{other.Time[j], other.Bar[j]})
			}
		}
	}
	if c.Empty() { // nothing was read in it: the curve alone
		for k := range r.Time {
			c.Small = append(c.Small, page.XY{r.Time[k], r.Bar[k]})
		}
	}
	return c
}

// logTable is what was read from a log, and what was booked.
func logTable(t *logbook.Test, r *benchlog.Reading) *page.Table {
	table := page.NewTable(page.Simple, "what", "read", "booked")
	row := func(name string, v *benchlog.Value, unit string, booked logbook.Leaf) {
		read := v.Text(unit)
		if v.Why != nil {
			read = "not read: " + v.Why.Reason.Says()
		}
		table.Row(page.Plainly(name), page.Plainly(read), page.Plainly(page.OrDash(booked.Written)))
	}
	row("first opening pressure", &r.First, "bar", t.FirstOpening.Leaf)
	row("opening pressure", &r.Opening, "bar", t.Opening.Median().Leaf)
	row("ramp", &r.Ramp, "bar/s", logbook.Leaf{})
	row(fmt.Sprintf("leak-down, %.0f to %.0f bar", r.From, r.To), &r.LeakDown, "s", t.LeakDown.Time.Leaf)
	row("zero", &r.Zero, "bar", logbook.Leaf{})
	return table
}

// papersOf are the spray papers of a record with what was read from them; nil for a record that names none.
func (w *Writer) papersOf(o *logbook.Overhaul) page.Block {
	if len(o.Papers) == 0 {
		return nil
	}
	s := page.Under("Spray papers")
	s.TitleID = "papers"
	t := page.NewTable(page.Listed, "test", "open", "missing", "weak", "bent", "not judged", "pattern")
	pictures := &page.Box{Style: page.Pictures}
	for i := range o.Papers {
		p := &o.Papers[i]
		t.Row(page.Plainly(p.Test.Written), page.Plainly(page.OrDash(p.Open.Written)), page.Plainly(holes(p.Missing)),
			page.Plainly(holes(p.Weak)), page.Plainly(holes(p.Bent)), page.Plainly(holes(p.NotJudged)),
			page.Plainly(page.OrDash(p.Form.Written)))
		if p.Photo.Stated() {
			pictures.Add(page.Picture{Path: p.Photo.Written, Words: p.Photo.Written})
		}
	}
	s.Add(t, pictures)
	return s
}

// holes are clock numbers in a list.
func holes(n logbook.Numbers) string {
	text := ""
	for _, h := range n.Each {
		if text != "" {
			text += ", "
		}
		text += h.Written
	}
	return page.OrDash(text)
}
