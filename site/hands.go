package site

import (
	"slices"
	"strings"

	"needlebook/logbook"
)

// corrections writes the figures struck through: what stood there stays readable.
func (s *sheet) corrections(o *logbook.Overhaul) {
	if len(o.Corrections) == 0 {
		return
	}
	s.m(`<section><h2>Corrections</h2>`)
	s.table("", "date", "what", "stood there", "why", "by")
	for _, c := range o.Corrections {
		s.m("<tr><td>").t(said(c.Date.Leaf)).m("</td><td>").t(said(c.What.Leaf)).m("</td><td><del>").t(said(c.Was.Leaf)).m("</del></td><td>").t(said(c.Why.Leaf)).m("</td><td>").t(s.person(c.By.Written, c.Date.Day)).m("</td></tr>")
	}
	s.m("</tbody></table></div></section>")
}

// hand is one person of a record: what the record says he did, and the commits his key signed.
type hand struct {
	id, did   string
	principal string
	day       logbook.Day
	commits   []*logbook.Commit
}

// handsOf are the hands of a record, those it names first. Whoever is named and has signed stands once.
func (s *site) handsOf(o *logbook.Overhaul) []*hand {
	var all []*hand
	of := func(id string, day logbook.Day) *hand {
		for _, h := range all {
			if h.id == id {
				return h
			}
		}
		all = append(all, &hand{id: id, day: day})
		return all[len(all)-1]
	}
	named := func(l logbook.Serial, did string, day logbook.Day) {
		if l.Present() {
			h := of(l.Written, day)
			if h.did != "" {
				h.did += ", "
			}
			h.did += did
		}
	}
	named(o.By, "bench work", dayOf(o, "as_left"))
	named(o.CheckedBy, "decided and released", dayOf(o, "as_left"))
	named(o.FittedBy, "fitted", dayOf(o, "fitted"))
	if r := s.trail.Records[o.Path]; r != nil {
		for i := range r.Versions {
			c := s.trail.At(r.Versions[i].Commit)
			who := c.Signer
			if c.AdoptedBy != "" {
				who = c.AdoptedBy
			}
			if !r.Versions[i].State.Speaks() || who == "" {
				continue
			}
			id, _, _ := strings.Cut(who, "@")
			h := of(id, logbook.DayOf(c.Stated.UTC()))
			h.principal, h.commits = who, append(h.commits, c)
		}
	}
	return all
}

// hands writes who did what, who saw it, and what each of them has seen.
func (s *sheet) hands(o *logbook.Overhaul) {
	s.m(`<section id="hands"><h2>Hands</h2>`)
	s.table("", "who", "what", "known from")
	for _, h := range s.handsOf(o) {
		s.m("<tr><td>").t(s.person(h.id, h.day)).m("</td><td>").t(h.did)
		if h.did == "" {
			s.m("named nowhere in the record")
		}
		s.m("</td><td>")
		if len(h.commits) == 0 {
			s.m("named in the record; no signature of his")
		} else {
			s.m("signed by the key of ").t(h.principal).m(", let in by ").t(letInBy(h.commits)).m(": ")
			for _, c := range h.commits {
				s.commit(c).m(" ")
			}
		}
		s.m("</td></tr>")
	}
	switch r := s.trail.Records[o.Path]; {
	case r == nil:
		s.m("<tr><td>–</td><td>no signature</td><td>").t(s.standingOf(o.Path).words).m("</td></tr>")
	case len(r.Signers) == 0:
		s.m("<tr><td>–</td><td>nobody's signature speaks for this text</td><td>").t(string(r.Now().State)).t(why(r.Now().Why)).m("</td></tr>")
	default:
		for _, c := range r.Countersignatures {
			s.countersignature(c)
		}
	}
	s.m("</tbody></table></div></section>")
}

// letInBy names those who let in the keys that answer for the commits.
func letInBy(commits []*logbook.Commit) string {
	var names []string
	for _, c := range commits {
		by := logbook.LetIn(c.LetInBy)
		if c.Pending {
			by += " (" + logbook.PendingWords + ")"
		}
		if !slices.Contains(names, by) {
			names = append(names, by)
		}
	}
	return strings.Join(names, ", ")
}

func why(text string) string {
	if text == "" {
		return ""
	}
	return ": " + text
}

// signer is a principal of the register with the name of the crew list.
func (s *site) signer(principal string, day logbook.Day) string {
	id, _, _ := strings.Cut(principal, "@")
	if name := s.person(id, day); name != id {
		return name
	}
	return principal
}

func (s *sheet) countersignature(c logbook.Countersignature) {
	day := s.today
	if brought := s.trail.At(c.Commit); brought != nil {
		day = logbook.DayOf(brought.Stated.UTC())
	}
	s.m("<tr><td>").t(s.signer(c.Signer, day)).m("</td><td>").t(string(c.State)).t(why(c.Why))
	s.m(" as ").t(c.Role).m(", key let in by ").t(logbook.LetIn(c.LetInBy))
	if c.Word != "" {
		s.m(", ").t(c.Word)
	}
	if c.Remarks != "" {
		s.m(`<br>“`).t(c.Remarks).m("”")
	}
	changes := func(list []logbook.ValueChange, words string) {
		if len(list) == 0 {
			return
		}
		s.m("<details><summary>").t(words).m(" (").i(len(list)).m(")</summary><ul>")
		for i, v := range list {
			s.m("<li><code>").t(v.Path).m("</code> ")
			if v.Old != "" {
				s.m("<del>").t(oneLine(v.Old)).m("</del> ")
			}
			if v.New == "" {
				s.m("taken out")
			} else {
				s.t(oneLine(v.New))
			}
			if i == 0 || v.Commit != list[i-1].Commit {
				s.m(" ").commit(s.trail.At(v.Commit))
			}
			s.m("</li>")
		}
		s.m("</ul></details>")
	}
	changes(c.Changed, "changed since he saw it")
	changes(c.Added, "added since, not yet countersigned")
	s.m("</td><td>").commit(s.trail.At(c.Commit))
	if seen := s.trail.At(c.SeenCommit); seen != nil {
		s.m(" over the text of ").commit(seen)
	}
	s.m("</td></tr>")
}

// oneLine shortens a value of several lines to its beginning.
func oneLine(text string) string {
	for i, r := range text {
		if r == '\n' || i >= 120 {
			return text[:i] + " …"
		}
	}
	return text
}
