package site

import (
	"maps"
	"slices"

	"needlebook/logbook"
)

// traceOf writes the commits that made a file, the value each of them set, and how to look again without this program.
func (s *sheet) traceOf(path string) {
	s.m(`<section id="trace"><h2>Trace</h2>`)
	r := s.trail.Records[path]
	if r == nil {
		s.m(`<p class="loud">`).t(upperFirst(s.standingOf(path).words)).m(": no commit speaks for this text.</p></section>")
		return
	}
	older := max(0, len(r.Versions)-versionsShown)
	if older > 0 {
		s.m("<p>").t(counted(older, "One earlier commit stands", "earlier commits stand")).m(" on the pages of the ").a(pageTrace, "trace").m(".</p>")
	}
	s.table("list", "commit", "stated", "state", "by", "message")
	for i := range r.Versions {
		v := &r.Versions[i]
		if i < older && i != r.Current {
			continue
		}
		c := s.trail.At(v.Commit)
		s.m("<tr><td>").commit(c).m("</td><td>").t(c.When("2006-01-02 15:04")).m("</td><td>").t(string(v.State)).t(why(v.Why))
		if i == r.Current && len(r.Versions) > 1 {
			s.m(" <b>(as it stands)</b>")
		}
		s.m("</td><td>").t(writer(c)).m("</td><td>").t(oneLine(c.Message)).m("</td></tr>")
	}
	s.m("</tbody></table></div>")
	if len(r.Values) > 0 {
		s.settings(r)
	}
	s.m(`<p class="again">To look again: <code>git log --follow --format='%H %G? %GF %cI %s' -- `).t(shellQuoted(path)).m("</code></p></section>")
}

// versionsShown is how many versions of a file its page lists, the newest: a table of hours has one a week.
const versionsShown = 40

// writer is who stands behind a commit: the hand whose key signed, or who is merely named in it.
func writer(c *logbook.Commit) string {
	switch {
	case c.AdoptedBy != "":
		return "adopted by " + c.AdoptedBy
	case c.State.Speaks() && c.Pending:
		return c.Signer + ", " + logbook.PendingWords
	case c.State.Speaks() && c.Signer != "":
		return c.Signer
	case c.Signer != "":
		return "key of " + c.Signer
	}
	return "named " + c.CommitterName + " (proves nothing)"
}

// settings lists every value of a record under the commit that set it, with what stood there before. The values themselves stand in
// the record above.
func (s *sheet) settings(r *logbook.RecordTrail) {
	by := map[int][]string{}
	for p, v := range r.Values {
		by[v.Commit] = append(by[v.Commit], p)
	}
	s.m("<details><summary>every value and the commit that set it</summary>")
	s.table("", "set by", "values")
	for _, n := range slices.Sorted(maps.Keys(by)) {
		c := s.trail.At(n)
		s.m("<tr><td>").commit(c).m(" ").t(writer(c)).m("</td><td>")
		slices.Sort(by[n])
		for i, p := range by[n] {
			if i > 0 {
				s.m(" · ")
			}
			s.m("<code>").t(p).m("</code>")
			v := r.Values[p]
			for _, b := range v.Before {
				s.m(" <del>").t(oneLine(b.Written)).m("</del> ").commit(s.trail.At(b.Commit))
			}
			if len(v.Before) > 0 {
				s.m(" ").t(oneLine(v.Written))
			}
		}
		s.m("</td></tr>")
	}
	s.m("</tbody></table></div></details>")
}

// shellQuoted is a path as it is typed in a shell.
func shellQuoted(path string) string {
	for _, r := range path {
		if (r < 'a' || r > 'z') && (r < '0' || r > '9') && r != '-' && r != '.' && r != '/' && r != '_' {
			out := "'"
			for _, r := range path {
				if r == '\'' {
					out += `'\''`
					continue
				}
				out += string(r)
			}
			return out + "'"
		}
	}
	return path
}
