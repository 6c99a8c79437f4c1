package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"needlebook/logbook"
	"needlebook/logbook/exchange/repair"
	"needlebook/logbook/trace"
)

func (p *program) repair() *cobra.Command {
	var remedy bool
	c := &cobra.Command{
		Use:   "repair [FILE…]",
		Short: "Name what a crash or a power cut left behind; repair on request",
		Long: `Looks for locks that nobody holds any more, half-written files, a branch or a
list of files that cannot be read, and a commit that was cut short. It names
each file, how old it is, and what a repair would do, and changes nothing.

--write does what was said, for the files named or for all. It never touches
the text of a record: what you have edited stays as it is. Make sure first
that no other program is writing in the book.

Whether stored texts are what was committed is said by needlebook verify. Exit
status 0: nothing is left behind, or all of it is repaired; 1 otherwise.`,
		Example: `  needlebook repair
  needlebook repair --write .git/index.lock
  needlebook repair --write`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 && !remedy {
				return use("name files together with --write; needlebook repair alone lists them")
			}
			dir, err := p.bookOrRepository()
			if err != nil {
				return err
			}
			return p.repairBook(dir, args, remedy)
		},
	}
	c.Flags().BoolVar(&remedy, "write", false, "do what is said, for the files named or for all")
	return c
}

// bookOrRepository is the folder of the book, or one that has lost its book.md and still has its repository.
func (p *program) bookOrRepository() (string, error) {
	dir, err := p.findBook()
	if err == nil || p.bookDir == "" {
		return dir, err
	}
	if _, gone := os.Stat(filepath.Join(p.bookDir, ".git")); gone == nil {
		return filepath.Abs(p.bookDir)
	}
	return dir, err
}

func (p *program) repairBook(dir string, args []string, remedy bool) error {
	troubles, err := repair.Troubles(dir)
	if errors.Is(err, trace.ErrNotRepository) {
		return use("%q is not under git: there is nothing to repair", dir)
	}
	if err != nil {
		return err
	}
	named := map[string]bool{}
	for _, a := range args {
		rel := path.Clean(filepath.ToSlash(a))
		if !slices.ContainsFunc(troubles, func(t repair.Trouble) bool { return t.Path == rel }) {
			return use("%s: nothing is wrong with it that repair knows; needlebook repair lists what is", a)
		}
		named[rel] = true
	}
	if len(troubles) == 0 {
		fmt.Fprintln(p.out, "nothing is left behind")
		return nil
	}
	left := 0
	for _, t := range troubles {
		fmt.Fprintf(p.out, "%s%s: %s\n", t.Path, written(t.Since), t.What)
		switch {
		case t.Remedy == "":
			fmt.Fprintln(p.out, "    only a signer can decide this")
			left++
		case !remedy || len(named) > 0 && !named[t.Path]:
			fmt.Fprintf(p.out, "    --write would: %s\n", t.Remedy)
			left++
		default:
			if err := t.Repair(); err != nil && !errors.Is(err, fs.ErrNotExist) {
				return fmt.Errorf("could not repair %q: %w", t.Path, err)
			}
			fmt.Fprintf(p.out, "    repaired: %s\n", t.Remedy)
		}
	}
	if left > 0 {
		p.status = exitFindings
		return nil
	}
	// What stood in the way of reading may have hidden something behind it.
	rest, err := repair.Troubles(dir)
	if err != nil {
		return err
	}
	for _, t := range rest {
		fmt.Fprintf(p.out, "%s%s: %s\n    found behind the rest; run it again\n", t.Path, written(t.Since), t.What)
		p.status = exitFindings
	}
	return nil
}

// written is the age of a file that is there.
func written(at time.Time) string {
	if at.IsZero() {
		return ""
	}
	return ", written " + at.UTC().Format("2006-01-02 15:04Z") + ", " + old(time.Since(at))
}

func old(age time.Duration) string {
	switch {
	case age < time.Minute:
		return "less than a minute ago"
	case age < 2*time.Hour:
		return fmt.Sprintf("%d min ago", int(age.Minutes()))
	case age < 48*time.Hour:
		return fmt.Sprintf("%d h ago", int(age.Hours()))
	}
	return logbook.Counted(int(age.Hours())/24, "day") + " ago"
}
