package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/logbook"
	"needlebook/site"
)

func (p *program) pages() *cobra.Command {
	a := pagesAsk{}
	var join bool
	c := &cobra.Command{
		Use:   "pages [BOOK…]",
		Short: "Build the static pages of the book, or of several ships with a front page",
		Long: `Builds the history for a browser: one page for each cylinder, holder, nozzle,
instrument, round and overhaul, and pages named by their reader's question.
The pages need no network, no server and no script; they are read from a
memory stick as well. Only pages that changed are written.

Several books make a front page: one line a ship, exceptions first, each
ship's pages in a folder of her own below it.

Every build leaves a summary.json beside its pages, and --join makes the front
page from those alone: so the ships can be built on any number of machines,
and joined in the end. A ship that could not be read is on the front page with
the reason, and the exit status is 3.

What changed is shown since the newest review in the book, or since --since:
the same checks are run on the book as it was then. --no-since leaves that
out.`,
		Example: `  needlebook pages -o ../pages
  needlebook pages -o /media/stick/pages --at HEAD
  needlebook pages -o ../pages --since v2024-03
  needlebook pages -o fleet books/ostrevane books/merrivane
  needlebook pages --join -o fleet fleet/ostrevane fleet/merrivane`,
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case join && len(args) == 0:
				return use("--join: name the folders of pages to join")
			case join:
				return p.joinShips(a.out, args)
			case len(args) > 1 && a.receipts != "":
				return use("--receipts are those of one book: build each ship with hers, and put them together with --join")
			case len(args) > 1:
				return p.pagesOfShips(a, args)
			case len(args) == 1 && p.bookDir != "":
				return use("name the book once: as --book or as an argument")
			case len(args) == 1:
				p.bookDir = args[0]
			}
			return p.pagesOfBook(a)
		},
	}
	c.Flags().StringVarP(&a.out, "output", "o", "", "folder for the pages, outside the book (default: beside the book)")
	c.Flags().StringVar(&a.on, "on", "", "judge from this day (default: the last counter reading)")
	c.Flags().StringVar(&a.at, "at", "", "read this commit instead of the folder")
	c.Flags().StringVar(&a.since, "since", "",
		"say what changed since this commit or tag (default: since the newest review)")
	receiptsFlag(c, &a.receipts)
	c.Flags().BoolVar(&a.noSince, "no-since", false, "compare with no earlier state: the build takes less time")
	c.Flags().BoolVar(&join, "join", false, "make the front page of several ships from the folders of their pages")
	c.Flags().StringArrayVar(&a.proofs, "proof", nil,
		"founding proof, commit@SHA256:fingerprint, as it was given outside the book (also NEEDLEBOOK_PROOF); of several "+
			"books in their order, - for none")
	return c
}

// pagesAsk is what pages are asked for.
type pagesAsk struct {
	out, on, at, since string
	noSince            bool
	receipts           string // of one book only
	proofs             []string
}

// proof is the founding proof of the n-th of so many books.
func (a pagesAsk) proof(n, of int) (string, error) {
	switch {
	case of == 1 && (len(a.proofs) == 0 || len(a.proofs) == 1 && a.proofs[0] == ""):
		return provenBy(), nil
	case len(a.proofs) == 0:
		return "", nil
	case len(a.proofs) != of:
		return "", use("--proof was given %s for %d books: once for each in their order, - for none",
			logbook.Counted(len(a.proofs), "time"), of)
	case a.proofs[n] == "-":
		return "", nil
	}
	return a.proofs[n], nil
}

func (p *program) pagesOfBook(a pagesAsk) error {
	dir, err := p.findBook()
	if err != nil {
		return err
	}
	proof, err := a.proof(0, 1)
	if err != nil {
		return err
	}
	if a.out == "" {
		a.out = filepath.Join(filepath.Dir(dir), filepath.Base(dir)+"-pages")
	}
	said, err := p.buildAsked(a, dir, a.out, proof)
	if err != nil {
		return err
	}
	fmt.Fprintf(p.out, "%s\nopen %s\n", said, filepath.Join(a.out, "index.html"))
	return nil
}

// buildAsked reads one book and writes its pages.
func (p *program) buildAsked(a pagesAsk, dir, out, proof string) (string, error) {
	o, err := openFolder(p.ctx, dir, a.at, a.on, p.today, proof)
	if err != nil {
		return "", err
	}
	defer o.close()
	if err := o.against(a.receipts); err != nil {
		return "", err
	}
	if !a.noSince {
		if o.before, err = o.earlier(a.since); err != nil {
			return "", err
		}
	}
	return p.build(o, out)
}

// build writes the pages and says in words how many changed.
func (p *program) build(o *opened, out string) (string, error) {
	abs, err := filepath.Abs(out)
	if err != nil {
		return "", fmt.Errorf("could not follow %q: %w", out, err)
	}
	if rel, err := filepath.Rel(o.dir, abs); err == nil && rel != ".." &&
		!strings.HasPrefix(rel, ".."+string(filepath.Separator)) {
		return "", use("%s lies inside the book: pages never go there; name a folder outside with -o", out)
	}
	p.waits.now("writing the pages")
	r, err := site.Build(site.Input{Book: o.book, Report: o.report, Trail: o.trail, Files: o.files, Before: o.before,
		Program: programName(),
		Context: o.ctx}, abs)
	if err != nil {
		return "", err
	}
	p.notLookedAt(o.report)
	p.faults(r.Failed...)
	return fmt.Sprintf("%s, %s written, %d unchanged", logbook.Counted(r.Pages, "page"),
		logbook.Counted(r.Written, "file"), r.Unchanged), nil
}

// earlier is what the checks said at a commit or tag; of the newest review where none is named. nil where there is
// neither.
func (o *opened) earlier(rev string) (*site.Before, error) {
	why := "commit " + rev
	asked := rev != ""
	if rev == "" {
		c, signer := lastReview(o.trail)
		if c == nil {
			return nil, nil
		}
		rev, why = c.ID, "review by "+signer
	}
	if !o.trail.UnderGit {
		return nil, use("--since %s: there is nothing to compare with: %s", rev, o.trail.Headline)
	}
	then, err := openFolder(o.ctx, o.dir, rev, "", o.today, o.trail.FoundingProof)
	if err != nil {
		if asked {
			return nil, fmt.Errorf("could not read the book as it stood at %q: %w", rev, err)
		}
		return nil, fmt.Errorf("could not read the book as it stood at the newest review (--no-since leaves "+
			"that out): %w", err)
	}
	defer then.close()
	before := &site.Before{Why: why, Commit: then.trail.Head, Report: then.report}
	if n := len(then.trail.Commits); n > 0 {
		before.Day = logbook.DayOf(then.trail.Commits[n-1].Stated)
	}
	return before, nil
}

// lastReview is the newest commit by which a superintendent's review came in, and who signed it; nil where there is
// none.
func lastReview(t *logbook.Trail) (*logbook.Commit, string) {
	newest, signer := -1, ""
	for _, r := range t.Records {
		for _, c := range r.Countersignatures {
			if c.Role == "superintendent" && (c.Commit > newest || c.Commit == newest && c.Person < signer) {
				newest, signer = c.Commit, c.Person
			}
		}
	}
	return t.At(newest), signer
}
