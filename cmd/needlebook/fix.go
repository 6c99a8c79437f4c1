package main

import (
	"fmt"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/edit"
)

func (p *program) fix() *cobra.Command {
	var write bool
	var only []string
	c := &cobra.Command{
		Use:   "fix [WHAT…]",
		Short: "Correct slips of typing, the difference shown first",
		Long: `Shows what can be corrected without anybody's judgement: a decimal comma, a
unit spelled otherwise, a byte-order mark, line ends, an identity without
quotes, a day that can only be one day, a reason cut at its comma, the name of
a photo with blanks or another format's ending.

Nothing is written unless --write is given. Every other byte of the file stays.

A correction never changes what a value says: one that would is not made.
Dates are turned in the order that their file proves, all of them or none.

What a person must decide is listed and left: 57.705 h may be thousands or a
decimal, 02.04.2024 April or February. So is what a check proposes, such as
the name of an instrument that the book has, or of a file. A record that
somebody has countersigned is not touched at all: its figure is struck through
under corrections.

Exit status 1: something is left to correct.`,
		Example: `  needlebook fix
  needlebook fix ME1-3 --write
  needlebook fix hours/me1.csv --write
  needlebook fix --only decimal-comma,unit-spelling`,
		RunE: func(cmd *cobra.Command, args []string) error {
			for _, name := range only {
				if all := append(slices.Clone(edit.Safe), photoNames); !slices.Contains(all, name) {
					return use("--only %s: the corrections are %s", name, strings.Join(all, ", "))
				}
			}
			return p.fixBook(args, write, func(name string) bool { return len(only) == 0 || slices.Contains(only, name) })
		},
	}
	c.Flags().BoolVar(&write, "write", false, "write the corrections (default: only show them)")
	c.Flags().StringSliceVar(&only, "only", nil, "make only these corrections, by name")
	return c
}

// photoNames is the check that tells a photo with an unfit name.
const photoNames = "attachment"

func (p *program) fixBook(names []string, write bool, wanted func(string) bool) error {
	o, err := p.openBook("", "", "")
	if err != nil {
		return err
	}
	defer o.close()
	if only := wanted; o.book.IsNewer() {
		wanted = func(name string) bool { return only(name) && !logbook.Newer(name) }
	}
	meant, err := p.each(o, names, o.filesElsewhere(nil), fileKinds...)
	if err != nil {
		return err
	}
	within := func(name string) bool {
		return len(meant) == 0 || slices.ContainsFunc(meant, func(t logbook.Thing) bool { return o.book.Holds(t)(name) })
	}
	seen := o.countersigned()
	files, corrections, left, kept := 0, 0, 0, 0
	proposed := map[string][]checks.Finding{}
	for _, f := range o.report.Findings {
		if f.Proposal != nil && f.State == checks.Open && wanted(f.Check) {
			proposed[f.Place.Path] = append(proposed[f.Place.Path], f)
		}
	}
	for _, name := range append(slices.Clone(o.book.Files), o.registers()...) {
		ext := path.Ext(name)
		if !within(name) || logbook.IsEvidence(name) ||
			ext != ".md" && ext != ".csv" && !strings.HasPrefix(name, "signers/") {
			continue
		}
		full := filepath.Join(o.dir, filepath.FromSlash(name))
		src, err := budget.Read(full, budget.MaxFile)
		if err != nil {
			return err
		}
		fixed, made := edit.Correct(name, src, wanted)
		if by := seen[name]; by != "" {
			if len(made) == 0 {
				continue
			}
			kept++
			fmt.Fprintf(p.out, "%s\n  not touched: countersigned in %s; strike the figure through under corrections: {date, "+
				"by, what, was, why}\n", name, by)
			continue
		}
		tidy, _ := edit.Correct(name, src, func(slip string) bool { return !o.book.IsNewer() || !logbook.Newer(slip) })
		rest := edit.Left(name, tidy)
		o.book.ResolveParted(rest)
		o.book.TakeNewer(rest)
		rest = slices.DeleteFunc(rest, func(p logbook.Problem) bool { return p.Newer })
		offers := offered(name, src, proposed[name])
		if len(made)+len(rest)+len(offers) > 0 {
			fmt.Fprintln(p.out, name)
		}
		for _, c := range made {
			fmt.Fprint(p.out, c.Shown())
		}
		for _, x := range rest {
			left++
			fmt.Fprintf(p.out, "  line %d, %s, yours to decide: %q, expected %s\n", x.Place.Line, x.Slip, x.Found, x.Expected)
			if choices := edit.Choices(name, tidy, x); len(choices) > 0 {
				fmt.Fprintf(p.out, "    %s\n", edit.Offer(choices))
			}
		}
		for _, offer := range offers {
			left++
			fmt.Fprint(p.out, offer)
		}
		if len(made) == 0 {
			continue
		}
		files, corrections = files+1, corrections+len(made)
		if write {
			if err := edit.Replace(full, src, fixed); err != nil {
				return fmt.Errorf("could not write %q: %w", name, err)
			}
		}
	}
	if wanted(photoNames) {
		photos, err := p.renamePhotos(o, within, write)
		if err != nil {
			return err
		}
		files, corrections, kept = files+photos.files, corrections+photos.made, kept+photos.kept
	}
	done := "can be made; nothing is written, --write writes them"
	if write {
		done = "made"
	}
	fmt.Fprintf(p.out, "%s in %s %s; %d left to decide, %s not touched\n", logbook.Counted(corrections, "correction"),
		logbook.Counted(files, "file"), done, left, logbook.Counted(kept, "countersigned file"))
	if !write && corrections > 0 || left+kept > 0 {
		p.status = exitFindings
	}
	return nil
}

// offered is what the checks propose for a file, ready to print below its name.
func offered(name string, src []byte, findings []checks.Finding) (all []string) {
	for _, f := range findings {
		offer := f.Proposal.String()
		if f.Proposal.Path == "" {
			offer = edit.Offer(edit.Typed(name, src, f.Proposal))
		}
		if offer != "" {
			all = append(all, fmt.Sprintf("  line %d, %s, yours to decide: %s\n    %s\n", f.Place.Line, f.Check, f.Message,
				offer))
		}
	}
	return all
}

// registers are the files of signers/ that hold dates of the register.
func (o *opened) registers() []string {
	if _, err := os.Stat(filepath.Join(o.dir, "signers", "allowed_signers")); err == nil {
		return []string{"signers/allowed_signers"}
	}
	return nil
}

// countersigned names, for each file that somebody has seen, the file that says so: in the folder, or in the history.
func (o *opened) countersigned() map[string]string {
	seen := map[string]string{}
	for _, all := range [][]*logbook.Seen{o.book.Countersigned, o.book.Reviews} {
		for _, s := range all {
			seen[s.Record.Written] = s.Path
		}
	}
	for _, r := range o.trail.Records {
		for _, c := range r.Countersignatures {
			seen[r.Path] = c.Path
		}
	}
	// What binds others' words is not a record to be tidied either.
	for _, name := range o.book.Files {
		if strings.HasPrefix(name, "countersigned/") || strings.HasPrefix(name, "reviews/") {
			seen[name] = name
		}
	}
	return seen
}
