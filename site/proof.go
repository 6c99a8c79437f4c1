package site

import (
	"slices"
	"strconv"
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
	if n := s.silent(r); n > 0 {
		st.mark, st.loud = strokeBroken, true
		if st.words += " · " + strconv.Itoa(n) + " values that no signature speaks for"; n == 1 {
			st.words = strings.Replace(st.words, "1 values", "one value", 1)
		}
	}
	return s.seenBy(r, st, path)
}

// seenBy completes a standing with who saw the text. Where somebody has seen all of it, those who saw less stand on the record's page
// only.
func (s *site) seenBy(r *logbook.RecordTrail, st standing, path string) standing {
	whole := slices.ContainsFunc(r.Countersignatures, func(c logbook.Countersignature) bool {
		return c.State == logbook.Countersigned && len(c.Added) == 0
	})
	seen := false
	for _, c := range r.Countersignatures {
		verb := " · countersigned by "
		if c.Role == "superintendent" {
			verb = " · reviewed by "
		}
		switch c.State {
		case logbook.Refused:
			st.words += " · refused by " + c.Hand
			st.mark, st.loud, seen = strokeBroken, true, true
		case logbook.ChangedSince:
			st.words += " · changed since countersigned by " + c.Hand
			st.mark, st.loud, seen = strokeBroken, true, true
		case logbook.Countersigned:
			seen = true
			if whole && len(c.Added) > 0 {
				continue
			}
			if st.words += verb + c.Hand; len(c.Added) > 0 {
				st.words += ", added to since"
			}
			switch {
			case st.mark == strokeBroken:
			case c.Role == "superintendent":
				st.mark = strokeThree
			case st.mark == strokeOne:
				st.mark = strokeTwo
			}
		}
	}
	if !seen && strings.HasPrefix(path, "overhauls/") {
		st.words += " · not countersigned"
	}
	return st
}

// silent counts the values of a record that nobody's signature speaks for, where another hand signed the text as a whole.
func (s *site) silent(r *logbook.RecordTrail) int {
	if !r.Now().State.Speaks() || !slices.ContainsFunc(r.Versions, func(v logbook.Version) bool { return !v.State.Speaks() }) {
		return 0
	}
	n := 0
	for _, v := range r.Values {
		if !s.trail.At(v.Commit).State.Speaks() {
			n++
		}
	}
	return n
}

// setBy is the commit that gave a value the text it has; nil where the history does not tell, or where the folder holds another text
// than was committed. For a group of keys it is the newest of its commits.
func (s *site) setBy(path, key string) *logbook.Commit {
	r := s.trail.Records[path]
	if r == nil || key == "" {
		return nil
	}
	now := s.folderTexts[path] // nil where the folder holds what was committed
	newest := -1
	take := func(k string, v logbook.Setting) {
		if now == nil || now[k] == v.Written {
			newest = max(newest, v.Commit)
		}
	}
	if r.Values == nil {
		if now == nil {
			newest = r.Now().Commit
		}
		return s.trail.At(newest)
	}
	if v, ok := r.Values[key]; ok {
		take(key, v)
		return s.trail.At(newest)
	}
	for k, v := range r.Values {
		if strings.HasPrefix(k, key) && len(k) > len(key) && (k[len(key)] == '.' || k[len(key)] == '[') {
			take(k, v)
		}
	}
	return s.trail.At(newest)
}

// textsOfFolder are the values of the overhauls that the folder holds otherwise than committed, by path and key.
func (s *site) textsOfFolder() map[string]map[string]string {
	all := map[string]map[string]string{}
	for _, o := range s.Book.Overhauls {
		if s.changed[o.Path] == "" {
			continue
		}
		now := map[string]string{}
		eachLeaf(o, func(l leafAt) {
			now[l.leaf.Key] = l.leaf.Written
			if l.field.each {
				for i, one := range l.items() {
					now[l.leaf.Key+"["+strconv.Itoa(i)+"]"] = one
				}
			}
		})
		all[o.Path] = now
	}
	return all
}

// commit appends a commit as a link: its short id, and who signed it.
func (s *sheet) commit(c *logbook.Commit) *sheet {
	if c == nil {
		return s
	}
	return s.m(`<a class="commit" href="`, markup(s.commitRef(c)), `">`).t(short(c.ID)).m(`</a>`)
}

func short(id string) string { return cut(id, shortID) }

// commitRef is the place of a commit on the pages of the trace, which show the newest first.
func (s *site) commitRef(c *logbook.Commit) ref {
	return s.pages.traces[s.pages.commit[c.ID]/commitsOnPage].at("c-" + slugOf(short(c.ID)))
}
