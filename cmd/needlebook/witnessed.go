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

func checkpointsFlag(c *cobra.Command, folder *string) {
	c.Flags().StringVar(folder, "checkpoints", os.Getenv("NEEDLEBOOK_CHECKPOINTS"), "hold the history also against the witness's checkpoints in this folder (also NEEDLEBOOK_CHECKPOINTS)")
}

// against holds the history of a book that is read to be shown against checkpoints. What does not fit takes the place of the
// headline: reading is never blocked.
func (o *opened) against(checkpoints string) error {
	if checkpoints == "" || !o.trail.UnderGit || len(o.trail.Commits) == 0 {
		return nil
	}
	sealed, witnesses, _, err := readCheckpoints(o.dir, checkpoints)
	if err != nil {
		return err
	}
	w, err := trace.AgainstCheckpoints(o.dir, o.trail, sealed, witnesses)
	if err != nil {
		return err
	}
	switch {
	case len(w.Rewritten) > 0:
		o.trail.Proved, o.trail.Headline = false, "REWRITTEN: "+w.Rewritten[0]
	case len(w.Doubts) > 0:
		o.trail.Proved, o.trail.Headline = false, o.trail.Headline+"; the checkpoints are in doubt: "+w.Doubts[0]
	case w.Last == nil:
		o.trail.Headline += "; not yet witnessed"
	default:
		o.trail.Headline += fmt.Sprintf("; witnessed %s by %s", w.Last.Time.Format("2006-01-02 15:04Z"), w.By)
	}
	return nil
}

// ago is the age of a time by the reader's own clock. Nothing tells whether the newest state was delivered; only its age is known.
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

// witnessed holds the history against a folder of checkpoints, and sets the exit status where it does not fit.
func (p *program) witnessed(dir string, t *logbook.Trail, checkpoints string) (*trace.Witnessed, error) {
	if checkpoints == "" {
		return nil, nil
	}
	sealed, witnesses, _, err := readCheckpoints(dir, checkpoints)
	if err != nil {
		return nil, err
	}
	w, err := trace.AgainstCheckpoints(dir, t, sealed, witnesses)
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

func (p *program) witnessedText(w *trace.Witnessed) {
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
		fmt.Fprintln(p.out, "not yet witnessed: the folder holds no checkpoint")
		return
	}
	if len(w.Rewritten)+len(w.Doubts) == 0 {
		fmt.Fprintf(p.out, "witnessed %s by %s, %s, up to commit %.12s; %s since\n", w.Last.Time.Format("2006-01-02 15:04Z"), w.By, ago(w.Last.Time), w.Last.Tip, logbook.Counted(w.Since, "commit"))
	}
}

// witnessedJSON is the stable form of the same.
type witnessedJSON struct {
	Last      string   `json:"last,omitempty"`
	By        string   `json:"by,omitempty"`
	Tip       string   `json:"tip,omitempty"`
	Since     int      `json:"commits_since"`
	Rewritten []string `json:"rewritten,omitempty"`
	Doubts    []string `json:"doubts,omitempty"`
	Dates     []string `json:"dates_contradicted,omitempty"`
}

func witnessedOf(w *trace.Witnessed) *witnessedJSON {
	if w == nil {
		return nil
	}
	j := &witnessedJSON{By: w.By, Since: w.Since, Rewritten: w.Rewritten, Doubts: w.Doubts, Dates: w.Dates}
	if w.Last != nil {
		j.Last, j.Tip = w.Last.Time.Format(time.RFC3339), w.Last.Tip
	}
	return j
}
