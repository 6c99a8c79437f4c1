package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/edit"
	"needlebook/site"
)

func (p *program) manual() *cobra.Command {
	return &cobra.Command{
		Use:   "manual DIR",
		Short: "Write the manual, and a manual page of every verb",
		Long: `Writes the manual as one page for a browser and the printer,
DIR/html/index.html: ten minutes with the example vessel, every day, a book of
your own, in your editor, all ships, for other programs, cautions.

Beside it are the manual pages of the program and of every verb, for man(1),
one file each under DIR/man1. A folder that man looks into is named by
MANPATH. What an earlier version wrote is brought up to date.`,
		Example: `  needlebook manual ~/.local/share/man
  man -l ~/.local/share/man/man1/needlebook-enter.1`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			n := 0
			for _, c := range pages(cmd.Root()) {
				name := filepath.Join(args[0], "man1", strings.ReplaceAll(c.CommandPath(), " ", "-")+".1")
				was, err := budget.Read(name, budget.MaxFile)
				if text := manPage(c); errors.Is(err, fs.ErrNotExist) {
					err = edit.Create(name, text)
				} else if err == nil && !bytes.Equal(was, text) {
					err = edit.Replace(name, was, text)
				}
				if err != nil {
					return fmt.Errorf("could not write %q: %w", name, err)
				}
				n++
			}
			html := filepath.Join(args[0], "html")
			if _, err := site.Manual(html); err != nil {
				return err
			}
			fmt.Fprintf(p.out, "the manual: %s\n%s under %s\n", filepath.Join(html, "index.html"),
				logbook.Counted(n, "manual page"),
				filepath.Join(args[0], "man1"))
			return nil
		},
	}
}

// pages are the program and every verb that has a page, in the order of the help.
func pages(c *cobra.Command) []*cobra.Command {
	all := []*cobra.Command{c}
	for _, sub := range c.Commands() {
		if sub.IsAvailableCommand() && !sub.IsAdditionalHelpTopicCommand() {
			all = append(all, pages(sub)...)
		}
	}
	return all
}

// manPage is the page of one command in the man macros of roff. The help text keeps its lines: its lists are laid out
// by hand.
func manPage(c *cobra.Command) []byte {
	var b bytes.Buffer
	name := strings.ReplaceAll(c.CommandPath(), " ", "-")
	section := func(title string) { fmt.Fprintf(&b, ".SH %s\n", title) }
	asWritten := func(text string) { fmt.Fprintf(&b, ".nf\n%s\n.fi\n", roff(strings.Trim(text, "\n"))) }
	fmt.Fprintf(&b, ".TH %s 1 \"\" needlebook \"The logbook of fuel injection valve overhauls\"\n",
		strings.ToUpper(roff(name)))
	section("NAME")
	fmt.Fprintf(&b, "%s \\- %s\n", roff(name), roff(c.Short))
	section("SYNOPSIS")
	fmt.Fprintf(&b, ".B %s\n", roff(c.UseLine()))
	section("DESCRIPTION")
	if c.Long != "" {
		asWritten(c.Long)
	} else {
		fmt.Fprintf(&b, "%s.\n", roff(c.Short))
	}
	if subs := pages(c)[1:]; len(subs) > 0 {
		section("VERBS")
		for _, s := range subs {
			fmt.Fprintf(&b, ".TP\n.B %s\n%s\n", roff(strings.TrimPrefix(s.CommandPath(), c.CommandPath()+" ")), roff(s.Short))
		}
	}
	if !c.HasParent() {
		section("WORDS")
		asWritten(wordsTopic().Long)
	}
	section("OPTIONS")
	flags := func(f *pflag.Flag) {
		if f.Hidden {
			return
		}
		short := ""
		if f.Shorthand != "" {
			short = "-" + f.Shorthand + ", "
		}
		what, usage := pflag.UnquoteUsage(f)
		what = cmp.Or(valueWords[what], what)
		fmt.Fprintf(&b, ".TP\n.B %s\n%s\n", roff(strings.TrimSpace(short+"--"+f.Name+" "+what)), roff(usage))
	}
	c.InitDefaultHelpFlag()
	c.NonInheritedFlags().VisitAll(flags)
	c.InheritedFlags().VisitAll(flags)
	if c.Example != "" {
		section("EXAMPLES")
		asWritten(c.Example)
	}
	section("EXIT STATUS")
	b.WriteString("0 nothing at the threshold; 1 findings; 2 wrong use; 3 it could not do its work. Of verify also: 4 " +
		"wrong root or rewritten; 5 broken bytes.\n")
	section("CAUTION")
	fmt.Fprintf(&b, "%s\n", roff(oneLine(deferralLine)))
	if c.HasParent() {
		section("SEE ALSO")
		fmt.Fprintf(&b, ".BR %s (1)\n", roff(strings.ReplaceAll(c.Parent().CommandPath(), " ", "-")))
	}
	return b.Bytes()
}

// roff writes a text so that none of it is taken for a request.
func roff(s string) string {
	s = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(s)
	lines := strings.Split(s, "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, ".") || strings.HasPrefix(l, "'") {
			lines[i] = `\&` + l
		}
	}
	var b strings.Builder
	for _, r := range strings.Join(lines, "\n") {
		if r < 0x80 {
			b.WriteRune(r)
		} else {
			fmt.Fprintf(&b, `\[u%04X]`, r)
		}
	}
	return b.String()
}
