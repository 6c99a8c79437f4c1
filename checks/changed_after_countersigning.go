package checks

import (
	"fmt"
	"maps"
	"path"
	"regexp"
	"slices"
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
	Doc: "A value that a chief or superintendent had seen and countersigned is another now, or a picture or log " +
		"that the record names is not the file they saw. Whoever reads the record takes it for what was seen; the " +
		"countersignature holds for the earlier text and files only. The finding states what changed, when, and under " +
		"which name or key, and nothing more: it cannot know why. " +
		"A correction that is entered as one (what stood there, who, why) and signed by a signer of the book only asks to " +
		"be countersigned again, by a chief who is aboard. Anything else is a stop, which no countersignature ends: put " +
		"the value or the file right, or let the superintendent compare the two and answer. A countersignature that " +
		"somebody else takes out or writes over is not taken back by that. Blocks added since are another matter: they " +
		"ask for their own countersignature.",
	Source:  "common practice, no source: a figure once seen is struck through and initialled, never rubbed out",
	Example: "leak down time as left was 3.1 s, is 9.1 s: changed after countersigning",
	Grade:   Stop,
	Each: func(c *Case, o *logbook.Overhaul) {
		t := c.Trail.Records[o.Path]
		if t == nil {
			return
		}
		for _, change := range c.seenChanges(o, t) {
			c.Report(changedSince(c, o, change))
		}
		c.seenEvidence(o, t)
	},
}

// seenChange is one commit's changes to values that somebody had seen.
type seenChange struct {
	commit int
	values []logbook.ValueChange
	seen   []logbook.Countersignature
	// corrected says that each is entered as a correction, and that a signer answers for it.
	corrected bool
}

// seenChanges gathers what was changed after a countersignature, commit by commit, oldest first. A correction that a
// chief aboard, or the superintendent, has seen since is settled.
func (c *Case) seenChanges(o *logbook.Overhaul, t *logbook.RecordTrail) []seenChange {
	by := map[int]*seenChange{}
	for _, s := range slices.Concat(t.Countersignatures, t.Superseded) {
		if s.State != logbook.ChangedSince {
			continue
		}
		for _, v := range s.Changed {
			k := c.Trail.At(v.Commit)
			corrected := (v.Correction != "" || o.Strikes(v.Path)) && k != nil && k.State.Speaks()
			if corrected && c.seenAboard(t, v.SeenBy) {
				continue
			}
			x := by[v.Commit]
			if x == nil {
				x = &seenChange{commit: v.Commit, corrected: true}
				by[v.Commit] = x
			}
			x.corrected = x.corrected && corrected
			if !slices.ContainsFunc(x.values, func(w logbook.ValueChange) bool { return w.Path == v.Path }) {
				x.values = append(x.values, v)
			}
			x.seen = append(x.seen, s)
		}
	}
	var out []seenChange
	for _, k := range slices.Sorted(maps.Keys(by)) {
		by[k].seen = onePerCommit(by[k].seen)
		out = append(out, *by[k])
	}
	return out
}

// onePerCommit leaves each countersignature once.
func onePerCommit(seen []logbook.Countersignature) []logbook.Countersignature {
	var out []logbook.Countersignature
	for _, s := range seen {
		if !slices.ContainsFunc(out, func(w logbook.Countersignature) bool {
			return w.Path == s.Path && w.Commit == s.Commit
		}) {
			out = append(out, s)
		}
	}
	return out
}

// seenAboard says that one of the countersignatures, by their commits, was given by a superintendent or by a chief who
// was aboard that day.
func (c *Case) seenAboard(t *logbook.RecordTrail, commits []int) bool {
	return slices.ContainsFunc(t.Countersignatures, func(s logbook.Countersignature) bool {
		return slices.Contains(commits, s.Commit) && !c.ashore(&s)
	})
}

func changedSince(c *Case, o *logbook.Overhaul, x seenChange) Finding {
	var what []string
	for _, v := range x.values {
		what = append(what, fmt.Sprintf("%s was %s, is %s", v.Path, orGone(v.Old), orGone(v.New)))
	}
	f := Finding{Place: o.PlaceOf(x.values[0].Path), About: about(o), Facts: what}
	changed := changesInWords(x.values)
	f.Message, f.Evidence = changed[0]+": changed after countersigning", changed[1:]
	c.changedBy(&f, x.commit, x.seen)
	f.Next = "put the value right, or let the superintendent compare the two texts and answer"
	if x.corrected {
		f.Grade, f.Next = Action, "the change is entered as a correction: let the chief aboard countersign it"
	}
	return f
}

// changedBy says who changed something, and who had seen what was there before.
func (c *Case) changedBy(f *Finding, commit int, seen []logbook.Countersignature) {
	var seers []string
	for _, s := range seen {
		who := s.Person
		if k := c.Trail.At(s.Commit); k != nil {
			who += " on " + k.Stated.UTC().Format("2006-01-02")
		}
		seers = append(seers, who)
		f.Related = append(f.Related, Related{logbook.Place{Path: s.Path, Line: 1, Column: 1},
			"countersignature over the earlier text, SHA-256 " + short(s.SHA256)})
	}
	if k := c.Trail.At(commit); k != nil {
		f.Evidence = append(f.Evidence, fmt.Sprintf("changed %s %s", moment(k), writtenBy(k)))
		f.Since = logbook.DayOf(k.Stated)
	}
	f.Evidence = append(f.Evidence, "countersigned before that by "+strings.Join(seers, " and by "))
}

// seenEvidence reports the pictures and logs that are not those that somebody saw with the record.
func (c *Case) seenEvidence(o *logbook.Overhaul, t *logbook.RecordTrail) {
	seen, changes := map[string][]logbook.Countersignature{}, map[string]logbook.EvidenceChange{}
	for _, s := range slices.Concat(t.Countersignatures, t.Superseded) {
		if s.State != logbook.ChangedSince {
			continue
		}
		for _, x := range s.Evidence {
			seen[x.Path], changes[x.Path] = append(seen[x.Path], s), x
		}
	}
	for _, name := range slices.Sorted(maps.Keys(changes)) {
		x, became := changes[name], "replaced"
		if x.New == "" {
			became = "taken out"
		}
		f := Finding{Place: o.PlaceNaming(name), About: about(o), Facts: []string{name, x.Old, x.New},
			Message:  fmt.Sprintf("%s was %s after countersigning", name, became),
			Next:     "put the file back as it was seen, or let the superintendent look at both and answer",
			Evidence: []string{fmt.Sprintf("as it was seen: git cat-file blob %s > old%s", short(x.Old), path.Ext(name))}}
		c.changedBy(&f, x.Commit, onePerCommit(seen[name]))
		c.Report(f)
	}
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
