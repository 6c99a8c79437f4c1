package checks

import (
	"cmp"
	"fmt"
	"slices"

	"needlebook/logbook"
)

// What a line of answers.csv was meant for is told by its digest, or by its check and place where one digit of the
// digest is another. Where such a line would end a finding if it were not for a slip in it, the slip is what is to be
// put right, and the finding is told under it.

// misread is the line that was meant for an open finding and cannot be taken for it as it is written, with what is
// wrong in it; nil where there is none.
func (h *histories) misread(f *Finding) (*logbook.Answer, Finding) {
	k := Named(f.Check)
	if k == nil || f.State != Open {
		return nil, Finding{}
	}
	id, about := k.ID(), f.Asked().String()
	for i := range h.c.Book.Answers {
		a := &h.c.Book.Answers[i]
		one := Finding{Place: a.Place, Check: nameUnknown.Name, Grade: nameUnknown.Grade, State: Open}
		same := a.Text.Written == f.Text
		put := func(what string, at logbook.Text, is string) {
			one.Message = fmt.Sprintf("%s %q: by its digest it answers %s", what, at.Written, is)
			one.offer(typed(at.Leaf, is), "")
		}
		switch named := a.Check.Written == id && a.About.Written == about; {
		case same && a.Check.Written != id:
			put("check", a.Check, id)
		case same && a.About.Written != about:
			put("place", a.About, about)
		case same && (a.Date.Day == 0 || a.Date.Day > h.c.Book.Today()):
			one.Check, one.Grade = dateAhead.Name, dateAhead.Grade
			one.Message = fmt.Sprintf("date %s is after the last day of the book, %s", a.Date.Written, h.c.Book.Today())
			one.Next = "write the day on which the answer was given"
		case named && !h.texts[a.Text.Written] && logbook.OneApart(a.Text.Written, f.Text):
			put("digest", a.Text, f.Text)
			one.Message = fmt.Sprintf("digest %q: that of the finding is %s", a.Text.Written, f.Text)
		default:
			continue
		}
		as := *a
		as.Text.Written = f.Text
		if as.Date.Day == 0 || as.Date.Day > h.c.Book.Today() {
			as.Date.Day = h.c.Today
		}
		if h.insufficient(&as, f, k, h.superintendent(a)) == "" {
			return a, one
		}
	}
	return nil, Finding{}
}

// misreadTold tells the findings whose answer has a slip under what is said of that line.
func (h *histories) misreadTold(all []Finding) []Finding {
	heads := map[fileLine]int{}
	head := func(at logbook.Place, i int) {
		if l := (fileLine{at.Path, at.Line}); at.Path == "answers.csv" {
			heads[l] = i
		}
	}
	for i, f := range all {
		if f.State == Open && f.leads() {
			head(f.Place, i)
			for _, r := range f.Related {
				if _, told := r.Follows(); told {
					head(r.Place, i)
				}
			}
		}
	}
	gone := make([]bool, len(all), len(all)+1)
	for i := range gone {
		a, one := h.misread(&all[i])
		if a == nil {
			continue
		}
		if _, met := heads[fileLine{a.Place.Path, a.Place.Line}]; !met {
			h.about(&one)
			one.Text = h.digest(&one)
			head(a.Place, len(all))
			all, gone = append(all, one), append(gone, false)
		}
		gone[i] = all[heads[fileLine{a.Place.Path, a.Place.Line}]].tells(all[i], follows)
	}
	all = without(all, gone)
	slices.SortStableFunc(all, gravestFirst)
	return all
}

// gravestFirst is the order of findings: the gravest, of these the newest.
func gravestFirst(x, y Finding) int {
	return cmp.Or(cmp.Compare(y.Grade, x.Grade), cmp.Compare(y.Since, x.Since))
}
