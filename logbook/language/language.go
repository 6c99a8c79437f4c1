// Package language has the labels and words of a card, of a page for the bench and of remarks in the reader's language.
// What is written into a record is the standard word; a label in another language stands beside it. It knows no record.
//
// A further language is a column in words.csv and in remarks.csv, headed by its two letters, and its letters among the
// words of the key languages in book.md: the tests name what is missing. In words.csv a row that begins with a key and
// a colon, as "state: tight", is that word at that key alone. written.csv has what people write for a standard word
// beside the word of the table.
//
// Begin with Of.
package language

import (
	"cmp"
	_ "embed"
	"encoding/csv"
	"slices"
	"strings"
)

//go:embed words.csv
var wordsText string

//go:embed remarks.csv
var remarksText string

//go:embed written.csv
var writtenText string

var words, remarks, written = table(wordsText), table(remarksText), table(writtenText)

// table is a table of the program, its heads first.
func table(text string) [][]string {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil || len(rows) < 2 {
		panic("language: " + text[:min(40, len(text))]) // part of the program: the tests read it
	}
	return rows
}

// Standard is the language of the records.
const Standard = "en"

// Known are the languages that there are words in, by their two letters, that of the records first.
func Known() []string { return slices.Clone(words[0]) }

// Name is a language as its speakers call it: español. It is the letters themselves where the language is not known.
func Name(language string) string {
	if language == Standard {
		return "English"
	}
	return cmp.Or(Of(language)["language"], language)
}

// Words are the words of one language by the standard ones; nil is the language of the records.
type Words map[string]string

// Of are the words of a language; nil where it is that of the records, or not known.
func Of(language string) Words {
	column := slices.Index(words[0], language)
	if column <= 0 {
		return nil
	}
	w := Words{}
	for _, row := range words[1:] {
		w[row[0]] = row[column]
	}
	return w
}

// Say is a label in this language, or as it is where there is none.
func (w Words) Say(label string) string { return cmp.Or(w[label], label) }

// Word is a standard word of a list at a key of a record, in this language: "limpia" for clean at
// as_found.connection; the standard word itself where there is none.
func (w Words) Word(key, standard string) string {
	key = key[strings.LastIndexByte(key, '.')+1:]
	return cmp.Or(w[key+": "+standard], w[standard], standard)
}

// All are the standard words, in the order of the work.
func All() []string {
	var all []string
	for _, row := range words[1:] {
		all = append(all, row[0])
	}
	return all
}

// Remark is something that is often written: as the reader says it, and as the record has it.
type Remark struct{ Said, Record string }

// Remarks are what is often written at a key of a record (decided.why), or as its remarks, in a language; where the
// language is not known, in that of the records.
func Remarks(language, key string) []Remark {
	column := max(slices.Index(remarks[0], language), 1)
	var all []Remark
	for _, row := range remarks[1:] {
		if row[0] == key {
			all = append(all, Remark{row[column], row[1]})
		}
	}
	return all
}

// Meant is the one standard word among those allowed at a key that somebody means who writes it in another language;
// empty where it is none of them, or more than one.
func Meant(key, text string, allowed []string) string {
	text = strings.ToLower(strings.TrimSpace(text))
	meant := ""
	take := func(standard string) bool {
		if meant != "" && meant != standard {
			return false
		}
		meant = standard
		return true
	}
	for _, language := range Known()[1:] {
		w := Of(language)
		for _, standard := range allowed {
			if strings.ToLower(w.Word(key, standard)) == text && !take(standard) {
				return ""
			}
		}
	}
	for _, row := range written[1:] {
		if row[2] == text && slices.Contains(allowed, row[0]) && !take(row[0]) {
			return ""
		}
	}
	return meant
}
