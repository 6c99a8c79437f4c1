package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/site"
)

func (p *program) pages() *cobra.Command {
	var out, on, at, proof string
	c := &cobra.Command{
		Use:   "pages",
		Short: "Build the static pages of the book",
		Long: `Builds the browsable history: one page for each cylinder, holder, nozzle,
instrument, round and overhaul, and pages named by their reader's question. The
pages need no network, no server and no script; they are read from a memory
stick as well. Only pages that changed are written.`,
		Example: `  needlebook pages -o ../pages
  needlebook pages -o /media/stick/pages --at HEAD`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			o, err := p.openBook(at, on, proof)
			if err != nil {
				return err
			}
			defer o.close()
			if out == "" {
				out = filepath.Join(filepath.Dir(o.dir), filepath.Base(o.dir)+"-pages")
			}
			n, err := o.build(out)
			if err != nil {
				return err
			}
			fmt.Fprintf(p.out, "%s\nopen %s\n", n, filepath.Join(out, "index.html"))
			return nil
		},
	}
	c.Flags().StringVarP(&out, "output", "o", "", "folder for the pages, outside the book (default: beside the book)")
	c.Flags().StringVar(&on, "on", "", "judge from this day (default: the last counter reading)")
	c.Flags().StringVar(&at, "at", "", "read this commit instead of the folder")
	proofFlag(c, &proof)
	return c
}

// build writes the pages and says in words how many changed.
func (o *opened) build(out string) (string, error) {
	abs, err := filepath.Abs(out)
	if err != nil {
		return "", fmt.Errorf("could not follow %q: %w", out, err)
	}
	if rel, err := filepath.Rel(o.dir, abs); err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator)) {
		return "", use("%s lies inside the book: pages never go there; name a folder outside with -o", out)
	}
	r, err := site.Build(site.Input{Book: o.book, Report: o.report, Trail: o.trail, Files: o.files}, abs)
	if err != nil {
		return "", err
	}
	return fmt.Sprintf("%d pages, %d files written, %d unchanged", r.Pages, r.Written, r.Unchanged), nil
}
