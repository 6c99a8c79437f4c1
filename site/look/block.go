package look

import "needlebook/site/page"

// block appends a part of a page.
func (p *pen) block(b page.Block) {
	switch b := b.(type) {
	case *page.Section:
		p.section(b)
	case page.Para:
		p.m("<p").attribute("id", b.ID).attribute("class", classes[b.Style]).m(">").text(b.Text).m("</p>")
	case page.Heading:
		p.m("<h3>").text(b.Text).m("</h3>")
	case page.Title:
		p.m("<h2>").text(b.Text).m("</h2>")
	case page.List:
		p.list(b)
	case page.Terms:
		p.terms(b)
	case page.Figures:
		p.figures(b)
	case page.Fold:
		p.fold(b)
	case *page.Box:
		p.m("<div").attribute("class", classes[b.Style]).m(">").blocks(b.Blocks).m("</div>")
	case page.Findings:
		p.m(`<ol class="found">`)
		for i := range b {
			p.finding(&b[i])
		}
		p.m("</ol>")
	case page.Fields:
		p.fields(b)
	case page.Article:
		p.m(`<article`).attribute("id", b.ID).m("><h3>").text(b.Title).m("</h3>").blocks(b.Blocks).m("</article>")
	case *page.Table:
		p.table(b)
	case page.Quoted:
		p.m("<pre>").t(b.Text).m("</pre>")
	case page.Lines:
		p.lines(b)
	case page.Remarks:
		p.marks.write(p, b)
	case page.Picture:
		p.picture(b)
	case page.Nav:
		p.nav(b)
	case page.Months:
		p.months(b)
	case page.Plan:
		p.plan(b)
	default:
		p.chart(b)
	}
}

func (p *pen) blocks(all []page.Block) *pen {
	for _, b := range all {
		p.block(b)
	}
	return p
}

func (p *pen) section(s *page.Section) {
	p.m("<section").attribute("class", classes[s.Style]).attribute("id", s.ID).m(">")
	if len(s.Title) > 0 {
		p.m("<h2").attribute("id", s.TitleID).m(">").text(s.Title).m("</h2>")
	}
	p.blocks(s.Blocks).m("</section>")
}

func (p *pen) list(l page.List) {
	open, end := markup("<ul"), markup("</ul>")
	if l.Ordered {
		open, end = "<ol", "</ol>"
	}
	p.m(open).attribute("class", classes[l.Style]).m(">")
	for _, i := range l.Items {
		p.m("<li").attribute("class", classes[i.Style]).attribute("data-day", i.Day).m(">").text(i.Text).blocks(i.Blocks).
			m("</li>")
	}
	p.m(end)
}

func (p *pen) terms(t page.Terms) {
	p.m("<dl")
	if t.Set {
		p.m(` class="terms"`)
	}
	p.m(">")
	for _, one := range t.Terms {
		p.term(one)
	}
	p.m("</dl>")
}

func (p *pen) term(t page.Term) { p.m("<dt>").text(t.Name).m("</dt><dd>").text(t.Says).m("</dd>") }

func (p *pen) figures(all page.Figures) {
	p.m(`<dl class="figures">`)
	for _, f := range all {
		p.m("<div><dt>").t(f.Name).m("</dt><dd>").text(f.Value)
		if len(f.Small) > 0 {
			p.m("<small>").text(f.Small).m("</small>")
		}
		p.m("</dd></div>")
	}
	p.m("</dl>")
}

func (p *pen) fold(f page.Fold) {
	p.m("<details").attribute("class", classes[f.Style]).m("><summary>").text(f.Summary).m("</summary>").blocks(f.Blocks).
		m("</details>")
}

func (p *pen) finding(f *page.Finding) {
	p.m(`<li class="`, gradeClasses[f.Grade])
	if len(f.Whose) > 0 {
		p.m(` parted"><p class="whose">`).text(f.Whose).m("</p><div>")
	} else {
		p.m(`"><div>`)
	}
	p.m(`<p class="say">`).grade(f.Grade).m(" ").t(f.Message).m("</p>")
	if f.Next != "" {
		p.m(`<p class="next">`).t(f.Next).m("</p>")
	}
	if len(f.Stands) > 0 {
		p.m(`<p class="state">`).text(f.Stands).m("</p>")
	}
	p.m(`<p class="src">`).text(f.Rests).m("</p>")
	if n := len(f.Related); n > 0 {
		p.m(`<details class="src"><summary>it rests on `).i(n).m(" places</summary><ul>")
		for _, r := range f.Related {
			p.m("<li>").text(r).m("</li>")
		}
		p.m("</ul></details>")
	}
	p.m("</div></li>")
}

// grade appends a grade: its mark and its word.
func (p *pen) grade(g page.Mark) *pen {
	return p.m(`<span class="grade `, gradeClasses[g], `">`).mark(g).t(page.GradeWord(g)).m("</span>")
}

func (p *pen) fields(all page.Fields) {
	p.m(`<div class="blocks">`)
	for _, g := range all {
		p.m("<div><h3>").t(g.Name).m("</h3>")
		if len(g.Instead) > 0 {
			p.m("<p>").text(g.Instead).m("</p></div>")
			continue
		}
		p.m("<dl>")
		for _, e := range g.Entries {
			p.term(e)
		}
		p.m("</dl></div>")
	}
	p.m("</div>")
}

var tableClasses = [...]markup{page.Simple: "", page.Listed: "list", page.Verdicts: "verdicts",
	page.History: "list commits",
	page.Fleet:   "list fleet", page.Side: "side"}

var rowClasses = [...]string{page.Even: "", page.InWay: "inway", page.Unread: "unread"}

// cellTags are what stands round a cell.
var cellTags = [...]struct {
	open, close markup
	class       string
}{
	page.OfText: {"<td", "</td>", ""}, page.OfHead: {`<th scope="row"`, "</th>", ""},
	page.OfQuantity: {"<td", "</td>", "n"},
	page.OfDate:     {"<td", "</td>", "n"}, page.OfLink: {"<td", "</td>", ""}, page.OfMark: {"<td", "</td>", ""},
	page.OfReason: {"<td", "</td>", "why"}, page.OfAlarm: {"<td", "</td>", "loud"},
}

// table appends a table, which scrolls by itself where the sheet is too narrow for it and becomes a list on a
// telephone.
func (p *pen) table(t *page.Table) {
	p.m(`<div class="wide" tabindex="0"><table class="`, tableClasses[t.Kind], `"><thead><tr>`)
	for _, c := range t.Columns {
		p.m(`<th scope="col">`).text(c).m("</th>")
	}
	p.m("</tr></thead><tbody>")
	for i := range t.Rows {
		r := &t.Rows[i]
		p.m("<tr").attribute("id", r.ID).attribute("class", rowClasses[r.State]).m(">")
		for j := range r.Cells {
			p.cell(&r.Cells[j])
		}
		p.m("</tr>")
	}
	p.m("</tbody></table></div>")
}

func (p *pen) cell(c *page.Cell) {
	tag := &cellTags[c.Kind]
	p.m(tag.open)
	if c.Wide > 1 {
		p.m(` colspan="`).i(c.Wide).m(`"`)
	}
	p.attribute("class", tag.class).m(">").text(c.Text).blocks(c.Blocks).m(tag.close)
}

func (p *pen) lines(all page.Lines) {
	p.m("<pre>")
	for _, l := range all {
		p.m("<span").attribute("id", page.LineID(l.Number))
		if l.Hit {
			p.m(` class="hit"`)
		}
		p.m("><b>").i(l.Number).m("</b>").t(l.Text).m("</span>\n")
	}
	p.m("</pre>")
}

func (p *pen) nav(n page.Nav) {
	switch n.Kind {
	case page.Leaves:
		p.m("<nav").attribute("aria-label", n.Label).m(` class="leaves">`)
	case page.Pager:
		label := n.Label
		if p.paged++; p.paged > 1 {
			label += ", once more"
		}
		p.m(`<nav class="pager"`).attribute("aria-label", label).m(">")
	default:
		p.m(`<nav class="near"`).attribute("aria-label", n.Label).m(">")
	}
	for _, to := range n.To {
		if to.To == "" {
			p.m(`<b aria-current="page">`).t(to.Text).m("</b> ")
			continue
		}
		p.m("<a").attribute("href", string(to.To)).m(">").t(to.Text).m("</a> ")
	}
	p.m("</nav>")
}

// months appends the way to every month; a reader with scripts on picks a day from there.
func (p *pen) months(all page.Months) {
	p.m(`<nav class="months" aria-label="months">`)
	for _, y := range all {
		p.m("<p><b>").i(y.Year).m("</b> ")
		for _, m := range y.Months {
			p.m("<a").attribute("href", string(m.To)).attribute("data-month", m.ID).m(">").t(m.ID[5:]).m("</a> ")
		}
		p.m("</p>")
	}
	p.m("</nav>")
}

// How many cylinders of one bank make a plan long.
const (
	manyBores = 6
	mostBores = 9
)

func (p *pen) plan(l page.Plan) {
	most := 0
	for _, b := range l.Banks {
		most = max(most, len(b.Bores))
	}
	class := "plan"
	switch {
	case most > mostBores:
		class = "plan long"
	case most > manyBores:
		class = "plan middling"
	}
	p.m("<div").attribute("class", class).m(">")
	for _, b := range l.Banks {
		if b.Name != "" {
			p.m(`<p class="bank">bank `).t(b.Name).m("</p>")
		}
		p.m("<ol>")
		for i := range b.Bores {
			p.bore(&b.Bores[i])
		}
		p.m("</ol>")
	}
	p.m("</div>")
}

func (p *pen) bore(b *page.Bore) {
	p.m(`<li class="`, gradeClasses[b.Worst], `"><a class="bore"`).attribute("href", string(b.To))
	p.attribute("aria-label", "cylinder "+b.Cylinder).m(">").t(b.Cylinder).m("</a>")
	if b.Empty {
		p.m(`<p class="valve">no valve booked</p>`).openOn(b).m("</li>")
		return
	}
	p.m(`<p class="valve">`).text(b.Valve).m(`</p><p class="run">`).text(b.Ran).m("</p>")
	if b.Known {
		p.m(`<svg class="span" viewBox="0 0 120 10" preserveAspectRatio="none" aria-hidden="true">`)
		p.m(`<path class="hair" d="M0 5h100"/>`)
		p.m(`<path class="tick" d="M100 0v10"/><path class="ok" d="M0 5h`).f(min(1.15, max(0, b.Share)) * 100).m(`"/></svg>`)
	}
	p.m(`<p class="rest">`).text(b.Rest)
	if len(b.Left) > 0 {
		p.m("<br>").text(b.Left)
	}
	for _, t := range b.More {
		p.m("<br>").text(t)
	}
	p.m("</p>").openOn(b).m("</li>")
}

// openOn appends what is open on a bore.
func (p *pen) openOn(b *page.Bore) *pen {
	p.m(`<p class="worst">`)
	if len(b.Open) == 0 {
		p.m(`<span class="quiet">–<span class="say-it"> nothing is open</span></span>`)
	}
	for i, t := range b.Open {
		if i > 0 {
			p.m("<br>")
		}
		p.text(t)
	}
	return p.m("</p>")
}
