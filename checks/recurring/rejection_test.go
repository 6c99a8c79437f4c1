package recurring

import (
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/checks/judging"
	"needlebook/logbook"
)

// A lift beyond the limit that the manual states, the nozzle's own or with the wear of the face, explains a rejection; hours that
// nobody knows explain none. Common practice, no source.
func TestRejectionExplained(t *testing.T) {
	const limits = "---\ntype: T\nrevisions:\n  - {from: 2019-01-01, source: manual, lift: {max: 0.72 mm}, nozzle_life: {renew: 5000 h}}\n---\n"
	for _, c := range []struct {
		name, lift, hours, limits string
		explained                 string
		unjudged                  bool
	}{
		{name: "own lift over", lift: "0.73 mm", explained: "lift beyond its limit"},
		{name: "own lift on its limit", lift: "0.72 mm", unjudged: true},
		{name: "with the face over", lift: "0.73 mm", limits: "effective_lift: {max: 0.74 mm}", explained: "lift beyond its limit"},
		{name: "worn out", lift: "0.70 mm", hours: ", nozzle_hours: 4000 h", explained: "not early: 5500 h of a life of 5000 h"},
		{name: "early", lift: "0.70 mm", hours: ", nozzle_hours: 0 h"},
	} {
		l := limits
		if c.limits != "" {
			l = strings.Replace(l, "lift: {max: 0.72 mm}", c.limits, 1)
		}
		b, err := logbook.Read(fstest.MapFS{
			"book.md": {Data: []byte("---\nvessel: T\nengines: [{id: A, cylinders: [1], limits: t}]\nopening:\n  date: 2020-01-01\n  fitted: [{engine: A, cylinder: 1, holder: \"B-1\", nozzle: \"Z-1\", counter: 100 h" +
				c.hours + "}]\n---\n")},
			"limits/t.md": {Data: []byte(l)},
			"overhauls/a/c1/2020-06-01-b-1.md": {Data: []byte("---\nholder: \"B-1\"\nnozzle: {found: \"Z-1\", left: \"Z-2\"}\nremoved: {engine: A, cylinder: 1, date: 2020-06-01, counter: 1600 h}\n" +
				"measured: {lift: " + c.lift + ", holder_wear: 0.02 mm}\ndecided: {nozzle: renew}\n---\n")}})
		if err != nil || len(b.Problems) > 0 {
			t.Fatal(c.name, err, b.Problems)
		}
		all := Find(b, b.Rounds(), judging.Judge(b)).Rejections
		if len(all) != 1 || all[0].Explained != c.explained || all[0].Unjudged != c.unjudged {
			t.Errorf("%s: %+v, want explained by %q, not judged %t", c.name, all, c.explained, c.unjudged)
		}
	}
}
