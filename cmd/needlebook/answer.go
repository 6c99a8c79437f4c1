package main

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

// answersFile is the table of answers to findings.
const answersFile = "answers.csv"

func (p *program) answerVerb() *cobra.Command {
	var a answering
	c := &cobra.Command{
		Use:   "answer RECORD CHECK",
		Short: "Answer a finding that no work can make good, and sign the answer",
		Long: `Shows the finding of a check on a record, part, pocket, instrument or file,
writes your answer as a line of answers.csv, and signs that line. An answered
finding is not open any more; it is listed with who answered it, and opens
again when the facts change.

The second engineer and the chief in post answer what is of grade action or
below, the superintendent the rest. Nobody answers a finding about their own
signature or figures. A stop about a part in service or ready is not answered:
it is corrected, closed by work, or carried by a deferral.

What grows, in hours or days, is answered until a day or for hours. With
--ashore the chief or the second engineer tells the office of what is answered
there: the finding stays open, and reads since when the office has it.`,
		Example: `  needlebook answer 2023-09-05-h-115 as-found-missing --why "taken apart ashore, nobody tested it"
  needlebook answer me2-6 protrusion --why "measured again with the depth gauge: 18.0 mm"
  needlebook answer stores/stock.csv stock-low --why "four on order" --until 2024-08-15`,
		Args: cobra.ExactArgs(2),
		RunE: func(_ *cobra.Command, args []string) error {
			if strings.TrimSpace(a.why) == "" {
				return use("answer %s %s --why \"…\": say what is answered, in a sentence", args[0], args[1])
			}
			a.about, a.check = args[0], args[1]
			return p.answerFinding(&a)
		},
	}
	c.Flags().StringVar(&a.why, "why", "", "the answer, in one sentence")
	c.Flags().StringVar(&a.until, "until", "", "for what grows: the day or the running hours until it lapses")
	c.Flags().StringVar(&a.text, "text", "", "which finding, by its 12 digits, where the check speaks of several")
	c.Flags().BoolVar(&a.ashore, "ashore", false,
		"send what is answered ashore to the office: it stays open, and says since when")
	keyFlag(c, &a.key)
	return c
}

// answering is what is asked of an answer.
type answering struct {
	about, check, why, until, text, key string
	ashore                              bool
}

func (p *program) answerFinding(a *answering) error {
	o, err := p.openToCommit()
	if err != nil {
		return err
	}
	defer o.close()
	f, err := p.findingMeant(o, a)
	if err != nil {
		return err
	}
	h, err := p.ownSigner(o.dir, o.trail, a.key, o.crewName)
	if err != nil {
		return err
	}
	defer h.key.Close()
	k := checks.Named(f.Check)
	row := logbook.Answer{Date: logbook.Date{Day: o.report.Today}}
	row.Text.Written, row.Version.Value, row.Answer.Written, row.By.Written = f.Text, float64(k.Version), a.why, h.line.ID
	row.Until.Written = a.until
	fmt.Fprintf(p.out, "%s: %s: %s [%s]\n", o.report.Where(f), f.Grade, f.Message, f.Check)
	if why := o.report.MayNotAnswer(&row, f, slices.Contains(h.line.Roles, "superintendent")); why != "" {
		if !a.ashore || !o.report.SendsAshore(&row, f) {
			return use("this answer would not count: %s", why)
		}
		fmt.Fprintf(p.out, "it stays open, with the office since %s: %s\n", o.report.Today, why)
	}
	text, err := withAnswer(o, []string{o.report.Today.String(), k.ID(), f.Asked().String(), f.Text,
		fmt.Sprint(k.Version), a.why, h.line.ID, a.until})
	if err != nil {
		return err
	}
	return p.commit(h, f.Subject.String()+": "+f.Check+" answered",
		[]exchange.Change{{Path: answersFile, Text: text}})
}

// findingMeant is the one open finding of a check on a thing.
func (p *program) findingMeant(o *opened, a *answering) (*checks.Finding, error) {
	k, err := checkNamed(a.check)
	if err != nil {
		return nil, err
	}
	asked, err := p.asked(o, []string{a.about})
	if err != nil {
		return nil, err
	}
	var all []*checks.Finding
	for i := range o.report.Findings {
		f := &o.report.Findings[i]
		if f.Check == k.Name && asked.of(*f) && (a.text == "" || a.text == f.Text) && o.report.IsOpen(f) {
			all = append(all, f)
		}
	}
	switch len(all) {
	case 0:
		return nil, use("%s has no open finding of %s", a.about, k.Name)
	case 1:
		return all[0], nil
	}
	var lines []string
	for _, f := range all {
		lines = append(lines, fmt.Sprintf("--text %s: %s", f.Text, f.Message))
	}
	return nil, use("%s has %s of %s; say which:\n  %s", a.about, logbook.Counted(len(all), "open finding"), k.Name,
		strings.Join(lines, "\n  "))
}

// withAnswer is the table of answers at the tip with one line more.
func withAnswer(o *opened, cells []string) ([]byte, error) {
	tip, err := trace.FS(o.dir, o.trail.Head)
	if err != nil {
		return nil, err
	}
	defer tip.Close()
	text, err := tip.ReadFile(answersFile)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("could not read %q: %w", answersFile, err)
	}
	return withRow(text, answersFile, cells)
}
