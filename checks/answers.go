package checks

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// answerTo is what an answer is found by: the check's permanent id and the subject in words.
type answerTo struct{ check, about string }

// digest is what an answer answers to: the check's permanent id, the subject, and the keys and facts that the finding
// rests on, in base units as typed. No message, no grade and no count of days is in it, so that other words and another
// day leave an answer as it is, and other facts do not.
func (h *histories) digest(f *Finding) string {
	id := f.Check
	if k := Named(f.Check); k != nil {
		id = k.ID()
	}
	facts := []string{id, f.Asked().String()}
	facts = append(facts, f.Facts...)
	facts = append(facts, h.fact(f.Place))
	for _, r := range f.Related {
		if !strings.HasPrefix(r.Words, follows) { // what is told under it today is no fact of its own
			facts = append(facts, h.fact(r.Place))
		}
	}
	sum := sha256.Sum256([]byte(strings.Join(facts, "\x00")))
	return hex.EncodeToString(sum[:6])
}

// fact is what is written at a place of the book: a key with its value, or a whole line of a table. Where it is written
// counts by the name of its file alone, since lines move and a record may be put into another folder.
func (h *histories) fact(at logbook.Place) string {
	if strings.HasPrefix(at.Path, "overhauls/") {
		return path.Base(at.Path) + " " + h.factIn(at)
	}
	all, known := h.facts[at.Path]
	if !known {
		all = h.factsOf(at.Path)
		h.facts[at.Path] = all
	}
	fact, ok := all[at]
	if !ok {
		fact = all[logbook.Place{Path: at.Path, Line: at.Line}]
	}
	return path.Base(at.Path) + " " + fact
}

// factIn is what is written at a place of a record; empty where no key stands there, and no reading of one.
func (h *histories) factIn(at logbook.Place) string {
	o := h.c.Book.Overhaul(strings.TrimSuffix(path.Base(at.Path), ".md"))
	if o == nil || o.Path != at.Path {
		return ""
	}
	keys := h.keysOf(o)
	behind, _ := slices.BinarySearchFunc(keys, at, func(k keyAt, at logbook.Place) int {
		return cmp.Or(k.place.Compare(at), -1) // the last one that stands there, else the one before
	})
	if behind == 0 {
		return ""
	}
	k := keys[behind-1]
	list, _ := k.said.Value.(*logbook.Amounts)
	here := func(x logbook.Amount) bool { return x.Place == at }
	if k.place != at && (list == nil || !slices.ContainsFunc(list.Each, here)) {
		return ""
	}
	return k.key + "=" + inBase(k.said)
}

// factsOf are the facts of one file that is no record by their places; of a table by their lines.
func (h *histories) factsOf(name string) map[logbook.Place]string {
	all, b := map[logbook.Place]string{}, h.c.Book
	file := func(thing any) {
		logbook.Says(thing, func(s logbook.Said) {
			if s.Leaf.Present() {
				all[s.Leaf.Place] = s.Key + "=" + inBase(s)
			}
		})
	}
	row := func(r logbook.Row, thing any) {
		var cells []string
		logbook.Says(thing, func(s logbook.Said) { cells = append(cells, s.Key+"="+inBase(s)) })
		all[logbook.Place{Path: name, Line: r.Place.Line}] = strings.Join(cells, " ")
	}
	top, _, _ := strings.Cut(name, "/")
	switch top {
	case "instruments":
		for _, i := range b.Instruments {
			if i.Path == name {
				file(i)
			}
		}
	case "parts":
		for _, p := range b.Parts {
			if p.Path == name {
				file(p)
			}
		}
	case "deferrals":
		for _, d := range b.Deferrals {
			if d.Path == name {
				file(d)
			}
		}
	case "decisions":
		for _, d := range b.Decisions {
			if d.Path == name {
				file(d)
			}
		}
	case "limits":
		for _, l := range b.Limits {
			if l.Path == name {
				file(l)
			}
		}
	case "book.md":
		file(&b.Vessel)
	case "crew.csv":
		for i := range b.Crew {
			row(b.Crew[i].Row, &b.Crew[i])
		}
	case "fuel":
		for i := range b.Bunkers {
			row(b.Bunkers[i].Row, &b.Bunkers[i])
		}
	case "stores":
		for i := range b.Stock {
			row(b.Stock[i].Row, &b.Stock[i])
		}
	case "running":
		for i := range b.Running {
			if b.Running[i].Place.Path == name {
				row(b.Running[i].Row, &b.Running[i])
			}
		}
	case "hours":
		for _, rows := range b.Hours {
			for i := range rows {
				if rows[i].Place.Path == name {
					row(rows[i].Row, &rows[i])
				}
			}
		}
	}
	return all
}

// inBase is a value in base units, or as it was typed where it has none.
func inBase(s logbook.Said) string {
	switch v := s.Value.(type) {
	case *logbook.Amount:
		if v.Quantity.Valid() {
			return v.Quantity.Base()
		}
	case *logbook.Amounts:
		var all []string
		for _, x := range v.Each {
			all = append(all, cmp.Or(x.Quantity.Base(), x.Written))
		}
		return strings.Join(all, ", ")
	case *logbook.Number:
		if v.Valid {
			return fmt.Sprint(v.Value)
		}
	}
	return s.Leaf.Written
}

// answered is the last answer that counts for a finding. Where none does, the finding says why the last one does not.
func (h *histories) answered(f *Finding) (Fact, bool) {
	k := Named(f.Check)
	if k == nil {
		return Fact{}, false
	}
	for _, a := range slices.Backward(h.answers[answerTo{k.ID(), f.Asked().String()}]) {
		if a.Date.Day > h.c.Today || a.Text.Written != f.Text && h.texts[a.Text.Written] {
			continue // of a later day, or to another finding of the same check
		}
		why := h.lacks(a, f, k)
		if why == "" {
			f.Held, f.heldBy = "", ""
			return Fact{a.Date.Day, a.Place, fmt.Sprintf("%s, %s: %s", a.By, a.Date, a.Answer.Written)}, true
		}
		if sentAshore(why) && h.inPost(a) && h.signedBy(a) == "" {
			f.Office = a.Date.Day
		}
		if f.Held == "" {
			f.Held = fmt.Sprintf("the answer of %s by %s does not count: %s", a.Date, a.By, why)
			if !h.inPost(a) {
				f.heldBy = a.By.Written
			}
		}
	}
	return Fact{}, false
}

// Given is a line of answers.csv and what it does.
type Given struct {
	*logbook.Answer
	Finding *Finding // that it was given to; nil where none has the facts any more that were answered to
	Why     string   // why it does not count; empty where it does
}

// Given are all answers of the book in the order of its lines, each with its finding and whether it counts.
func (r *Report) Given() []Given {
	h := r.told
	if h == nil {
		return nil
	}
	to := map[answerTo][]*Finding{}
	for i := range r.Findings {
		f := &r.Findings[i]
		if k := Named(f.Check); k != nil {
			at := answerTo{k.ID(), f.Asked().String()}
			to[at] = append(to[at], f)
		}
	}
	all := make([]Given, len(h.c.Book.Answers))
	for i := range all {
		a := &h.c.Book.Answers[i]
		all[i] = Given{Answer: a, Why: "no finding has the facts any more that were answered to"}
		for _, f := range to[answerTo{a.Check.Written, a.About.Written}] {
			if a.Text.Written == f.Text {
				all[i].Finding, all[i].Why = f, h.counts(a, f)
			}
		}
	}
	return all
}

// counts says why an answer to a finding does not count, or counts no longer; empty where it does.
func (h *histories) counts(a *logbook.Answer, f *Finding) string {
	why := h.lacks(a, f, Named(f.Check))
	switch {
	case a.Date.Day > h.c.Today:
		return "it is of a later day"
	case why != "":
		return why
	case f.State == Answered && f.Ended.Place != a.Place:
		return "a later answer was given"
	case f.State != Answered:
		return "it is not needed: " + f.State.String()
	}
	return ""
}

// lacks says why an answer does not count for a finding, its signature included; empty where it does.
func (h *histories) lacks(a *logbook.Answer, f *Finding, k *Check) string {
	return cmp.Or(h.insufficient(a, f, k, h.superintendent(a)), h.signedBy(a))
}

// SendsAshore says that an answer to a finding would not count, and would tell the office of it.
func (r *Report) SendsAshore(a *logbook.Answer, f *Finding) bool {
	return sentAshore(r.MayNotAnswer(a, f, false)) && r.told.inPost(a)
}

// superintendent says that the line of an answer was signed by one.
func (h *histories) superintendent(a *logbook.Answer) bool {
	k, ok := h.rowCommit(a)
	return ok && slices.Contains(k.Roles, "superintendent")
}

// insufficient says why an answer does not count, its signature apart; empty where it does.
func (h *histories) insufficient(a *logbook.Answer, f *Finding, k *Check, ashore bool) string {
	e := k.Ends
	switch {
	case a.Text.Written != f.Text:
		return "the facts are others now"
	case a.Version.Int() != k.Version:
		return fmt.Sprintf("judged otherwise since version %d", k.Version)
	case e.Answer == DeferralOnly:
		return "only a deferral carries it"
	case e.Answer == StatementOnly:
		return "only a surveyor's statement ends it"
	case f.Grade == Stop && h.inUse(f):
		return stopNotAnswered
	case strings.TrimSpace(a.Answer.Written) == "":
		return "it says nothing"
	case e.Grows || a.Until.Written != "":
		if why := h.lapsed(a, f); why != "" {
			return why
		}
	}
	return h.mayAnswer(a, f, e, ashore)
}

// MayNotAnswer says why an answer to a finding would not count once it is signed, ashore being said of a
// superintendent; empty where it would.
func (r *Report) MayNotAnswer(a *logbook.Answer, f *Finding, ashore bool) string {
	k := Named(f.Check)
	if k == nil || r.told == nil {
		return "no check of this program says it"
	}
	return r.told.insufficient(a, f, k, ashore)
}

// inUse says that a finding is about a part in service or ready for fitting, or about how the valve that is in a
// position was fitted there.
func (h *histories) inUse(f *Finding) bool {
	switch f.Subject.Kind {
	case OfHolder, OfNozzle:
		w := h.parts[f.Subject]
		return w.Engines || w.Ready
	case OfPosition, OfPocket:
		p, ok := h.c.position(f.Subject.Name)
		s := h.c.Lives.At(p, h.c.Today)
		return ok && s != nil && (f.Since == 0 || s.From <= f.Since)
	}
	return false
}

// lapsed says that an answer to something that grows states no end, or that its end has come.
func (h *histories) lapsed(a *logbook.Answer, f *Finding) string {
	if a.Until.Written == "" {
		return "it states no day and no hours until when"
	}
	if day, err := logbook.ParseDay(a.Until.Written); err == nil {
		if day < h.c.Today {
			return "it lapsed on " + day.String()
		}
		return ""
	}
	hours, slips := measure.Parse(a.Until.Written, measure.Hours)
	if len(slips) > 0 || !hours.Valid() {
		return fmt.Sprintf("until %q is neither a day nor hours", a.Until.Written)
	}
	engine, _, _ := strings.Cut(f.Subject.Name, "-")
	if w := h.parts[f.Subject].Words; w != "" {
		engine, _, _ = strings.Cut(strings.TrimPrefix(w, "in "), "-")
	}
	now, ok := h.c.Book.TotalOn(engine, h.c.Today)
	then, known := h.c.Book.TotalOn(engine, a.Date.Day)
	switch {
	case !ok || !known:
		return "no engine counts the hours until when"
	case now-then > hours.Float():
		return "it lapsed after " + hours.String()
	}
	return ""
}

// signedBy says why the line of an answer is not the word of the person it names. A book without a history has no
// signatures to ask.
func (h *histories) signedBy(a *logbook.Answer) string {
	if !h.c.Trail.UnderGit {
		return ""
	}
	k, ok := h.rowCommit(a)
	switch {
	case !ok:
		return "it is not signed yet"
	case !k.State.Speaks():
		return "its commit is " + string(k.State)
	case k.Person != a.By.Written:
		return "it was signed by " + cmp.Or(k.Person, "nobody")
	case k.Pending:
		return "the key that signed it is pending"
	}
	return ""
}

// rowCommit is the commit that brought the line of an answer as it is now.
func (h *histories) rowCommit(a *logbook.Answer) (*logbook.Commit, bool) {
	t := h.c.Trail.Records[a.Place.Path]
	if t == nil {
		return nil, false
	}
	if t.Values == nil { // one commit brought them all, if the file is as it was committed
		changed := slices.ContainsFunc(h.c.Trail.WorkTree, func(w logbook.WorkChange) bool { return w.Path == t.Path })
		return h.c.Trail.At(t.Now().Commit), !changed
	}
	key := logbook.RowKey([]string{a.Date.Written, a.Check.Written, a.About.Written, a.Text.Written}, []int{0, 1, 2, 3})
	set, ok := t.Values[key]
	for _, cell := range []string{a.Answer.Written, a.By.Written, a.Until.Written} {
		ok = ok && strings.Contains(strings.ReplaceAll(set.Written, `""`, `"`), cell)
	}
	return h.c.Trail.At(set.Commit), ok
}

// What an answer from aboard lacks where somebody ashore has to act: what it says has reached the office then, and the
// finding stays open.
const (
	officeAnswers   = "the superintendent answers it"
	approverAnswers = "its approver answers, "
	officeSigns     = "the superintendent signs it too"
	stopNotAnswered = "a stop about a part in service or ready is not answered"
)

// sentAshore says that an answer lacks nothing but that it is not aboard that the finding is answered.
func sentAshore(why string) bool {
	return why == officeAnswers || why == officeSigns || why == stopNotAnswered || strings.HasPrefix(why, approverAnswers)
}

// rankOf is the rank, on the day of an answer, of who gave it; empty where they were not aboard.
func (h *histories) rankOf(a *logbook.Answer) (rank string) {
	for _, p := range h.c.Book.Aboard(a.By.Written) {
		if p.From.Day <= a.Date.Day && (p.To.Day == 0 || a.Date.Day <= p.To.Day) {
			rank = strings.ToLower(p.Rank.Written)
		}
	}
	return rank
}

// inPost says that an answer was given by the second engineer or the chief of that day.
func (h *histories) inPost(a *logbook.Answer) bool {
	return slices.Contains([]string{"chief engineer", "second engineer"}, h.rankOf(a))
}

// mayAnswer says why a person's post does not suffice for an answer.
func (h *histories) mayAnswer(a *logbook.Answer, f *Finding, e *End, ashore bool) string {
	who := a.By.Written
	ashore = ashore || strings.Contains(h.rankOf(a), "superintendent")
	switch own := e.Signature || e.Answer == Ashore; {
	case own && h.signed(who, f):
		return "nobody answers a finding about their own signature or figures"
	case e.Answer == ChiefAndOffice:
		return h.bothSign(a, f, ashore)
	case e.Answer == Approver:
		for _, d := range h.c.Book.Deferrals {
			if d.Path == f.Place.Path && d.Approved.By.Stated() && d.Approved.By.Written != who {
				return approverAnswers + d.Approved.By.Written
			}
		}
		fallthrough
	case e.Answer == Ashore || f.Grade == Stop:
		if !ashore {
			return officeAnswers
		}
	case !h.inPost(a) && !ashore:
		return who + " was neither second engineer nor chief in post that day"
	}
	return ""
}

// bothSign says which of the chief and the superintendent has not signed what a finding is about, given an answer;
// empty where two persons have. Whoever made the commit that it is about has signed by that.
func (h *histories) bothSign(a *logbook.Answer, f *Finding, ashore bool) string {
	var chiefs, office []string
	if k := f.byCommit; k != nil && k.State.Speaks() && !k.Pending {
		if slices.Contains(k.Roles, "chief") {
			chiefs = append(chiefs, k.Person)
		}
		if slices.Contains(k.Roles, "superintendent") {
			office = append(office, k.Person)
		}
	}
	take := func(x *logbook.Answer, ashore bool) {
		switch rank := h.rankOf(x); {
		case ashore || strings.Contains(rank, "superintendent"):
			office = append(office, x.By.Written)
		case rank == "chief engineer":
			chiefs = append(chiefs, x.By.Written)
		}
	}
	given := len(chiefs) + len(office)
	if take(a, ashore); given == len(chiefs)+len(office) {
		return a.By.Written + " was neither chief in post nor superintendent that day"
	}
	for _, x := range h.answers[answerTo{a.Check.Written, a.About.Written}] {
		if x.Text.Written == f.Text && x.Version.Int() == a.Version.Int() && x.Date.Day <= h.c.Today && h.signedBy(x) == "" {
			take(x, h.superintendent(x))
		}
	}
	switch {
	case len(office) == 0:
		return officeSigns
	case !slices.ContainsFunc(chiefs, func(who string) bool { return !slices.Contains(office, who) }):
		return "the chief in post signs it too"
	}
	return ""
}

// signed says that a person did, released or countersigned what a finding is about.
func (h *histories) signed(who string, f *Finding) bool {
	o, _ := h.half(f)
	if f.About.Person == who {
		return true
	}
	if o == nil {
		return false
	}
	if who == o.By.Written || who == o.FittedBy.Written || who == o.CheckedBy.Written {
		return true
	}
	t := h.c.Trail.Records[o.Path]
	return t != nil && slices.ContainsFunc(t.Countersignatures, func(s logbook.Countersignature) bool {
		return s.Person == who
	})
}
