package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/checks"
	"needlebook/logbook"
)

func (p *program) check() *cobra.Command {
	var k checking
	var failOn, explain string
	var wait bool
	c := &cobra.Command{
		Use:   "check [WHAT…]",
		Short: "Read, lint and judge the book",
		Long: `Reads every record of the book, judges each measurement against the limits
that applied that day, and lists the findings, the line at fault first.

WHAT narrows the list to a position (ME1-3), a serial, a record, a round, an
instrument, a deferral, a person, a file or a folder. The whole book is read
all the same, since a record is judged by what came before it.

Of a file that was edited it says what the edit opened and ended against the
last commit, and what is open in it still.

What is listed is open: nothing in the book has ended it. It comes in four
groups (on the engines now, ready spares, ship and instruments, records to put
right), gravest first, then newest. With --all what is deferred, closed by
work or answered is listed too, with what ended it. The exit status counts
what is open.

With --propose it also says of every overhaul what the order of decisions
leads to for nozzle, holder and spring, and why, beside what was decided; what
regrinding and renewing would each bring; and whether the valve is ready. It
proposes; the engineer decides. JSON always carries this.

With --watch it stays, and says the same of each file of the book as it is
saved. Press Ctrl-C to stop.

With --since it compares with an earlier commit, the last one of a day, or the
newest review from ashore (--since review): only what is new or changed is
listed, and what went away. A finding that only moved to another line is the
same.

With --limits-of every record is judged by the limits in force on that one day
instead of its own: a view to look at old work by, never what a record is held
to.`,
		Example: `  needlebook check
  needlebook check ME1-3 --fail-on stop
  needlebook check D-07
  needlebook check 2023-06-25-h-102 --propose
  needlebook check --format json > findings.json
  needlebook check --watch overhauls/me1/c3
  needlebook check --since HEAD~1
  needlebook check --since 2024-05-31
  needlebook check --limits-of 2024-06-24
  needlebook check --explain round-with-common-cause`,
		ValidArgsFunction: p.complete(),
		RunE: func(cmd *cobra.Command, args []string) error {
			if explain != "" {
				return p.explain(explain)
			}
			var ok bool
			if k.threshold, ok = checks.GradeNamed(failOn); !ok {
				return use("--fail-on %s: the grades are note, advice, action and stop", failOn)
			}
			if !slices.Contains(formats, k.format) {
				return use("--format %s: the formats are %s", k.format, strings.Join(formats, ", "))
			}
			k.paths = args
			if wait && k.at+k.limitsOf != "" {
				return use("--watch looks at the folder as it is: leave out --at and --limits-of")
			}
			if wait {
				return p.checkAgain(cmd.Context(), &k)
			}
			o, err := p.openBook(k.at, k.on, k.proof)
			if err != nil {
				return err
			}
			defer o.close()
			return p.checkOnce(o, &k)
		},
	}
	c.Flags().StringVar(&k.format, "format", "text", "text, json, sarif or junit")
	c.Flags().BoolVar(&k.propose, "propose", false, "say also what each overhaul leads to, and whether the valve is ready")
	c.Flags().BoolVar(&k.all, "all", false, "also what is deferred, closed by work or answered, with what ended it")
	c.Flags().StringVar(&failOn, "fail-on", "action",
		"lowest grade that makes the exit status 1: note, advice, action or stop")
	c.Flags().StringVar(&k.on, "on", "", "judge from this day, as 2024-06-24 (default: the last counter reading)")
	c.Flags().StringVar(&k.at, "at", "", "read this commit instead of the folder")
	c.Flags().StringVar(&k.since, "since", "",
		"list only what is new or changed since this commit, day or review, and what went away")
	c.Flags().StringVar(&k.limitsOf, "limits-of", "",
		"judge every record by the limits in force on this day (default: on its own day)")
	c.Flags().BoolVar(&wait, "watch", false, "stay, and check again whenever a file is saved")
	c.Flags().StringVar(&explain, "explain", "", "print the documentation, the source and an example of one check")
	proofFlag(c, &k.proof)
	receiptsFlag(c, &p.receipts)
	_ = c.RegisterFlagCompletionFunc("format", cobra.FixedCompletions(formats, cobra.ShellCompDirectiveNoFileComp))
	_ = c.RegisterFlagCompletionFunc("fail-on", cobra.FixedCompletions([]string{"note", "advice", "action", "stop"},
		cobra.ShellCompDirectiveNoFileComp))
	_ = c.RegisterFlagCompletionFunc("on", p.completeFrom(days))
	return c
}

// checking is what is asked of a check.
type checking struct {
	format, on, at, since, limitsOf, proof string
	threshold                              checks.Grade
	propose, all                           bool
	paths                                  []string
	// with since, once they have been worked out: the findings of that commit, those open then, and the tip where they
	// are the tip's
	then, openThen []checks.Finding
	thenAt         string
}

var formats = []string{"text", "json", "sarif", "junit"}

// checkOnce says what is found in a book, and sets the exit status by it.
func (p *program) checkOnce(o *opened, k *checking) error {
	if err := o.judgeBy(k.limitsOf); err != nil {
		return err
	}
	asked, err := p.asked(o, k.paths)
	if err != nil {
		return err
	}
	if names := o.edited(k, asked); len(names) > 0 {
		return p.editText(o, k, asked, names)
	}
	all := o.counted(k.all)
	var was *compared
	if k.since != "" {
		if was, err = o.compare(k, asked); err != nil {
			return err
		}
		all = was.fresh
	}
	p.status = exitClean
	var findings []checks.Finding
	for _, f := range all {
		if !asked.of(f) {
			continue
		}
		findings = append(findings, f)
		if f.Grade >= k.threshold && o.report.IsOpen(&f) {
			p.status = exitFindings
		}
	}
	switch k.format {
	case "sarif":
		return p.findingsSARIF(findings, was)
	case "json":
		return p.findingsJSON(o, findings, asked.file, was)
	case "junit":
		return p.findingsJUnit(o, findings, k.threshold)
	}
	return p.findingsText(o, findings, asked, k, was)
}

// counted are the open findings, or all of them.
func (o *opened) counted(all bool) []checks.Finding {
	if all {
		return o.report.Findings
	}
	return o.report.Open()
}

// checkAgain checks now and after every change, until it is interrupted. What cannot be read at the moment is said, and
// waited for.
func (p *program) checkAgain(ctx context.Context, k *checking) error {
	dir, err := p.findBook()
	if err != nil {
		return err
	}
	return p.afterChanges(ctx, dir, k.on, k.proof, func(o *opened, changed []string) error {
		if len(changed) > 0 && k.format == "text" {
			fmt.Fprintf(p.out, "\nchanged: %s\n", few(changed, 5))
		}
		if names := o.edited(k, fileNames(changed)); len(k.paths) == 0 && len(names) > 0 {
			return p.editText(o, k, fileNames(names), names)
		}
		return p.checkOnce(o, k)
	})
}

// askedFor is what a check was asked about: everything, where no thing is named.
type askedFor struct {
	things []logbook.Thing
	holds  []func(name string) bool
}

func (p *program) asked(o *opened, args []string) (*askedFor, error) {
	a := &askedFor{}
	var err error
	if a.things, err = p.each(o, args, nil, logbook.ThingKinds...); err != nil {
		return nil, err
	}
	for _, t := range a.things {
		a.holds = append(a.holds, o.book.Holds(t))
	}
	return a, nil
}

// file says that a file is about what was asked for.
func (a *askedFor) file(name string) bool {
	return len(a.things) == 0 || slices.ContainsFunc(a.holds, func(holds func(string) bool) bool { return holds(name) })
}

// of says that a finding is about what was asked for, wherever it is written.
func (a *askedFor) of(f checks.Finding) bool {
	return a.file(f.Place.Path) || slices.ContainsFunc(a.things, func(t logbook.Thing) bool { return concerns(f, t) })
}

// concerns says that a finding is about a thing.
func concerns(f checks.Finding, t logbook.Thing) bool {
	if f.Subject.Name == t.Name && t.Name != "" || f.Subject.Name == t.Position.String() && t.Position.Engine != "" {
		return true
	}
	switch t.Kind {
	case logbook.ThingPosition:
		return f.About.Position == t.Position
	case logbook.ThingEngine:
		return f.About.Position.Engine == t.Name
	case logbook.ThingHolder:
		return f.About.Holder == t.Name
	case logbook.ThingNozzle:
		return f.About.Nozzle == t.Name
	case logbook.ThingRecord:
		return f.About.Record == t.Name
	case logbook.ThingRound:
		return f.About.Round == t.Name
	case logbook.ThingInstrument:
		return f.About.Instrument == t.Name
	case logbook.ThingPerson:
		return f.About.Person == t.Name || f.Place.Path == t.Row.Path && f.Place.Line == t.Row.Line
	case logbook.ThingBunker:
		return f.About.Bunker == t.Name || f.Place.Path == t.Row.Path && f.Place.Line == t.Row.Line
	}
	return false
}

// checkNamed is the check of a name, or what may be meant.
func checkNamed(name string) (*checks.Check, error) {
	if k := checks.Named(name); k != nil {
		return k, nil
	}
	var names []string
	for _, k := range checks.All() {
		names = append(names, k.Name)
	}
	if near := logbook.Nearest(name, names); near != "" {
		return nil, use("there is no check %q; the nearest is %s", name, near)
	}
	return nil, use("there is no check %q; the checks are: %s", name, strings.Join(names, ", "))
}

func (p *program) explain(name string) error {
	k, err := checkNamed(name)
	if err != nil {
		return err
	}
	fmt.Fprintf(p.out, "%s\n%s level, grade %s\n\n%s\n\n", k.Name, k.Level, k.Grade, k.Doc)
	fmt.Fprintf(p.out, "About: %s\n", k.Subject)
	for _, line := range k.Ends.Words() {
		fmt.Fprintln(p.out, line)
	}
	fmt.Fprintf(p.out, "Version: %d, known to answers as %s\n\nSource: %s\n", k.Version, k.ID(), k.Source)
	if k.Example != "" {
		fmt.Fprintf(p.out, "\nExample: %s\n", k.Example)
	}
	return nil
}
