package look

import "needlebook/site/page"

// tags are what stands round a text of a style.
var tags = map[page.Style][2]markup{
	page.Bold:    {"<b>", "</b>"},
	page.Strong:  {"<strong>", "</strong>"},
	page.Code:    {"<code>", "</code>"},
	page.Digest:  {`<code class="digest">`, "</code>"},
	page.Struck:  {"<del>", "</del>"},
	page.Italic:  {"<i>", "</i>"},
	page.Small:   {"<small>", "</small>"},
	page.Quoting: {"<q>", "</q>"},
	page.Here:    {`<b class="here">`, "</b>"},
	page.More:    {`<span class="more">`, "</span>"},
	page.Loud:    {`<span class="loud">`, "</span>"},
	page.Quiet:   {`<span class="quiet">`, "</span>"},
	page.Source:  {`<span class="src">`, "</span>"},
	page.By:      {`<span class="by">`, "</span>"},
	page.Day:     {`<span class="day">`, "</span>"},
	page.Arrow:   {`<span class="to">`, "</span>"},
	page.Also:    {`<span class="also">`, "</span>"},
	page.Where:   {`<span class="where">`, "</span>"},
	page.OneOf:   {"<span>", "</span>"},
	page.Whole:   {`<span class="whole">`, "</span>"},
	page.Aside:   {`<span class="say-it">`, "</span>"},
}

// classes are the classes of paragraphs, lists, items, sections and boxes.
var classes = map[page.Style]string{
	page.Lead: "lead", page.Source: "src", page.Quiet: "quiet", page.Loud: "loud", page.Standing: "standing",
	page.Alarm: "standing loud",
	page.Tally: "tally", page.Again: "again", page.Yield: "yield", page.Groups: "groups",
	page.Sources:  "sources",
	page.Cautions: "cautions", page.Month: "month", page.RemarksOf: "remarks", page.LinesOf: "text", page.Look: "look",
	page.Beside: "with", page.Charts: "plots", page.Pictures: "pics", page.FullFoot: "full", page.Back: "back",
}

// text appends a text.
func (p *pen) text(t page.Text) *pen {
	for i := range t {
		p.span(&t[i])
	}
	return p
}

func (p *pen) span(s *page.Span) {
	switch s.Style {
	case page.NewLine:
		p.m("<br>")
		return
	case page.Graded:
		p.m(`<span class="grade `, gradeClasses[s.Mark], `">`).mark(s.Mark).inner(s).m("</span>")
		return
	case page.Judged:
		p.m(`<span class="result`, verdictClasses[s.Mark], `">`).mark(s.Mark).inner(s).m("</span>")
		return
	}
	class := ""
	switch s.Style {
	case page.Commit:
		class = "commit"
	case page.How:
		class = "how"
	}
	if s.To != "" {
		p.m("<a").attribute("class", class).attribute("href", string(s.To)).m(">").mark(s.Mark).inner(s).m("</a>")
		return
	}
	tag := tags[s.Style]
	p.m(tag[0]).mark(s.Mark).inner(s).m(tag[1])
}

func (p *pen) inner(s *page.Span) *pen { return p.t(s.Words).text(s.In) }
