package content

import (
	"encoding/json"
	"strings"
	"unicode/utf8"

	"needlebook/checks/recurring"
	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// remarksFound is how much of the remarks of a record the search looks through, in characters.
const remarksFound = 400

// fileFound is how much of a file that is no overhaul the search looks through, in characters.
const fileFound = 1500

// entry is what the search finds: the page, its title, and the words by which it is found.
type entry struct {
	to           page.Ref
	title, words string
}

// Search is what the search of the pages looks through, as a script file: a page opened from a folder may load a
// script, but not fetch a file. JSON escapes what would end a script, so a text of a record stays a text. visible
// makes what is hidden in a text be seen.
func (w *Writer) Search(visible func(string) string) ([]byte, error) {
	b := []byte("needlebookIndex([\n")
	n := 0
	for _, e := range w.entries() {
		if e.to == "" {
			continue
		}
		row, err := json.Marshal([3]string{string(e.to), visible(e.title), visible(e.words)})
		if err != nil {
			return nil, err
		}
		if n++; n > 1 {
			b = append(b, ",\n"...)
		}
		b = append(b, row...)
	}
	return append(b, "\n]);\n"...), nil
}

// alsoCalled are words by which people look for a page that does not say them.
var alsoCalled = map[page.Ref]string{address.Due: "overdue, past due, next, calendar",
	address.Stores:   "spare nozzles, orders, stock",
	address.Handover: "relief", address.Survey: "class, surveyor", address.Trail: "commits, signatures",
	address.Interval: "time between overhauls"}

// entries are what the search finds, in the order in which it shows them.
func (w *Writer) entries() []entry {
	var all []entry
	for _, to := range leaves.To {
		all = append(all, entry{to.To, to.Text, alsoCalled[to.To]})
	}
	all = append(all, w.partEntries()...)
	for i, r := range w.Rounds {
		all = append(all, entry{w.at.RoundAt[i], "round " + r.Name, ""})
	}
	for i := range w.Book.Bunkers {
		b := &w.Book.Bunkers[i]
		all = append(all, entry{w.at.Bunker[b], "bunker " + recurring.BunkerName(b), b.Note.Written})
	}
	for i := len(w.Book.Overhauls) - 1; i >= 0; i-- {
		o := w.Book.Overhauls[i]
		title := "overhaul " + o.Stem + " " + facts.RemovedFrom(o).String()
		all = append(all, entry{w.at.Overhaul[o], title, strings.Join(w.searchedIn(o), " ")})
	}
	for _, f := range w.Ordered {
		if f.About.Record == "" { // those of a record are found with it
			all = append(all, entry{w.at.Line(f.Place), f.Grade.String() + " " + plainName(f.Check), f.Message})
		}
	}
	for _, f := range w.Texts {
		all = append(all, entry{w.at.File[f], f, w.searchedFile(f)})
	}
	return all
}

// partEntries are those of cylinders, parts and instruments.
func (w *Writer) partEntries() []entry {
	var all []entry
	for _, p := range w.Positions {
		words := ""
		if now := w.Lives.At(p, w.Today); now != nil {
			words = "holds " + now.Valve() + " since " + now.From.String()
		}
		all = append(all, entry{w.at.To(p), "cylinder " + p.String(), words})
	}
	for name, to := range w.enginePages() {
		all = append(all, entry{to, "engine " + name + " over its hours", ""})
	}
	for _, h := range w.Lives.Holders() {
		all = append(all, entry{w.at.Holder[h], "holder " + h, ""})
	}
	for _, n := range w.Lives.Nozzles() {
		all = append(all, entry{w.at.Nozzle[n], "nozzle " + n, facts.LastMarking(w.NozzleBenches[n], n)})
	}
	for _, id := range w.Instruments {
		words := ""
		if i := w.Book.Instruments[id]; i != nil {
			words = i.Kind.Written + " " + shortened(i.Remarks, remarksFound)
		}
		all = append(all, entry{w.at.Instrument[id], "instrument " + id, words})
	}
	return all
}

// searchedFile is the beginning of a file of the book; empty for tables that grow every day.
func (w *Writer) searchedFile(f string) string {
	if strings.HasPrefix(f, "hours/") || strings.HasPrefix(f, "running/") || strings.HasPrefix(f, "stores/") {
		return ""
	}
	text, err := budget.ReadFile(w.Files, f, logbook.LargestOf(f))
	if err != nil {
		return "" // its page says so
	}
	return shortened(strings.ToValidUTF8(string(text), "\ufffd"), fileFound)
}

// searchedIn are the words of a record that a reader looks for: its parts, its people, what was found and what was
// written about it.
func (w *Writer) searchedIn(o *logbook.Overhaul) []string {
	words := []string{o.Nozzle.Found.Written}
	if o.Nozzle.Left.Written != o.Nozzle.Found.Written {
		words = append(words, o.Nozzle.Left.Written)
	}
	if o.Fitted.Stated() {
		words = append(words, "to "+facts.FittedTo(o).String(), o.Fitted.Date.Written)
	}
	words = append(words, "by "+o.By.Written)
	if p := w.Person(o.By.Written, o.Day()); p != o.By.Written {
		words = append(words, p)
	}
	if r := w.Trail.Records[o.Path]; r != nil {
		for _, c := range r.Countersignatures {
			words = append(words, c.Person)
		}
	}
	words = append(words, facts.Decision(o), o.Decided.Why.Written)
	for _, f := range w.Found.Record[o] {
		words = append(words, f.Grade.String()+": "+f.Message)
	}
	return append(words, shortened(o.Remarks, remarksFound))
}

// shortened is the beginning of a text on one line.
func shortened(text string, most int) string {
	if len(text) > 8*most {
		text = text[:8*most]
	}
	text = strings.ToValidUTF8(strings.Join(strings.Fields(text), " "), "")
	if utf8.RuneCountInString(text) > most {
		return string([]rune(text)[:most])
	}
	return text
}
