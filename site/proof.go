package site

import (
	"strings"

	"needlebook/logbook"
)

// shortID is how many digits of a commit's id stand on a page.
const shortID = 8

// proofLine says in one line whether the history is proved.
func (s *site) proofLine() string {
	switch {
	case !s.trail.UnderGit:
		return "Not under git: nothing is proved"
	case s.trail.Headline != "":
		return upperFirst(visible(s.trail.Headline))
	case s.trail.Proved:
		return "The history is proved"
	}
	return "The history is not proved"
}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// standing is what is known of who answers for a record.
type standing struct {
	mark  markup // the drawn strokes: one for signed, two for countersigned, three for reviewed, broken where nobody answers
	words string
	loud  bool // something to look at: not the quiet case
}

// standingOf is the standing of a file of the book.
func (s *site) standingOf(path string) standing {
	if !s.trail.UnderGit {
		return standing{strokeBroken, "not under git: nothing is proved", true}
	}
	if what := s.changed[path]; what != "" {
		if what == "changed" {
			what = "changed since its last commit"
		}
		return standing{strokeBroken, what, true}
	}
	r := s.trail.Records[path]
	if r == nil {
		return standing{strokeBroken, "not committed", true}
	}
	st := standing{mark: strokeOne}
	now := r.Now()
	switch {
	case now.State.Speaks():
		c := s.trail.At(now.Commit)
		st.words = string(now.State) + " by " + c.Hand
		if now.State == logbook.Adopted {
			st.words = "adopted by " + c.AdoptedBy
		}
	default:
		st.mark, st.words, st.loud = strokeBroken, string(now.State), true
	}
	counted := false
	for _, c := range r.Countersignatures {
		verb := "countersigned by "
		if c.Role == "superintendent" {
			verb = "reviewed by "
		}
		switch {
		case c.State == logbook.Countersigned && c.Word == "refused":
			st.words += " · refused by " + c.Hand
			st.mark, st.loud, counted = strokeBroken, true, true
		case c.State == logbook.Countersigned:
			st.words += " · " + verb + c.Hand
			if len(c.Added) > 0 {
				st.words += ", added to since"
			}
			counted = true
			if st.mark == strokeOne {
				st.mark = strokeTwo
			}
			if c.Role == "superintendent" && st.mark != strokeBroken {
				st.mark = strokeThree
			}
		case c.State == logbook.ChangedSince:
			st.words += " · changed since countersigned by " + c.Hand
			st.mark, st.loud, counted = strokeBroken, true, true
		}
	}
	if !counted {
		st.words += " · not countersigned"
	}
	return st
}

// setBy is the commit that gave a value its text; nil where the history does not tell. For a group of keys it is the newest.
func (s *site) setBy(path, key string) *logbook.Commit {
	r := s.trail.Records[path]
	if r == nil || key == "" {
		return nil
	}
	if v, ok := r.Values[key]; ok {
		return s.trail.At(v.Commit)
	}
	newest := -1
	for k, v := range r.Values {
		if strings.HasPrefix(k, key) && len(k) > len(key) && (k[len(key)] == '.' || k[len(key)] == '[') {
			newest = max(newest, v.Commit)
		}
	}
	return s.trail.At(newest)
}

// commit appends a commit as a link: its short id, and who signed it.
func (s *sheet) commit(c *logbook.Commit) *sheet {
	if c == nil {
		return s
	}
	return s.m(`<a class="commit" href="`, markup(s.commitRef(c)), `">`).t(short(c.ID)).m(`</a>`)
}

func short(id string) string { return cut(id, shortID) }

// commitsOnPage is how many commits one page of the trace holds.
const commitsOnPage = 100

// commitRef is the place of a commit on the pages of the trace, which show the newest first.
func (s *site) commitRef(c *logbook.Commit) ref {
	return s.tracePage(s.pages.commit[c.ID] / commitsOnPage).at("c-" + slugOf(short(c.ID)))
}

// tracePage is the page with a stretch of the trace; 0 holds the newest commits.
func (s *site) tracePage(n int) ref {
	if n == 0 {
		return pageTrace
	}
	return s.pages.traces[n]
}
