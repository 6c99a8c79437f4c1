package page

// TableKind is what a table is.
type TableKind uint8

// The kinds of table.
const (
	Simple   TableKind = iota
	Listed             // a list of things, a row each
	Verdicts           // verdicts of a record
	History            // commits
	Fleet              // ships
	Side               // valves side by side, a column each
)

// Table is a table.
type Table struct {
	Kind    TableKind
	Columns []Text
	Rows    []Row
}

// NewTable is a table without rows.
func NewTable(kind TableKind, columns ...string) *Table {
	t := &Table{Kind: kind, Columns: make([]Text, len(columns))}
	for i, c := range columns {
		t.Columns[i] = Words(c)
	}
	return t
}

// Row appends a row of cells.
func (t *Table) Row(cells ...Cell) { t.Rows = append(t.Rows, Row{Cells: cells}) }

// Row is a row of a table.
type Row struct {
	ID    string
	State RowState
	Cells []Cell
}

// RowState is what a row stands out by.
type RowState uint8

// The states of a row.
const (
	Even   RowState = iota
	InWay           // it stands in the way of a proved history
	Unread          // nothing could be read
)

// CellKind is what a cell holds.
type CellKind uint8

// The kinds of cell.
const (
	OfText     CellKind = iota
	OfHead              // what the row is about
	OfQuantity          // a value, as written or with its unit; never broken in two
	OfDate              // a day
	OfLink              // the way to a page
	OfMark              // a grade or a verdict
	OfReason            // why
	OfAlarm             // something to look at
)

// Cell is a cell of a table: words, then blocks.
type Cell struct {
	Kind   CellKind
	Wide   int // columns that it takes; 0 for one
	Text   Text
	Blocks []Block
}

// Cells of each kind.

// Said is a cell of text.
func Said(t Text) Cell { return Cell{Text: t} }

// Plainly is a cell of plain words.
func Plainly(words string) Cell { return Cell{Text: Words(words)} }

// RowHead is the cell that says what the row is about.
func RowHead(t Text) Cell { return Cell{Kind: OfHead, Text: t} }

// Quantity is a cell with a value.
func Quantity(t Text) Cell { return Cell{Kind: OfQuantity, Text: t} }

// Value is a cell with a value in plain words.
func Value(words string) Cell { return Cell{Kind: OfQuantity, Text: Words(words)} }

// Number is a cell with a whole number.
func Number(n int) Cell { return Cell{Kind: OfQuantity, Text: Text(nil).Int(n)} }

// On is a cell with a day.
func On(day string) Cell { return Cell{Kind: OfDate, Text: Words(day)} }

// To is a cell with the way to a page.
func To(to Ref, words string) Cell { return Cell{Kind: OfLink, Text: Link(to, words)} }

// Marked is a cell with a grade or a verdict.
func Marked(t Text) Cell { return Cell{Kind: OfMark, Text: t} }

// Holding is a cell with blocks behind its words.
func Holding(t Text, blocks ...Block) Cell { return Cell{Text: t, Blocks: add(nil, blocks)} }

func (*Table) block() {}
