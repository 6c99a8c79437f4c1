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

// standingOf is the standing of a file of the book. Where somebody has seen all of it, those who saw less stand on the record's
// page only.
func (s *site) standingOf(path string) standing {
	at := s.trail.Standing(path)
	st := standing{mark: strokeOne}
	r := s.trail.Records[path]
	if !at.Answered {
		st.mark, st.loud = strokeBroken, true
	}
	if r == nil || s.changed[path] != "" {
		st.words = at.String()
		return st
	}
	whole := slices.ContainsFunc(r.Countersignatures, func(c logbook.Countersignature) bool {
		return c.State == logbook.Countersigned && len(c.Added) == 0
	})
	var seen []string
	for i, c := range r.Countersignatures {
		switch {
		case c.State == logbook.NotCounted, c.State == logbook.Countersigned && whole && len(c.Added) > 0:
			continue
		case c.State != logbook.Countersigned:
			st.mark, st.loud = strokeBroken, true
		case st.mark == strokeBroken:
		case c.Role == "superintendent":
			st.mark = strokeThree
		case st.mark == strokeOne:
			st.mark = strokeTwo
		}
		seen = append(seen, at.Seen[i])
	}
	if len(seen) == 0 && strings.HasPrefix(path, "overhauls/") {
		seen = []string{"not countersigned"}
	}
	at.Seen = seen
	st.words = at.String()
	return st
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
