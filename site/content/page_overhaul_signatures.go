package content

import (
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// signatures say who did what, who saw it, and what each of them has seen.
func (w *Writer) signatures(o *logbook.Overhaul) page.Block {
	t := page.NewTable(page.Simple, "who", "what", "known from")
	for _, h := range w.PeopleOf(o) {
		did := h.Did
		if did == "" {
			did = "named nowhere in the record"
		}
		t.Row(page.Plainly(w.Person(h.ID, h.Day)), page.Plainly(did), page.Said(w.signedBy(h)))
	}
	switch r := w.Trail.Records[o.Path]; {
	case r == nil:
		t.Row(page.Plainly("–"), page.Plainly("no signature"), page.Plainly(w.StandingOf(o.Path).Words))
	case len(r.Signers) == 0:
		t.Row(page.Plainly("–"), page.Plainly("nobody signed this text"),
			page.Said(page.Words(string(r.Now().State)).Say(why(r.Now().Why))))
	default:
		for _, c := range r.Countersignatures {
			w.countersigned(t, c)
		}
	}
	return page.Under("Signatures", t).Named("signers")
}

// signedBy is what the key of a person signed.
func (w *Writer) signedBy(h *facts.PersonOf) page.Text {
	if len(h.Commits) == 0 {
		return page.Words("named in the record, not signed by them")
	}
	t := page.Words("signed by the key of ").Say(h.Principal).Say(", let in by ").Say(letInBy(h.Commits)).Say(": ")
	for _, c := range h.Commits {
		t = t.Then(w.commit(c)).Say(" ")
	}
	return t
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

func (w *Writer) countersigned(t *page.Table, c logbook.Countersignature) {
	day := w.Today
	if brought := w.Trail.At(c.Commit); brought != nil {
		day = logbook.DayOf(brought.Stated.UTC())
	}
	what := page.Words(string(c.State)).Say(why(c.Why)).Say(" as ").Say(c.Role).Say(", key let in by ").
		Say(logbook.LetIn(c.LetInBy))
	if c.Word != "" {
		what = what.Say(", ").Say(c.Word)
	}
	if c.Remarks != "" {
		what = what.Break().Say("“").Say(c.Remarks).Say("”")
	}
	seen := w.commit(w.Trail.At(c.Commit))
	if over := w.Trail.At(c.SeenCommit); over != nil {
		seen = seen.Say(" over the text of ").Then(w.commit(over))
	}
	t.Row(page.Plainly(w.Signer(c.Signer, day)), page.Holding(what,
		w.changedValues(c.Changed, "changed since it was seen"),
		w.changedValues(c.Added, "added since, not yet countersigned")), page.Said(seen))
}

// changedValues are values that differ from what somebody saw; nil for none.
func (w *Writer) changedValues(list []logbook.ValueChange, words string) page.Block {
	if len(list) == 0 {
		return nil
	}
	var lines []page.Text
	for i, v := range list {
		t := page.In(page.Code, v.Path).Say(" ")
		if v.Old != "" {
			t = t.In(page.Struck, oneLine(v.Old)).Say(" ")
		}
		if v.New == "" {
			t = t.Say("taken out")
		} else {
			t = t.Say(oneLine(v.New))
		}
		if i == 0 || v.Commit != list[i-1].Commit {
			t = t.Say(" ").Then(w.commit(w.Trail.At(v.Commit)))
		}
		lines = append(lines, t)
	}
	return page.Fold{Summary: page.Words(words).Say(" (").Int(len(list)).Say(")"),
		Blocks: []page.Block{page.List{Items: page.Items(lines...)}}}
}
