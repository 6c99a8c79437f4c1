package main

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"sort"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/checks"
	"needlebook/logbook"
)

func (p *program) check() *cobra.Command {
	var format, failOn, on, at, explain, proof string
	c := &cobra.Command{
		Use:   "check [PATH…]",
		Short: "Read, lint and judge the book",
		Long: `Reads every record of the book, judges each measurement against the limits that
applied that day, and lists the findings, the line at fault first. PATHs narrow
the list to files and folders; the whole book is read all the same, since a
record is judged by what came before it.`,
		Example: `  needlebook check
  needlebook check overhauls/me1/c3 --fail-on stop
  needlebook check --format json > findings.json
  needlebook check --explain batch-shift`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if explain != "" {
				return p.explain(explain)
			}
			threshold, ok := checks.GradeNamed(failOn)
			if !ok {
				return use("--fail-on %s: the grades are note, advice, answer and stop", failOn)
			}
			write := map[string]func(*opened, []checks.Finding) error{"text": p.findingsText, "json": p.findingsJSON}[format]
			if write == nil {
				return use("--format %s: the formats are text and json", format)
			}
			o, err := p.openBook(at, on, proof)
			if err != nil {
				return err
			}
			findings, err := o.under(args)
			if err != nil {
				return err
			}
			for _, f := range findings {
				if f.Grade >= threshold {
					p.status = exitFindings
				}
			}
			return write(o, findings)
		},
	}
	c.Flags().StringVar(&format, "format", "text", "text or json")
	c.Flags().StringVar(&failOn, "fail-on", "answer", "lowest grade that makes the exit status 1: note, advice, answer or stop")
	c.Flags().StringVar(&on, "on", "", "judge from this day, as 2024-06-24 (default: the last counter reading)")
	c.Flags().StringVar(&at, "at", "", "read this commit instead of the folder")
	c.Flags().StringVar(&explain, "explain", "", "print the documentation, the source and an example of one check")
	proofFlag(c, &proof)
	return c
}

// under narrows the findings to files and folders of the book, named from the book's top or from the current folder.
func (o *opened) under(paths []string) ([]checks.Finding, error) {
	if len(paths) == 0 {
		return o.report.Findings, nil
	}
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
	var kept []checks.Finding
	for _, f := range o.report.Findings {
		for _, p := range prefixes {
			if p == "." || f.Place.Path == p || strings.HasPrefix(f.Place.Path, p+"/") {
				kept = append(kept, f)
				break
			}
		}
	}
	return kept, nil
}

func (o *opened) has(rel string) bool {
	if rel == "." {
		return true
	}
	i := sort.SearchStrings(o.book.Files, rel)
	return i < len(o.book.Files) && (o.book.Files[i] == rel || strings.HasPrefix(o.book.Files[i], rel+"/")) ||
		func() bool {
			j := sort.SearchStrings(o.book.Files, rel+"/")
			return j < len(o.book.Files) && strings.HasPrefix(o.book.Files[j], rel+"/")
		}()
}

func (p *program) findingsText(o *opened, fs []checks.Finding) error {
	count := map[checks.Grade]int{}
	for _, f := range fs {
		count[f.Grade]++
		fmt.Fprintf(p.out, "%s: %s: %s [%s]\n", f.Place, f.Grade, f.Message, f.Check)
		if f.Next != "" {
			fmt.Fprintf(p.out, "    %s\n", f.Next)
		}
		if f.Limit != nil {
			fmt.Fprintf(p.out, "    limit %s, %s, in force from %s: %s\n", f.Limit.Text, f.Limit.Source, f.Limit.Edition, f.Limit.Place)
		}
		for _, r := range f.Related {
			fmt.Fprintf(p.out, "    %s: %s\n", r.Place, r.Words)
		}
	}
	fmt.Fprintf(p.out, "%d overhauls read, judged from %s: %d stop, %d answer, %d advice, %d note\n", len(o.book.Overhauls), o.report.Today,
		count[checks.Stop], count[checks.Answer], count[checks.Advice], count[checks.Note])
	fmt.Fprintln(p.out, o.trail.Headline)
	fmt.Fprintln(p.out, deferralLine)
	return nil
}

// placeJSON, limitJSON, findingJSON and checkJSON are the stable form of check --format json; DEVELOPERS.md documents it.
type placeJSON struct {
	Path   string `json:"path"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
	Words  string `json:"words,omitempty"`
}

type limitJSON struct {
	Text    string    `json:"text"`
	Source  string    `json:"source"`
	Edition string    `json:"edition"`
	Place   placeJSON `json:"place"`
}

type findingJSON struct {
	Check    string      `json:"check"`
	Grade    string      `json:"grade"`
	Place    placeJSON   `json:"place"`
	Message  string      `json:"message"`
	Next     string      `json:"next,omitempty"`
	Limit    *limitJSON  `json:"limit,omitempty"`
	Related  []placeJSON `json:"related,omitempty"`
	Record   string      `json:"record,omitempty"`
	Position string      `json:"position,omitempty"`
	Holder   string      `json:"holder,omitempty"`
	Nozzle   string      `json:"nozzle,omitempty"`
}

type checkJSON struct {
	Format    string         `json:"format"` // "needlebook check 1"
	Vessel    string         `json:"vessel"`
	Today     string         `json:"judged_from"`
	Overhauls int            `json:"overhauls"`
	Grades    map[string]int `json:"grades"`
	History   string         `json:"history"`
	Findings  []findingJSON  `json:"findings"`
	Deferral  string         `json:"deferral"`
}

func (p *program) findingsJSON(o *opened, fs []checks.Finding) error {
	out := checkJSON{Format: "needlebook check 1", Vessel: o.book.Vessel.Name.Written, Today: o.report.Today.String(), Overhauls: len(o.book.Overhauls),
		Grades: map[string]int{"stop": 0, "answer": 0, "advice": 0, "note": 0}, History: o.trail.Headline, Findings: []findingJSON{}, Deferral: strings.Join(strings.Fields(deferralLine), " ")}
	for _, f := range fs {
		out.Grades[f.Grade.String()]++
		j := findingJSON{Check: f.Check, Grade: f.Grade.String(), Place: jsonPlace(f.Place, ""), Message: f.Message, Next: f.Next, Record: f.About.Record, Holder: f.About.Holder, Nozzle: f.About.Nozzle}
		if f.About.Position.Engine != "" {
			j.Position = f.About.Position.String()
		}
		if f.Limit != nil {
			j.Limit = &limitJSON{f.Limit.Text, f.Limit.Source, f.Limit.Edition.String(), jsonPlace(f.Limit.Place, "")}
		}
		for _, r := range f.Related {
			j.Related = append(j.Related, jsonPlace(r.Place, r.Words))
		}
		out.Findings = append(out.Findings, j)
	}
	return p.json(out)
}

func jsonPlace(p logbook.Place, words string) placeJSON {
	return placeJSON{p.Path, p.Line, p.Column, words}
}

func (p *program) json(v any) error {
	enc := json.NewEncoder(p.out)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return fmt.Errorf("could not write the output: %w", err)
	}
	return nil
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
