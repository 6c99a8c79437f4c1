package main

import (
	"errors"
	"fmt"
	"slices"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/logbook/trace"
)

// compared is what became of the findings since an earlier commit.
type compared struct {
	rev   string
	fresh []checks.Finding // new or changed, in the order of the report
	gone  []checks.Finding
	was   map[saying]checks.Finding // the earlier finding of those that changed
}

// saying is what one finding of a report has for itself.
type saying struct {
	place          logbook.Place
	check, message string
}

func sayingOf(f checks.Finding) saying { return saying{f.Place, f.Check, f.Message} }

// compare judges the book as it was at a commit, from its own last day then unless one is given, and tells the
// difference.
func (o *opened) compare(k *checking, asked *askedFor) (*compared, error) {
	if k.then == nil || k.thenAt != "" && k.thenAt != o.trail.Head {
		rev, err := o.revision(k.since)
		if err != nil {
			return nil, err
		}
		then, err := openFolder(o.ctx, o.dir, rev, k.on, o.today, k.proof)
		if errors.Is(err, trace.ErrNotRepository) {
			return nil, use("--since %s: the book is not under git, so there is nothing to compare with", k.since)
		}
		if err != nil {
			return nil, fmt.Errorf("could not read the book as it was: %w", err)
		}
		defer then.close()
		if err := then.judgeBy(k.limitsOf); err != nil {
			return nil, err
		}
		k.then = append([]checks.Finding{}, then.report.Findings...)
		k.openThen = append([]checks.Finding{}, then.counted(false)...)
	}
	before := k.openThen
	if k.all {
		before = k.then
	}
	d := checks.Difference(before, o.counted(k.all))
	c := &compared{rev: k.since, was: map[saying]checks.Finding{}}
	fresh := map[saying]bool{}
	for _, f := range d.New {
		fresh[sayingOf(f)] = true
	}
	for _, x := range d.Changed {
		c.was[sayingOf(x.Is)] = x.Was
		fresh[sayingOf(x.Is)] = true
	}
	for _, f := range o.counted(k.all) {
		if fresh[sayingOf(f)] {
			c.fresh = append(c.fresh, f)
		}
	}
	for _, f := range d.Gone {
		if asked.of(f) {
			c.gone = append(c.gone, o.became(f))
		}
	}
	return c, nil
}

// became is an earlier finding with what has become of it: what ended it, or that the writing was changed.
func (o *opened) became(f checks.Finding) checks.Finding {
	f.State, f.Ended = checks.Corrected, checks.Fact{}
	for _, is := range o.report.Findings {
		if is.Text == f.Text && is.Check == f.Check && !o.report.IsOpen(&is) {
			f.State, f.Ended = is.State, is.Ended
		}
	}
	return f
}

// before is the finding that f was at the earlier commit; the zero pair where nothing is compared or f is new. A nil c
// compares nothing.
func (c *compared) before(f checks.Finding) (was checks.Finding, ok bool) {
	if c != nil {
		was, ok = c.was[sayingOf(f)]
	}
	return was, ok
}

// left are the findings that went away; none where nothing is compared.
func (c *compared) left() []checks.Finding {
	if c == nil {
		return nil
	}
	return c.gone
}

// revision is the commit that is meant by "review", the newest review from ashore; by a day, the last commit dated by
// it; or by a name that git knows.
func (o *opened) revision(since string) (string, error) {
	if since == "review" {
		c, _ := lastReview(o.trail)
		if c == nil {
			return "", use("--since review: nobody has reviewed this book yet")
		}
		return c.ID, nil
	}
	day, err := logbook.ParseDay(since)
	if err != nil || !o.trail.UnderGit {
		return since, nil
	}
	for _, c := range slices.Backward(o.trail.Commits) {
		if logbook.DayOf(c.Stated) <= day {
			return c.ID, nil
		}
	}
	return "", use("--since %s: the history begins after that day", since)
}
