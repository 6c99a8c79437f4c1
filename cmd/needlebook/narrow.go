package main

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/checks/paper"
	"needlebook/logbook"
)

// aboutKinds are the things to which a planning table can be narrowed.
var aboutKinds = []logbook.ThingKind{logbook.ThingPosition, logbook.ThingEngine, logbook.ThingHolder,
	logbook.ThingNozzle, logbook.ThingRecord, logbook.ThingRound, logbook.ThingInstrument, logbook.ThingDeferral,
	logbook.ThingDecision, logbook.ThingPerson, logbook.ThingBunker}

// answerAbout is answer, of which only the rows that name one of some things are left; all where none is named.
func (p *program) answerAbout(a *asking, args []string, make func(*opened) (paper.Paper, error)) error {
	return p.answer(a, func(o *opened) (paper.Paper, error) {
		if len(args) == 0 {
			return make(o)
		}
		about, err := p.each(o, args, nil, aboutKinds...)
		if err != nil {
			return paper.Paper{}, err
		}
		made, err := make(o)
		made = narrowed(made, about)
		if a.format == "text" {
			made.Tables = withRows(made.Tables)
		}
		return made, err
	})
}

// takesAbout has a verb take the names of things, and complete them.
func (p *program) takesAbout(c *cobra.Command) {
	c.Use += " [WHAT…]"
	c.Long += `

WHAT keeps to the rows that name a position (ME1-3), an engine, a serial, a
record, a round, an instrument, a deferral, a decision, a person or a bunker.`
	c.Args, c.ValidArgsFunction = cobra.ArbitraryArgs, p.complete(aboutKinds...)
}

// narrowed is a paper with the rows alone that name one of some things.
func narrowed(p paper.Paper, about []logbook.Thing) paper.Paper {
	p.Tables, p.Plots = slices.Clone(p.Tables), nil
	for i := range p.Tables {
		t := &p.Tables[i]
		t.Rows = slices.DeleteFunc(slices.Clone(t.Rows), func(row []paper.Cell) bool {
			return !slices.ContainsFunc(about, func(x logbook.Thing) bool {
				return slices.ContainsFunc(row, func(c paper.Cell) bool { return names(c, x) })
			})
		})
		t.Empty = "nothing of " + namesOf(about, "and")
	}
	return p
}

// withRows are the tables that have a row, or the first one where none has.
func withRows(tables []paper.Table) []paper.Table {
	all := slices.DeleteFunc(slices.Clone(tables), func(t paper.Table) bool { return len(t.Rows) == 0 })
	if len(all) == 0 {
		return tables[:min(1, len(tables))]
	}
	return all
}

// names says that a cell names a thing: by what it leads to, or by a word of it.
func names(c paper.Cell, x logbook.Thing) bool {
	at := c.About.Position
	switch x.Kind {
	case logbook.ThingEngine:
		return at.Engine == x.Name || hasWord(c.Text, func(word string) bool {
			return word == x.Name || strings.HasPrefix(word, x.Name+"-")
		})
	case logbook.ThingPosition:
		if at == x.Position {
			return true
		}
	case logbook.ThingBunker:
		return strings.Contains(c.Text, x.Name)
	case logbook.ThingRound:
		return strings.Contains(c.Text, x.Name)
	}
	return hasWord(c.Text, func(word string) bool { return word == x.Name })
}

// hasWord says that one of the words of a text, as lists part them, is the one that is looked for.
func hasWord(text string, is func(string) bool) bool {
	words := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" ,;()/", r) })
	return slices.ContainsFunc(words, is)
}
