package main

import (
	"fmt"
	"os"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"needlebook/logbook"
	"needlebook/logbook/trace"
)

func receiptsFlag(c *cobra.Command, folder *string) {
	c.Flags().StringVar(folder, "receipts", os.Getenv("NEEDLEBOOK_RECEIPTS"),
		"hold the history also against the receiver's receipts in this folder (also NEEDLEBOOK_RECEIPTS)")
}

// against holds the history of a book that is read to be shown against receipts. What does not fit takes the place of
// the headline: reading is never blocked.
func (o *opened) against(receipts string) error {
	if receipts == "" || !o.trail.UnderGit || len(o.trail.Commits) == 0 {
		return nil
	}
	sealed, receivers, _, err := readReceipts(o.dir, receipts)
	if err != nil {
		return err
	}
	w, err := trace.AgainstReceipts(o.dir, o.trail, sealed, receivers)
	if err != nil {
		return err
	}
	switch {
	case len(w.Rewritten) > 0:
		o.trail.Proved, o.trail.Headline = false, "REWRITTEN: "+w.Rewritten[0]
	case len(w.Doubts) > 0:
		o.trail.Proved, o.trail.Headline = false, o.trail.Headline+"; the receipts are in doubt: "+w.Doubts[0]
	case w.Last == nil:
		o.trail.Headline += "; not yet received ashore"
	default:
		o.trail.Headline += fmt.Sprintf("; received %s by %s", w.Last.Time.Format("2006-01-02 15:04Z"), w.By)
	}
	return nil
}

// ago is the age of a time by the reader's own clock. Nothing tells whether the newest state was delivered; only its
// age is known.
func ago(t time.Time) string {
	switch age := time.Since(t); {
	case age < -time.Hour:
		return "in the future by this computer's clock"
	case age < 48*time.Hour:
		return fmt.Sprintf("%d h ago", int(max(age, 0).Hours()))
	default:
		return logbook.Counted(int(age.Hours())/24, "day") + " ago"
	}
}

// received holds the history against a folder of receipts, and sets the exit status where it does not fit.
func (p *program) received(dir string, t *logbook.Trail, receipts string) (*trace.Received, error) {
	if receipts == "" {
		return nil, nil
	}
	sealed, receivers, _, err := readReceipts(dir, receipts)
	if err != nil {
		return nil, err
	}
	w, err := trace.AgainstReceipts(dir, t, sealed, receivers)
	if err != nil {
		return nil, err
	}
	switch {
	case len(w.Rewritten) > 0:
		p.status = exitRewound
	case len(w.Doubts) > 0 || w.Last == nil:
		p.status = max(p.status, exitFindings)
	}
	return w, nil
}

func (p *program) receivedText(w *trace.Received) {
	if w == nil {
		return
	}
	for _, r := range w.Rewritten {
		fmt.Fprintf(p.out, "REWRITTEN: %s\n", r)
	}
	for _, d := range append(slices.Clone(w.Doubts), w.Dates...) {
		fmt.Fprintln(p.out, d)
	}
	if w.Last == nil {
		fmt.Fprintln(p.out, "not yet received ashore: the folder holds no receipt")
		return
	}
	if len(w.Rewritten)+len(w.Doubts) == 0 {
		fmt.Fprintf(p.out, "received %s by %s, %s, up to commit %.12s; %s since\n", w.Last.Time.Format("2006-01-02 15:04Z"),
			w.By, ago(w.Last.Time), w.Last.Tip, logbook.Counted(w.Since, "commit"))
	}
}

// receivedJSON is the stable form of the same.
type receivedJSON struct {
	Last      string   `json:"last,omitempty"`
	By        string   `json:"by,omitempty"`
	Tip       string   `json:"tip,omitempty"`
	Since     int      `json:"commits_since"`
	Rewritten []string `json:"rewritten,omitempty"`
	Doubts    []string `json:"doubts,omitempty"`
	Dates     []string `json:"dates_contradicted,omitempty"`
}

func receivedOf(w *trace.Received) *receivedJSON {
	if w == nil {
		return nil
	}
	j := &receivedJSON{By: w.By, Since: w.Since, Rewritten: w.Rewritten, Doubts: w.Doubts, Dates: w.Dates}
	if w.Last != nil {
		j.Last, j.Tip = w.Last.Time.Format(time.RFC3339), w.Last.Tip
	}
	return j
}
