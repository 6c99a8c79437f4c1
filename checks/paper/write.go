package paper

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"needlebook/logbook/export"
)

// WriteText writes a paper for the terminal and the printer, in columns. A table that is wider than the terminal
// becomes a list; a width of 0 is as wide as it takes.
func (p Paper) WriteText(w io.Writer, width int) error {
	var b strings.Builder
	b.WriteString(p.Title + "\n")
	for _, l := range p.Lead {
		b.WriteString(l + "\n")
	}
	for _, t := range p.Tables {
		if t.Title != "" {
			b.WriteString("\n" + t.Title + "\n")
		}
		if len(t.Rows) == 0 {
			b.WriteString("  " + t.Empty + "\n")
			continue
		}
		t.text(&b, width)
	}
	for _, x := range p.Plots {
		x.text(&b)
	}
	if len(p.Notes) > 0 {
		b.WriteString("\n")
	}
	for _, n := range p.Notes {
		b.WriteString("- " + n + "\n")
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (t Table) text(b *strings.Builder, most int) {
	var text strings.Builder
	t.columns(&text)
	if most == 0 || Widest(text.String()) <= most {
		b.WriteString(text.String())
		return
	}
	names := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		names[i] = oneLine(c)
	}
	for _, row := range t.Rows {
		ListRow(b, names, texts(row, oneLine))
	}
}

// texts are the cells of a row as text, each as so makes it.
func texts(row []Cell, so func(string) string) []string {
	all := make([]string, len(row))
	for i, c := range row {
		all[i] = so(c.Text)
	}
	return all
}

// Widest is the number of characters in the longest line of a text.
func Widest(text string) (widest int) {
	for line := range strings.Lines(text) {
		widest = max(widest, utf8.RuneCountInString(strings.TrimRight(line, " \n")))
	}
	return widest
}

// ListRow writes a row of a table as a paragraph: its first cell, and below it each other that says something, behind
// the name of its column.
func ListRow(b *strings.Builder, names, cells []string) {
	b.WriteString("  " + strings.TrimSpace(cells[0]) + "\n")
	for i, c := range cells[1:] {
		if c = strings.TrimSpace(c); c != "" && c != "–" {
			b.WriteString("      " + strings.TrimSpace(names[i+1]) + ": " + c + "\n")
		}
	}
}

func (t Table) columns(b *strings.Builder) {
	width := make([]int, len(t.Columns))
	see := func(i int, s string) { width[i] = max(width[i], utf8.RuneCountInString(s)) }
	for i, c := range t.Columns {
		see(i, c)
	}
	for _, r := range t.Rows {
		for i, c := range r {
			see(i, c.Text)
		}
	}
	line := func(cell func(i int) string) {
		var l strings.Builder
		for i := range t.Columns {
			s := oneLine(cell(i))
			l.WriteString("  " + s + strings.Repeat(" ", max(0, width[i]-utf8.RuneCountInString(s))))
		}
		b.WriteString(strings.TrimRight(l.String(), " ") + "\n")
	}
	line(func(i int) string { return t.Columns[i] })
	for _, r := range t.Rows {
		line(func(i int) string { return r[i].Text })
	}
}

// oneLine keeps what people wrote from breaking a row, or from steering a terminal.
func oneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
			return ' '
		}
		return r
	}, s)
}

// Document is a paper as other programs read it.
type Document struct {
	Format string   `json:"format"`
	Vessel string   `json:"vessel"`
	On     string   `json:"on"`
	Title  string   `json:"title"`
	Lead   []string `json:"lead"`
	Tables []table  `json:"tables"`
	Plots  []plot   `json:"plots,omitempty"`
	Notes  []string `json:"notes"`
}

type table struct {
	Name    string              `json:"name"`
	Title   string              `json:"title"`
	Columns []string            `json:"columns"`
	Rows    []map[string]string `json:"rows"`
}

type reading struct {
	X    float64 `json:"x"`
	Y    float64 `json:"y"`
	Read string  `json:"read"`
}

type plot struct {
	Title     string       `json:"title"`
	X         string       `json:"x"`
	Y         string       `json:"y"`
	Points    []reading    `json:"points"`
	Line      [][2]float64 `json:"line"`
	Low       [][2]float64 `json:"low"`
	High      [][2]float64 `json:"high"`
	Limit     *float64     `json:"limit,omitempty"`
	LimitText string       `json:"limit_text,omitempty"`
}

// WriteJSON writes a paper as one object, the format named "needlebook <name> 1"; fields are only added within a
// number.
func (p Paper) WriteJSON(w io.Writer, vessel, on string) error {
	out := Document{"needlebook " + p.Name + " 1", vessel, on, p.Title, append([]string{}, p.Lead...), []table{}, nil,
		append([]string{}, p.Notes...)}
	for _, t := range p.Tables {
		x := table{t.Name, t.Title, t.Columns, []map[string]string{}}
		for _, r := range t.Rows {
			row := map[string]string{}
			for i, c := range r {
				row[t.Columns[i]] = c.Text
			}
			x.Rows = append(x.Rows, row)
		}
		out.Tables = append(out.Tables, x)
	}
	for _, x := range p.Plots {
		y := plot{Title: x.Title, X: x.X, Y: x.Y, Line: x.Line, Low: x.Low, High: x.High}
		if x.HasLimit {
			y.Limit, y.LimitText = &x.Limit, x.LimitText
		}
		for _, d := range x.Points {
			y.Points = append(y.Points, reading{d.X, d.Y, d.Words})
		}
		out.Plots = append(out.Plots, y)
	}
	return export.JSON(w, out)
}

// WriteCSV writes one table of a paper by its name, the first where the name is empty, as [export.Table.CSV] does: it
// opens right in a spreadsheet, and nothing in it becomes a formula. The error names the tables there are.
func (p Paper) WriteCSV(w io.Writer, name string) error {
	if name == "" && len(p.Tables) > 0 {
		name = p.Tables[0].Name
	}
	t := p.Table(name)
	if t == nil {
		var names []string
		for _, t := range p.Tables {
			names = append(names, t.Name)
		}
		return fmt.Errorf("there is no table %q; the tables are: %s", name, strings.Join(names, ", "))
	}
	out := export.Table{Name: t.Name}
	for _, c := range t.Columns {
		out.Columns = append(out.Columns, export.Column{Name: c, Number: true}) // numbers stay numbers wherever one stands
	}
	for _, r := range t.Rows {
		out.Rows = append(out.Rows, texts(r, strings.Clone))
	}
	return out.CSV(w)
}
