package intake

import (
	"fmt"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
	"needlebook/logbook/measure"
)

// StartingColumns are the columns of a list of the starting state: what was fitted where on a book's first day.
var StartingColumns = strings.Fields("engine cylinder holder nozzle counter since left marking for remark")

// StartingLine is a line of such a list: its texts by [StartingColumns], numbers as a book writes them where that is
// certain.
type StartingLine struct {
	Number int // as a spreadsheet counts them
	Of     map[string]string
}

// Starting is a list of the starting state as it was understood.
type Starting struct {
	Lines []StartingLine
	Read  []string // what was read otherwise than it is written, in words
}

// startingNames are the columns of a starting state that the lexicon's keys stand for.
var startingNames = map[string]string{keyHolder: "holder", "nozzle.@": "nozzle", keys.NozzleLeft: "nozzle",
	keys.NozzleFound: "nozzle", keys.RemovedEngine: "engine", keys.RemovedCylinder: "cylinder",
	keys.RemovedCounter: "counter",
	keys.RemovedHours:   "since", "?hours": "since", "@.opening_pressure": "left", "?@.opening_pressure": "left",
	keys.AsLeftOpeningPressure: "left", keyRemarks: "remark"}

// ReadStarting reads a list of the starting state: a workbook or a text table, its columns named as a book names them
// or as crews do. Numbers are read by the habit of their column, as those of older sheets are. What a column says that
// is none of the starting state goes into the remark.
func ReadStarting(src []byte) (list Starting, err error) {
	grids, notes, err := Read(src)
	if err != nil {
		return list, err
	}
	list.Read = notes
	g := &grids[0]
	wanted := map[string]bool{}
	for _, c := range StartingColumns {
		wanted[c] = true
	}
	head, known := g.heading(wanted)
	if known == 0 {
		head, known = g.heading(nil)
	}
	if known == 0 {
		return list, fmt.Errorf("no line names columns: %s", strings.Join(StartingColumns, ", "))
	}
	at, err := list.columns(head)
	if err != nil {
		return list, err
	}
	numbers := g.amountsOf(head, at)
	for _, r := range g.below(head) {
		if len(r.filled()) > 0 {
			list.Lines = append(list.Lines, list.line(r, head, at, numbers))
		}
	}
	return list, nil
}

// columns says which column of the starting state each of a heading is; empty where it is none.
func (list *Starting) columns(head heading) (at []string, err error) {
	at = make([]string, len(head.names))
	owner := map[string]int{}
	sure := map[string]int{}
	for i, name := range head.names {
		id, grade := startingColumn(name)
		switch {
		case id == "" || grade < sure[id]:
			continue
		case grade == sure[id]:
			return nil, fmt.Errorf("columns %q and %q may both be %s: name the right one %s", head.names[owner[id]], name,
				id, id)
		case sure[id] > 0:
			at[owner[id]] = ""
		}
		at[i], owner[id], sure[id] = id, i, grade
	}
	for i, name := range head.names {
		switch {
		case name == "" || at[i] == name:
		case at[i] == "":
			list.Read = append(list.Read, fmt.Sprintf("column %q goes into the remark", name))
		default:
			list.Read = append(list.Read, fmt.Sprintf("column %q is %s", name, at[i]))
		}
	}
	if _, named := owner["holder"]; !named {
		return nil, fmt.Errorf("no column names the holder; the columns are %s", strings.Join(StartingColumns, ", "))
	}
	return at, nil
}

// startingColumn is the column of the starting state that a name stands for, and how sure that is: 3 a book's own name,
// 2 one that crews use for it, 1 one that they use for other things too.
func startingColumn(name string) (id string, grade int) {
	bare := strings.ToLower(bareName(name))
	if slices.Contains(StartingColumns, bare) {
		return bare, 3
	}
	m, ok := means(bare)
	switch id = startingNames[m.key]; {
	case !ok || !m.whole || id == "":
		return "", 0
	case strings.HasPrefix(m.key, "?"):
		return id, 1
	}
	return id, 2
}

// amountsOf are the columns of numbers, by their place, with the habit of each.
func (g *Grid) amountsOf(head heading, at []string) map[int]*column {
	all, whole := map[int]*column{}, &numberHabit{}
	for i, id := range at {
		f := logbook.Field{Shape: logbook.ShapeAmount, Kind: measure.Hours}
		switch id {
		case "left":
			f.Kind = measure.Pressure
		case "counter", "since":
		default:
			continue
		}
		c := &column{Entry: Entry{field: f}, at: i, unit: head.units[i], whole: whole}
		if c.unit == "" && f.Kind == measure.Hours {
			c.unit = "h" // hours have no other
		}
		for _, r := range g.below(head) {
			c.habit.take(r.at(i))
			whole.take(r.at(i))
		}
		all[i] = c
	}
	return all
}

// line is a row as a line of the starting state.
func (list *Starting) line(r row, head heading, at []string, numbers map[int]*column) StartingLine {
	l := StartingLine{r.number, map[string]string{}}
	var besides []string
	for _, i := range r.filled() {
		x := r.at(i)
		text := strings.TrimSpace(x.text)
		id := ""
		if i < len(at) {
			id = at[i]
		}
		switch c := numbers[i]; {
		case isNothing(text):
		case id == "remark":
			besides = append([]string{text}, besides...)
		case id == "" && i < len(head.names):
			besides = append(besides, head.names[i]+": "+text)
		case c != nil:
			l.Of[id] = text
			if written, why := c.amount(x, text); why == "" {
				list.otherwise(text, written)
				l.Of[id] = written
			}
		default:
			l.Of[id] = text
		}
	}
	l.Of["remark"] = strings.Join(besides, "; ")
	return l
}

// otherwise keeps once that a number with parted thousands was read as another: what only its sign tells is to be seen.
func (list *Starting) otherwise(text, written string) {
	number, _, _ := strings.Cut(written, " ")
	if strings.Contains(strings.Replace(text, ",", ".", 1), number) {
		return
	}
	if said := fmt.Sprintf("%q is %s", text, written); !slices.Contains(list.Read, said) {
		list.Read = append(list.Read, said)
	}
}
