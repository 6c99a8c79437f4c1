package main

import (
	"strings"

	"github.com/spf13/cobra"

	"needlebook/logbook/keys"
	"needlebook/logbook/language"
	"needlebook/logbook/words"
)

// wordsTopic is the help on the words that the program uses.
func wordsTopic() *cobra.Command {
	var b strings.Builder
	for _, w := range words.All() {
		b.WriteString(w.Name + "\n  " + w.Means + "\n")
		if w.Others != "" {
			b.WriteString("  Others say: " + w.Others + "\n")
		}
	}
	return &cobra.Command{Use: "words", Short: "The words of the trade, and what other crews call the same",
		Long: b.String()}
}

// languageTopic is the help on the words in other languages: labels, words of the lists of a record, remarks.
func languageTopic() *cobra.Command {
	var b strings.Builder
	b.WriteString("A record is written in the words at the beginning of a line. Cards and pages for\n" +
		"the bench say them in the language that book.md names, as languages: [es].\n\n")
	names := language.Known()[1:]
	var said []language.Words
	var heads []string
	for _, name := range names {
		said, heads = append(said, language.Of(name)), append(heads, "  "+language.Name(name)+": ")
	}
	for _, word := range language.All() {
		b.WriteString(word + "\n")
		for i := range names {
			b.WriteString(heads[i] + said[i].Say(word) + "\n")
		}
	}
	for _, key := range []string{keys.DecidedWhy, "remarks"} {
		b.WriteString("\n" + key + ", as often written\n")
		for i, r := range language.Remarks(language.Standard, key) {
			b.WriteString(r.Record + "\n")
			for n, name := range names {
				b.WriteString(heads[n] + language.Remarks(name, key)[i].Said + "\n")
			}
		}
	}
	return &cobra.Command{Use: "language", Short: "The words of records in the reader's language", Long: b.String()}
}
