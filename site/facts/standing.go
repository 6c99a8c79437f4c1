package facts

import (
	"slices"
	"strconv"
	"strings"

	"needlebook/logbook"
)

// ProofLine says in one line whether the history is proved.
func (k *Facts) ProofLine() string {
	switch {
	case k.Trail.Headline != "":
		return strings.ToUpper(k.Trail.Headline[:1]) + k.Trail.Headline[1:]
	case k.Trail.Proved:
		return "The history is proved"
	}
	return "The history is not proved"
}

// Standing is what is known of who answers for a record.
type Standing struct {
	Strokes int // under the text: one for signed, two for countersigned, three for reviewed, 0 where nobody answers
	Words   string
	Loud    bool // something to look at: not the quiet case
}

// StandingOf is the standing of a file of the book. Where somebody has seen all of it, those who saw less stand on
// the record's page only.
func (k *Facts) StandingOf(path string) Standing {
	at := k.Trail.Standing(path)
	st := Standing{Strokes: 1}
	r := k.Trail.Records[path]
	if !at.Answered {
		st.Strokes, st.Loud = 0, true
	}
	if r == nil || k.Changed[path] != "" {
		st.Words = at.String()
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
			st.Strokes, st.Loud = 0, true
		case st.Strokes == 0:
		case c.Role == "superintendent":
			st.Strokes = 3
		case st.Strokes == 1:
			st.Strokes = 2
		}
		seen = append(seen, at.Seen[i])
	}
	if len(seen) == 0 && strings.HasPrefix(path, "overhauls/") {
		seen = []string{"not countersigned"}
	}
	at.Seen = seen
	st.Words = at.String()
	return st
}

// SetBy is the commit that gave a value the text it has; nil where the history does not tell, or where the folder
// holds another text than was committed. For a group of keys it is the newest of its commits.
func (k *Facts) SetBy(path, key string) *logbook.Commit {
	r := k.Trail.Records[path]
	if r == nil || key == "" {
		return nil
	}
	now := k.folderTexts[path] // nil where the folder holds what was committed
	newest := -1
	take := func(key string, v logbook.Setting) {
		if now == nil || now[key] == v.Written {
			newest = max(newest, v.Commit)
		}
	}
	if r.Values == nil {
		if now == nil {
			newest = r.Now().Commit
		}
		return k.Trail.At(newest)
	}
	if v, ok := r.Values[key]; ok {
		take(key, v)
		return k.Trail.At(newest)
	}
	within := func(inner string) bool {
		return strings.HasPrefix(inner, key) && len(inner) > len(key) && (inner[len(key)] == '.' || inner[len(key)] == '[')
	}
	for inner, v := range r.Values {
		if within(inner) {
			take(inner, v)
		}
	}
	for inner, v := range r.Gone {
		if _, back := now[inner]; within(inner) && !back {
			newest = max(newest, v.Commit) // whoever takes something out has set what is left
		}
	}
	return k.Trail.At(newest)
}

// textsOfFolder are the values of the overhauls that the folder holds otherwise than committed, by path and key.
func (k *Facts) textsOfFolder() map[string]map[string]string {
	all := map[string]map[string]string{}
	for _, o := range k.Book.Overhauls {
		if k.Changed[o.Path] == "" {
			continue
		}
		now := map[string]string{}
		EachLeaf(o, func(l LeafAt) {
			now[l.Leaf.Key] = l.Leaf.Written
			if l.Field.Each {
				for i, one := range l.Items() {
					now[l.Leaf.Key+"["+strconv.Itoa(i)+"]"] = one
				}
			}
		})
		all[o.Path] = now
	}
	return all
}
