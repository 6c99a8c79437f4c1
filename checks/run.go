package checks

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"unicode/utf8"

	"needlebook/checks/deciding"
	"needlebook/checks/judging"
	"needlebook/checks/recurring"
	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/fault"
)

// Report is what the checks say of a book.
type Report struct {
	Book      *logbook.Book // the book as it was judged: a limit that is asked about says so
	Findings  []Finding     // the gravest first, then the newest, then by place and check
	Judgement *judging.Judgement
	Today     logbook.Day
	Rounds    []logbook.Round
	Settings  logbook.Settings // the book's, with defaults filled in
	// what each overhaul leads to, beside what was decided, and whether the valve is ready; by file stem
	Decisions map[string]deciding.Outcome
	Spares    []deciding.Spare // the valves booked as ready, and whether each is; by holder
	// Stopped says that the context ended the run, and why: what the report holds is no answer then.
	Stopped error

	where parts // where every part is on the day of judgement
	told  *histories
	trail *logbook.Trail
	past  bool // a day was asked for: what came about after it does not count
}

// Options say how to run.
type Options struct {
	Trail *logbook.Trail // what the history shows; nil for a plain folder
	On    logbook.Day    // the day to judge from; 0 for the book's own last day
	Only  []*Check       // the checks to run; nil for all
	Last  []Finding      // of Look: what the last run over everything found; a limit that it asks about judges nothing
	// Context ends the run when it ends; nil never does.
	Context context.Context
}

// Run judges a book with every check of the list, on all processors: checks share nothing, and their findings are put
// in the list's order afterwards. A check that panics is reported by name, with what it could not look at, and the rest
// goes on.
func Run(b *logbook.Book, opt Options) *Report {
	checks := opt.Only
	if checks == nil {
		checks = All()
	}
	base := judgedCase(b, opt, checks)
	b = base.Book
	all := append(unread(b), yielded(slices.Concat(runAll(&base, checks)...))...)
	all = append(all, base.withheld(all)...)
	for o, err := range base.Judged.Failed() {
		all = append(all, failed(o.Opening, err))
	}
	report := &Report{Book: b, trail: base.Trail, Judgement: base.Judged, Today: base.Today, Rounds: base.Rounds,
		Settings: base.Settings}
	// run as a check: should it fail, the others stand
	proposals := &Check{Name: "proposals", Whole: func(c *Case) { report.Decisions, report.Spares = decisions(c, all) }}
	all = append(all, runOne(&base, proposals)...)
	report.where, report.past = partsOn(&base), opt.On != 0
	alone := map[subordinate]bool{}
	folding := &Check{Name: "one cause, one finding", Whole: func(c *Case) {
		report.Findings = sortFindings(b, told(b, base.folded(slices.Clone(report.Findings)), alone))
	}}
	stating := &Check{Name: "states", Whole: func(c *Case) {
		report.told = states(c, report.Findings, all)
		report.Findings = answersTold(b, report.told.misreadTold(report.Findings))
		report.holdBack()
	}}
	for again := true; again; again = report.letGo(alone) {
		report.Findings = sortFindings(b, slices.Clone(all))
		failed := runOne(&base, folding)
		report.Findings = append(report.Findings, slices.Concat(failed, runOne(&base, stating))...)
	}
	report.Stopped = budget.Stopped(base.ctx)
	return report
}

// judgedCase is what every check of a run is given.
func judgedCase(b *logbook.Book, opt Options, checks []*Check) Case {
	b, judged, missed := judging.Trusted(b)
	base := newCase(b, opt, judged)
	base.Missed = missed
	if slices.Contains(checks, limitLoosened) {
		base.loosened = loosenings(b, opt)
	}
	base.Recurring = fault.Shared(func() *recurring.Recurring { return recurring.Find(b, base.Rounds, judged) })
	base.Outcomes = fault.Shared(func() map[string]deciding.Outcome { return deciding.Propose(b, judged) })
	return base
}

// MayStop are the findings of grade stop as they are said, before any is told under another or ended, and what the
// checks that say them could not look at: every stop of [Run] is one of them, at a part of its price. The error says
// that the context ended it.
func MayStop(b *logbook.Book, opt Options) ([]Finding, error) {
	checks := slices.DeleteFunc(slices.Clone(All()), func(k *Check) bool { return k.Grade < Stop && k != limitLoosened })
	base := judgedCase(b, opt, checks)
	all := slices.Concat(runAll(&base, checks)...)
	all = append(all, base.withheld(all)...)
	all = slices.DeleteFunc(all, func(f Finding) bool { return f.Grade < Stop && f.Check != CheckFailed })
	return all, budget.Stopped(base.ctx)
}

// letGo notes the findings that are no longer open and under which others are told: those are open, and are to be told
// for themselves. It says whether there are any that were not noted before.
func (r *Report) letGo(alone map[subordinate]bool) (more bool) {
	for _, f := range r.Findings {
		is := subordinate{f.Check, f.Place}
		others := slices.ContainsFunc(f.Related, func(r Related) bool { return strings.HasPrefix(r.Words, follows) })
		if f.State != Open && f.State != Corrected && others && !alone[is] {
			alone[is], more = true, true
		}
	}
	return more
}

// yielded leaves out the findings of checks that yield, where another check speaks of the same value.
func yielded(all []Finding) []Finding {
	yields, said := map[string]bool{}, map[logbook.Place]bool{}
	for _, k := range All() {
		yields[k.Name] = k.Yields
	}
	for _, f := range all {
		if !yields[f.Check] && (f.origin == nil || !f.origin.Read) { // a comma in a figure says nothing of the figure
			said[f.Place] = true
			for _, r := range f.Related {
				said[r.Place] = true
			}
		}
	}
	return slices.DeleteFunc(all, func(f Finding) bool {
		rests := func(r Related) bool { return said[r.Place] }
		return yields[f.Check] && (said[f.Place] || slices.ContainsFunc(f.Related, rests))
	})
}

// placesOf are the places of some things; one without a place is left out.
func placesOf[T any](all []T, place func(T) logbook.Place) map[logbook.Place]bool {
	places := map[logbook.Place]bool{}
	for _, x := range all {
		if p := place(x); p.Line > 0 {
			places[p] = true
		}
	}
	return places
}

// newCase is what every check of a run is given, but for what is worked out from the verdicts.
func newCase(b *logbook.Book, opt Options, judged *judging.Judgement) Case {
	if opt.Trail == nil {
		opt.Trail = logbook.PlainFolder()
	}
	if opt.On == 0 {
		opt.On = b.Today()
	}
	if opt.Context == nil {
		opt.Context = context.Background()
	}
	unread := map[string]bool{}
	for _, p := range b.Problems {
		unread[p.Place.Path] = unread[p.Place.Path] || !p.Read && !p.Newer
	}
	c := Case{ctx: opt.Context, unread: unread, Book: b, Lives: b.Lives(), Trail: opt.Trail,
		Settings: b.Vessel.Settings.WithDefaults(), Today: opt.On, Rounds: b.Rounds(), Judged: judged, each: b.Overhauls,
		mistakes: &sync.Map{}, every: All(), racked: fault.Shared(func() map[*logbook.Overhaul]bool {
			return racked(b, opt.On)
		})}
	asking := c
	c.impossibleUsuals = fault.Shared(func() []impossibleUsual { return impossibleUsuals(&asking) })
	return c
}

// Alone says that the check looks at one overhaul, or at one slip of writing, at a time, so that [Look] runs it.
func (k *Check) Alone() bool { return k.Whole == nil }

// Look is what a run says of some overhauls alone, and of the writing of the whole book: the findings of the checks
// that look at one overhaul at a time. It serves an editor at each keystroke, at a small part of the price of [Run],
// which sees the rest.
func Look(b *logbook.Book, opt Options, records ...*logbook.Overhaul) []Finding {
	asked := placesOf(opt.Last, func(f Finding) logbook.Place {
		if f.Check == limitMissed.Name {
			return f.Place
		}
		return logbook.Place{}
	})
	if len(asked) > 0 {
		b = b.Without(asked)
	}
	base := newCase(b, opt, judging.OnDemand(b))
	base.each = records
	base.Outcomes = fault.Shared(func() map[string]deciding.Outcome {
		return deciding.Propose(b, base.Judged,
			records...)
	})
	base.Recurring = fault.Shared(func() *recurring.Recurring { return recurring.Find(b, base.Rounds, base.Judged) })
	once := map[Rests]bool{}
	for _, f := range opt.Last {
		once[f.Rests] = f.Rests.Words != "" && f.About.Record == ""
	}
	alone := slices.DeleteFunc(slices.Clone(All()), func(k *Check) bool { return !k.Alone() })
	found := slices.DeleteFunc(slices.Concat(runAll(&base, alone)...), func(f Finding) bool { return once[f.Rests] })
	return remembered(sortFindings(b, append(unread(b), yielded(found)...)), opt.Last)
}

// remembered gives findings the states that the last run found for them, and leaves out those that it told under
// another. What it knows nothing of is open.
func remembered(found, last []Finding) []Finding {
	type saying struct{ check, record, message string }
	was, under := map[saying]*Finding{}, map[string]bool{}
	for i := range last {
		f := &last[i]
		key := saying{f.Check, cmp.Or(f.About.Record, f.Place.Path), f.Message}
		if was[key] == nil || f.State == Open {
			was[key] = f
		}
		for _, r := range f.Related {
			if words, told := r.Follows(); told {
				under[r.Place.Path+" "+words] = true
			}
		}
	}
	kept := found[:0]
	for _, f := range found {
		w := was[saying{f.Check, cmp.Or(f.About.Record, f.Place.Path), f.Message}]
		switch {
		case w != nil:
			f.Subject, f.Since, f.State, f.Ended, f.Text, f.Held = w.Subject, w.Since, w.State, w.Ended, w.Text, w.Held
		case f.Grade < Stop && under[f.Place.Path+" "+f.Message]:
			continue
		}
		kept = append(kept, f)
	}
	return kept
}

// CheckFailed is the name under which a check that could not do its work is reported.
const CheckFailed = "check-failed"

// apiece is how many overhauls a processor takes at a time.
const apiece = 64

// runAll runs checks on all processors and gives the findings of each, in the order of the checks. Those that look at
// one overhaul at a time are led through the book together, record by record: a record is then at hand for all of them,
// instead of being fetched from memory by every one.
func runAll(base *Case, checks []*Check) [][]Finding {
	found := make([][]Finding, len(checks))
	pieces := make([][]stretch, (len(base.each)+apiece-1)/apiece)
	var next atomic.Int64
	var workers fault.Group
	for range runtime.GOMAXPROCS(0) {
		workers.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(checks)+len(pieces) && base.ctx.Err() == nil; i = int(next.Add(1)) - 1 {
				if i < len(checks) {
					found[i] = runOne(base, checks[i])
				} else {
					from := (i - len(checks)) * apiece
					pieces[i-len(checks)] = runEach(base, checks, base.each[from:min(from+apiece, len(base.each))])
				}
			}
		})
	}
	workers.Wait()
	if base.ctx.Err() != nil {
		return nil
	}
	for i := range checks {
		var first *Finding
		for _, piece := range pieces {
			found[i] = append(found[i], piece[i].findings...)
			if first == nil {
				first = piece[i].failed
			}
		}
		if first != nil {
			found[i] = append(found[i], *first)
		}
	}
	return found
}

// stretch is what a check said of some overhauls, and the first of them that it could not look at.
type stretch struct {
	findings []Finding
	failed   *Finding
}

// runEach leads the checks that look at one overhaul at a time through some of them.
func runEach(base *Case, checks []*Check, overhauls []*logbook.Overhaul) []stretch {
	c, all := *base, make([]stretch, len(checks))
	for _, o := range overhauls {
		for i, k := range checks {
			if k.Each == nil {
				continue
			}
			c.check, c.findings = k, all[i].findings
			err := k.run(func() { k.Each(&c, o) })
			if all[i].findings = c.findings; err != nil && all[i].failed == nil {
				f := failed(o.Opening, err)
				all[i].failed = &f
			}
		}
	}
	return all
}

// runOne runs what a check does once: its words for slips of writing, and its look at the whole.
func runOne(base *Case, k *Check) []Finding {
	c := *base
	c.check = k
	err := k.run(func() {
		if len(k.Slips) > 0 {
			reportSlips(&c)
		}
		if k.Whole != nil {
			k.Whole(&c)
		}
	})
	if err != nil {
		c.findings = append(c.findings, failed(logbook.Place{Path: "book.md", Line: 1, Column: 1}, err))
	}
	return c.findings
}

// run does some work of a check; the error says that the check could not do it.
func (k *Check) run(work func()) error {
	return fault.Catch("run the check "+k.Name, func() error { work(); return nil })
}

// failed is the finding for what this program could not do at a place of the book.
func failed(at logbook.Place, err error) Finding {
	return Finding{Place: at, Check: CheckFailed, Grade: Action, Message: err.Error(),
		Next: "report this, with the book if you may; what was not looked at is not known to be right"}
}

// unread are the files that this program failed to read.
func unread(b *logbook.Book) (all []Finding) {
	for _, p := range b.Problems {
		if p.Slip == logbook.SlipFault {
			all = append(all, failed(p.Place, errors.New(p.Found)))
		}
	}
	return all
}

// Failed are the findings that say what this program could not do, in the order of all findings.
func (r *Report) Failed() (all []Finding) {
	for _, f := range r.Findings {
		if f.Check == CheckFailed {
			all = append(all, f)
		}
	}
	return all
}

// reportSlips puts the reading problems that belong to the check into words.
func reportSlips(c *Case) {
	for _, p := range c.Book.Problems {
		for _, s := range c.check.Slips {
			if s == p.Slip {
				c.Report(slipFinding(c, p))
			}
		}
	}
}

// slipFinding puts one slip into words. What was read all the same is at most advice: only what is not known now needs
// an answer.
func slipFinding(c *Case, p logbook.Problem) Finding {
	f := Finding{Place: p.Place, origin: &p, Message: atKey(p) + ": expected " + p.Expected, Grade: c.check.Grade,
		About: aboutPath(c.Book, p.Place.Path)}
	if what, list, ok := strings.Cut(p.Expected, ": "); ok && utf8.RuneCountInString(f.Message) > longest {
		if what == "one of" {
			what += " these"
		}
		f.Message, f.Evidence = atKey(p)+": expected "+what, []string{list}
	}
	f.Facts = []string{p.Key, p.Found}
	f.offer(p.Proposal(), "")
	if p.Read {
		f.Grade = min(f.Grade, Advice)
	}
	if p.Related != (logbook.Place{}) {
		f.Related = []Related{{p.Related, "first mention"}}
	}
	switch {
	case p.Newer:
		f.Message, f.Grade = cmp.Or(p.Key, p.Found)+": written by a newer needlebook, not read by this one", Note
		f.Next = "leave it as it is, and get " + p.Expected
	case c.check.Words != nil:
		c.check.Words(p, &f)
	}
	return f
}

// longest is how many characters a message has at most; a list that is longer has a line of its own.
const longest = 100

// atKey is where a slip stands and what was found there: `measured.lift "0,72"`.
func atKey(p logbook.Problem) string {
	found := []rune(p.Found)
	if len(found) > 60 {
		found = append(found[:59], '…')
	}
	return strings.TrimSpace(fmt.Sprintf("%s %q", p.Key, string(found)))
}

// aboutPath is what a finding on a file concerns, where the file is an overhaul.
func aboutPath(b *logbook.Book, path string) About {
	o := b.Overhaul(strings.TrimSuffix(path[strings.LastIndexByte(path, '/')+1:], ".md"))
	if o == nil {
		return About{}
	}
	for i := 0; o.Path != path; i++ { // two files bear one name
		if i == len(b.Overhauls) {
			return About{}
		}
		o = b.Overhauls[i]
	}
	return about(o)
}
