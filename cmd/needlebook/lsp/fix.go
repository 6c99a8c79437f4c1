package lsp

import (
	"slices"

	"needlebook/logbook"
	"needlebook/logbook/edit"
)

// actions offers, for each slip on the lines asked for, the correction that leaves no choice, or what may have been
// meant, and behind them what the checks propose there. A text that somebody has countersigned or reviewed gets none,
// as with fix: its figure is struck through under corrections; an editor that can show why is told. An editor that can
// rename files is offered that too.
func (p *page) actions(within span, can abilities) []action {
	all := p.corrections(within, can.renames)
	if len(all) == 0 || !p.seen() {
		return all
	}
	if !can.reasons {
		return []action{}
	}
	return []action{{Title: all[0].Title, Kind: "quickfix",
		Disabled: &reason{"countersigned or reviewed: the new figure goes under corrections, the old one stays"}}}
}

func (p *page) corrections(within span, renames bool) []action {
	actions := []action{}
	add := func(title string, preferred bool, edit workspaceEdit) {
		if !slices.ContainsFunc(actions, func(x action) bool { return x.Title == title }) {
			actions = append(actions, action{Title: title, Kind: "quickfix", Preferred: preferred, Edit: &edit})
		}
	}
	becomes := func(text []byte) workspaceEdit {
		return workspaceEdit{Changes: map[string][]textEdit{p.s.uri(p.name): {p.difference(string(text))}}}
	}
	asked := func(at logbook.Place) bool {
		n := max(at.Line-1, 0)
		return n >= within.Start.Line && n <= within.End.Line
	}
	src := []byte(p.text)
	slips := logbook.Problems(p.name, src)
	if p.book != nil {
		p.book.ResolveParted(slips)
		p.book.TakeNewer(slips)
	}
	for _, slip := range slips {
		if !asked(slip.Place) {
			continue
		}
		choices := edit.Choices(p.name, src, slip)
		for _, c := range choices {
			// an editor makes a preferred one unasked: never one that takes away
			add(c.String(), len(choices) == 1 && c.Type != "", becomes(c.Text))
		}
	}
	for _, proposed := range p.s.proposed(p.name) {
		switch {
		case !asked(proposed.Place):
		case proposed.Path == "":
			for _, c := range edit.Typed(p.name, src, proposed) {
				add(c.String(), false, becomes(c.Text))
			}
		case renames:
			add(proposed.String(), false, workspaceEdit{Operations: []renameFile{{"rename", p.s.uri(p.name),
				p.s.uri(proposed.Path)}}})
		}
	}
	return actions
}

// seen says that somebody has put his name to having seen the file.
func (p *page) seen() bool {
	if p.book == nil {
		return false
	}
	of := func(s *logbook.Seen) bool { return s.Record.Written == p.name }
	return slices.ContainsFunc(p.book.Countersigned, of) || slices.ContainsFunc(p.book.Reviews, of)
}

// difference is the smallest edit of whole lines that makes the page another text.
func (p *page) difference(text string) textEdit {
	is := textLines(text)
	from := 0
	for from < min(len(p.lines), len(is)) && p.lines[from] == is[from] {
		from++
	}
	to, upto := len(p.lines), len(is)
	for to > from && upto > from && p.lines[to-1] == is[upto-1] {
		to, upto = to-1, upto-1
	}
	eol := "\n"
	if i := slices.Index([]byte(p.text), '\r'); i >= 0 {
		if eol = "\r"; i+1 < len(p.text) && p.text[i+1] == '\n' {
			eol = "\r\n"
		}
	}
	new := ""
	for _, l := range is[from:upto] {
		new += l + eol
	}
	r := span{position{from, 0}, position{to, 0}}
	if to == len(p.lines) { // the last line has no end of its own
		r.End = position{to - 1, units(p.line(to - 1))}
		if upto > from {
			new = new[:len(new)-len(eol)]
		}
		switch {
		case from == to && upto == from: // the same text
			r.Start = r.End
		case from == to: // lines behind the last
			r.Start, new = r.End, eol+new
		case upto == from && from > 0: // the end of the text goes, with the line end before it
			r.Start = position{from - 1, units(p.line(from - 1))}
		}
	}
	return textEdit{r, new}
}
