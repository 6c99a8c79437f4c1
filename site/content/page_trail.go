package content

import (
	"strings"

	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/page"
)

// trailPage is one page of the audit trail: on the first what the history proves and how to look again, then the
// commits, the newest first.
func (w *Writer) trailPage(i int) *page.Page {
	p := &page.Page{Name: w.at.Commits[i], Title: "audit trail", Kind: "list", Way: here("audit trail"),
		Head: "Audit trail"}
	if i == 0 {
		p.Add(w.proof()...)
		if !w.Trail.UnderGit {
			p.Add(page.Para{ID: "again",
				Text: page.Words("Nobody signed any text here, and " +
					"there is nothing to look up again.")})
			return p
		}
		p.Add(w.heldAgainst(), w.broken(), w.notCommitted(), w.vanished(), w.again())
	}
	n := len(w.Trail.Commits)
	pages := pager(w.at.Commits, i, func(i int) string {
		first, last := n-i*address.CommitsOnPage, max(n-(i+1)*address.CommitsOnPage+1, 1)
		return page.Grouped(last) + " to " + page.Grouped(first)
	})
	t := page.NewTable(page.History, "commit", "stated", "state", "by", "message", "files")
	for c := i * address.CommitsOnPage; c < min((i+1)*address.CommitsOnPage, n); c++ {
		t.Rows = append(t.Rows, w.commitRow(&w.Trail.Commits[n-1-c]))
	}
	s := page.Under("Commits, the newest first")
	s.Add(pages, t, pages)
	p.Add(s)
	return p
}

// heldAgainst says what the history was held against.
func (w *Writer) heldAgainst() page.Block {
	t := w.Trail
	all := page.Terms{Set: true}
	add := func(name string, says page.Text) {
		all.Terms = append(all.Terms, page.Term{Name: page.Words(name), Says: says})
	}
	tip := page.In(page.Code, t.Head)
	if t.Branch != "" {
		tip = tip.Say(" on ").Say(t.Branch)
	}
	add("tip", tip)
	if t.FoundingProof == "" {
		add("founding proof", page.Words("none was given: the history is at best consistent with itself"))
	} else {
		add("founding proof", page.In(page.Code, t.FoundingProof).Say(", held outside the book"))
	}
	founding := page.Words("none")
	if c := t.At(t.Founding); c != nil {
		founding = w.commit(c).Say(" of ").Say(c.Stated.UTC().Format("2006-01-02")).Say(" (stated), by ").Say(whoWrote(c))
	}
	add("founding commit", founding)
	add("commits", page.Words(page.Grouped(len(t.Commits))))
	states := map[logbook.State]int{}
	var order []logbook.State
	for i := range t.Commits {
		st := t.Commits[i].State
		if states[st] == 0 {
			order = append(order, st)
		}
		states[st]++
	}
	for _, st := range order {
		add(string(st), page.Words(page.Grouped(states[st])))
	}
	if way := w.inTheWay(); way != nil {
		add("in the way", way)
	}
	return all
}

// inTheWayShown is how many commits in the way of a proved history are named.
const inTheWayShown = 20

// inTheWay are the commits in the way of a proved history; nil for none.
func (w *Writer) inTheWay() page.Text {
	var named page.Text
	n := 0
	for i := range w.Trail.Commits {
		c := &w.Trail.Commits[i]
		if c.Stands {
			continue
		}
		if n++; n <= inTheWayShown {
			named = named.Say(" ").Then(w.commit(c))
		}
	}
	if n == 0 {
		return nil
	}
	return page.Words(page.Counted(n, "one commit is", "commits are") + " in the way of a proved history").
		Then(named)
}

// broken are the texts whose bytes are not what their names say; nil for none.
func (w *Writer) broken() page.Block {
	if len(w.Trail.Broken) == 0 {
		return nil
	}
	list := page.List{}
	for _, b := range w.Trail.Broken {
		list.Items = append(list.Items, page.Item{
			Text: page.In(page.Code, b.Path).Say(" ").In(page.Code, address.Short(b.Blob)).Say(": ").Say(b.Why)})
	}
	note := page.Para{Style: page.Loud,
		Text: page.Words("The stored bytes are missing, or are not those that were committed.")}
	return page.Under("Broken texts", note, list).Named("broken")
}

// notCommitted are the files of the folder that are not as committed; nil for none.
func (w *Writer) notCommitted() page.Block {
	if len(w.Trail.WorkTree) == 0 {
		return nil
	}
	list := page.List{}
	for _, c := range w.Trail.WorkTree {
		list.Items = append(list.Items, page.Item{Text: page.Link(w.at.File[c.Path], c.Path).Say(": ").Say(c.What)})
	}
	return page.Under("Not as committed", list).Named("work-tree")
}

// vanished are the records that the book holds no more; nil for none.
func (w *Writer) vanished() page.Block {
	if len(w.Trail.Vanished) == 0 {
		return nil
	}
	list := page.List{}
	for _, v := range w.Trail.Vanished {
		list.Items = append(list.Items, page.Item{Text: page.In(page.Code, v.Path).Say(", taken out in ").
			Then(w.commit(w.Trail.At(v.Commit))).
			Say("; its last text: ").In(page.Code, "git cat-file blob "+address.Short(v.LastBlob))})
	}
	return page.Under("Records that are gone", said("The book held them once; no page of it holds them now."), list).
		Named("vanished")
}

// again says how to prove the history with git and ssh-keygen alone, and what they cannot see.
func (w *Writer) again() page.Block {
	script := page.Link(address.ProofScript, "prove-again.sh").
		Say(", a short script in plain shell that comes with these pages, proves the "+
			"history from the founding commit on, and says at its end what it cannot see: ").In(page.Code, "sh prove-again.sh").
		Say(" in the folder of the book. It reads a copy of its own and runs nothing that the settings of the book name. " +
			"Or step by step, " +
			"with git and ssh-keygen alone, in a fresh clone, whose settings are yours:")
	means := page.Words("G means a good signature by a key of the register as it is now. git alone cannot tell "+
		"whether the key was in force "+
		"at that place in the history, whether its signer had the right to change that file, whether a merge left a record "+
		"out, or whether the "+
		"history was rewritten before you first saw it. A founding proof that you hold outside the book, and this "+
		"program's ").
		In(page.Code, "verify").Say(", close those gaps.")
	return page.Under("How to look again without this program", para(script), page.Quoted{Text: w.steps()}, para(means)).
		Named("again")
}

// steps are the commands that look again.
func (w *Writer) steps() string {
	lines := []string{
		"export GIT_NO_REPLACE_OBJECTS=1 GIT_NO_LAZY_FETCH=1 GIT_CONFIG_GLOBAL=/dev/null TZ=UTC",
		"git clone --no-local --no-checkout BOOK again && cd again   # never run git in a folder that a stranger made",
		"git fsck --full --strict                       # every text has the name its bytes give it",
		"git rev-parse HEAD                             # " + w.Trail.Head,
		"git show HEAD:signers/allowed_signers > signers",
		"git -c gpg.format=ssh -c gpg.ssh.allowedSignersFile=signers log --format='%h %G? %GF %GS %cI %s'",
		"git log --follow --format='%H %G? %GF' -- overhauls/…   # who wrote one record, with the two -c settings above",
		"git show HEAD:overhauls/… | sha256sum          # the digest that its page and its countersignature name",
	}
	if c := w.Trail.At(w.Trail.Founding); c != nil {
		lines = append(lines, "git show "+c.ID+":signers/allowed_signers > founding   # the first register",
			"grep -o 'ssh-ed25519 [A-Za-z0-9+/=]*' founding | ssh-keygen -l -f -   # the fingerprint in the founding proof "+
				"must be among these")
	}
	return strings.Join(lines, "\n") + "\n"
}

// pathsShown is how many files of a commit are listed.
const pathsShown = 6

func (w *Writer) commitRow(c *logbook.Commit) page.Row {
	r := page.Row{ID: address.CommitID(c.ID)}
	if !c.Stands {
		r.State = page.InWay
	}
	state := page.Text{}.Draw(page.StrokeOne).Say(string(c.State))
	if !c.State.Speaks() {
		state = page.Text{}.Draw(page.StrokeBroken).In(page.Loud, string(c.State))
	}
	state = state.Say(why(c.Why))
	for _, m := range c.Marks {
		state = state.Break().In(page.Loud, m)
	}
	by := page.Words(whoWrote(c))
	if len(c.Roles) > 0 {
		by = by.Break().In(page.By, strings.Join(c.Roles, ", "))
	}
	r.Cells = []page.Cell{page.Said(page.In(page.Code, address.Short(c.ID))), page.On(c.When("2006-01-02 15:04")),
		page.Said(state),
		page.Said(by), page.Plainly(oneLine(c.Message)), page.Said(w.changedFiles(c))}
	return r
}

// changedFiles are the files that a commit changed.
func (w *Writer) changedFiles(c *logbook.Commit) page.Text {
	var t page.Text
	for i, ch := range c.Changes {
		if i == pathsShown {
			return t.Say("and ").Int(len(c.Changes) - pathsShown).Say(" more")
		}
		t = t.Link(w.at.File[ch.Path], ch.Path)
		if ch.NotHis != "" {
			t = t.Say(" ").In(page.Loud, ch.NotHis)
		}
		t = t.Break()
	}
	return t
}
