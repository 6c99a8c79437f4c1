package trace_test

import (
	"fmt"
	"strings"
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/exchange"
)

// What a countersignature counts for: the text and the files that were seen, whoever takes its file out or writes over it. Each case
// says of every countersignature over the record its person, its state and what is another now; superseded ones stand in brackets.
func TestWhatWasSeenStays(t *testing.T) {
	const photo, log = "photos/tip.jpg", "logs/left.csv"
	text := overhaul("opening", "320 bar", "photos", "["+photo+"]", "logs", "[{test: as left, log: "+log+"}]")
	falsified := strings.Replace(text, "320", "340", 1)
	corrected := strings.Replace(falsified, "photos:", "corrections: [{what: opening, was: 320 bar, why: misread}]\nphotos:", 1)
	files := map[string]string{photo: "the tip", log: "0;1"}
	seen := func(s *tale, who, text string, listed bool) {
		name, _, _ := strings.Cut(who, "@")
		var with []exchange.Evidence
		for _, p := range []string{photo, log} {
			if listed {
				with = append(with, exchange.Evidence{Path: p, Bytes: []byte(files[p])})
			}
		}
		c := exchange.Countersigning("countersigned", name, record, []byte(text), "as seen", "", with...)
		s.by(who, c.Path, string(c.Text))
	}
	const own = "countersigned/2024-01-01-h-1.berg.md"
	for _, listed := range []bool{false, true} {
		for _, c := range []struct {
			name string
			tell func(s *tale)
			want string
		}{
			{"as it was seen", func(*tale) {}, "berg countersigned"},
			{"another picture", func(s *tale) { s.by(ivanov, photo, "a grey square") },
				"berg changed since countersigned photos/tip.jpg@3"},
			{"the log taken out", func(s *tale) { s.by(ivanov, log, "") },
				"berg changed since countersigned logs/left.csv@3 gone"},
			{"replaced and put back", func(s *tale) {
				s.by(ivanov, photo, "a grey square")
				s.by(ivanov, photo, "the tip")
			}, "berg countersigned"},
			{"another picture of the book replaced", func(s *tale) {
				s.by(ivanov, "photos/other.jpg", "1")
				s.by(ivanov, "photos/other.jpg", "2")
			}, "berg countersigned"},
			{"the countersignature taken out, unsigned", func(s *tale) {
				s.by(ivanov, own, "")
				s.unsigned()
			}, "berg countersigned"},
			{"a value changed and the countersignature taken out", func(s *tale) {
				s.by(ivanov, record, falsified, own, "")
				s.unsigned()
			}, "berg changed since countersigned opening@3"},
			{"a value changed and the digest with it", func(s *tale) {
				c := exchange.Countersigning("countersigned", "berg", record, []byte(falsified), "as seen", "")
				s.by(ivanov, record, falsified, own, string(c.Text))
				s.unsigned()
			}, "berg changed since countersigned opening@3 | does not count"},
			{"seen again by the same chief", func(s *tale) {
				s.by(ivanov, record, falsified)
				seen(s, berg, falsified, listed)
			}, "berg countersigned [berg changed since countersigned opening@3 seen@4]"},
			{"seen by the next chief", func(s *tale) {
				s.by(ivanov, record, corrected)
				seen(s, petrov, corrected, listed)
			}, "berg changed since countersigned opening@3 seen@4 | petrov countersigned"},
			{"falsified, both put back and seen again", func(s *tale) {
				c := exchange.Countersigning("countersigned", "berg", record, []byte(falsified), "as seen", "")
				s.by(ivanov, record, falsified, own, string(c.Text))
				s.unsigned()
				s.by(ivanov, record, text)
				seen(s, berg, text, listed)
			}, "berg countersigned"},
			{"the next chief saw the picture that was replaced", func(s *tale) {
				s.by(ivanov, photo, "a grey square")
				seen(s, petrov, text, listed)
			}, "berg changed since countersigned photos/tip.jpg@3 | petrov " + map[bool]string{false: "countersigned",
				true: "changed since countersigned photos/tip.jpg@3"}[listed]},
			{"the next chief saw it before the change", func(s *tale) {
				seen(s, petrov, text, listed)
				s.by(ivanov, record, corrected)
			}, "berg changed since countersigned opening@4 | petrov changed since countersigned opening@4"},
		} {
			t.Run(fmt.Sprint(c.name, ", digests listed: ", listed), func(t *testing.T) {
				s := found(shore, berg, petrov, ivanov)
				s.by(ivanov, record, text, photo, files[photo], log, files[log])
				seen(s, berg, text, listed)
				c.tell(s)
				dir, ids := s.book(t)
				r := read(t, dir, ids).Records[record]
				said := []string{}
				for _, x := range r.Countersignatures {
					said = append(said, inShort(&x))
				}
				is := strings.Join(said, " | ")
				for _, x := range r.Superseded {
					is += " [" + inShort(&x) + "]"
				}
				if is != c.want {
					t.Errorf("%q, want %q", is, c.want)
				}
			})
		}
	}
}

func inShort(c *logbook.Countersignature) string {
	words := strings.TrimSpace(c.Person + " " + string(c.State))
	for _, v := range c.Changed {
		words += fmt.Sprintf(" %s@%d", v.Path, v.Commit)
		for _, k := range v.SeenBy {
			words += fmt.Sprintf(" seen@%d", k)
		}
	}
	for _, x := range c.Evidence {
		words += fmt.Sprintf(" %s@%d", x.Path, x.Commit)
		if x.New == "" {
			words += " gone"
		}
	}
	return words
}

// One old commit that nobody answers for hides none that came later: the headline counts them and names the last.
func TestHeadlineNamesTheLast(t *testing.T) {
	for _, c := range []struct{ unsigned, want int }{{0, -1}, {1, 1}, {3, 3}} {
		s := found(shore, berg, ivanov)
		s.by(ivanov, record, overhaul("opening", "320 bar"))
		for i := range c.unsigned {
			s.by(ivanov, record, overhaul("opening", fmt.Sprint(330+i, " bar")))
			s.unsigned()
		}
		dir, ids := s.book(t)
		line := read(t, dir, ids).Headline
		if c.unsigned > 1 != strings.Contains(line, "; 2 more since, the last ") ||
			c.unsigned > 0 && !strings.Contains(line, ids[1+c.want][:12]) {
			t.Errorf("%d unsigned: %s", c.unsigned, line)
		}
	}
}
