package site

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"needlebook/checks"
	"needlebook/logbook"
)

// change is one thing that came into the book on a day.
type changed struct {
	day   logbook.Day
	words string
	about string
	to    ref
	grade checks.Grade // of a finding; 0 for a record or another file
	group ref          // of a finding: where those of its check begin
	check string
}

// yearOfChanges are the changes of a year, the newest first, month by month.
type yearOfChanges struct {
	year   int
	months []monthOfChanges
}

type monthOfChanges struct {
	id   string // "2024-06"
	list []changed
}

// gatherChanges dates everything by the commit that brought it: a record or another file by each of its versions, a finding by the newest
// commit that set one of the lines it rests on. In a plain folder nothing has a commit, and the record's own day stands in for it.
func (s *site) gatherChanges() []yearOfChanges {
	var all []changed
	for _, o := range s.Book.Overhauls {
		all = append(all, s.versionsOf(o.Path, o.Stem, s.pages.overhaul[o], o.Day())...)
	}
	for _, f := range s.pages.texts {
		if strings.HasPrefix(f, "hours/") || strings.HasPrefix(f, "running/") {
			continue // grows every day
		}
		all = append(all, s.versionsOf(f, f, s.pages.file[f], 0)...)
	}
	keys := s.keysOfLines()
	for _, f := range s.ordered {
		if f.Grade < checks.Answer {
			continue
		}
		if d := s.daySince(f, keys); d != 0 {
			s.since[f] = d
			to := s.pages.line(f.Place)
			if o := s.recordOf(f); o != nil {
				to = s.pages.overhaul[o]
			}
			all = append(all, changed{day: d, words: f.Message, about: s.brief(f).About, to: to, grade: f.Grade, group: s.findingAt[groupID(f)], check: f.Check})
		}
	}
	slices.SortStableFunc(all, func(a, b changed) int {
		if a.day != b.day {
			return int(b.day) - int(a.day)
		}
		return cmp.Or(int(b.grade)-int(a.grade), strings.Compare(a.words, b.words))
	})
	var years []yearOfChanges
	for _, c := range all {
		t := c.day.Time()
		if n := len(years); n == 0 || years[n-1].year != t.Year() {
			years = append(years, yearOfChanges{year: t.Year()})
		}
		y := &years[len(years)-1]
		id := t.Format("2006-01")
		if n := len(y.months); n == 0 || y.months[n-1].id != id {
			y.months = append(y.months, monthOfChanges{id: id})
		}
		m := &y.months[len(y.months)-1]
		m.list = append(m.list, c)
	}
	return years
}

// versionsOf are the days on which a file was brought or changed; of several on one day the last is named.
func (s *site) versionsOf(path, name string, to ref, plain logbook.Day) []changed {
	r := s.trail.Records[path]
	if r == nil {
		if plain == 0 || s.trail.UnderGit {
			return nil
		}
		return []changed{{day: plain, words: "record of that day", about: name, to: to}}
	}
	var all []changed
	for i, v := range r.Versions {
		c := s.trail.At(v.Commit)
		if c == nil {
			continue
		}
		words := "changed"
		if i == 0 {
			words = "written"
		}
		if c.State.Speaks() {
			words += " by " + c.Hand
		} else {
			words += ", " + string(c.State)
		}
		one := changed{day: logbook.DayOf(c.Stated), words: words, about: name, to: to}
		if n := len(all); n > 0 && all[n-1].day == one.day {
			if all[n-1].words != one.words {
				all[n-1].words += "; " + one.words
			}
			continue
		}
		all = append(all, one)
	}
	return all
}

// keysOfLines are the keys that stand on each line of the overhauls that findings concern.
func (s *site) keysOfLines() map[string]map[int]string {
	all := map[string]map[int]string{}
	for _, o := range s.Book.Overhauls {
		if len(s.found.record[o]) == 0 {
			continue
		}
		lines := map[int]string{}
		eachLeaf(o, func(l leafAt) { lines[l.leaf.Place.Line] = l.leaf.Key })
		all[o.Path] = lines
	}
	return all
}

// daySince is the stated day of the newest commit that set a line the finding rests on; 0 where there is none to name.
func (s *site) daySince(f *checks.Finding, keys map[string]map[int]string) logbook.Day {
	newest := logbook.Day(0)
	take := func(p logbook.Place) {
		r := s.trail.Records[p.Path]
		if r == nil || strings.HasSuffix(p.Path, ".csv") { // a table grows line by line, and no line of it is traced
			return
		}
		c := s.setBy(p.Path, keys[p.Path][p.Line])
		switch {
		case c != nil:
		case strings.HasPrefix(p.Path, "overhauls/"):
			c = s.trail.At(r.Versions[0].Commit)
		default:
			c = s.trail.At(r.Now().Commit)
		}
		if c != nil {
			newest = max(newest, logbook.DayOf(c.Stated))
		}
	}
	take(f.Place)
	for _, r := range f.Related {
		take(r.Place)
	}
	if newest == 0 && !s.trail.UnderGit {
		if o := s.recordOf(f); o != nil {
			newest = o.Day()
		}
	}
	return newest
}

// monthRef is the place of a month on the pages of what changed.
func (s *site) monthRef(page int, id string) ref { return s.pages.since[page].at("m-" + id) }

// sincePage writes what changed, a year to a page: first against the last review, then month by month. A reader picks a month by its
// link; with scripts on also a day.
func (s *sheet) sincePage(page int) error {
	s.begin("what changed", "list", step{"", "what changed"})
	s.m("<h1>What changed</h1>")
	years := s.changes()
	if page == 0 {
		s.sinceReview()
	}
	s.m(`<p class="lead">By the stated day of the commit that brought it. A finding stands where the newest line it rests on was set; those below an answer, and those that rest on tables alone, are left out.</p>`)
	if !s.trail.UnderGit {
		s.m(`<p class="lead">`).t(upperFirst(s.trail.Lacking)).m(`: the days of the records stand in for the commits.</p>`)
	}
	s.monthLinks(years)
	if len(years) == 0 {
		s.quietLine("Nothing yet.")
		return s.end(s.pages.since[page], s.footShort)
	}
	for _, m := range years[page].months {
		alike, listed := map[changed]int{}, map[changed]int{} // findings of one check that came on one day
		for _, c := range m.list {
			alike[c.kind()]++
		}
		s.m(`<section class="month" id="m-`, markup(m.id), `"><h2>`).t(m.id).m(`</h2><ul class="groups">`)
		for i := 0; i < len(m.list); i++ {
			c := m.list[i]
			n := listed[c.kind()]
			if listed[c.kind()]++; c.grade != 0 && n > alikeShown {
				continue
			}
			s.m(`<li data-day="`).t(c.day.String()).m(`"><span class="day">`).t(c.day.String()).m("</span> ")
			if left := alike[c.kind()] - n; c.grade != 0 && n == alikeShown && left > 1 {
				s.grade(c.grade).m(" ").a(c.group, plainName(c.check)).m(": ").t(grouped(left)).m(" more of that day</li>")
				continue
			}
			if c.grade != 0 {
				s.grade(c.grade).m(" ")
				if c.about == "" {
					s.a(c.to, c.words)
				} else {
					s.a(c.to, c.about).m(": ").t(c.words)
				}
				s.m("</li>")
				continue
			}
			s.t(c.words).m(": ").a(c.to, c.about)
			files := 1
			for ; i+1 < len(m.list) && m.list[i+1].day == c.day && m.list[i+1].grade == 0 && m.list[i+1].words == c.words; i++ {
				if files++; files <= filesShown {
					s.m(", ").a(m.list[i+1].to, m.list[i+1].about)
				}
			}
			if files > filesShown {
				s.m(", and ").t(grouped(files-filesShown)).m(" more: ").a(pageOverhauls, "overhauls").m(", ").a(pageFiles, "other files")
			}
			s.m("</li>")
		}
		s.m("</ul></section>")
	}
	return s.end(s.pages.since[page], s.footShort)
}

// What one day brought is written out so far; when a whole book is committed at once, a number says the rest.
const (
	alikeShown = 4
	filesShown = 40
)

// kind is what changes of one day have in common that are counted together: the check.
func (c changed) kind() changed { return changed{day: c.day, grade: c.grade, check: c.check} }

// monthLinks are the way to every month.
func (s *sheet) monthLinks(years []yearOfChanges) {
	if len(years) == 0 {
		return
	}
	s.m(`<nav class="months" aria-label="months">`)
	for i, y := range years {
		s.m(`<p><b>`).i(y.year).m("</b> ")
		for _, m := range slices.Backward(y.months) {
			s.m(`<a href="`, markup(s.monthRef(i, m.id)), `" data-month="`, markup(m.id), `">`).t(m.id[5:]).m("</a> ")
		}
		s.m("</p>")
	}
	s.m("</nav>")
}

// sinceReview says what is new and what is gone since the last review.
func (s *sheet) sinceReview() {
	b := s.Before
	if b == nil {
		s.m(`<section id="review"><h2>Since the last review</h2><p class="quiet">No review is in the book, or nothing was compared with it.</p></section>`)
		return
	}
	s.m(`<section id="review"><h2>Since the `).t(b.Why).m(" of ").t(b.Day.String()).m(`</h2><p class="src">The same checks, run on the book as it stood at commit `)
	if i, known := s.pages.commit[b.Commit]; known {
		s.commit(&s.trail.Commits[len(s.trail.Commits)-1-i])
	} else {
		s.m("<code>").t(short(b.Commit)).m("</code>")
	}
	s.m(", and compared with what they say now.</p>")
	fresh, gone := s.compared()
	s.m("<h3>").t(upperFirst(counted(len(fresh), "one new finding", "new findings"))).m("</h3>")
	if len(fresh) > 0 {
		s.foldedList(fresh)
	}
	s.m("<h3>").t(upperFirst(counted(len(gone), "one finding is gone", "findings are gone"))).m("</h3>")
	if len(gone) > 0 {
		s.m(`<ul class="groups">`)
		for _, f := range gone[:min(len(gone), findingsOnPage)] {
			s.m("<li>").grade(f.Grade).m(" ")
			s.a(s.pages.stem[f.About.Record], f.Message)
			s.m("</li>")
		}
		s.m("</ul>")
	}
	s.m("</section>")
}

// changedLately says on the first page what changed since the last review, or else in the last month of the book.
func (s *sheet) changedLately() {
	s.m(`<section id="changed"><h2>What changed</h2>`)
	if b := s.Before; b != nil {
		fresh, gone := s.compared()
		s.m("<p>Since the ").t(b.Why).m(" of ").t(b.Day.String()).m(": ").a(pageSince.at("review"), counted(len(fresh), "one new finding", "new findings")+", "+counted(len(gone), "one gone", "gone")).m(".</p>")
		for _, f := range fresh[:min(len(fresh), 3)] {
			one := s.brief(f)
			s.m("<p>").grade(f.Grade).m(" ").a(ref(one.Page), strings.TrimSpace(one.About+" "+one.Message)).m("</p>")
		}
	}
	years := s.changes()
	if len(years) == 0 {
		s.quietLine("Nothing is in the book yet.")
		s.m("</section>")
		return
	}
	m := years[0].months[0]
	counts := map[bool]int{}
	for _, c := range m.list {
		counts[c.grade != 0]++
	}
	s.m("<p>In ").a(s.monthRef(0, m.id), m.id).m(": ").t(fmt.Sprintf("%s, %s", counted(counts[false], "one file written or changed", "files written or changed"), counted(counts[true], "one finding to answer", "findings to answer"))).m(". Since when? ")
	for i, y := range years[:min(len(years), 12)] {
		s.a(s.pages.since[i], strconv.Itoa(y.year)).m(" ")
	}
	s.m("</p></section>")
}
