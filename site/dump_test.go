package site

import (
	"fmt"
	"strings"
	"testing"

	"needlebook/site/page"
)

// dump writes what a page says line by line, without its looks: a link as [words](page), words of a style as {style words}, a mark as <mark>,
// a chart with its values. It is for golden files, to be read by who changes a page.
type dump struct {
	b     strings.Builder
	depth int
}

// The names of styles and marks, in their order in package page.
var (
	styleNames = strings.Fields("Plain Bold Strong Code Digest Struck Italic Small Quoting More Loud Quiet Source By " +
		"Day Arrow Also Where Aside Here OneOf How Commit NewLine Graded Judged Lead Standing Alarm Tally " +
		"Again Yield Groups Sources Cautions Month RemarksOf LinesOf Look Beside Charts Pictures FullFoot Whole Back")
	markNames = strings.Fields("NoMark StrokeBroken StrokeOne StrokeTwo StrokeThree GradeStop GradeAction GradeAdvice GradeNote " +
		"Within WithinDoubt BeyondDoubt Beyond NotMeasured NotProven NoVerdict")
)

func dumpOf(p *page.Page) string {
	d := &dump{}
	d.line("%s: %s (%s)%s", p.Name, p.Title, p.Kind, map[bool]string{true: ", with every caution"}[p.Full])
	for _, s := range p.Way {
		d.line("/ [%s](%s)", s.Text, s.To)
	}
	d.line("# %s", p.Head)
	d.blocks(p.Blocks)
	return d.b.String()
}

func (d *dump) line(format string, args ...any) {
	text := strings.TrimRight(fmt.Sprintf(format, args...), " \n")
	d.b.WriteString(strings.Repeat("  ", d.depth) + strings.ReplaceAll(text, "\n", "\\n") + "\n")
}

func text(t page.Text) string {
	var b strings.Builder
	for _, s := range t {
		in := s.Words + text(s.In)
		if s.Mark != page.NoMark {
			in = "<" + markNames[s.Mark] + ">" + in
		}
		switch {
		case s.To != "":
			in = "[" + in + "](" + string(s.To) + ")"
		case s.Style != page.Plain:
			in = "{" + styleNames[s.Style] + " " + in + "}"
		}
		b.WriteString(in)
	}
	return b.String()
}

func (d *dump) within(blocks []page.Block) {
	d.depth++
	d.blocks(blocks)
	d.depth--
}

func (d *dump) blocks(all []page.Block) {
	for _, b := range all {
		d.block(b)
	}
}

func (d *dump) block(b page.Block) {
	switch b := b.(type) {
	case *page.Section:
		d.line("## %s #%s #%s (%s)", text(b.Title), b.ID, b.TitleID, styleNames[b.Style])
		d.within(b.Blocks)
	case page.Para:
		d.line("(%s) %s #%s", styleNames[b.Style], text(b.Text), b.ID)
	case page.Heading:
		d.line("### %s", text(b.Text))
	case page.List:
		for _, i := range b.Items {
			d.line("- (%s, %s) %s %s", styleNames[b.Style], styleNames[i.Style], i.Day, text(i.Text))
			d.within(i.Blocks)
		}
	case page.Terms:
		for _, t := range b.Terms {
			d.line("%s: %s", text(t.Name), text(t.Says))
		}
	case page.Figures:
		for _, f := range b {
			d.line("%s = %s (%s)", f.Name, text(f.Value), text(f.Small))
		}
	case page.Fold:
		d.line("+ %s", text(b.Summary))
		d.within(b.Blocks)
	case *page.Box:
		d.line("[] (%s)", styleNames[b.Style])
		d.within(b.Blocks)
	case page.Findings:
		for _, f := range b {
			// What a check says is held by the golden list of the checks.
			d.line("! <%s> %s: says %t, what to do %t; %s; %s", markNames[f.Grade], text(f.Whose), f.Message != "", f.Next != "",
				text(f.Stands), text(f.Rests))
			for _, r := range f.Related {
				d.line("    %s", text(r))
			}
		}
	case page.Fields:
		for _, g := range b {
			d.line("= %s: %s", g.Name, text(g.Instead))
			for _, e := range g.Entries {
				d.line("    %s: %s", text(e.Name), text(e.Says))
			}
		}
	case *page.Table:
		d.table(b)
	case page.Lines:
		d.line("%d lines of the file", len(b))
	case *page.Charted:
		d.line("chart %s (over %t, wide %t)", b.Caption, b.Over, b.Wide)
		if b.Chart != nil {
			d.within([]page.Block{b.Chart})
		}
		d.within(b.Blocks)
	case *page.Plot:
		d.line("%+v", *b)
	default:
		d.line("%T %+v", b, b)
	}
}

func (d *dump) table(t *page.Table) {
	var cells []string
	for _, c := range t.Columns {
		cells = append(cells, text(c))
	}
	d.line("| %s | (%d)", strings.Join(cells, " | "), t.Kind)
	for _, r := range t.Rows {
		cells = nil
		for _, c := range r.Cells {
			cells = append(cells, fmt.Sprintf("%d%s %s", c.Kind, map[bool]string{true: "+"}[c.Wide > 1], text(c.Text)))
		}
		d.line("| %s | #%s (%d)", strings.Join(cells, " | "), r.ID, r.State)
		for _, c := range r.Cells {
			d.within(c.Blocks)
		}
	}
}

// TestGoldenValues holds what pages of every kind say against what was looked at once.
func TestGoldenValues(t *testing.T) {
	wanted := set("index.html overhaul-2020-07-01-h-1.html cylinder-me1-1.html holder-h-1.html nozzle-n-1.html instrument-pg-1.html " +
		"answers.html round-me1-2020-07-01.html rounds.html audit-trail.html since.html parts.html overhauls.html findings.html files.html file-limits-4t20.html " +
		"due.html stores.html charts.html charts-valves.html charts-lift.html charts-fitting-history.html engine-me1.html behind-2020-07-01-h-1.html sheet-me1-2020-07-01.html")
	s := newSite(vessels(t)["ordinary"], nil)
	for _, j := range s.Jobs() {
		if !wanted[string(j.Page)] {
			continue
		}
		delete(wanted, string(j.Page))
		for _, p := range j.Make() {
			golden(t, strings.TrimSuffix(string(p.Name), ".html")+".txt", dumpOf(p))
		}
	}
	for name := range wanted {
		t.Errorf("there is no page %s", name)
	}
}
