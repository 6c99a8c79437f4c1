package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"needlebook/logbook/trace"
)

func (p *program) verify() *cobra.Command {
	var format, at, proof, record, receipts string
	var all, script, forget bool
	c := &cobra.Command{
		Use:   "verify",
		Short: "Prove who wrote what, from the founding commit on",
		Long: `Reads every commit from the founding one to the tip, hashes its bytes again,
and says who signed it, whether they were allowed to then, and what is not
covered. One line when all is proved; else what is not, since which commit,
and which records and values it touches.

Without a founding proof, which must come from outside the book, a history is
at best consistent with itself.

What was verified is remembered outside the book, in the folder
NEEDLEBOOK_MEMORY or the one your system keeps for what programs remember: a
history that does not continue from there was rewritten, and that is said.
--forget begins anew.

--explain prints the plain commands that check one record again with git,
ssh-keygen and sha256sum. --script prints a script that does it for the whole
history, with the founding proof filled in, and says what it cannot see.

Exit status: 0 proved, 1 not proved, 2 wrong use, 3 could not do its work, 4
wrong root or rewritten, 5 broken bytes.`,
		Example: `  needlebook verify --proof 0123…@SHA256:abc…
  needlebook verify --all
  needlebook verify --format json
  needlebook verify --receipts /office/receipts/ostrevane
  needlebook verify --explain 2024-06-11-h-119
  needlebook verify --script --proof 0123…@SHA256:abc… > prove-again.sh`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if format != "text" && format != "json" {
				return use("--format %s: the formats are text and json", format)
			}
			dir, err := p.findBook()
			if err != nil {
				return err
			}
			if done, err := p.verifyOther(dir, at, proof, record, receipts, script); done {
				return err
			}
			t, err := trace.Read(dir, trace.Options{FoundingProof: proof, Rev: at, EveryText: true, Cache: cacheFolder(),
				Context: cmd.Context()})
			if errors.Is(err, trace.ErrNotRepository) {
				none, err := history(cmd.Context(), dir, at, proof, nil)
				if err == nil {
					err = fmt.Errorf("%q is %s; needlebook check reads it all the same", dir, none.Headline)
				}
				return failed{err, exitFailed}
			}
			if err != nil {
				return failed{err, verifyStatus(err)}
			}
			switch {
			case len(t.Broken) > 0:
				p.status = exitBroken
			case !t.Proved:
				p.status = exitFindings
			}
			w, err := p.received(dir, t, receipts)
			if err != nil {
				return err
			}
			r := &remembered{}
			if at == "" { // an earlier commit is no later look
				if r, err = p.remember(dir, t, w, forget); err != nil {
					return err
				}
			}
			r.unprove(t, w)
			r.Notes = append(r.Notes, damaged(dir)...)
			if format == "json" {
				v := verifyOf(t)
				v.Received, v.Remembered = receivedOf(w), r
				return p.json(v)
			}
			p.verifyText(t, r, all)
			p.receivedText(w)
			return nil
		},
	}
	c.Flags().StringVar(&format, "format", "text", "text or json")
	c.Flags().StringVar(&at, "at", "", "judge the history up to this commit instead of the tip")
	c.Flags().BoolVar(&all, "all", false, "list every signer and every commit")
	c.Flags().BoolVar(&forget, "forget", false, "let go what you remember of this book, and begin with what it shows now")
	receiptsFlag(c, &receipts)
	c.Flags().StringVar(&record, "explain", "", "print the plain commands that check this record again")
	c.Flags().BoolVar(&script, "script", false, "print a plain shell script that proves the history again")
	proofFlag(c, &proof)
	return c
}

// damaged names the copies of objects that are not what they are called by, while the good one was read.
func damaged(dir string) (notes []string) {
	all, err := trace.DamagedCopies(dir)
	if err != nil {
		notes = append(notes, "whether damaged copies of objects are there could not be read: "+err.Error())
	}
	for _, d := range all {
		notes = append(notes, ".git/"+d.Path+" is damaged, a pack holds the same whole; needlebook repair removes it")
	}
	return notes
}

// failed is an error with the exit status that it calls for.
type failed struct {
	error
	status int
}

func (f failed) ExitStatus() int { return f.status }
func (f failed) Unwrap() error   { return f.error }

func verifyStatus(err error) int {
	var broken *trace.BrokenError
	switch {
	case errors.Is(err, trace.ErrProofForm):
		return exitUse
	case errors.Is(err, trace.ErrWrongRoot):
		return exitRewound
	case errors.As(err, &broken):
		return exitBroken
	}
	return exitFailed
}
