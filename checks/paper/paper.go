// Package paper is the shape of an answer: headed tables with notes, the same whether it is read in the terminal,
// printed, put on a page or taken by another program. It knows how to write them down; it knows no valves, and works
// out nothing.
//
// Begin with [Paper].
package paper

import (
	"strings"

	"needlebook/logbook"
)

// Paper is the answer to one question of planning, relief or survey.
type Paper struct {
	Name   string   // short and fixed, for programs: "due"
	Title  string   // the question in the reader's words
	Lead   []string // what is said before the tables, a sentence each
	Tables []Table  // the main one first
	Plots  []Plot   // drawn after the tables
	Notes  []string // reservations, a sentence each
}

// Table is one table of a paper.
type Table struct {
	Name    string   // short and fixed, for programs: "valves"
	Title   string   // heading
	Columns []string // headings of the columns, with the unit of a bare number
	Rows    [][]Cell // as many cells as columns
	Empty   string   // what is said where there are no rows
}

// Cell is one entry, and what it is about where a page may link to it.
type Cell struct {
	Text  string
	About About
	Each  []Cell // the things that it names one after another, where they are several
	Loud  bool   // to be looked at first
}

// About is what a cell names. At most one field is set.
type About struct {
	Position           logbook.Position
	Holder, Nozzle     string
	Record, Instrument string
	Place              logbook.Place // a line of a file of the book
}

// Text is a cell that names nothing.
func Text(s string) Cell { return Cell{Text: s} }

// At is a cell for a position.
func At(p logbook.Position) Cell { return Cell{Text: p.String(), About: About{Position: p}} }

// Holder is a cell for a holder.
func Holder(serial string) Cell { return Cell{Text: serial, About: About{Holder: serial}} }

// Nozzle is a cell for a nozzle.
func Nozzle(serial string) Cell { return Cell{Text: serial, About: About{Nozzle: serial}} }

// Record is a cell for an overhaul, by its file stem.
func Record(stem string) Cell { return Cell{Text: stem, About: About{Record: stem}} }

// Instrument is a cell for an instrument.
func Instrument(id string) Cell { return Cell{Text: id, About: About{Instrument: id}} }

// Placed is a cell that stands at a line of a file.
func Placed(text string, at logbook.Place) Cell { return Cell{Text: text, About: About{Place: at}} }

// Several is a cell that names several things.
func Several(each ...Cell) Cell {
	names := make([]string, len(each))
	for i, c := range each {
		names[i] = c.Text
	}
	return Cell{Text: strings.Join(names, ", "), Each: each}
}

// Loudly is the cell as one to be looked at first.
func (c Cell) Loudly() Cell {
	c.Loud = true
	return c
}

// Add appends a row.
func (t *Table) Add(cells ...Cell) { t.Rows = append(t.Rows, cells) }

// Table is the table of a name; nil where there is none.
func (p *Paper) Table(name string) *Table {
	for i := range p.Tables {
		if p.Tables[i].Name == name {
			return &p.Tables[i]
		}
	}
	return nil
}
