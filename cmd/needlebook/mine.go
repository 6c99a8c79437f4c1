package main

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/logbook/exchange/joining"
	"needlebook/logbook/exchange/remote"
	"needlebook/logbook/signers"
	"needlebook/logbook/trace"
)

// How many lines each part of what is mine has at most: twenty in all, with the first.
const (
	mineRefused = 2
	mineOpen    = 7
	mineDue     = 5
	mineDays    = 31 // ahead
)

// reader is who asks: by the own key, without its secret half, and by the post held on the day of the book.
type reader struct {
	id, post string
	roles    []string
}

// line is one thing to do, and the command to type.
type line struct{ what, command string }

// mine says what is one's own in a book: what is open, due, unsigned or not sent, and what came in.
func (p *program) mine() error {
	o, err := p.openBook("", "", provenBy())
	if err != nil {
		return err
	}
	defer o.close()
	who := o.reader()
	head := o.book.Vessel.Called() + ", " + o.report.Today.String() + ": "
	switch {
	case who.id == "":
		head += "no key of yours is in force here, so all is listed"
	default:
		head += who.id + ", " + cmp.Or(who.post, strings.Join(who.roles, ", "))
	}
	fmt.Fprintln(p.out, head)
	lines := slices.Concat(o.unlimited(), o.refusals(who), o.toConfirm(who), o.openFor(who), o.inWork(),
		o.toBeSeen(who), o.dueSoon(), o.notSent(), o.cameIn(who))
	width := 0
	for _, l := range lines {
		width = max(width, len(l.command))
	}
	for _, l := range lines {
		fmt.Fprintf(p.out, "  %-*s  %s\n", width, l.command, l.what)
	}
	if len(lines) == 0 {
		fmt.Fprintln(p.out, o.nothingOpen(&askedFor{}))
	}
	return nil
}

// reader finds whose key is at hand. Nothing is asked: of a locked key the public half is enough.
func (o *opened) reader() (who reader) {
	if !o.trail.UnderGit {
		return who
	}
	all, err := trace.InForce(o.trail)
	if err != nil {
		return who
	}
	print := ""
	locked := func(file string) ([]byte, error) {
		if public, err := signers.PublicOf(file); err == nil {
			print = signers.Fingerprint(public)
		}
		return nil, errors.New("locked")
	}
	if key, _, err := findKeyBy(o.dir, "", all, true, locked); err == nil {
		print = key.Fingerprint()
		key.Close()
	}
	for _, l := range all {
		if l.Key != print || print == "" {
			continue
		}
		who.id, who.roles = l.ID, l.Roles
		for _, c := range o.book.Aboard(l.ID) {
			if c.From.Day <= o.report.Today && (c.To.Day == 0 || o.report.Today <= c.To.Day) {
				who.post = strings.ToLower(c.Rank.Written)
			}
		}
	}
	return who
}

// concerns says that a finding is for somebody to act on: signatures and deferrals for the chief, what is answered
// ashore for the superintendent, the rest for whoever is aboard; what is about a file alone for whoever may change it.
// Nobody in particular is asked everything.
func (who *reader) concerns(f *checks.Finding) bool {
	k := checks.Named(f.Check)
	if k == nil || who.id == "" {
		return true
	}
	if f.Subject.Name == f.Place.Path && f.Grade != checks.Stop {
		return trace.NotHis(f.Place.Path, who.roles) == ""
	}
	ashore := k.Ends.Answer == checks.Ashore || k.Ends.Answer == checks.Approver
	switch {
	case slices.Contains(who.roles, "superintendent"):
		return ashore || f.Grade == checks.Stop
	case slices.Contains(who.roles, "chief"):
		return !ashore
	}
	return !ashore && !k.Ends.Signature
}

// openFor are the open findings for a reader, the gravest and newest, but for notes.
func (o *opened) openFor(who reader) (lines []line) {
	n := 0
	for _, f := range o.report.Open() {
		if f.Grade == checks.Note || !who.concerns(&f) || o.confirms(who, f.Place.Path) {
			continue
		}
		if n++; n <= mineOpen {
			what := f.Grade.String() + ": " + f.Message
			if where := o.report.Where(&f); where != f.Subject.Name && !strings.Contains(f.Message, f.Subject.Name) {
				what = f.Grade.String() + ": " + where + ": " + f.Message // the command does not say it either
			}
			lines = append(lines, line{shortened(what), "needlebook check " + inShell(cmp.Or(f.Subject.Name, f.Place.Path))})
		}
	}
	if n > mineOpen {
		lines[mineOpen-1] = line{fmt.Sprintf("%d more open findings", n-mineOpen+1), "needlebook check"}
	}
	return lines
}

// toBeSeen says how many records wait for a countersignature, of a chief or where nobody in particular asks.
func (o *opened) toBeSeen(who reader) []line {
	if who.id != "" && !slices.Contains(who.roles, "chief") {
		return nil
	}
	n := 0
	for range o.unseen("chief") {
		n++
	}
	if n == 0 {
		return nil
	}
	return []line{{logbook.Counted(n, "record waits for a countersignature by a chief",
		"records wait for a countersignature by a chief"), "needlebook countersign"}}
}

// inShell is a name as it is typed in a shell.
func inShell(name string) string {
	if strings.ContainsAny(name, " '&;()$`") {
		return `"` + name + `"`
	}
	return name
}

// dueSoon is what is due within a month, or past.
func (o *opened) dueSoon() (lines []line) {
	soon := o.plan().Soon(mineDays)
	for _, what := range soon[:min(len(soon), mineDue)] {
		lines = append(lines, line{shortened(what), "needlebook due"})
	}
	if len(soon) > mineDue {
		lines[mineDue-1].what = fmt.Sprintf("%d more are due within a month, or past", len(soon)-mineDue+1)
	}
	return lines
}

// inWork are the valves that came out and lie on the bench.
func (o *opened) inWork() []line {
	var names []string
	work := o.plan().InWork()
	for _, rec := range work {
		names = append(names, rec.Holder.Written)
	}
	if len(work) == 0 {
		return nil
	}
	return []line{{shortened(logbook.Counted(len(work), "valve is", "valves are") +
		" out of the engine, neither built up nor landed: " + few(names, 4)), "needlebook show " + inShell(work[0].Stem)}}
}

// refusals are the records that somebody refused to countersign, and why, for whoever did not refuse them.
func (o *opened) refusals(who reader) (lines []line) {
	for _, rec := range o.book.Overhauls {
		r := o.trail.Records[rec.Path]
		if r == nil || seenAsItIs(r, "chief") {
			continue
		}
		for _, c := range r.Countersignatures {
			if c.State == logbook.Refused && c.Person != who.id {
				lines = append(lines, line{shortened(rec.Stem + " was refused by " + c.Person + ": " + logbook.Dash(c.Remarks)),
					"needlebook show " + inShell(rec.Stem)})
			}
		}
	}
	return lines[:min(len(lines), mineRefused)]
}

// toConfirm are the deferrals that a reader approved and whose terms as they are have not that reader's signature.
func (o *opened) toConfirm(who reader) (lines []line) {
	for _, d := range o.book.Deferrals {
		if !o.confirms(who, d.Path) {
			continue
		}
		what := d.Called() + ", approved by you, is not signed by you"
		if o.trail.ConfirmedIn(d) != nil {
			what = d.Called() + " was changed after you signed it, and does not hold"
		}
		lines = append(lines, line{shortened(what), "needlebook sign " + inShell(d.Path)})
	}
	return lines
}

// confirms says that a file is a deferral whose terms wait for a reader's signature.
func (o *opened) confirms(who reader, path string) bool {
	return slices.ContainsFunc(o.book.Deferrals, func(d *logbook.Deferral) bool {
		return d.Path == path && o.trail.ToConfirm(d, who.id)
	})
}

// unlimited says which types of valve are judged by nothing.
func (o *opened) unlimited() []line {
	blank := o.book.WithoutLimits(o.report.Today)
	if len(blank) == 0 {
		return nil
	}
	return []line{{shortened("no limit is stated, and nothing is judged, of " + few(blank, 3)), "needlebook check limits"}}
}

// notSent says what is not signed, and what the other side has not been sent.
func (o *opened) notSent() (lines []line) {
	if open, err := joining.ReadOpen(o.dir); o.trail.UnderGit && err == nil {
		return []line{{shortened("two sides changed the same: " + few(open.Left(), 2)), "needlebook resolve"}}
	}
	if n := len(o.trail.WorkTree); n > 0 {
		var names []string
		for _, w := range o.trail.WorkTree {
			names = append(names, w.Path)
		}
		lines = append(lines,
			line{shortened(logbook.Counted(n, "file") + " not signed: " + few(names, 2)), "needlebook sign"})
	}
	far, err := remote.Find(o.dir, "")
	if err != nil || !o.trail.UnderGit {
		return lines // no other side
	}
	if n, known := o.since(far); known && n == len(o.trail.Commits) {
		lines = append(lines, line{far.Name + " has commits that are not here yet", "needlebook sync"})
	} else if known && n > 0 {
		lines = append(lines, line{logbook.Counted(n, "commit") + " not sent to " + far.Name, "needlebook sync"})
	} else if !known {
		lines = append(lines, line{"nothing was sent to " + far.Name + " yet", "needlebook sync"})
	}
	return lines
}

// since counts the commits that the other side was last known not to have.
func (o *opened) since(far *remote.Remote) (n int, known bool) {
	seen, err := far.Seen(o.dir)
	if err != nil || len(seen) == 0 {
		return 0, false
	}
	has := map[int]bool{}
	for i := range o.trail.Commits {
		has[i] = slices.ContainsFunc(seen, func(s remote.Sighting) bool { return s.Tip == o.trail.Commits[i].ID })
	}
	for i := len(o.trail.Commits) - 1; i >= 0; i-- {
		if !has[i] {
			n++
			continue
		}
		for _, p := range o.trail.Commits[i].Parents {
			has[p] = true
		}
	}
	return n, true
}

// cameIn says what others have written since the reader's own last commit.
func (o *opened) cameIn(who reader) []line {
	by, n := map[string]bool{}, 0
	for _, c := range slices.Backward(o.trail.Commits) {
		if c.Person == who.id {
			if n == 0 || who.id == "" {
				return nil
			}
			return []line{{fmt.Sprintf("%s by %s since yours of %s", logbook.Counted(n, "commit"),
				logbook.Counted(len(by), "other person", "other persons"), logbook.DayOf(c.Stated)),
				"needlebook check --since " + c.ID[:12]}}
		}
		n++
		by[c.Person] = true
	}
	return nil
}

// shortened is a text that fits a line of a terminal beside its command.
func shortened(text string) string {
	const most = 100
	if r := []rune(text); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return text
}
