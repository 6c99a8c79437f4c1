package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

func (p *program) receipt() *cobra.Command {
	var out, proof, key, at string
	var short bool
	c := &cobra.Command{
		Use:   "receipt --out DIR",
		Short: "Ashore: write and sign what has been received, outside the book",
		Long: `Writes a receipt of the book as it is: its tip, how many commits and records
it holds, and a digest over every text; then signs it.

Receipts are kept outside the book, numbered, each naming the one before it,
and are never changed. Whoever rewrites the book afterwards cannot rewrite
them: verify --receipts DIR then says what is missing.

The key needs a line with the role receiver, in signers/allowed_signers or in
a file named receivers beside the receipts.

The short form is eight groups of four digits for the whole state. They go
into the daily report, so that the office and paper hold a copy. --short
prints it aboard, without a key and without a receipt; with --at for an
earlier commit, to compare with a report of that day.`,
		Example: `  needlebook receipt --out /office/receipts/ostrevane
  needlebook verify --receipts /office/receipts/ostrevane
  needlebook receipt --short
  needlebook receipt --short --at 3f2a90c1b7de`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			switch {
			case short && (out != "" || key != ""):
				return use("--short prints and writes nothing: leave out --out and --key")
			case short:
				return p.shortForm(at, proof)
			case at != "":
				return use("--at goes with --short; a receipt is always of the tip")
			}
			if out == "" {
				return use("name the folder that keeps the receipts with --out DIR; it lies outside the book")
			}
			return p.writeReceipt(out, proof, key)
		},
	}
	c.Flags().StringVar(&out, "out", "", "folder of the receipts, outside the book")
	c.Flags().BoolVar(&short, "short", false, "print the short form of the state for the daily report, and write nothing")
	c.Flags().StringVar(&at, "at", "", "with --short: the state at this commit instead of the tip")
	keyFlag(c, &key)
	proofFlag(c, &proof)
	return c
}

// shortForm prints the line that goes into the daily report.
func (p *program) shortForm(at, proof string) error {
	dir, err := p.findBook()
	if err != nil {
		return err
	}
	t, err := trace.Read(dir, trace.Options{FoundingProof: proof, Rev: at, Cache: cacheFolder(), Context: p.ctx})
	if err != nil {
		return failed{err, verifyStatus(err)}
	}
	c, err := trace.WriteReceipt(dir, t)
	if err != nil {
		return err
	}
	fmt.Fprintf(p.out, "commit %.12s, %s, %s: %s\n", c.Tip, logbook.Counted(c.Commits, "commit"),
		logbook.Counted(c.Records, "overhaul"), c.Short())
	return nil
}

func (p *program) writeReceipt(out, proof, keyFile string) error {
	dir, err := p.findBook()
	if err != nil {
		return err
	}
	if inside, err := within(dir, out); err != nil {
		return err
	} else if inside {
		return use("%q lies inside the book: whoever can rewrite the book could rewrite it too; name a folder outside", out)
	}
	t, err := trace.Read(dir, trace.Options{FoundingProof: proof, EveryText: true, Context: p.ctx})
	if err != nil {
		return failed{err, verifyStatus(err)}
	}
	if len(t.Broken) > 0 {
		return failed{fmt.Errorf("%q holds broken texts, the first is %s: nothing is received", dir, t.Broken[0].Path),
			exitBroken}
	}
	if err := os.MkdirAll(out, 0o777); err != nil {
		return err
	}
	sealed, receivers, next, err := readReceipts(dir, out)
	if err != nil {
		return err
	}
	w, err := trace.AgainstReceipts(dir, t, sealed, receivers)
	if err != nil {
		return err
	}
	if bad := append(slices.Clone(w.Rewritten), w.Doubts...); len(bad) > 0 {
		return failed{fmt.Errorf("the receipts in %q do not fit, and no further one is written: %s", out,
			strings.Join(bad, "; ")), exitRewound}
	}
	c, err := trace.WriteReceipt(dir, t)
	if err != nil {
		return err
	}
	if w.Last != nil {
		c.Previous = w.Last.Sum()
	}
	c.Time = time.Now().UTC().Truncate(time.Second)
	key, _, err := p.findKey(dir, keyFile, receivers, false)
	if err != nil {
		return err
	}
	defer key.Close()
	i := slices.IndexFunc(receivers, func(h trace.Signer) bool {
		return h.Key == key.Fingerprint() &&
			slices.Contains(h.Roles, "receiver")
	})
	if i < 0 {
		return use("key %s is no receiver's: a superintendent lets it in with needlebook enrol NAME --role receiver, or "+
			"its line stands in %q", key.Fingerprint(), filepath.Join(out, "receivers"))
	}
	signature, err := exchange.Sign(c.Text(), key, trace.ReceiptNamespace)
	if err != nil {
		return fmt.Errorf("could not sign the receipt: %w", err)
	}
	name := filepath.Join(out, fmt.Sprintf("%04d.receipt", next))
	// The signature first: a receipt that is there has one.
	for _, f := range []struct {
		name string
		text []byte
	}{{name + ".sig", signature}, {name, c.Text()}} {
		if err := writeOnce(f.name, f.text); err != nil {
			return fmt.Errorf("could not write %q: %w", f.name, err)
		}
	}
	fmt.Fprintf(p.out, "received by %s: commit %.12s, %s, %s\n  %s\n  %s\nshort form  %s\n",
		receivers[i].Principal, c.Tip, logbook.Counted(c.Commits, "commit"), logbook.Counted(c.Records, "overhaul"), name,
		t.Headline, c.Short())
	return nil
}

// within reports whether a folder lies in the book, through links too.
func within(book, dir string) (bool, error) {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return false, err
	}
	for at := abs; ; at = filepath.Dir(at) {
		real, err := filepath.EvalSymlinks(at)
		if err == nil {
			top, err := filepath.EvalSymlinks(book)
			if err != nil {
				return false, err
			}
			rel, err := filepath.Rel(top, real) // fails where the two are on two drives
			return err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator)), nil
		}
		if !errors.Is(err, fs.ErrNotExist) || at == filepath.Dir(at) {
			return false, err
		}
	}
}

// writeOnce writes a file that must not be there, and reads it back.
func writeOnce(name string, text []byte) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return errors.Join(err, os.Remove(name))
	}
	back, err := budget.Read(name, budget.MaxFile)
	if err == nil && string(back) != string(text) {
		err = errors.New("it reads back otherwise than it was written")
	}
	return err
}

// readReceipts reads a folder of receipts in the order of their numbers, who may sign one, and the number after the
// last.
func readReceipts(book, dir string) (sealed []trace.Sealed, receivers []trace.Signer, next int, err error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, nil, 0, use("no folder of receipts: %v", err)
	}
	next = 1
	for _, e := range entries {
		var n int
		if _, err := fmt.Sscanf(e.Name(), "%d.receipt", &n); err == nil {
			next = max(next, n+1)
		}
		if !strings.HasSuffix(e.Name(), ".receipt") {
			continue
		}
		s := trace.Sealed{Name: e.Name()}
		if s.Text, err = budget.Read(filepath.Join(dir, e.Name()), budget.MaxFile); err != nil {
			return nil, nil, 0, err
		}
		if s.Signature, err = budget.Read(filepath.Join(dir, e.Name()+".sig"), budget.MaxFile); err != nil &&
			!errors.Is(err, fs.ErrNotExist) {
			return nil, nil, 0, err
		}
		sealed = append(sealed, s)
	}
	switch text, err := budget.Read(filepath.Join(dir, "receivers"), budget.MaxFile); {
	case err == nil:
		if receivers, err = trace.ParseSigners(text); err != nil {
			return nil, nil, 0, use("%s: %v", filepath.Join(dir, "receivers"), err)
		}
	case errors.Is(err, fs.ErrNotExist):
		t, err := trace.Read(book, reading(provenBy()))
		if err != nil {
			return nil, nil, 0, err
		}
		if receivers, err = trace.InForce(t); err != nil {
			return nil, nil, 0, err
		}
	default:
		return nil, nil, 0, err
	}
	return sealed, receivers, next, nil
}
