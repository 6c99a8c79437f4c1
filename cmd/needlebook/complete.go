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

// complete answers the shell with the names of some kinds that begin as typed, letters of either case alike. Where no
// book is found it answers nothing: a shell shows no error.
func (p *program) complete(kinds ...logbook.ThingKind) cobra.CompletionFunc {
	return p.completeFrom(func(b *logbook.Book) (names []string) {
		for _, t := range b.Things(kinds...) {
			names = append(names, t.Name)
			if t.Kind == logbook.ThingRecord {
				names = append(names, t.Path)
			}
		}
		return names
	})
}

func (p *program) completeFrom(list func(*logbook.Book) []string) cobra.CompletionFunc {
	return func(cmd *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
		dir, err := p.findBook()
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		root, err := os.OpenRoot(dir)
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		defer root.Close()
		book, err := logbook.Read(budget.In(root))
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		var found []string
		for _, name := range list(book) {
			if len(name) >= len(typed) && strings.EqualFold(name[:len(typed)], typed) && !slices.Contains(found, name) {
				found = append(found, name)
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
			_ = verb.RegisterFlagCompletionFunc(flag, p.completeFrom(days)) // what the verb has registered itself stays
		}
	}
	if verb.ValidArgsFunction != nil {
		return
	}
	switch verb.Name() {
	case "sign", "fix":
		verb.ValidArgsFunction = p.complete(fileKinds...)
	case "countersign", "review":
		verb.ValidArgsFunction = p.complete(seenKinds...)
	}
}

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
