package main

import (
	"strings"

	"github.com/spf13/cobra"

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
