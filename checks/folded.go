package checks

import (
	"cmp"
	"fmt"
	"slices"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/fault"
)

// Rests is what many findings of one check may rest on beside the records that they are about: a line of a limits file,
// the calibration of an instrument, the stays of a person, the list of engines.
type Rests struct {
	Place logbook.Place // the line; none where the book has no such line
	Words string        // what it is: "calibration of PG-01 to 2022-08-15"
	limit bool          // a line of a limits file: more than half of the records that it holds for must miss it
}

// namedPlaces is how many places a folded finding names.
const namedPlaces = 3

// folded puts one finding, at the line that they rest on, in the place of many of one check that rest on it. A line of
// a limits file must be missed by more than half of the records that it holds for; of anything else eight records from
// three rounds are enough. What must not be signed or fitted is never folded.
func (c *Case) folded(all []Finding) []Finding {
	type line struct {
		check string
		Rests
	}
	lines := map[line][]Finding{}
	restsOn := func(f *Finding) (line, bool) {
		return line{f.Check, f.Rests}, f.Rests.Words != "" && f.Grade < Stop
	}
	for i := range all {
		if l, rests := restsOn(&all[i]); rests {
			lines[l] = append(lines[l], all[i])
		}
	}
	rounds := fault.Shared(func() map[*logbook.Overhaul]string { return judging.RoundNames(c.Book, c.Rounds) })
	for l, fs := range lines {
		records, in := map[string]bool{}, map[string]bool{}
		for _, f := range fs {
			records[cmp.Or(f.About.Record, f.Place.String())] = true // of a table, each line
		}
		held := len(records)
		if l.limit {
			held = c.heldBy(l.Place)
		}
		if judging.Many(held, len(records)) {
			for record := range records {
				in[cmp.Or(rounds()[c.Book.Overhaul(record)], record)] = true
			}
		}
		if !judging.Many(held, len(in)) || 2*len(records) <= held || judging.Tightened(c.Book, l.Place) {
			delete(lines, l)
			continue
		}
		lines[l] = []Finding{c.inOne(l.Rests, fs, len(records), held)}
	}
	out := slices.DeleteFunc(all, func(f Finding) bool {
		l, rests := restsOn(&f)
		return rests && lines[l] != nil
	})
	for _, one := range lines {
		out = append(out, one...)
	}
	return out
}

// inOne is the finding that stands for fs, the gravest and newest first, on so many of the records that the line holds
// for.
func (c *Case) inOne(on Rests, fs []Finding, records, held int) Finding {
	one := Finding{Place: cmp.Or(on.Place, fs[0].Place), Check: fs[0].Check, Grade: fs[0].Grade, Next: fs[0].Next,
		Rests: on, About: About{Instrument: fs[0].About.Instrument, Person: fs[0].About.Person}}
	one.Message = fmt.Sprintf("%s: %s do not fit", on.Words, numbered(records, "entry", "entries"))
	if on.limit {
		one.Message = fmt.Sprintf("%s: %d of %s do not fit", on.Words, records, numbered(held, "record", "records"))
		one.Check, one.Grade, one.Next = limitMissed.Name, limitMissed.Grade, askSource
	}
	for _, f := range fs[:min(namedPlaces, len(fs))] {
		one.Related = append(one.Related, Related{f.Place, f.Message})
	}
	for _, r := range fs[0].Related { // where the other spelling is, which is the same for all
		if !slices.ContainsFunc(fs, func(f Finding) bool { return !slices.Contains(f.Related, r) }) {
			one.Related = append(one.Related, r)
		}
	}
	return one
}

// heldBy counts the records since the revision began that a line of a limits file stands in.
func (c *Case) heldBy(line logbook.Place) (records int) {
	for _, l := range c.Book.Limits {
		e, ok := l.RevisionOf(line)
		if !ok {
			continue
		}
		for _, o := range c.Book.Overhauls {
			if c.Book.LimitsFor(o) == l && o.Day() >= e.From.Day {
				records++
			}
		}
	}
	return records
}
