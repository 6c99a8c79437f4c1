package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/logbook"
	"needlebook/logbook/card"
	"needlebook/logbook/draft"
	"needlebook/logbook/edit"
	"needlebook/logbook/language"
)

func (p *program) card() *cobra.Command {
	var on, out, in, format string
	var spray, received bool
	c := &cobra.Command{
		Use:   "card WHAT",
		Short: "Print the bench card of a position, a valve or a whole engine",
		Long: `Writes the card that is carried to the bench, as an HTML page for any browser
to print: one A4 side for each valve, in the order of the work, with boxes for
a pencil, the limit and the last value beside each blank, hold points marked,
the cautions on it.

It is in the first of the languages that book.md names, or in that of
--language: es (Spanish), id (Indonesian). Words to ring have the record's own
word below them: the record is written in that. Limits and cautions stay as
they are. "needlebook help language" lists all words.

With --spray it writes the target of the spray test instead, with corner marks
for the photograph; print it at 100 %.`,
		Example: `  needlebook card ME1-3 -o card.html
  needlebook card ME1 --on 2024-06-24 -o round.html
  needlebook card H-131 --received -o received.html
  needlebook card ME1-3 --language es -o tarjeta.html
  needlebook card ME1-3 --spray -o target.html`,
		Args:              cobra.MinimumNArgs(1),
		ValidArgsFunction: p.complete(enterKinds...),
		RunE: func(cmd *cobra.Command, args []string) error {
			if in != "" && !slices.Contains(language.Known(), in) {
				return use("--language %s: one of %s", in, strings.Join(language.Known(), ", "))
			}
			if format != "html" && format != "json" {
				return use("--format %s: the formats are html and json", format)
			}
			o, day, err := p.openAt(on)
			if err != nil {
				return err
			}
			defer o.close()
			sheets, err := p.cardSheets(o, strings.Join(args, " "), day, received)
			if err != nil {
				return err
			}
			if format == "json" && out == "" {
				return p.json(cardsJSON(o, sheets))
			} else if format == "json" {
				return use("--format json goes to the terminal: leave out -o, or write it to a file with >")
			}
			var page bytes.Buffer
			if err := card.Write(&page, card.Card{Vessel: o.book.Vessel.Name.Written, Sheets: sheets,
				Spray: spray, Language: cmp.Or(in, o.book.Languages()[0])}); err != nil {
				return err
			}
			if out == "" {
				_, err := p.data.Write(page.Bytes())
				return err
			}
			if err := edit.Create(out, logbook.Visible(page.Bytes())); errors.Is(err, fs.ErrExist) {
				return use("%s is there already: name another file", out)
			} else if err != nil {
				return fmt.Errorf("could not write %q: %w", out, err)
			}
			fmt.Fprintf(p.out, "%s: %s; open it in a browser and print on A4 at 100 %%\n", out,
				logbook.Counted(len(sheets), "side"))
			return nil
		},
	}
	c.Flags().StringVarP(&out, "output", "o", "", "file to write (default: the terminal)")
	c.Flags().StringVar(&on, "on", "", "day of the removal, as 2024-06-24 (default: the last counter reading)")
	c.Flags().BoolVar(&received, "received", false,
		"of a valve that came on board built: its certificate, what is looked at")
	c.Flags().BoolVar(&spray, "spray", false, "the target of the spray test, with corner marks")
	c.Flags().StringVar(&format, "format", "html", "html or json: what stands on the card, for another form of it")
	c.Flags().StringVar(&in, "language", "", "language of the words on the card (default: the book's): "+
		strings.Join(language.Known(), ", "))
	_ = c.RegisterFlagCompletionFunc("language", cobra.FixedCompletions(language.Known(),
		cobra.ShellCompDirectiveNoFileComp))
	_ = c.RegisterFlagCompletionFunc("on", p.completeFrom(days))
	return c
}

// cardJSON and sheetJSON are the stable form of card --format json; the manual documents it, in formats.md.
type cardJSON struct {
	Format   string      `json:"format"` // "needlebook card 1"
	Vessel   string      `json:"vessel"`
	Sheets   []sheetJSON `json:"sheets"`
	Deferral string      `json:"deferral"`
}

type sheetJSON struct {
	Position string            `json:"position,omitempty"`
	Holder   string            `json:"holder"`
	Nozzle   string            `json:"nozzle,omitempty"`
	Day      string            `json:"day"`
	Path     string            `json:"path"`             // of the record that it becomes
	Source   string            `json:"source,omitempty"` // of the limits
	Revision string            `json:"revision,omitempty"`
	Known    map[string]string `json:"known"`  // what the book fills in, by key
	Limits   map[string]string `json:"limits"` // beside a blank
	Last     map[string]string `json:"last"`   // the last value there
}

func cardsJSON(o *opened, sheets []*draft.Sheet) cardJSON {
	out := cardJSON{Format: "needlebook card 1", Vessel: o.book.Vessel.Name.Written, Deferral: oneLine(deferralLine)}
	for _, s := range sheets {
		j := sheetJSON{Holder: s.Holder, Nozzle: s.Nozzle, Day: s.Day.String(), Path: s.Path, Source: s.Source,
			Known: s.Known, Limits: s.Limit, Last: s.Last}
		if s.Position != (logbook.Position{}) {
			j.Position = s.Position.String()
		}
		if s.Revision != 0 {
			j.Revision = s.Revision.String()
		}
		out.Sheets = append(out.Sheets, j)
	}
	return out
}

// cardSheets are the sheets of what a card is asked for, each of a valve that may be built up.
func (p *program) cardSheets(o *opened, what string, day logbook.Day, received bool) ([]*draft.Sheet, error) {
	if received {
		s, err := p.receivedSheet(o, what, day)
		return []*draft.Sheet{s}, err
	}
	t, err := p.one(o, what, enterKinds...)
	if err != nil {
		return nil, err
	}
	sheets, err := o.sheets(t, day)
	if err == nil {
		err = o.mayBegin(sheets, p.err)
	}
	if err == nil {
		err = p.notReady(o, inRack(sheets)...)
	}
	if err != nil {
		return nil, err
	}
	o.leftOut(t, day, p.err)
	return sheets, nil
}
