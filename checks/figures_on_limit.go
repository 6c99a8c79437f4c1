package checks

import (
	"fmt"

	"needlebook/checks/judging"
	"needlebook/logbook"
)

var figuresOnLimit = &Check{
	Name:    "figures-on-limit",
	Subject: OfRound,
	Ends:    figuresAshore,
	Version: 1,
	Level:   Batch,
	Doc: "Most figures of one round stand exactly on a limit. One may; several at once are figures brought to the limit " +
		"in writing, and the trend that would have warned is lost. Nothing is beyond its limit, so this is advice: " +
		"write tenths as the watch or the gauge shows them. A setting aimed at its nominal value is left out. At least " +
		"half of the round must stand there, and as many as the book's setting says.",
	Source:  "from memory",
	Example: "5 of 6 figures of ME2 2022-01-08, leak-down as left, stand exactly on the limit 6.0 s",
	Grade:   Advice,
	Whole: func(c *Case) {
		for _, r := range c.Rounds {
			onLimit(c, r)
		}
	},
}

func onLimit(c *Case, r logbook.Round) {
	type tally struct {
		on  []*judging.Verdict
		all int
	}
	by := map[string]*tally{}
	var keys []string
	of := map[string]*logbook.Overhaul{}
	for _, o := range r.Overhauls {
		list := c.Judged.Of(o)
		for i := range list {
			v := &list[i]
			if !v.Value.Valid() || !v.Span.Valid() || v.Span.Kind() != v.Value.Kind() || v.Span.Nominal.Valid() {
				continue
			}
			t := by[v.Key]
			if t == nil {
				t = &tally{}
				by[v.Key] = t
				keys = append(keys, v.Key)
			}
			t.all++
			if onEnd(v) {
				t.on = append(t.on, v)
				of[v.Place.String()] = o
			}
		}
	}
	for _, key := range keys {
		t := by[key]
		if len(t.on) < max(c.Settings.AtLimit.Int(), 2) || 2*len(t.on) < t.all {
			continue
		}
		first := t.on[0]
		f := Finding{Place: first.Place, Limit: limit(first), About: about(of[first.Place.String()]),
			Next: "write tenths, as the watch or the gauge shows them",
			Message: fmt.Sprintf("%d of %d figures of %s, %s, stand exactly on the limit %s", len(t.on), t.all, r.Name,
				first.Name, first.AsRead())}
		f.About.Round = r.Name
		for _, v := range t.on[1:] {
			f.Related = append(f.Related, Related{v.Place, v.Name + " " + v.Written})
		}
		c.Report(f)
	}
}

func onEnd(v *judging.Verdict) bool {
	read := v.AsRead()
	return v.Span.Low.Valid() && read.Compare(v.Span.Low) == 0 || v.Span.High.Valid() && read.Compare(v.Span.High) == 0
}
