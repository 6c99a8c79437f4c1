package checks

import (
	"fmt"
	"regexp"
	"slices"
	"sort"
	"strings"

	"needlebook/logbook"
)

var changedAfterCountersigning = &Check{
	Name:    "changed-after-countersigning",
	Subject: OfRecord,
	Ends:    figuresAshore,
	Version: 1,
	Needs:   aHistory,
	Level:   Vessel,
	Doc: "A value that a chief or superintendent had seen and countersigned is another now. Whoever reads the record " +
		"takes it for what was seen; the " +
		"countersignature holds for the earlier text only. The finding states what changed, when, and under which name or " +
		"key, and nothing more: it cannot know why. " +
		"A correction that is entered as one (what stood there, who, why) and signed by a signer of the book only asks to " +
		"be countersigned again. Compare the two texts; then " +
		"put the value right, or countersign the text as it stands. Blocks added since are another matter: they ask for " +
		"their own countersignature.",
	Source:  "common practice, no source: a figure once seen is struck through and initialled, never rubbed out",
	Example: "leak down time as left was 3.1 s, is 9.1 s: changed after countersigning",
	Grade:   Stop,
	Each: func(c *Case, o *logbook.Overhaul) {
		t := c.Trail.Records[o.Path]
		if t == nil {
			return
		}
		for _, change := range seenChanges(t) {
			c.Report(changedSince(c, o, change))
		}
	},
}

// seenChange is one commit's changes to values that somebody had seen.
type seenChange struct {
	commit int
	values []logbook.ValueChange
	seen   []logbook.Countersignature
}

// seenChanges gathers what was changed after a countersignature, commit by commit, oldest first.
func seenChanges(t *logbook.RecordTrail) []seenChange {
	by := map[int]*seenChange{}
	var commits []int
	for _, s := range t.Countersignatures {
		if s.State != logbook.ChangedSince {
			continue
		}
		for _, v := range s.Changed {
			x := by[v.Commit]
			if x == nil {
				x = &seenChange{commit: v.Commit}
				by[v.Commit] = x
				commits = append(commits, v.Commit)
			}
			if !slices.ContainsFunc(x.values, func(w logbook.ValueChange) bool { return w.Path == v.Path }) {
				x.values = append(x.values, v)
			}
			if !slices.ContainsFunc(x.seen, func(w logbook.Countersignature) bool { return w.Path == s.Path }) {
				x.seen = append(x.seen, s)
			}
		}
	}
	sort.Ints(commits)
	out := make([]seenChange, len(commits))
	for i, k := range commits {
		out[i] = *by[k]
	}
	return out
}

func changedSince(c *Case, o *logbook.Overhaul, x seenChange) Finding {
	var what, seers []string
	corrected := true
	for _, v := range x.values {
		what = append(what, fmt.Sprintf("%s was %s, is %s", v.Path, orGone(v.Old), orGone(v.New)))
		corrected = corrected && o.Strikes(v.Path)
	}
	f := Finding{Place: o.PlaceOf(x.values[0].Path), About: about(o), Facts: what}
	for _, s := range x.seen {
		seers = append(seers, s.Person)
		if k := c.Trail.At(s.Commit); k != nil {
			seers[len(seers)-1] += " had countersigned it on " + k.Stated.UTC().Format("2006-01-02")
		}
		f.Related = append(f.Related, Related{logbook.Place{Path: s.Path, Line: 1, Column: 1},
			"countersignature over the earlier text, SHA-256 " + short(s.SHA256)})
	}
	changed := changesInWords(x.values)
	f.Message, f.Evidence = changed[0]+": changed after countersigning", changed[1:]
	k := c.Trail.At(x.commit)
	if k != nil {
		f.Evidence = append(f.Evidence, fmt.Sprintf("changed %s %s", moment(k), writtenBy(k)))
		f.Since = logbook.DayOf(k.Stated)
	}
	f.Evidence = append(f.Evidence, strings.Join(seers, " and "))
	f.Next = "compare the two texts; then put the value right, or countersign the text as it stands"
	if corrected && k != nil && k.State.Speaks() {
		f.Grade, f.Next = Action, "the change stands as a correction: countersign the text as it stands"
	}
	return f
}

// inList is the place of a value in a list.
var inList = regexp.MustCompile(`\[[0-9]+\]`)

// changesInWords says what values were and are, a line each, those of one list together.
func changesInWords(values []logbook.ValueChange) []string {
	var said []string
	for i := 0; i < len(values); {
		key := inList.ReplaceAllString(values[i].Path, "")
		var was, is []string
		for ; i < len(values) && inList.ReplaceAllString(values[i].Path, "") == key; i++ {
			if v := values[i]; v.Old != "" {
				was = append(was, v.Old)
			}
			if v := values[i]; v.New != "" {
				is = append(is, v.New)
			}
		}
		said = append(said, fmt.Sprintf("%s was %s, is %s", keyInWords(key), orGone(strings.Join(was, " and ")),
			orGone(strings.Join(is, " and "))))
	}
	return said
}

func orGone(text string) string {
	if text == "" {
		return "nothing"
	}
	if line, _, more := strings.Cut(text, "\n"); more {
		text = line + " …"
	}
	if r := []rune(text); len(r) > 60 {
		text = string(r[:59]) + "…"
	}
	return text
}
