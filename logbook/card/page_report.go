package card

import (
	_ "embed"
	"io"
	"strconv"

	"needlebook/logbook/hypertext"
)

//go:embed report.css
var reportStyle hypertext.Markup

// reported is a report laid out.
type reported struct {
	*Report
	Standing    string
	Size        float64 // of the letters, in points
	Found, Left []column
}

func (r *reported) write(w io.Writer) error {
	p := &paper{}
	p.open("en", reportStyle, "Report of round ", cut(r.Round))
	p.M("<div class=\"side\">\n<header><div><h1>Valve round ").T(cut(r.Round)).M(`</h1><p>`).
		T(cut(r.Vessel) + " · " + cut(r.Engine) + " · " + r.When).M("</p></div>\n<div class=\"right\">")
	if r.Job != "" {
		p.M(`<p><b>`).T(cut(r.Job)).M(`</b></p>`)
	}
	p.M(`<p>limits: `).T(cut(r.Limits)).M("</p></div></header>\n<div class=\"body\" style=\"font-size: ").
		V(strconv.FormatFloat(r.Size, 'f', 2, 64)).M("pt\">")
	r.table(p)
	p.M("\n<div class=\"columns\"><div><h2>Deviations</h2>")
	p.each(`<p>`, r.Deviations, `</p>`)
	p.M("</div>\n<div><h2>Parts used</h2>")
	p.each(`<p>`, r.Parts, `</p>`)
	p.M(`<h2>Calibrations</h2>`)
	p.each(`<p>`, r.Calibrations, `</p>`)
	p.M(`<h2>Signatures</h2>`)
	p.each(`<p>`, r.Signatures, `</p>`)
	p.M("</div></div></div>\n<p class=\"ink\">chief engineer<u></u>superintendent<u></u>surveyor<u></u></p>\n",
		`<footer><p>A value without a word beside it is within its limit. `).T(r.State).M(`</p><p>`).T(r.Standing).
		M("</p></footer>\n</div>\n")
	return p.shut(w)
}

// table is a row for each valve.
func (r *reported) table(p *paper) {
	p.M("<table>\n",
		`<tr><th rowspan="2">cyl.</th><th rowspan="2">out: holder / nozzle</th><th rowspan="2">ran</th><th colspan="`).
		I(len(r.Found)).M(`">as found</th><th rowspan="2">decided</th><th colspan="`).I(len(r.Left)).
		M(`">as left</th><th rowspan="2">now</th><th rowspan="2">in: holder / nozzle</th></tr>`, "\n<tr>")
	for _, columns := range [][]column{r.Found, r.Left} {
		for _, c := range columns {
			p.M(`<th>`).T(c.Name)
			if c.Limit != "" {
				p.M(`<small>`).T(c.Limit).M(`</small>`)
			}
			p.M(`</th>`)
		}
	}
	p.M("</tr>\n")
	for _, v := range r.Valves {
		p.M(`<tr><td>`).T(cut(v.Cylinder)).M(`</td>`)
		p.stacked(v.Out)
		p.M(`<td>`).T(v.Ran).M(`</td>`)
		p.values(v.Found, r.Found)
		p.M(`<td>`).T(cut(v.Decided)).M(`</td>`)
		p.values(v.Left, r.Left)
		p.M(`<td>`).T(cut(v.To)).M(`</td>`)
		p.stacked(v.In)
		p.M("</tr>\n")
	}
	p.M(`</table>`)
}

// stacked is a cell of several lines.
func (p *paper) stacked(lines []string) {
	p.M(`<td>`)
	for i, line := range lines {
		p.If(i > 0, `<br>`).T(cut(line))
	}
	p.M(`</td>`)
}

// values are the cells of a test: each with its verdict, and with its limit where that is not the same for all.
func (p *paper) values(all []Value, columns []column) {
	for i, v := range all {
		text := v.Text
		if v.Why != "" {
			text += " (" + v.Why + ")"
		}
		p.M(`<td>`).T(cut(text))
		if v.Verdict != "" && v.Verdict != v.Text {
			p.M(` <b>`).T(v.Verdict).M(`</b>`)
		}
		if columns[i].Each {
			p.M(`<small>`).T(v.Limit).M(`</small>`)
		}
		p.M(`</td>`)
	}
}
