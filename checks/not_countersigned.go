package checks

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"needlebook/logbook"
)

var notCountersigned = &Check{
	Name:    "not-countersigned",
	Subject: OfRecord,
	Ends:    signature,
	Version: 1,
	Needs:   aHistory,
	Level:   Vessel,
	Doc: "A record, or what was added to one since, has stood for some time without the countersignature of a chief. " +
		"The longer it waits the less can be looked at: the parts are fitted, the person who did the work has gone home. " +
		"Look at the record and countersign it, with remarks where there are any. Racking, fitting and the signs after it " +
		"are added later and ask for a countersignature of their own, usually that of the round.",
	Source:  "common practice, no source",
	Example: "entered 2024-06-11, not countersigned 13 days later",
	Grade:   Advice,
	Each: func(c *Case, o *logbook.Overhaul) {
		t := c.Trail.Records[o.Path]
		if t == nil || len(t.Versions) == 0 {
			return
		}
		now, first := lastMoment(c.Trail), c.Trail.At(t.Versions[0].Commit)
		if first == nil {
			return
		}
		var added map[string]*logbook.Commit
		for _, s := range t.Countersignatures {
			switch s.State {
			case logbook.ChangedSince:
				return // that has a finding of its own
			case logbook.Countersigned:
				if a := addedBlocks(c.Trail, s); added == nil || len(a) < len(added) {
					added = a
				}
			}
		}
		if added == nil {
			if days := daysSince(now, first); days > c.Settings.CountersignWithin.Float() {
				c.Report(Finding{Place: o.Opening, About: about(o), Since: c.missedFrom(first),
					Message: fmt.Sprintf("entered %s, not countersigned %.0f days later",
						first.Stated.UTC().Format(time.DateOnly), days),
					Next: "look at the record and countersign it"})
			}
			return
		}
		var blocks []string
		var since *logbook.Commit
		for block, k := range added {
			if daysSince(now, k) > c.Settings.CountersignWithin.Float() {
				blocks = append(blocks, block)
				if since == nil || k.Stated.Before(since.Stated) {
					since = k
				}
			}
		}
		if len(blocks) > 0 {
			slices.SortFunc(blocks, func(a, b string) int { return o.PlaceOf(a).Line - o.PlaceOf(b).Line })
			c.Report(Finding{Place: o.PlaceOf(blocks[0]), About: about(o), Since: c.missedFrom(since),
				Message: fmt.Sprintf("%s added since the countersignature, from %s on, not countersigned",
					strings.Join(blocks, ", "), since.Stated.UTC().Format(time.DateOnly)),
				Next: "look at what was added and countersign the record again"})
		}
	},
}

// missedFrom is the day from which on a countersignature of what a commit brought is missed.
func (c *Case) missedFrom(k *logbook.Commit) logbook.Day {
	return logbook.DayOf(k.Stated) + logbook.Day(c.Settings.CountersignWithin.Float())
}

// addedBlocks are the blocks added since a countersignature, each with the latest commit that added to it.
func addedBlocks(t *logbook.Trail, s logbook.Countersignature) map[string]*logbook.Commit {
	blocks := map[string]*logbook.Commit{}
	for _, v := range s.Added {
		block := v.Path
		if i := strings.IndexAny(block, ".["); i > 0 {
			block = block[:i]
		}
		if k := t.At(v.Commit); k != nil && (blocks[block] == nil || k.Stated.After(blocks[block].Stated)) {
			blocks[block] = k
		}
	}
	return blocks
}

// lastMoment is the latest moment that any commit states which somebody answers for: the history knows no other clock,
// and one that nobody answers for moves nothing.
func lastMoment(t *logbook.Trail) time.Time {
	var last time.Time
	for i := range t.Commits {
		c := &t.Commits[i]
		if unknown := c.State != "" && !c.State.Speaks(); !unknown && c.Stated.After(last) {
			last = c.Stated
		}
	}
	return last
}

func daysSince(now time.Time, k *logbook.Commit) float64 {
	return float64(logbook.DayOf(now.UTC()).Days(logbook.DayOf(k.Stated.UTC())))
}
