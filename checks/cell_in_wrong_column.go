package checks

import "fmt"

var cellInWrongColumn = &Check{
	Name:  "cell-in-wrong-column",
	Level: Vessel,
	Doc: "A cell of a table holds what the other lines have in another column: a rank where the name belongs, a part number where the item is named. Two cells were exchanged, or one too many or too " +
		"few pushed the rest aside. The stores count what is named by its item, and a person is found by the id: put the cells into their columns.",
	Source:  "our own rule",
	Example: `"seal kit" is in column part_no; 12 other lines have it in item`,
	Grade:   Answer,
	Whole: func(c *Case) {
		var crew, stock, bunkers [][]cell
		for _, r := range c.Book.Crew {
			crew = append(crew, []cell{{"id", r.ID.Leaf}, {"name", r.Name.Leaf}, {"rank", r.Rank.Leaf}})
		}
		for _, r := range c.Book.Stock {
			stock = append(stock, []cell{{"item", r.Item.Leaf}, {"part_no", r.PartNo.Leaf}, {"serial", r.Serial.Leaf}, {"note", r.Note.Leaf}})
		}
		for _, r := range c.Book.Bunkers {
			bunkers = append(bunkers, []cell{{"stem", r.Stem.Leaf}, {"grade", r.Grade.Leaf}, {"note", r.Note.Leaf}})
		}
		for _, table := range [][][]cell{crew, stock, bunkers} {
			c.cellsElsewhere(table)
		}
		c.namesOfTwo()
	},
}

// cellsElsewhere reports texts that stand in one column once and in another at least twice, one a line.
func (c *Case) cellsElsewhere(rows [][]cell) {
	times := map[string]map[string]int{} // by text, by column
	for _, row := range rows {
		for _, x := range row {
			if w := x.leaf.Written; w != "" {
				if times[w] == nil {
					times[w] = map[string]int{}
				}
				times[w][x.column]++
			}
		}
	}
	for _, row := range rows {
		c.cellElsewhere(row, times)
	}
}

func (c *Case) cellElsewhere(row []cell, times map[string]map[string]int) {
	for _, x := range row {
		for _, other := range row {
			here, there := times[x.leaf.Written][x.column], times[x.leaf.Written][other.column]
			if other.column == x.column || here == 0 || there < 2 || there < 2*here {
				continue
			}
			c.Report(Finding{Place: x.leaf.Place, Message: fmt.Sprintf("%q is in column %s; %s in %s", x.leaf.Written, x.column, numbered(there, "other line has it", "other lines have it"), other.column),
				Next: "put the cells of this line into their columns"})
			return
		}
	}
}

// namesOfTwo reports a name that stands behind two ids whose ranks differ: the columns of names and ranks are exchanged.
func (c *Case) namesOfTwo() {
	first := map[string]int{}
	for i, r := range c.Book.Crew {
		if !r.Name.Present() {
			continue
		}
		j, known := first[r.Name.Written]
		if !known {
			first[r.Name.Written] = i
			continue
		}
		if was := c.Book.Crew[j]; was.ID.Written != r.ID.Written && was.Rank.Written != r.Rank.Written {
			c.Report(Finding{Place: r.Name.Place, Message: fmt.Sprintf("%q is the name of both %s and %s", r.Name.Written, was.ID.Written, r.ID.Written), Related: []Related{{was.Name.Place, "the other"}},
				Next: "are the columns name and rank exchanged? correct the first line, or the name"})
			return
		}
	}
}
