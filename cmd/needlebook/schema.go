package main

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/edit"
	"needlebook/logbook/schema"
)

func (p *program) schema() *cobra.Command {
	var write bool
	c := &cobra.Command{
		Use:   "schema [KIND]",
		Short: "Print or write the JSON Schema of each kind of file",
		Long: `Prints the schema of one kind of file as JSON Schema (draft 2020-12), for
editors that complete and check while you type. Without a KIND it lists the
kinds. The schema knows keys, words, units and forms; whether a value is good
is said by check.

The names that end in .json are the formats that other programs read:
check.json is what check --format json prints.

With --write it puts all of them into the book, under ` + schema.Folder + `/, where an
earlier schema of this program is brought up to date.`,
		Example: `  needlebook schema
  needlebook schema overhaul > overhaul.json
  needlebook schema --write`,
		Args: cobra.MaximumNArgs(1),
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return kindNames(), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case write && len(args) > 0:
				return use("--write writes the schemas of all kinds: leave out %s", args[0])
			case write:
				return p.writeSchemas()
			case len(args) == 0:
				for _, k := range logbook.Kinds() {
					fmt.Fprintf(p.out, "%-17s %s: %s\n", k.Name, k.Where, k.Doc)
				}
				for _, x := range outputs {
					fmt.Fprintf(p.out, "%-17s %s\n", x.name, x.doc)
				}
				return nil
			}
			for _, k := range logbook.Kinds() {
				if k.Name == args[0] {
					_, err := p.data.Write(schema.Of(k))
					return err
				}
			}
			for _, x := range outputs {
				if x.name == args[0] {
					text, err := x.schemaText()
					if err == nil {
						_, err = p.data.Write(text)
					}
					return err
				}
			}
			return use("there is no kind %q; the kinds are: %s", args[0], strings.Join(kindNames(), ", "))
		},
	}
	c.Flags().BoolVar(&write, "write", false, "write the schemas of all kinds into the book")
	return c
}

func kindNames() []string {
	var names []string
	for _, k := range logbook.Kinds() {
		names = append(names, k.Name)
	}
	for _, x := range outputs {
		names = append(names, x.name)
	}
	return names
}

func (p *program) writeSchemas() error {
	dir, err := p.findBook()
	if err != nil {
		return err
	}
	for _, f := range schema.Files() {
		name := filepath.Join(dir, filepath.FromSlash(f.Path))
		was, err := budget.Read(name, budget.MaxFile)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			err = edit.Create(name, f.Text)
		case err == nil && string(was) != string(f.Text):
			err = edit.Replace(name, was, f.Text)
		}
		if err != nil {
			return fmt.Errorf("could not write %q: %w", f.Path, err)
		}
		fmt.Fprintln(p.out, f.Path)
	}
	return nil
}
