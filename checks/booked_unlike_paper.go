package checks

import (
	"slices"
	"strings"

	"needlebook/logbook"
)

var bookedUnlikePaper = &Check{
	Name:    "booked-unlike-paper",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "The spray that was booked is not the one that the picture of the spray paper shows, as it was read when it " +
		"was entered. An eye that has seen eleven good papers sees " +
		"the twelfth good as well. A person looks at the picture: the booked word is judged until it is corrected.",
	Source:  "common practice, no source",
	Example: `spray as left was booked even, its paper shows hole 4 missing`,
	Holds:   func(o *logbook.Overhaul) bool { return len(o.Papers) > 0 },
	Each: func(c *Case, o *logbook.Overhaul) {
		for i := range o.Papers {
			p := &o.Papers[i]
			t := o.LogTest(p.Test)
			if t == nil || !t.Spray.Stated() || !p.Form.Stated() {
				continue
			}
			if shows := unlikePaper(&t.Spray, p); shows != "" {
				c.Report(Finding{Place: t.Spray.Place, About: about(o), Message: "spray " + p.Test.Written + " was booked " +
					sprayWords(&t.Spray) + ", its paper shows " + shows, Next: "look at the picture, and correct what is wrong",
					Related: []Related{{p.Photo.Place, "the paper"}}})
			}
		}
	},
	Grade: Advice,
}

// unlikePaper says in which holes a paper contradicts what was booked; empty where it does not.
func unlikePaper(s *logbook.Spray, p *logbook.SprayPaper) string {
	booked := holesOf(s.Weak.Each)
	var shows []string
	for _, x := range []struct {
		holes []logbook.Number
		word  string
	}{{p.Missing.Each, "missing"}, {p.Weak.Each, "weak"}, {p.Bent.Each, "bent"}} {
		for _, h := range holesOf(x.holes) {
			if x.word == "weak" && slices.Contains(booked, h) {
				continue
			}
			shows = append(shows, "hole "+h+" "+x.word)
		}
	}
	open := s.Open.Stated() && p.Open.Stated() && s.Open.Written != p.Open.Written && len(p.NotJudged.Each) == 0
	switch {
	case len(shows) > 0 && (s.Form.Is("even") || open):
		return strings.Join(shows[:min(len(shows), 3)], ", ")
	case open:
		return p.Open.Written + " open"
	case s.Form.Stated() && p.Form.Is("even") != s.Form.Is("even"):
		return "an " + p.Form.Written + " spray"
	}
	return ""
}

func holesOf(numbers []logbook.Number) (all []string) {
	for _, n := range numbers {
		all = append(all, n.Written)
	}
	return all
}

func sprayWords(s *logbook.Spray) string {
	var words []string
	if s.Open.Stated() {
		words = append(words, s.Open.Written+" open")
	}
	if s.Form.Stated() {
		words = append(words, s.Form.Written)
	}
	return strings.Join(words, ", ")
}
