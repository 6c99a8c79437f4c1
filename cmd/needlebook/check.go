package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/checks"
)

func (p *program) check() *cobra.Command {
	var format, failOn, on, at, since, limitsOf, explain, proof string
	var propose bool
	c := &cobra.Command{
		Use:   "check [PATH…]",
		Short: "Read, lint and judge the book",
		Long: `Reads every record of the book, judges each measurement against the limits that
applied that day, and lists the findings, the line at fault first. PATHs narrow
the list to files and folders; the whole book is read all the same, since a
record is judged by what came before it.

With --propose it also says of every overhaul what the order of decisions leads
to for nozzle, holder and spring, and why, beside what was decided; what regrinding
and renewing would each bring; and whether the valve is ready. It proposes; the
engineer decides. JSON always carries this.

With --since it compares with an earlier commit: only what is found newly or
otherwise than then is listed, and what went away. A finding that only stands on
another line is the same.

With --limits-of every record is judged by the limits in force on that one day instead
of its own: a view to look at old work by, never what a record is held to.`,
		Example: `  needlebook check
  needlebook check overhauls/me1/c3 --fail-on stop
  needlebook check overhauls/me2/c2/2023-06-25-h-102.md --propose
  needlebook check --format json > findings.json
  needlebook check --since HEAD~1
  needlebook check --limits-of 2024-06-24
  needlebook check --explain round-fouled`,
		ValidArgsFunction: p.complete(paths),
		RunE: func(cmd *cobra.Command, args []string) error {
			if explain != "" {
				return p.explain(explain)
			}
			threshold, ok := checks.GradeNamed(failOn)
			if !ok {
				return use("--fail-on %s: the grades are note, advice, answer and stop", failOn)
			}
			var asked func(path string) bool
			var was *compared
			write := map[string]func(*opened, []checks.Finding) error{
				"sarif": func(_ *opened, fs []checks.Finding) error { return p.findingsSARIF(fs, was) },
				"text":  func(o *opened, fs []checks.Finding) error { return p.findingsText(o, fs, asked, propose, was) },
				"json":  func(o *opened, fs []checks.Finding) error { return p.findingsJSON(o, fs, asked, was) },
				"junit": func(o *opened, fs []checks.Finding) error { return p.findingsJUnit(o, fs, threshold) }}[format]
			if write == nil {
				return use("--format %s: the formats are text, json, sarif and junit", format)
			}
			o, err := p.openBook(at, on, proof)
			if err != nil {
				return err
			}
			defer o.close()
			if err := o.judgeBy(limitsOf); err != nil {
				return err
			}
			if asked, err = o.under(args); err != nil {
				return err
			}
			all := o.report.Findings
			if since != "" {
				if was, err = o.compare(since, on, proof, asked); err != nil {
					return err
				}
				all = was.fresh
			}
			var findings []checks.Finding
			for _, f := range all {
				if !asked(f.Place.Path) {
					continue
				}
				findings = append(findings, f)
				if f.Grade >= threshold {
					p.status = exitFindings
				}
			}
			return write(o, findings)
		},
	}
	c.Flags().StringVar(&format, "format", "text", "text, json, sarif or junit")
	c.Flags().BoolVar(&propose, "propose", false, "say also what each overhaul leads to, and whether the valve is ready")
	c.Flags().StringVar(&failOn, "fail-on", "answer", "lowest grade that makes the exit status 1: note, advice, answer or stop")
	c.Flags().StringVar(&on, "on", "", "judge from this day, as 2024-06-24 (default: the last counter reading)")
	c.Flags().StringVar(&at, "at", "", "read this commit instead of the folder")
	c.Flags().StringVar(&since, "since", "", "list only what is new or changed since this commit, and what went away")
	c.Flags().StringVar(&limitsOf, "limits-of", "", "judge every record by the limits in force on this day (default: on its own day)")
	c.Flags().StringVar(&explain, "explain", "", "print the documentation, the source and an example of one check")
	proofFlag(c, &proof)
	return c
}

// under says which files lie under the files and folders given, named from the book's top or from the current folder; every file where
// none is given.
func (o *opened) under(paths []string) (func(path string) bool, error) {
	var prefixes []string
	for _, p := range paths {
		rel := filepath.ToSlash(filepath.Clean(p))
		if abs, err := filepath.Abs(p); err == nil {
			if r, err := filepath.Rel(o.dir, abs); err == nil && !strings.HasPrefix(r, "..") {
				rel = filepath.ToSlash(r)
			}
		}
		if !o.has(rel) {
			if given := filepath.ToSlash(filepath.Clean(p)); o.has(given) {
				rel = given
			} else {
				return nil, use("%s: no such file or folder in the book", p)
			}
		}
		prefixes = append(prefixes, rel)
	}
	return func(path string) bool {
		return len(prefixes) == 0 || slices.ContainsFunc(prefixes, func(p string) bool { return p == "." || path == p || strings.HasPrefix(path, p+"/") })
	}, nil
}

// has says that the book holds a file or folder of that path.
func (o *opened) has(rel string) bool {
	for _, f := range o.book.Files {
		if rel == "." || f == rel || strings.HasPrefix(f, rel+"/") {
			return true
		}
	}
	return false
}

func (p *program) explain(name string) error {
	k := checks.Named(name)
	if k == nil {
		var names []string
		for _, k := range checks.All() {
			names = append(names, k.Name)
		}
		return use("there is no check %q; the checks are: %s", name, strings.Join(names, ", "))
	}
	fmt.Fprintf(p.out, "%s\n%s level, grade %s\n\n%s\n\nSource: %s\n", k.Name, k.Level, k.Grade, k.Doc, k.Source)
	if k.Example != "" {
		fmt.Fprintf(p.out, "\nExample: %s\n", k.Example)
	}
	return nil
}
