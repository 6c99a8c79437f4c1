package main

import (
	"os"
	"slices"
	"sort"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/logbook"
	"needlebook/logbook/budget"
)

// A source lists names of one sort from the book for the shell to complete.
type source func(b *logbook.Book) []string

// complete answers the shell with the names that begin as typed, letters of either case alike. Where no book is found
// it answers nothing: a shell shows no error.
func (p *program) complete(sources ...source) cobra.CompletionFunc {
	return func(cmd *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
		dir, err := p.findBook()
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		book, err := logbook.Read(budget.Plain(os.DirFS(dir)))
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		var found []string
		for _, from := range sources {
			for _, name := range from(book) {
				if len(name) >= len(typed) && strings.EqualFold(name[:len(typed)], typed) && !slices.Contains(found, name) {
					found = append(found, name)
				}
			}
		}
		return found, cobra.ShellCompDirectiveNoFileComp
	}
}

// completes gives the shell something to complete for every verb that does not do so itself: days for the flags that
// take a day, records and files for the verbs that take some.
func (p *program) completes(verb *cobra.Command) {
	for _, flag := range []string{"on", "before", "limits-of", "date"} {
		if f := verb.Flags().Lookup(flag); f != nil && f.Value.Type() == "string" {
			_ = verb.RegisterFlagCompletionFunc(flag, p.complete(days)) // what the verb has registered itself stays
		}
	}
	if verb.ValidArgsFunction != nil {
		return
	}
	switch verb.Name() {
	case "sign":
		verb.ValidArgsFunction = p.complete(records, rounds, paths)
	case "countersign", "review":
		verb.ValidArgsFunction = p.complete(records, rounds)
	case "fix":
		verb.ValidArgsFunction = p.complete(paths)
	}
}

func positions(b *logbook.Book) (names []string) {
	for _, p := range b.Positions() {
		names = append(names, p.String())
	}
	return names
}

func engines(b *logbook.Book) (names []string) {
	for _, e := range b.Vessel.Engines {
		names = append(names, e.ID.Written)
	}
	return names
}

func holders(b *logbook.Book) []string { return b.Lives().Holders() }

func nozzles(b *logbook.Book) []string { return b.Lives().Nozzles() }

func instruments(b *logbook.Book) (names []string) {
	for id := range b.Instruments {
		names = append(names, id)
	}
	sort.Strings(names)
	return names
}

func rounds(b *logbook.Book) (names []string) {
	for _, r := range b.Rounds() {
		names = append(names, r.Name)
	}
	return names
}

// records are the file names of all overhauls, the newest first.
func records(b *logbook.Book) (names []string) {
	for _, o := range slices.Backward(b.Overhauls) {
		names = append(names, o.Stem)
	}
	return names
}

// openRecords are those whose valve is not fitted yet.
func openRecords(b *logbook.Book) (names []string) {
	for _, o := range slices.Backward(b.Overhauls) {
		if !o.Fitted.Stated() {
			names = append(names, o.Stem)
		}
	}
	return names
}

// paths are the files of the book.
func paths(b *logbook.Book) []string { return b.Files }

// days are those on which the counter was read, the latest first.
func days(b *logbook.Book) (names []string) {
	for _, rows := range b.Hours {
		for _, r := range rows {
			if r.Date.Day != 0 {
				names = append(names, r.Date.Day.String())
			}
		}
	}
	sort.Sort(sort.Reverse(sort.StringSlice(names)))
	return slices.Compact(names)
}
