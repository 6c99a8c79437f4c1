package checks

import (
	"cmp"
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"

	"needlebook/logbook"
)

var limitLoosened = &Check{
	Name:    "limit-loosened",
	Subject: OfLimits,
	Ends: &End{Never: true, Answer: ChiefAndOffice,
		Ways: only("the chief and the superintendent have both signed the correction, or answered this")},
	Version: 1,
	Needs:   aHistory,
	Level:   Vessel,
	Doc: "A correction of the limits file takes a stop away from a part: what was beyond the limit is within it now. " +
		"One person alone must not free a part from its limit, so the correction needs the chief and the superintendent. " +
		"Until both have signed, the stops stay open as they were, and the part is not ready. " +
		"Whoever changed the file has signed by that; the other one looks at the source, and answers this finding.",
	Source:  "common practice, no source",
	Example: "effective_lift.max was 0.90 mm, is 0.95 mm: 2 stops less, not signed by the chief",
	Grade:   Action,
	Whole: func(c *Case) {
		for _, x := range c.loosened {
			c.Report(x.finding)
		}
	},
}

// loosening is a change of a limits file that takes stops away.
type loosening struct {
	finding Finding
	stops   []Finding // that the file as it was before says, and as it is after does not
	commit  int       // of the trail; -1 where it is not committed
}

// loosenings are the changes of limits files that take stops away from parts which are open without them. Only a change
// of what was written, or a new revision that goes back in time, can; nearly all books have none, and nothing is judged
// twice for them.
func loosenings(b *logbook.Book, opt Options) (all []loosening) {
	if opt.Trail == nil || !opt.Trail.UnderGit {
		return nil
	}
	for _, name := range slices.Sorted(maps.Keys(b.Limits)) {
		t := opt.Trail.Records[b.Limits[name].Path]
		if t == nil || len(t.Versions) == 0 {
			continue
		}
		for i := 1; i <= t.Current; i++ {
			all = append(all, loosened(b, opt, t, t.Versions[i-1].Text, t.Versions[i].Text, t.Versions[i].Commit)...)
		}
		changed := slices.ContainsFunc(opt.Trail.WorkTree, func(w logbook.WorkChange) bool { return w.Path == t.Path })
		if now := b.Limits[name].Text; changed {
			all = append(all, loosened(b, opt, t, t.Now().Text, now, -1)...)
		}
	}
	return all
}

// loosened is one change of a limits file, where it takes stops away.
func loosened(b *logbook.Book, opt Options, t *logbook.RecordTrail, was, is string, commit int) []loosening {
	keys, added := limitChanges(was, is)
	k := opt.Trail.At(commit)
	if len(keys) == 0 || added != 0 && !judgedByThen(b, opt.Trail, added, commit) ||
		k != nil && opt.On != 0 && logbook.DayOf(k.Stated) > opt.On {
		return nil
	}
	still := map[string]bool{}
	for _, f := range openStops(b.WithLimits(t.Path, is), opt) {
		still[stopKey(&f)] = true
	}
	x := loosening{commit: commit}
	for _, f := range openStops(b.WithLimits(t.Path, was), opt) {
		if !still[stopKey(&f)] {
			x.stops = append(x.stops, f)
		}
	}
	if len(x.stops) == 0 {
		return nil
	}
	before, after, words := limitValues(was), limitValues(is), []string(nil)
	if !limitsAnything(before) {
		return nil
	}
	for _, key := range keys {
		_, short, _ := strings.Cut(key, ".")
		words = append(words, fmt.Sprintf("%s was %s, is %s", cmp.Or(short, key), orGone(before[key].Written),
			orGone(after[key].Written)))
	}
	x.finding = Finding{Place: placeInLimits(b, t.Path, keys[0]), Facts: words,
		Message: words[0] + ": " + numbered(len(x.stops), "stop", "stops") + " less",
		Next:    "the chief and the superintendent: compare it with its source, and answer this; the stops stay until then"}
	x.finding.Evidence = slices.Clone(words[1:])
	if x.finding.byCommit = k; k != nil {
		x.finding.Since = logbook.DayOf(k.Stated)
		x.finding.Facts = append(slices.Clone(words), k.ID)
		x.finding.Evidence = append(x.finding.Evidence, "changed "+moment(k)+" "+writtenBy(k))
	} else {
		x.finding.Evidence = append(x.finding.Evidence, "changed since the last commit, not signed by anybody")
	}
	for i := range x.stops {
		f := &x.stops[i]
		x.finding.Related = append(x.finding.Related, Related{f.Place, f.Message})
		f.Evidence = append(slices.Clone(f.Evidence), "the limit was corrected since: "+words[0])
		f.Next = "as before, until the chief and the superintendent have both signed the correction of the limit"
	}
	return []loosening{x}
}

// limitsAnything says that a limits file states a limit: one that was begun with blanks, which are filled in later, has
// none to loosen.
func limitsAnything(values map[string]logbook.ValueAt) bool {
	for key, v := range values {
		_, short, inRevision := strings.Cut(key, ".")
		if inRevision && short != "from" && short != "rule" && v.Written != "" {
			return true
		}
	}
	return false
}

// limitChanges are the keys of a limits file that were changed. Where revisions were only added, added is the first of
// their days.
func limitChanges(was, is string) (keys []string, added logbook.Day) {
	before, after := limitValues(was), limitValues(is)
	for _, key := range slices.Sorted(maps.Keys(before)) {
		if before[key].Written != after[key].Written {
			keys = append(keys, key)
		}
	}
	if len(keys) > 0 {
		return keys, 0
	}
	inside := false
	for _, key := range slices.Sorted(maps.Keys(after)) {
		if _, there := before[key]; there {
			continue
		}
		keys = append(keys, key)
		revision, rest, _ := strings.Cut(key, ".")
		if _, there := before[revision+".from"]; there {
			inside = true
		} else if day, err := logbook.ParseDay(after[key].Written); err == nil && rest == "from" {
			added = min(cmp.Or(added, day), day)
		}
	}
	if inside {
		added = 0
	}
	return keys, added
}

// placeInLimits is where a key of a limits file is, or the first line of the file where it is gone.
func placeInLimits(b *logbook.Book, name, key string) logbook.Place {
	l := b.Limits[strings.TrimSuffix(path.Base(name), ".md")]
	if v, ok := limitValues(l.Text)[key]; ok {
		return logbook.Place{Path: name, Line: v.Line, Column: v.Column}
	}
	return l.Opening
}

// judgedByThen says that records of the time from a day on were in the book before a commit.
func judgedByThen(b *logbook.Book, trail *logbook.Trail, from logbook.Day, commit int) bool {
	return slices.ContainsFunc(b.Overhauls, func(o *logbook.Overhaul) bool {
		t := trail.Records[o.Path]
		return o.Day() >= from && t != nil && len(t.Versions) > 0 && (commit < 0 || t.Versions[0].Commit < commit)
	})
}

// limitValues are the values of a limits file by their keys, but for what judges nothing.
func limitValues(text string) map[string]logbook.ValueAt {
	values := map[string]logbook.ValueAt{}
	for _, v := range logbook.Values([]byte(text)) {
		if !strings.HasSuffix(v.Path, ".source") && v.Path != "remarks" {
			values[v.Path] = v
		}
	}
	return values
}

// openStops are the open stops about parts and what they are fitted in.
func openStops(b *logbook.Book, opt Options) (stops []Finding) {
	opt.Only = nil
	for _, k := range All() {
		if k.Grade == Stop && k.Subject <= OfPocket && k.Ends != figuresAshore {
			opt.Only = append(opt.Only, k)
		}
	}
	for _, f := range Run(b, opt).Findings {
		if f.Grade == Stop && f.State != Answered && f.State != ClosedByWork {
			stops = append(stops, f)
		}
	}
	return stops
}

// stopKey is what makes two stops of two runs the same.
func stopKey(f *Finding) string { return f.Check + " " + f.Subject.String() + " " + f.Place.String() }

// withheld are the stops that a correction of a limit takes away, and that not both have signed: they stay. said are
// the findings by the limits as they are.
func (c *Case) withheld(said []Finding) (stops []Finding) {
	if len(c.loosened) == 0 {
		return nil
	}
	known, h := map[string]bool{}, newHistories(c, nil)
	for i := range said {
		f := said[i]
		h.about(&f)
		known[stopKey(&f)] = true
	}
	for _, x := range c.loosened {
		f := x.finding
		f.Check = limitLoosened.Name
		h.about(&f)
		f.Text = h.digest(&f)
		if _, both := h.answered(&f); both {
			continue
		}
		for _, s := range x.stops {
			if !known[stopKey(&s)] {
				known[stopKey(&s)] = true
				stops = append(stops, s)
			}
		}
	}
	return stops
}
