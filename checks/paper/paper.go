// Package paper is the shape of an answer: headed tables with notes, the same whether it is read in the terminal,
// printed, put on a page or taken by another program. It knows how to write them down; it knows no valves, and works
// out nothing.
//
// Begin with [Paper].
package paper

import "needlebook/logbook"

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
func At(p logbook.Position) Cell { return Cell{p.String(), About{Position: p}} }

// Holder is a cell for a holder.
func Holder(serial string) Cell { return Cell{serial, About{Holder: serial}} }

// Nozzle is a cell for a nozzle.
func Nozzle(serial string) Cell { return Cell{serial, About{Nozzle: serial}} }

// Record is a cell for an overhaul, by its file stem.
func Record(stem string) Cell { return Cell{stem, About{Record: stem}} }

// Instrument is a cell for an instrument.
func Instrument(id string) Cell { return Cell{id, About{Instrument: id}} }

// Placed is a cell that stands at a line of a file.
func Placed(text string, at logbook.Place) Cell { return Cell{text, About{Place: at}} }

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
