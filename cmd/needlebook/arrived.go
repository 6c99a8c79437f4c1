package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/joining"
	"needlebook/logbook/exchange/mail"
	"needlebook/logbook/exchange/remote"
	"needlebook/logbook/trace"
)

// arrived is a tip from the other side, whose objects are in the book and to which no branch points yet.
type arrived struct {
	ctx       context.Context
	dir, from string
	tip       string // 40 digits
	seen      string // where the other side stood last; empty when that is not known
	seenRef   string // the ref that remembers it
	proof     string
	receipts  string
	ours      *logbook.Trail
	theirs    *logbook.Trail
	unnamed   bool  // nobody named the other side: it may be another one each time
	back      bool  // the other side stands on what it once had behind it
	fresh     []int // indexes in theirs of the commits that are not in ours
}

// refused is what must not touch a branch: a failed with its exit status.
func refused(status int, format string, a ...any) error {
	return failed{fmt.Errorf(format, a...), status}
}

// authenticate judges what came before it touches a branch. What is rewritten, of another root or broken is refused;
// commits that nobody's signature speaks for come in and are marked.
func (a *arrived) authenticate() (err error) {
	if a.ours == nil {
		o := reading(a.proof)
		o.Context = a.ctx
		if a.ours, err = trace.Read(a.dir, o); err != nil {
			return failed{fmt.Errorf("the book here cannot be judged, so nothing is taken into it: %w", err), verifyStatus(err)}
		}
	}
	ours := places(a.ours)
	if ours[a.tip] { // judged already, where it stands here
		if a.seen != "" && a.seen != a.tip {
			held, err := mail.Holds(a.dir, a.tip, a.seen)
			a.back = err == nil && !held
			return err
		}
		return nil
	}
	a.theirs, err = trace.Read(a.dir, trace.Options{FoundingProof: a.proof, Rev: a.tip, EveryText: true, Context: a.ctx})
	if errors.Is(err, budget.ErrStopped) {
		return err
	} else if err != nil {
		return failed{fmt.Errorf("what came from %s is refused: %w", a.from, err), verifyStatus(err)}
	}
	if b := a.theirs.Broken; len(b) > 0 {
		return refused(exitBroken, "what came from %s is refused: the bytes of %s do not match their id", a.from, b[0].Path)
	}
	theirs := places(a.theirs)
	if a.ours.Founding >= 0 && a.theirs.Founding >= 0 {
		if o, t := a.ours.At(a.ours.Founding).ID, a.theirs.At(a.theirs.Founding).ID; o != t {
			return refused(exitRewound,
				"what came from %s is refused: it is another book, founded by commit %.12s and not by %.12s", a.from, t, o)
		}
	}
	if a.seen != "" && !theirs[a.seen] {
		return a.notGoingOn()
	}
	if err := a.received(ours, theirs); err != nil {
		return err
	}
	for i := range a.theirs.Commits {
		if !ours[a.theirs.Commits[i].ID] {
			a.fresh = append(a.fresh, i)
		}
	}
	return nil
}

// notGoingOn refuses a history in which the commit is missing that the other side stood on. Where nobody said who the
// other side is, another copy may have sent it: nobody is said to have rewritten anything then.
func (a *arrived) notGoingOn() error {
	meant := fmt.Sprintf("if that was meant: git update-ref -d %s", a.seenRef)
	if a.unnamed {
		return refused(exitRewound,
			"what came from %s is refused: commit %.12s, which the other side sent before, is not in it"+
				"\n    sent by another copy: name it with --side NAME\n    sent by the same copy: its history was "+
				"rewritten, %s; %s",
			a.from, a.seen, standsOn(a.theirs), meant)
	}
	return refused(exitRewound, "what came from %s is refused: its history was rewritten, commit %.12s is not in it"+
		"\n    %s; %s", a.from, a.seen, standsOn(a.theirs), meant)
}

func places(t *logbook.Trail) map[string]bool {
	m := make(map[string]bool, len(t.Commits))
	for i := range t.Commits {
		m[t.Commits[i].ID] = true
	}
	return m
}

func standsOn(t *logbook.Trail) string {
	last := t.At(len(t.Commits) - 1)
	return fmt.Sprintf("it stands on %.12s of %s now", last.ID, last.Stated.Format("2006-01-02"))
}

// received holds what would come out against the receipts: what was received must be on one side or the other.
func (a *arrived) received(ours, theirs map[string]bool) error {
	if a.receipts == "" {
		return nil
	}
	sealed, receivers, _, err := readReceipts(a.dir, a.receipts)
	if err != nil {
		return err
	}
	w, err := trace.AgainstReceipts(a.dir, a.theirs, sealed, receivers)
	if err != nil {
		return err
	}
	if len(w.Doubts) > 0 {
		return refused(exitRewound, "what came from %s is refused: the receipts do not fit: %s", a.from,
			strings.Join(w.Doubts, "; "))
	}
	for _, s := range sealed {
		c, err := trace.ParseReceipt(s.Text)
		if err != nil {
			return err
		}
		if a.theirs.Founding >= 0 && a.theirs.At(a.theirs.Founding).ID != c.Book || !ours[c.Tip] && !theirs[c.Tip] {
			return refused(exitRewound, "what came from %s is refused: REWRITTEN: %s", a.from, strings.Join(w.Rewritten, "; "))
		}
	}
	return nil
}

// putAside keeps a refused tip under a ref of its own, and says so in the error.
func (a *arrived) putAside(ref string, err error) error {
	var f failed
	if !errors.As(err, &f) || f.status != exitRewound && f.status != exitBroken {
		return err
	}
	if failed := remote.SetRef(a.dir, ref, a.tip); failed != nil {
		return errors.Join(err, failed)
	}
	return failed{fmt.Errorf("%w\n    nothing here was changed; what came is kept: git log %s", f.error, ref),
		f.status}
}

// say tells what came.
func (p *program) say(a *arrived) {
	if a.back {
		p.status = max(p.status, exitFindings)
		fmt.Fprintf(p.out, "%s has gone back: commit %.12s, on which it stood, is not there any more; the book here holds "+
			"it, and sends it again\n", a.from, a.seen)
	}
	if len(a.fresh) == 0 {
		return
	}
	var silent []int
	for _, i := range a.fresh {
		if !a.theirs.Commits[i].Stands {
			silent = append(silent, i)
		}
	}
	if len(silent) == 0 {
		fmt.Fprintf(p.out, "%s came from %s, each signed by an allowed signer\n", logbook.Counted(len(a.fresh), "commit"),
			a.from)
		return
	}
	p.status = max(p.status, exitFindings)
	fmt.Fprintf(p.out, "%s came from %s, %d of them not proved:\n", logbook.Counted(len(a.fresh), "commit"), a.from,
		len(silent))
	for _, i := range silent {
		p.commitText(a.theirs, i)
	}
}

// takeIn brings an authenticated tip into the branch, and says what became of it. Done is false when something is left
// to a person.
func (p *program) takeIn(a *arrived, keyFile string) (done bool, err error) {
	d := exchange.Draft{Message: mergeMessage(len(a.fresh), a.from)}
	notHis := func(string) string { return "" }
	k, err := joining.TakeIn(a.ctx, a.dir, a.tip, d, notHis)
	if errors.Is(err, joining.ErrNeedsSigner) {
		o, err2 := p.openUnjudged()
		if err2 != nil {
			return false, err2
		}
		defer o.close()
		h, err2 := p.ownSigner(a.dir, o.trail, keyFile, o.crewName)
		if err2 != nil {
			return false, fmt.Errorf("%w: %w", err, err2)
		}
		defer h.key.Close()
		if h.warn != "" {
			fmt.Fprintf(p.err, "needlebook: %s\n", h.warn)
		}
		d.Author, d.Signer = h.person, h.key
		k, err = joining.TakeIn(a.ctx, a.dir, a.tip, d, func(path string) string { return trace.NotHis(path, h.line.Roles) })
	}
	var way *joining.InTheWayError
	var notHisErr *joining.NotAllowedError
	switch {
	case errors.As(err, &way):
		return false, failed{fmt.Errorf("what came is kept, but not taken in yet, because it would write over files of "+
			"yours: %w. Sign them, or put them elsewhere, and do the same again", err), exitFindings}
	case errors.As(err, &notHisErr):
		return false, failed{fmt.Errorf("what came is kept, but not taken in: both sides changed a file, and %w. Let one "+
			"who may do the same; from the other side mailbag pack -o DIR writes a file for them, and the next "+
			"sync brings back what they merged", err), exitFindings}
	case errors.Is(err, joining.ErrUnrelated):
		return false, refused(exitRewound, "what came from %s is refused: it is another book, no commit of it is in this one",
			a.from)
	case errors.Is(err, exchange.ErrUnfinished):
		return false, failed{fmt.Errorf("%w: needlebook resolve shows it; then do the same again", err), exitFindings}
	case err != nil:
		return false, err
	}
	switch {
	case len(k.Conflicts) > 0:
		open, err := joining.ReadOpen(a.dir)
		if err != nil {
			return false, err
		}
		return false, p.showOpen(a.dir, open)
	case k.Merge:
		fmt.Fprintf(p.out, "merged by commit %.12s\n", k.Tip)
		p.askTwice(k.Twice)
	case k.Commits > 0:
		fmt.Fprintf(p.out, "the book stands on commit %.12s now\n", k.Tip)
	}
	return true, nil
}

// askTwice asks about the rows that both sides wrote alike.
func (p *program) askTwice(rows []joining.TwiceRow) {
	for _, r := range rows {
		p.status = max(p.status, exitFindings)
		fmt.Fprintf(p.out, "%s:%d:1: both sides wrote this row, it is there twice: %s\n", r.Path, r.Line, r.Row)
	}
	if len(rows) > 0 {
		fmt.Fprintln(p.out, "  take one out if it is one, else say in its note what tells them apart")
	}
}

func mergeMessage(n int, from string) string {
	return fmt.Sprintf("take in %s from %s", logbook.Counted(n, "commit"), from)
}
