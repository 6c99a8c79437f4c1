// Package page is what a page says, as a value: its title, sections, figures, tables with typed cells, lists and
// charts. It knows nothing of books and nothing of HTML: package content fills it from what is known, and package
// look makes it seen.
//
// Begin with [Page].
package page

// Ref is the address of a page of the site, or of a place on one: letters, digits, dashes, dots and one #.
type Ref string

// At is the place within a page that an id marks. The id is made of the letters of a file name.
func (r Ref) At(id string) Ref {
	if r == "" {
		return ""
	}
	return r + "#" + Ref(id)
}

// Page is one page.
type Page struct {
	Name   Ref
	Title  string // in the window's head
	Kind   string // what the page is about, in one word: "cylinder"
	Way    []Step // from the vessel to this page; empty for the first page
	Head   string // its heading
	Blocks []Block
	Full   bool // ends with every caution, for the printer
}

// Step is one step of the way to a page; the page itself, the last, has no address.
type Step struct {
	To   Ref
	Text string
}

// Add appends blocks; nil says nothing and is left out.
func (p *Page) Add(blocks ...Block) { p.Blocks = add(p.Blocks, blocks) }

// Block is a part of a page.
type Block interface{ block() }

func add(to, more []Block) []Block {
	for _, b := range more {
		if b != nil {
			to = append(to, b)
		}
	}
	return to
}

// Section is a part of a page under a heading of its own.
type Section struct {
	ID      string
	Style   Style // Remarks, Lines or Month; Plain otherwise
	Title   Text  // empty for none
	TitleID string
	Blocks  []Block
}

// Under is a section with a plain title.
func Under(title string, blocks ...Block) *Section {
	return &Section{Title: Words(title), Blocks: add(nil, blocks)}
}

// Named gives the section an id.
func (s *Section) Named(id string) *Section {
	s.ID = id
	return s
}

// Add appends blocks; nil is left out.
func (s *Section) Add(blocks ...Block) { s.Blocks = add(s.Blocks, blocks) }

// Para is a paragraph.
type Para struct {
	ID    string
	Style Style
	Text  Text
}

// Heading is a heading within a section.
type Heading struct{ Text Text }

// Title is a heading of the rank of a section's, on a page that has no sections.
type Title struct{ Text Text }

// List is a list; what stands in an item is a line, then blocks.
type List struct {
	Style   Style // Groups, Sources or Cautions
	Ordered bool
	Items   []Item
}

// Item is an entry of a list.
type Item struct {
	Style  Style
	Day    string // by which a reader may pick it; empty for none
	Text   Text
	Blocks []Block
}

// Items are plain items, one for each text.
func Items(all ...Text) []Item {
	items := make([]Item, len(all))
	for i, t := range all {
		items[i].Text = t
	}
	return items
}

// Term is a word or a name, and what is to be said of it.
type Term struct{ Name, Says Text }

// Terms is a list of terms.
type Terms struct {
	Set   bool // as an indented list of words
	Terms []Term
}

// Figure is a number that a reader looks for first.
type Figure struct {
	Name         string
	Value, Small Text
}

// Figures are a few of them in a row.
type Figures []Figure

// Fold is something closed until a reader opens it.
type Fold struct {
	Style   Style
	Summary Text
	Blocks  []Block
}

// Box holds blocks together: side by side, or as one.
type Box struct {
	Style  Style // Look, Beside, Charts, Pictures, Remarks; Plain otherwise
	Blocks []Block
}

// Together is a plain box.
func Together(blocks ...Block) *Box { return &Box{Blocks: add(nil, blocks)} }

// Add appends blocks; nil is left out.
func (b *Box) Add(blocks ...Block) { b.Blocks = add(b.Blocks, blocks) }

// Quoted is text whose lines are shown as they are.
type Quoted struct{ Text string }

// Line is a line of a file as it is written.
type Line struct {
	Number int
	Text   string
	Hit    bool // something points at it
}

// Lines are lines of a file as it is written; each has an id.
type Lines []Line

// LineRef is the place of a line of a file within the page that shows it.
func LineRef(line int) Ref { return "#" + Ref(LineID(line)) }

// LineID is the id of a line of a file.
func LineID(line int) string { return "l" + itoa(max(line, 1)) }

// Remarks is Markdown of a file of the book.
type Remarks struct{ From, Body string }

// Picture is a picture of the book, with the words below it.
type Picture struct{ Path, Words string }

// Nav leads to other pages.
type Nav struct {
	Kind  NavKind
	Label string // what it leads to, for who cannot see it
	To    []NavStep
}

// NavKind is what a nav is.
type NavKind uint8

// The kinds of nav.
const (
	Near   NavKind = iota // pages beside this one
	Pager                 // the pages of a long list
	Leaves                // all pages of the site
)

// NavStep is a page of a nav; the one that is shown has no address.
type NavStep struct {
	To   Ref
	Text string
}

// Months lead to the months of each year.
type Months []YearOfMonths

// YearOfMonths is a year with its months, in their order.
type YearOfMonths struct {
	Year   int
	Months []MonthLink
}

// MonthLink leads to a month: "2024-06".
type MonthLink struct {
	To Ref
	ID string
}

// Finding is what a check has to say.
type Finding struct {
	Grade   Mark
	Whose   Text // what it is about and where that is now; empty on the page of just that
	Message string
	Next    string // what to do; empty for nothing
	Stands  Text   // how long it has been open, or what ended it
	Rests   Text   // on what it rests
	Related []Text // further places, where there are many
}

// Findings are findings one under another.
type Findings []Finding

// Fields are the keys of a file, group by group.
type Fields []FieldGroup

// FieldGroup is a block of a file: its entries, or one text that stands for it.
type FieldGroup struct {
	Name    string
	Instead Text
	Entries []Term
}

// Article is the documentation of one check.
type Article struct {
	ID     string
	Title  Text
	Blocks []Block
}

// Plan is an engine seen from above, bank by bank.
type Plan struct{ Banks []Bank }

// Bank is one row of cylinders; the only one of an engine in line has no name.
type Bank struct {
	Name  string
	Bores []Bore
}

// Bore is one cylinder of a plan with its valve.
type Bore struct {
	Cylinder string
	To       Ref
	Worst    Mark // NoMark where there is nothing to say
	Empty    bool // no valve is booked: what follows is empty
	Valve    Text
	Ran      Text
	Share    float64 // of its interval that is run
	Known    bool    // the share
	Rest     Text
	Left     Text // how the valve was left
	More     []Text
	Open     []Text // what is open about the cylinder and its valve, the gravest first
}

func (*Section) block() {}
func (Para) block()     {}
func (Heading) block()  {}
func (Title) block()    {}
func (List) block()     {}
func (Terms) block()    {}
func (Figures) block()  {}
func (Fold) block()     {}
func (*Box) block()     {}
func (Quoted) block()   {}
func (Lines) block()    {}
func (Remarks) block()  {}
func (Picture) block()  {}
func (Nav) block()      {}
func (Months) block()   {}
func (Findings) block() {}
func (Fields) block()   {}
func (Article) block()  {}
func (Plan) block()     {}
