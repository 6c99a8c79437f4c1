package site

import (
	"encoding/json"
	"io/fs"
	"strings"
	"unicode/utf8"

	"needlebook/logbook"
)

// remarksFound is how much of the remarks of a record the search looks through, in characters.
const remarksFound = 400

// writeSearch writes what the search of the pages looks through, as a script file: a page opened from a folder may load a script, but not
// fetch a file. JSON escapes what would end a script, so a text of a record stays a text.
func (s *site) writeSearch() error {
	b := []byte("needlebookIndex([\n")
	first := true
	var failed error
	add := func(to ref, title string, words ...string) {
		if to == "" {
			return
		}
		row, err := json.Marshal([3]string{string(to), visible(title), visible(strings.Join(words, " "))})
		if err != nil {
			failed = err
			return
		}
		if !first {
			b = append(b, ",\n"...)
		}
		first = false
		b = append(b, row...)
	}
	for _, p := range s.pages.positions {
		words := ""
		if now := s.lives.At(p, s.today); now != nil {
			words = "holds " + now.Holder + " with " + orDash(now.Nozzle) + " since " + now.From.String()
		}
		add(s.pages.to(p), "cylinder "+p.String(), words)
	}
	for _, h := range s.lives.Holders() {
		add(s.pages.holder[h], "holder "+h)
	}
	for _, n := range s.lives.Nozzles() {
		add(s.pages.nozzle[n], "nozzle "+n, lastMarking(s.nozzleBenches[n], n))
	}
	for _, id := range s.pages.instruments {
		words := ""
		if i := s.Book.Instruments[id]; i != nil {
			words = i.Kind.Written + " " + clipped(i.Remarks)
		}
		add(s.pages.instrument[id], "instrument "+id, words)
	}
	for i, r := range s.rounds {
		add(s.pages.roundAt[i], "round "+r.Name)
	}
	for i := len(s.Book.Overhauls) - 1; i >= 0; i-- {
		o := s.Book.Overhauls[i]
		add(s.pages.overhaul[o], "overhaul "+o.Stem+" "+removedFrom(o).String(), s.searchedIn(o)...)
	}
	for _, f := range s.ordered {
		if f.About.Record == "" { // those of a record stand with it
			add(s.pages.line(f.Place), f.Grade.String()+" "+plainName(f.Check), f.Message)
		}
	}
	for _, f := range s.pages.texts {
		add(s.pages.file[f], f, s.searchedFile(f))
	}
	if failed != nil {
		return failed
	}
	return s.out.put(string(searchFile), append(b, "\n]);\n"...))
}

// fileFound is how much of a file that is no overhaul the search looks through, in characters.
const fileFound = 1500

// searchedFile is the beginning of a file of the book; empty for tables that grow every day.
func (s *site) searchedFile(f string) string {
	if strings.HasPrefix(f, "hours/") || strings.HasPrefix(f, "running/") || strings.HasPrefix(f, "stores/") {
		return ""
	}
	text, err := fs.ReadFile(s.Files, f)
	if err != nil {
		return "" // its page says so
	}
	return shortened(strings.ToValidUTF8(string(text), "\ufffd"), fileFound)
}

// searchedIn are the words of a record that a reader looks for: its parts, its hands, what was found and what was written about it.
func (s *site) searchedIn(o *logbook.Overhaul) []string {
	words := []string{o.Nozzle.Found.Written}
	if o.Nozzle.Left.Written != o.Nozzle.Found.Written {
		words = append(words, o.Nozzle.Left.Written)
	}
	if o.Fitted.Stated() {
		words = append(words, "to "+fittedTo(o).String(), o.Fitted.Date.Written)
	}
	words = append(words, "by "+o.By.Written)
	if p := s.person(o.By.Written, o.Day()); p != o.By.Written {
		words = append(words, p)
	}
	if r := s.trail.Records[o.Path]; r != nil {
		for _, c := range r.Countersignatures {
			words = append(words, c.Hand)
		}
	}
	words = append(words, decision(o), o.Decided.Why.Written)
	for _, f := range s.found.record[o] {
		words = append(words, f.Grade.String()+": "+f.Message)
	}
	return append(words, clipped(o.Remarks))
}

// clipped is the beginning of remarks on one line.
func clipped(text string) string { return shortened(text, remarksFound) }

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
