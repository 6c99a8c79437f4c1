// Package tablet makes the page of a round for a tablet: one file that opens from a stick without a network, asks for
// what the table of the round has, cylinder by cylinder in the order of the work, and hands back one file that is taken
// as the table is. It judges nothing and knows no rule: limits and last values are shown as texts.
//
// Its script and its style are allowed by their digests in its own policy, and nothing else is: no address is asked,
// and what the round says is data, never code. What is typed is kept in the browser between two visits, photos in its
// large store; the page tries that when it opens, and where the browser refuses, it offers its file every five minutes.
// A page that is written again keeps what was typed with the valve that it was typed for. Photos are shrunk on the
// page, which takes out what they tell of place and device.
//
// Begin with Write.
package tablet

import (
	"cmp"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"html"
	"io"
	"slices"
	"strconv"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/draft"
	"needlebook/logbook/keys"
	"needlebook/logbook/language"
	"needlebook/logbook/rounds"
)

//go:embed page.js
var script string

//go:embed page.css
var style string

// Page is what is asked for on a page.
type Page struct {
	Vessel, Engine, Day string
	Seats               []rounds.Seat
	Language            string
}

// field is one thing that the page asks for.
type field struct {
	Key    string   `json:"key"`
	Column int      `json:"column"` // of the table; of readings the first
	Count  int      `json:"count"`  // of readings; 1 for one value
	Step   string   `json:"step"`
	Label  string   `json:"label"`
	Unit   string   `json:"unit"`
	Kind   string   `json:"kind"`            // text, number, date, word, holes, lapse
	Words  []string `json:"words"`           // as the record has them
	Said   []string `json:"said"`            // as the reader says them
	Choice []string `json:"choice"`          // what may be named
	Limit  string   `json:"limit"`           //
	Open   int      `json:"open,omitempty"`  // of holes: the column of how many are open; 0 for none
	Holes  int      `json:"holes,omitempty"` // how many there are
	Spare  bool     `json:"spare"`           // asked of a spare that is tested again, too
	Same   bool     `json:"same"`            // often the same for all cylinders of a round
}

type row struct {
	Cylinder string            `json:"cylinder"`
	Spare    bool              `json:"spare"` // it is tested, and no more
	Cells    []string          `json:"cells"`
	Last     map[string]string `json:"last"`
}

type data struct {
	Format  string            `json:"format"`
	Name    string            `json:"name"`
	Title   string            `json:"title"`
	Columns []string          `json:"columns"`
	Fields  []field           `json:"fields"`
	Rows    []row             `json:"rows"`
	Say     map[string]string `json:"say"`
}

// headings are those of keys that are in no group, or are asked for beside another one.
var headings = map[string]string{"holder": "valve", keys.NozzleFound: "valve", keys.NozzleLeft: "assembled",
	keys.NozzleMarking: "assembled", "by": "as left", "minutes": "as left", "checked_by": "as left",
	"fitted_by": "fitted"}

// heading is what a key stands under.
func heading(key string, words language.Words) string {
	top, _, _ := strings.Cut(key, ".")
	return words.Say(cmp.Or(headings[key], strings.ReplaceAll(top, "_", " ")))
}

// sentences are what the page says, each in the reader's language where it has it.
var sentences = []string{"not measured because", "measured", "save the file", "start", "stop", "first drop", "weak",
	"blocked", "open", "photo", "limit", "last", "cylinder", "reason",
	"This browser keeps nothing between two visits: save the file before you leave.",
	"Five minutes have passed, and this browser keeps nothing: save the file now.",
	"Kept in this browser.", "A photo could not be read.",
	"Photos are not kept in this browser: save the file before you leave.",
	"Five minutes have passed, and photos are not kept in this browser: save the file now.",
	"all open", "leave out", "put back",
	"The file is in the downloads: take it with needlebook round --take."}

// Write writes the page.
func Write(w io.Writer, p Page) error {
	words := language.Of(p.Language)
	table := rounds.New(p.Seats)
	d := data{Format: rounds.Format, Name: "round-" + logbook.FileName(p.Engine) + "-" + p.Day,
		Title: p.Engine + " · " + p.Day + " · " + p.Vessel, Say: map[string]string{}}
	for _, c := range table.Columns {
		d.Columns = append(d.Columns, c.Name())
	}
	for _, s := range sentences {
		d.Say[s] = words.Say(s)
	}
	d.Fields = fields(table, p.Seats, words)
	next := len(p.Seats)
	for i, s := range p.Seats {
		d.row(row{Cylinder: s.Sheet.Position.Cylinder, Cells: table.Rows[i].Cells}, s.Sheet)
	}
	for _, s := range p.Seats {
		if s.Again != nil {
			d.row(row{Cylinder: rounds.SpareRow(s.Again.Holder), Spare: true, Cells: table.Rows[next].Cells}, s.Again)
			next++
		}
	}
	text, err := json.Marshal(d) // every < and & in it is written by its number, so nothing of it ends the element
	if err != nil {
		return err
	}
	lang := language.Standard
	if words != nil {
		lang = p.Language
	}
	_, err = fmt.Fprintf(w, `<!doctype html>
<html lang="%s">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src '%s'; script-src '%s'; img-src data: blob:; base-uri 'none'; form-action 'none'">
<title>%s</title>
<style>%s</style>
</head>
<body>
<script type="application/json" id="round">%s</script>
<script>%s</script>
</body>
</html>
`, lang, digest(style), digest(script), html.EscapeString(d.Title), style, text, script)
	return err
}

// row adds a row, with the last values of its valve.
func (d *data) row(r row, s *draft.Sheet) {
	r.Last = map[string]string{}
	for _, f := range d.Fields {
		if last := s.Last[f.Key]; last != "" {
			r.Last[f.Key] = last
		}
	}
	d.Rows = append(d.Rows, r)
}

// digest is what a policy allows a text by: W3C Content Security Policy Level 3, hash-source.
func digest(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

// fields are what the page asks for, in the order of the table.
func fields(table *rounds.Table, seats []rounds.Seat, words language.Words) (all []field) {
	at := map[string]int{}
	for i, c := range table.Columns {
		if c.Nth <= 1 {
			at[c.Key] = i
		}
	}
	seen := map[string]bool{}
	for _, s := range seats {
		for _, b := range rounds.Blanks(s.Sheet) {
			if !seen[b.Key] && b.Key != "photos" { // which are taken with the camera
				seen[b.Key] = true
				all = append(all, fieldOf(b, at, words))
			}
		}
	}
	return all
}

func fieldOf(b draft.Blank, at map[string]int, words language.Words) field {
	f := field{Key: b.Key, Column: at[b.Key], Count: 1, Step: heading(b.Key, words), Label: label(b.Key, words),
		Unit: b.Unit, Kind: "text", Limit: b.Limit, Spare: rounds.OfSpare(b.Key), Same: same(b)}
	if b.Choice != "" {
		f.Choice = strings.Split(b.Choice, " | ")
	}
	switch b.Field.Shape {
	case logbook.ShapeAmounts:
		f.Kind, f.Count = "number", 3
	case logbook.ShapeAmount, logbook.ShapeNumber:
		f.Kind = "number"
	case logbook.ShapeDate:
		f.Kind = "date"
	case logbook.ShapeWord:
		f.Kind = "word"
		for _, standard := range b.Field.Words {
			f.Words, f.Said = append(f.Words, standard), append(f.Said, words.Word(b.Key, standard))
		}
	}
	switch b.Key {
	case keys.AsFoundSprayWeak, keys.AsLeftSprayWeak:
		f.Kind = "holes"
		f.Open = at[strings.TrimSuffix(b.Key, "weak")+"open"]
	case keys.AsFoundLeakDownTime, keys.AsLeftLeakDownTime, keys.AsFoundSeat + ".for", keys.AsLeftSeat + ".for":
		f.Kind = "lapse"
	case keys.AsFoundSprayOpen, keys.AsLeftSprayOpen:
		f.Holes, _ = strconv.Atoi(b.Limit)
	}
	return f
}

// alike are the ends of keys whose figure is read once for the whole round.
var alike = []string{".counter", ".load", ".fuel", ".place"}

// same says that a value is often the same for all cylinders of a round: a day, a person, an instrument, what is read
// once. A figure that each valve is measured for never is.
func same(b draft.Blank) bool {
	return b.Field.Shape == logbook.ShapeDate || b.Field.As == "instrument" || b.Field.As == "person" ||
		slices.ContainsFunc(alike, func(end string) bool { return strings.HasSuffix(b.Key, end) })
}

// label is a key in the reader's words, without the step that its heading names.
func label(key string, words language.Words) string {
	parts := strings.Split(key, ".")
	if len(parts) > 1 && parts[0] != "nozzle" {
		parts = parts[1:]
	}
	for i, p := range parts {
		parts[i] = words.Say(strings.ReplaceAll(p, "_", " "))
	}
	return strings.Join(parts, ", ")
}
