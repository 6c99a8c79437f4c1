package main

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/exchange/mail"
	"needlebook/logbook/exchange/remote"
	"needlebook/logbook/exchange/transfer"
)

// syncing is one run of the verb sync.
type syncing struct {
	dryRun   bool
	atMost   string
	limit    time.Duration
	proof    string
	receipts string
	key      string
	builtIn  bool
}

func (p *program) sync() *cobra.Command {
	s := &syncing{}
	c := &cobra.Command{
		Use:   "sync [REMOTE]",
		Short: "Bring the book and its other copy to the same state, over any git remote",
		Long: `Fetches what the other side has, judges it as verify does, and only then takes
it in: a step forward, or a merge signed with your key. Then sends what the
other side lacks. REMOTE is one that git knows (git remote add), a folder, or
an address (ssh://, https://, host:path); without one the branch's own, or
origin.

A connection that breaks leaves the book as it was, and the next try goes on.
A history that was rewritten, another book, broken bytes and hostile names are
refused and kept aside for inspection. Commits that no signer answers for come
in and are marked.

A file that you have not signed yet is never written over: it is named, and
the next try goes on once it is signed or put elsewhere. What both sides wrote
into one record is never merged by machine: all else goes through, and the
record waits for a person with both texts and a proposal.

--at-most bounds what travels each way: the oldest commits go first, and what
stays behind is said. A commit can only travel after the ones it builds on, so
what is newer than a photo that is too large waits with it; commit photos
last.

Exit status: 0 both sides are the same, 1 something is left to do or not
proved, 2 wrong use, 3 could not be done (no connection: try again), 4
refused: another book or rewritten, 5 refused: broken bytes or hostile names.`,
		Example: `  git remote add origin ssh://git@office.example/ostrevane.git     once
  needlebook sync
  needlebook sync /media/stick/ostrevane.git
  needlebook sync --dry-run
  needlebook sync --at-most 200kB --time-limit 10m
  needlebook sync --receipts /office/receipts/ostrevane`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			name := ""
			if len(args) > 0 {
				name = args[0]
			}
			return p.runSync(s, name)
		},
	}
	c.Flags().BoolVar(&s.dryRun, "dry-run", false, "say what would travel and how many bytes, and change nothing")
	c.Flags().StringVar(&s.atMost, "at-most", "", "let no more than this travel each way, such as 200kB or 1.5MB")
	c.Flags().DurationVar(&s.limit, "time-limit", 30*time.Minute, "give up after this time")
	c.Flags().StringVar(&s.receipts, "receipts", "", "hold what comes also against the receipts in this folder")
	c.Flags().BoolVar(&s.builtIn, "built-in", false, "use the built-in transport although git is installed")
	keyFlag(c, &s.key)
	proofFlag(c, &s.proof)
	return c
}

// size reads an amount of bytes as people write it; thousands, as lines are sold.
func size(flag, text string) (int64, error) {
	if text == "" {
		return 0, nil
	}
	number := strings.TrimRight(strings.TrimSpace(text), "kKMGiB ")
	unit := strings.TrimSuffix(strings.TrimSpace(strings.ToUpper(text[len(number):])), "B")
	factor, ok := map[string]float64{"": 1, "K": 1e3, "M": 1e6, "G": 1e9, "KI": 1 << 10, "MI": 1 << 20,
		"GI": 1 << 30}[unit]
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || !ok || v <= 0 || v*factor < 1 || v*factor > 1<<50 {
		return 0, use("--%s %s: an amount of bytes, such as 200kB or 1.5MB", flag, text)
	}
	return int64(v * factor), nil
}

func inBytes(n int64) string {
	switch {
	case n < 1000:
		return logbook.Counted(int(n), "byte")
	case n < 1e6:
		return fmt.Sprintf("%.1f kB", float64(n)/1e3)
	}
	return fmt.Sprintf("%.1f MB", float64(n)/1e6)
}

func (p *program) runSync(s *syncing, name string) error {
	dir, err := p.findBook()
	if err != nil {
		return err
	}
	if s.limit <= 0 {
		return use("--time-limit %s: a time, such as 90s or 10m", s.limit)
	}
	line, err := remote.Find(dir, name)
	if errors.Is(err, remote.ErrNoRemote) {
		return use("%v", err)
	} else if err != nil {
		return err
	}
	if line.AtMost, err = size("at-most", s.atMost); err != nil {
		return err
	}
	line.Plain = s.builtIn
	if p.err.width > 0 {
		line.Progress = progress{p.err.Writer}
	}
	ctx, stop := p.within(s.limit)
	defer stop()
	if s.dryRun {
		return p.wouldSync(ctx, dir, line)
	}
	for range 8 {
		again, err := p.syncOnce(ctx, s, dir, line)
		if err != nil || !again {
			return err
		}
		fmt.Fprintf(p.out, "%s has moved meanwhile, once more\n", line.Name)
	}
	return fmt.Errorf("%s moved every time just before us; what came is taken in, try again for the rest", line.Name)
}

// syncOnce fetches, judges, takes in and pushes; again says that somebody else was faster at the last step.
func (p *program) syncOnce(ctx context.Context, s *syncing, dir string, line *remote.Remote) (again bool, err error) {
	came, err := line.Fetch(ctx, dir)
	if err != nil {
		return false, p.fetchFailed(line, err)
	}
	fmt.Fprintf(p.err, "fetched from %s: %s, %s in %s\n", line.Name, logbook.Counted(came.Objects, "object"),
		inBytes(came.Bytes), seconds(came.Took))
	if came.Tip == "" {
		fmt.Fprintf(p.out, "%s has no branch %s yet\n", line.Name, line.Branch)
	} else {
		a := &arrived{ctx: ctx, dir: dir, from: line.Name, tip: came.Tip, proof: s.proof, receipts: s.receipts}
		seen, err := line.Seen(dir)
		if err != nil {
			return false, err
		}
		if len(seen) > 0 {
			a.seenRef, a.seen = seen[0].Ref, seen[0].Tip
		}
		if err := a.authenticate(); errors.Is(err, budget.ErrStopped) {
			return false, err
		} else if err != nil {
			return false, a.putAside(line.Aside(came.Tip), err)
		}
		p.say(a)
		if err := line.Note(dir, came.Tip); err != nil {
			return false, err
		}
		if done, err := p.takeIn(a, s.key); err != nil || !done {
			return false, err
		}
	}
	return p.push(ctx, dir, line, came.Tip)
}

func seconds(d time.Duration) string { return fmt.Sprintf("%.1f s", d.Seconds()) }

// fetchFailed says what a fetch that brought nothing means.
func (p *program) fetchFailed(line *remote.Remote, err error) error {
	switch {
	case errors.Is(err, remote.ErrTooMuch):
		return failed{fmt.Errorf("more than the %s of --at-most waits at %s: nothing was taken in; raise the bound, or let "+
			"it come by mailbag", inBytes(line.AtMost), line.Name), exitFindings}
	case errors.Is(err, remote.ErrConnection), errors.Is(err, budget.ErrStopped):
		return notCarried("could not fetch from "+line.Name, err, "the book is as it was", "try again")
	case refusedBytes(err):
		return failed{fmt.Errorf("what came from %s is refused, and nothing of it was let in: %w", line.Name, err),
			exitBroken}
	}
	return err
}

// notCarried says why a line failed, how the book stands, and what to do: to try again only where that may help.
func notCarried(what string, err error, book, again string) error {
	var why *remote.Failure
	if !errors.As(err, &why) || why.Again && why.Do == "" {
		return fmt.Errorf("%s: %w; %s, %s", what, err, book, again)
	}
	if why.Again {
		book += ", " + again
	}
	said := ""
	if why.Said != "" {
		said = "\nIt was said: " + why.Said
	}
	return fmt.Errorf("%s: %w; %s\n%s%s", what, err, book, why.Do, said)
}

// push sends what the other side lacks.
func (p *program) push(ctx context.Context, dir string, line *remote.Remote, stands string) (again bool, err error) {
	o, err := line.Outgoing(ctx, dir, stands)
	if err != nil {
		return false, err
	}
	if o.Commits+o.Behind == 0 {
		fmt.Fprintf(p.out, "%s and the book are the same\n", line.Name)
		return false, nil
	}
	if o.Tip != "" {
		sent, err := line.Push(ctx, dir, stands, o.Tip)
		if errors.Is(err, remote.ErrBehind) {
			return true, nil
		} else if err != nil {
			return false, notCarried("could not push to "+line.Name, err, "what came is taken in", "try again for the rest")
		}
		if err := line.Note(dir, o.Tip); err != nil {
			return false, err
		}
		fmt.Fprintf(p.err, "pushed to %s: %s in %s\n", line.Name, inBytes(sent.Bytes), seconds(sent.Took))
		fmt.Fprintf(p.out, "%s sent to %s\n", logbook.Counted(o.Commits, "commit"), line.Name)
	}
	p.behind(o, line.AtMost)
	return false, nil
}

// behind says what a bound left behind.
func (p *program) behind(o *transfer.Outgoing, bound int64) {
	if o.Behind == 0 {
		return
	}
	p.status = max(p.status, exitFindings)
	photos := ""
	if o.Photos > 0 {
		photos = fmt.Sprintf(", %d of them with photos or bench traces", o.Photos)
	}
	verb := "stay"
	if o.Behind == 1 {
		verb = "stays"
	}
	fmt.Fprintf(p.out, "%s %s behind%s: the next one would make it %s, and %s are allowed\n",
		logbook.Counted(o.Behind, "commit"), verb, photos, inBytes(o.NextBytes), inBytes(bound))
}

// wouldSync says what would travel.
func (p *program) wouldSync(ctx context.Context, dir string, line *remote.Remote) error {
	came, err := line.Look(ctx, dir)
	if err != nil {
		return p.fetchFailed(line, err)
	}
	switch {
	case came.Tip == "":
		fmt.Fprintf(p.out, "%s has no branch %s yet: nothing to fetch\n", line.Name, line.Branch)
	case came.Bytes < 0:
		fmt.Fprintf(p.out, "%s stands on commit %.12s, which is not here; how much that is, git tells only while it "+
			"travels (--at-most bounds it)\n", line.Name, came.Tip)
	case came.Objects == 0:
		fmt.Fprintf(p.out, "nothing to fetch from %s\n", line.Name)
	default:
		fmt.Fprintf(p.out, "to fetch from %s: %s, %s\n", line.Name, logbook.Counted(came.Objects, "object"),
			inBytes(came.Bytes))
	}
	var o *transfer.Outgoing
	if came.Bytes != 0 || came.Objects > 0 { // not here yet: it has at least what it had
		seen, err := line.Seen(dir)
		if err != nil {
			return err
		}
		var has []string
		for _, s := range seen {
			has = append(has, s.Tip)
		}
		if o, err = mail.Fitting(ctx, dir, has, line.AtMost); err != nil {
			return err
		}
	} else if o, err = line.Outgoing(ctx, dir, came.Tip); err != nil {
		return err
	}
	switch {
	case o.Commits+o.Behind == 0:
		fmt.Fprintf(p.out, "nothing to send to %s\n", line.Name)
	case o.Tip != "":
		fmt.Fprintf(p.out, "to send to %s: %s, %s; after a merge, that commit more\n", line.Name,
			logbook.Counted(o.Commits, "commit"), inBytes(o.Bytes))
	}
	p.behind(o, line.AtMost)
	fmt.Fprintln(p.out, "nothing was changed")
	return nil
}
