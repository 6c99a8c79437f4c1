package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/crypto/ssh"

	"needlebook/checks"
	vessel "needlebook/example-vessel"
	"needlebook/logbook/budget"
	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

func (p *program) demo() *cobra.Command {
	var serve bool
	var addr string
	c := &cobra.Command{
		Use:   "demo [DIR]",
		Short: "Write the example vessel as a book with a signed history, judge it, build its pages",
		Long: `Writes the example vessel, an invented ship, as DIR/book with a signed
history, checks it, verifies it, and builds its pages in DIR/pages. DIR is
needlebook-demo where none is named; a folder that is not the demo's own is
left alone.`,
		Example: `  needlebook demo
  needlebook demo --serve
  needlebook demo /tmp/ostrevane`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			dir := "needlebook-demo"
			if len(args) > 0 {
				dir = args[0]
			}
			if err := p.writeDemo(dir); err != nil {
				return err
			}
			if !serve {
				return nil
			}
			return p.serve(cmd.Context(), addr, filepath.Join(dir, "pages"))
		},
	}
	c.Flags().BoolVar(&serve, "serve", false, "show the pages on this computer when they are built")
	c.Flags().StringVar(&addr, "addr", "127.0.0.1:0", "with --serve: address on this computer; port 0 picks a free one")
	return c
}

// demoMark is the file by which the demo knows its own folder; it holds the tip it wrote, so that nothing that somebody
// added since is ever thrown away.
const demoMark = "demo.txt"

func (p *program) writeDemo(dir string) error {
	steps, err := vessel.History()
	if err != nil {
		return fmt.Errorf("could not read the example vessel's events: %w", err)
	}
	book, pages := filepath.Join(dir, "book"), filepath.Join(dir, "pages")
	if err := clearDemo(dir, book); err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return fmt.Errorf("could not make the folder of the demo: %w", err)
	}
	ids, err := exchange.Build(book, steps)
	if err != nil {
		return fmt.Errorf("could not write the example book: %w", err)
	}
	proof, err := foundingProof(ids[0], steps[0].Signer)
	if err != nil {
		return err
	}
	mark := fmt.Sprintf("needlebook demo\ntip %s\nfounding proof %s\n\nThis folder was written by needlebook demo. Its "+
		"book is invented; its keys prove nothing outside it.\n", ids[len(ids)-1], proof)
	if err := os.WriteFile(filepath.Join(dir, demoMark), []byte(mark), 0o666); err != nil {
		return fmt.Errorf("could not mark the demo's folder: %w", err)
	}
	o, err := openFolder(p.ctx, book, "", "", "", proof)
	if err != nil {
		return err
	}
	defer o.close()
	if o.before, err = o.earlier(""); err != nil {
		return err
	}
	said, err := p.build(o, pages)
	if err != nil {
		return err
	}
	signers, signed := signersOf(o.trail), 0
	for _, h := range signers {
		signed += h.Commits
	}
	count := map[checks.Grade]int{}
	for _, f := range o.report.Open() {
		count[f.Grade]++
	}
	fmt.Fprintf(p.out, `%s, an invented vessel: %d overhauls, %d commits, %d of them signed by %d signers
book      %s
check     open: %d stop, %d action, %d advice, %d note
verify    %s
pages     %s
          %s

Where to look:
  %s
      begin here: the engines in plan, what is open, ready spares
  needlebook show H-109 --book %s
      the holder whose nozzles were rejected, on two engines
  needlebook show PG-02 --book %s
      the gauge that read high, and the settings it touched
  needlebook check --book %s --fail-on stop
      what is open, in four groups, the gravest first
  needlebook verify --book %s --proof %s
      who wrote what, and what is not proved
`, o.book.Vessel.Name, len(o.book.Overhauls), len(ids), signed, len(signers), book, count[checks.Stop],
		count[checks.Action], count[checks.Advice], count[checks.Note],
		o.trail.Headline, pages, said, filepath.Join(pages, "index.html"), book, book, book, book, proof)
	return nil
}

func foundingProof(id string, key ssh.Signer) (string, error) {
	if key == nil {
		return "", errors.New("the founding commit of the example is not signed")
	}
	return id + "@" + ssh.FingerprintSHA256(key.PublicKey()), nil
}

// clearDemo makes room for a new demo: only where the folder is new, empty, or the demo's own and nobody has changed
// the book.
func clearDemo(dir, book string) error {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) || err == nil && len(entries) == 0 {
		return nil
	}
	if err != nil {
		return fmt.Errorf("could not look into %q: %w", dir, err)
	}
	mark, err := budget.Read(filepath.Join(dir, demoMark), budget.MaxFile)
	if err != nil || !strings.HasPrefix(string(mark), "needlebook demo\n") {
		return use("%q holds files that are not the demo's: name another folder", dir)
	}
	if _, err := os.Stat(book); errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	trail, err := trace.Read(book, trace.Options{})
	if err != nil || !strings.Contains(string(mark), "tip "+trail.Head+"\n") || len(trail.WorkTree) > 0 {
		return use("the book in %q was changed since the demo wrote it: move it away or name another folder", dir)
	}
	if err := os.RemoveAll(book); err != nil {
		return fmt.Errorf("could not replace the example book: %w", err)
	}
	return nil
}
