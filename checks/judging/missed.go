package judging

import (
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// MissedLimit is a limit that most values of the ship miss: it is asked about at its own line, and judges nothing until
// then.
type MissedLimit struct {
	Name           string // what it limits: "leak-down as left"
	Text           string // as it is written
	Place          logbook.Place
	Missed, Values int
}

// A limit is asked about when more than half of at least so many values, from so many rounds, miss it: from memory.
const (
	leastValues = 8
	leastRounds = 3
)

// Many says that so many values, from so many rounds, can show that it is not they that are wrong.
func Many(values, rounds int) bool { return values >= leastValues && rounds >= leastRounds }

// Trusted is a book as it is judged, with its judgement: what it asks about of its limits judges nothing.
func Trusted(b *logbook.Book) (trusted *logbook.Book, judged *Judgement, asked []MissedLimit) {
	judged = Judge(b)
	if asked = judged.Missed(b); len(asked) == 0 {
		return b, judged, nil
	}
	places := map[logbook.Place]bool{}
	for _, m := range asked {
		places[m.Place] = true
	}
	trusted = b.Without(places)
	return trusted, Judge(trusted), asked
}

// Missed lists the limits that cannot be right, by place: most values miss them, and their source does not say that
// they were tightened.
func (j *Judgement) Missed(b *logbook.Book) []MissedLimit {
	type count struct {
		MissedLimit
		rounds map[string]bool
		open   map[int]bool // the numbers of holes that valves were left with
	}
	counts := map[logbook.Place]*count{}
	rounds := RoundNames(b, b.Rounds())
	for _, o := range b.Overhauls {
		list := j.Of(o)
		for i := range list {
			v := &list[i]
			if v.LimitPlace.Line == 0 || !(v.Result >= Within && v.Result <= Beyond || v.Result == NotProven) {
				continue
			}
			c := counts[v.LimitPlace]
			if c == nil {
				c = &count{MissedLimit{Name: v.Name, Place: v.LimitPlace},
					map[string]bool{}, map[int]bool{}}
				counts[v.LimitPlace] = c
			}
			c.Values++
			c.rounds[rounds[o]] = true
			if v.Key == keys.AsLeftSpray && o.AsLeft.Spray.Open.Valid {
				c.open[int(o.AsLeft.Spray.Open.Value)] = true
			}
			if v.Side != 0 {
				c.Missed++
				c.Text = v.LimitText
			}
		}
	}
	var missed []MissedLimit
	for _, c := range counts {
		sameHoles := len(c.open) == 1 && c.Values >= leastValues && len(c.rounds) > 1
		if (Many(c.Values, len(c.rounds)) || sameHoles) && 2*c.Missed > c.Values && !Tightened(b, c.Place) {
			missed = append(missed, c.MissedLimit)
		}
	}
	slices.SortFunc(missed, func(x, y MissedLimit) int { return x.Place.Compare(y.Place) })
	return missed
}

// RoundNames gives the name of each record's round; a record of none is a round of its own.
func RoundNames(b *logbook.Book, rounds []logbook.Round) map[*logbook.Overhaul]string {
	names := map[*logbook.Overhaul]string{}
	for _, o := range b.Overhauls {
		names[o] = o.Stem
	}
	for _, r := range rounds {
		for _, o := range r.Overhauls {
			names[o] = r.Name
		}
	}
	return names
}

// Tightened says that the source of a limit states that it was made stricter than before.
func Tightened(b *logbook.Book, limit logbook.Place) bool {
	for _, l := range b.Limits {
		if e, ok := l.RevisionOf(limit); ok {
			return strings.Contains(strings.ToLower(e.Source.Written), "tighten")
		}
	}
	return false
}
