package trace_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"needlebook/logbook"
	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/joining"
	"needlebook/logbook/trace"
)

// counted is a context that counts how often somebody looks whether it has ended: once for each object and each few paths that are read.
type counted struct {
	context.Context
	looks atomic.Int64
}

func (c *counted) Err() error { c.looks.Add(1); return c.Context.Err() }

// Value hides the context within, so that it is always asked.
func (c *counted) Value(any) any { return nil }

// sidesOf is the book as it lies in one copy before a merge, with what has come from the other: its steps are those behind the two sides,
// the own tip last, so that it is checked out.
func (c *convoy) sidesOf(t *testing.T, merge int) (dir, theirs string) {
	t.Helper()
	a, b := c.steps[merge].Parents[0], c.steps[merge].Parents[1]
	number, steps := map[int]int{}, []exchange.Step{}
	for i := range merge {
		if i == a || !c.reaches(a, i) && !c.reaches(b, i) && i != b {
			continue
		}
		number[i] = len(steps)
		steps = append(steps, c.steps[i])
	}
	number[a] = len(steps)
	steps = append(steps, c.steps[a])
	for i, n := range number {
		parents := c.steps[i].Parents
		if parents == nil && i > 0 {
			parents = []int{i - 1}
		}
		steps[n].Parents = nil
		for _, p := range parents {
			steps[n].Parents = append(steps[n].Parents, number[p])
		}
	}
	dir = filepath.Join(scratch(t), "book")
	ids, err := exchange.Build(dir, steps)
	if err != nil {
		t.Fatal(err)
	}
	return dir, ids[number[b]]
}

// sorted are the lines of a text in order: where a row stands is no matter of a merge.
func sorted(text string) string {
	all := strings.Split(text, "\n")
	slices.Sort(all)
	return strings.Join(all, "\n")
}

// The merges of the fleets, a share of them made by the program itself in a folder: the files hold what the plain reckoning of the fleet
// says, the history is proved, and reading it afterwards takes no more than its size allows; the limit of time only catches what hangs.
func TestConvoysMergeInFolders(t *testing.T) {
	merged, left, most := 0, 0, 0.0
	for seed := range count(40, 600) {
		c := newConvoy(uint64(seed))
		c.play(15 + seed%30)
		var merges []int
		for i, s := range c.steps {
			if len(s.Parents) == 2 {
				merges = append(merges, i)
			}
		}
		if len(merges) == 0 {
			continue
		}
		merge := merges[c.r.IntN(len(merges))]
		who := c.steps[merge].Author.Name
		dir, theirs := c.sidesOf(t, merge)
		d := exchange.Draft{Message: "merge", Author: c.steps[merge].Author, Signer: key(who)}
		late, stop := context.WithTimeout(t.Context(), 2*time.Minute)
		ctx := &counted{Context: late}
		taken, err := joining.TakeIn(ctx, dir, theirs, d, func(p string) string { return trace.NotHis(p, roles[who]) })
		var notHis *joining.NotAllowedError
		if errors.As(err, &notHis) || err == nil && len(taken.Conflicts) > 0 {
			left++ // to a hand, or to one who may
			stop()
			os.RemoveAll(filepath.Dir(dir))
			continue
		}
		if err != nil {
			t.Fatalf("seed %d, merge %d: %v", seed, merge, err)
		}
		merged++
		for p, s := range c.worlds[merge] {
			text, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(p)))
			if path.Ext(p) != ".csv" && path.Ext(p) != ".md" {
				continue // whose line stands is decided by whoever merges
			}
			if want := c.text(p, s); err != nil && len(s.live) > 0 || err == nil && sorted(string(text)) != sorted(want) {
				t.Errorf("seed %d, merge %d by %s: %s holds %q (%v), want %q", seed, merge, who, p, text, err, want)
			}
		}
		ctx.looks.Store(0)
		trail, err := trace.Read(dir, trace.Options{EveryText: true, Context: ctx})
		stop()
		if err != nil || len(trail.WorkTree)+len(trail.Repeated)+len(trail.Vanished) > 0 || slices.ContainsFunc(trail.Commits, func(k logbook.Commit) bool { return !k.Stands }) {
			t.Errorf("seed %d, merge %d by %s: %v, %s", seed, merge, who, err, fmt.Sprintf("%+v", trail))
			continue
		}
		work := float64(ctx.looks.Load()) / float64(len(trail.Commits)+len(trail.Records))
		if most = max(most, work); work > 15 {
			t.Errorf("seed %d: %d looks for %d commits and %d files", seed, ctx.looks.Load(), len(trail.Commits), len(trail.Records))
		}
		os.RemoveAll(filepath.Dir(dir))
	}
	t.Logf("%d merges made in folders, %d left to somebody; at most %.1f looks for a commit or file", merged, left, most)
	if merged < 2*left || merged == 0 {
		t.Errorf("%d merged, %d left to somebody: the test looks at too little", merged, left)
	}
}
