package main

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/checks"
	"needlebook/checks/implied"
	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

func (p *program) show() *cobra.Command {
	var on, at, proof, format string
	c := &cobra.Command{
		Use:   "show WHAT",
		Short: "Show one thing of the book by its name: a position, a serial, a round, a person",
		Long: `Shows one thing of the book in the terminal: a position (ME1-3), a holder or
nozzle by its serial, an engine (ME1), a round (ME1 2024-06-11), one overhaul
by its file name without .md, an instrument, a deferral (D-07), a decision, a
person, a bunker or a limits file. Upper and lower case and dashes do not
count.`,
		Example: `  needlebook show ME1-3
  needlebook show ME1-3 --on 2022-08-15
  needlebook show H-109
  needlebook show ME1 2024-06-11
  needlebook show D-07
  needlebook show 2023-06-25-h-102`,
		Args:              cobra.MinimumNArgs(1),
		ValidArgsFunction: p.complete(showKinds...),
		RunE: func(cmd *cobra.Command, args []string) error {
			if format != "text" && format != "json" {
				return use("--format %s: the formats are text and json", format)
			}
			o, err := p.openBook(at, on, proof)
			if err != nil {
				return err
			}
			defer o.close()
			if format == "json" {
				return p.showAsJSON(o, strings.Join(args, " "))
			}
			return p.showOne(o, strings.Join(args, " "))
		},
	}
	c.Flags().StringVar(&on, "on", "", "as it was on this day (default: the last counter reading)")
	_ = c.RegisterFlagCompletionFunc("on", p.completeFrom(days))
	c.Flags().StringVar(&at, "at", "", "read this commit instead of the folder")
	c.Flags().StringVar(&format, "format", "text", "text or json")
	proofFlag(c, &proof)
	receiptsFlag(c, &p.receipts)
	return c
}

// showKinds are the kinds of things that can be shown.
var showKinds = []logbook.ThingKind{logbook.ThingPosition, logbook.ThingEngine, logbook.ThingHolder,
	logbook.ThingNozzle,
	logbook.ThingRecord, logbook.ThingRound, logbook.ThingInstrument, logbook.ThingDeferral, logbook.ThingDecision,
	logbook.ThingPerson, logbook.ThingBunker, logbook.ThingLimits}

// showOne shows what bears a name: a holder and a nozzle of one number both.
func (p *program) showOne(o *opened, what string) error {
	found, err := p.things(o, what, nil, showKinds...)
	if err != nil {
		return err
	}
	for _, t := range found {
		if err := p.showThing(o, t); err != nil {
			return err
		}
	}
	return nil
}

func (p *program) showThing(o *opened, t logbook.Thing) error {
	b, lives := o.book, o.book.Lives()
	switch t.Kind {
	case logbook.ThingPosition:
		return p.showPosition(o, t.Position)
	case logbook.ThingEngine:
		return p.showEngine(o, b.Engine(t.Name))
	case logbook.ThingHolder:
		p.showPart(o, "holder", t.Name, lives.OfHolder(t.Name))
	case logbook.ThingNozzle:
		p.showPart(o, "nozzle", t.Name, lives.OfNozzle(t.Name))
	case logbook.ThingInstrument:
		return p.showInstrument(o, t.Name, b.Instruments[t.Name])
	case logbook.ThingRecord:
		return p.showRecord(o, b.Overhaul(t.Name))
	case logbook.ThingRound:
		for _, r := range o.report.Rounds {
			if r.Name == t.Name {
				return p.showRound(o, r)
			}
		}
	case logbook.ThingPerson:
		return p.showPerson(o, t)
	case logbook.ThingBunker:
		return p.showBunker(o, t)
	default: // a deferral, a decision, a limits file: what is written is what there is to show
		return p.showFile(o, t)
	}
	return nil
}

func hoursText(h float64, known bool) string {
	if !known {
		return "not known"
	}
	return fmt.Sprintf("%.0f h", h)
}

func (p *program) showPosition(o *opened, pos logbook.Position) error {
	lives, day := o.book.Lives(), o.report.Today
	fmt.Fprintf(p.out, "%s on %s\n", pos, day)
	if s := lives.At(pos, day); s == nil {
		fmt.Fprintln(p.out, "  no valve, by the fittings and removals of this book")
	} else {
		hours, known := lives.HoursOn(s, day)
		since := "fitted " + s.From.String()
		if s.Opened == nil {
			since = "there when the book began, " + s.From.String()
		}
		fmt.Fprintf(p.out, "  %s / %s, %s, %s since\n", s.Holder, s.Nozzle, since, hoursText(hours, known))
		switch last, ok := lives.LeftBy(s.Holder, s.From); {
		case ok && last.Overhaul != nil:
			set := last.Overhaul
			left := set.AsLeft
			by := dash(set.By.Written) + " with gauge " + dash(left.Gauge.Written)
			if o.book.LeftBy(set) != "" {
				by = set.Received.From.Written + ", " + set.Received.By()
			}
			fmt.Fprintf(p.out, "  set %s by %s: opening %s, leak-down %s\n", dash(left.Date.Written), by,
				dash(left.Opening.Median().String()), dash(left.LeakDown.Time.String()))
			if i := o.book.Instruments[left.Gauge.Written]; i != nil {
				if w, ok := judging.WrongOn(i, left.Date.Day); ok {
					fmt.Fprintf(p.out, "  %s was found to read wrong from %s to %s: %s\n", left.Gauge, w.From, w.To, w.Why)
				}
			}
		case ok:
			fmt.Fprintf(p.out, "  set before the book began: opening %s\n", last.Opening)
		}
	}
	p.headOf(o, pos, day)
	fmt.Fprintln(p.out, "\nvalves that sat here, newest first")
	p.periods(o, reversed(lives.InPosition(pos)), false)
	p.about(o, func(f checks.Finding) bool { return f.About.Position == pos })
	return nil
}

// headOf says which cylinder head is on a position, where one was exchanged, and what it came in place of.
func (p *program) headOf(o *opened, pos logbook.Position, day logbook.Day) {
	var before, now *logbook.HeadStay
	stays := o.book.HeadStays(day)
	for i := range stays {
		if stays[i].Position == pos {
			before, now = now, &stays[i]
		}
	}
	if now == nil || before == nil {
		return
	}
	fmt.Fprintf(p.out, "  cylinder head %s since %s, in place of %s (%s)\n", cmp.Or(now.Head, "of no known number"),
		now.From, cmp.Or(before.Head, "one of no known number"), now.Place)
}

func dash(s string) string { return logbook.Dash(s) }

func reversed(s []*logbook.ServicePeriod) []*logbook.ServicePeriod {
	out := make([]*logbook.ServicePeriod, len(s))
	for i, x := range s {
		out[len(s)-1-i] = x
	}
	return out
}

// begun counts the service lives that had begun by the day asked for.
func (o *opened) begun(periods []*logbook.ServicePeriod) (n int) {
	for _, s := range periods {
		if !o.later(s.From) {
			n++
		}
	}
	return n
}

func (p *program) periods(o *opened, periods []*logbook.ServicePeriod, where bool) {
	w := p.headed()
	if where {
		fmt.Fprintln(w, "  where\tholder\tnozzle\tfrom\tto\thours\tnozzle out\twhy\trecord")
	} else {
		fmt.Fprintln(w, "  holder\tnozzle\tfrom\tto\thours\tas found\tnozzle\twhy\trecord")
	}
	lives := o.book.Lives()
	for _, s := range periods {
		if o.later(s.From) {
			continue
		}
		to, why, decided, found, record := "in place", "", "", "", ""
		hours := hoursText(s.Hours, s.HoursKnown)
		gone := s.To != 0 && !o.later(s.To)
		if gone {
			to = s.To.String()
		} else if o.on != 0 {
			hours = hoursText(lives.HoursOn(s, o.on))
		}
		if c := s.Closed; c != nil && gone {
			decided, why, record = c.Decided.Nozzle.Written, c.Decided.Why.Written, c.Stem
			found = c.AsFound.Opening.Median().String()
		}
		if where {
			fmt.Fprintf(w, "  %s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", s.Position, s.Holder, s.Nozzle, s.From, to, hours, decided,
				why, record)
		} else {
			fmt.Fprintf(w, "  %s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", s.Holder, s.Nozzle, s.From, to, hours, found, decided, why,
				record)
		}
	}
	w.Flush()
}

// about lists the findings that concern what is shown, notes too: who asks for one thing wants all of it.
func (p *program) about(o *opened, asked func(checks.Finding) bool) {
	var fs []checks.Finding
	for _, f := range o.report.Findings {
		if rec := o.book.Overhaul(f.About.Record); rec != nil && o.later(rec.Day()) {
			continue
		}
		if asked(f) {
			fs = append(fs, f)
		}
	}
	if len(fs) == 0 {
		fmt.Fprintln(p.out, "\nno finding")
		return
	}
	sort.SliceStable(fs, func(i, j int) bool {
		if a, b := o.report.IsOpen(&fs[i]), o.report.IsOpen(&fs[j]); a != b {
			return a
		}
		return fs[i].Grade > fs[j].Grade
	})
	fmt.Fprintln(p.out, "\nfindings")
	for _, f := range fs {
		p.out.graded("  ", f.Grade, fmt.Sprintf(": %s [%s]\n      %s\n      %s", f.Message, f.Check, o.report.Standing(&f),
			f.Place))
	}
}

func (p *program) showEngine(o *opened, e *logbook.Engine) error {
	lives, day := o.book.Lives(), o.report.Today
	total, known := o.book.TotalOn(e.ID.Written, day)
	name, from := strings.TrimSpace(e.Called()+" "+e.Name.Written), "which end cylinder 1 is at is not stated"
	if e.From.Stated() {
		from = "cylinders counted from the " + e.From.Written
	}
	fmt.Fprintf(p.out, "%s, type %s, %s in all on %s; %s\n", name, cmp.Or(e.Type.Written, "not stated"),
		hoursText(total, known), day, from)
	w := p.headed()
	fmt.Fprintln(w, "  cylinder\tholder\tnozzle\tfitted\thours since\topening as left\tgravest open finding")
	for _, c := range e.Cylinders.Each {
		pos := logbook.Position{Engine: e.ID.Written, Cylinder: c.Written}
		s := lives.At(pos, day)
		if s == nil {
			fmt.Fprintf(w, "  %s\tnone\t\t\t\t\t\n", c)
			continue
		}
		hours, known := lives.HoursOn(s, day)
		left, worst := "–", "–"
		if last, ok := lives.LeftBy(s.Holder, s.From); ok {
			left = dash(last.Opening.String())
		}
		if s.Opened != nil {
			worst = o.worst(s.Opened)
		}
		fmt.Fprintf(w, "  %s\t%s\t%s\t%s\t%s\t%s\t%s\n", c, s.Holder, s.Nozzle, s.From, hoursText(hours, known), left, worst)
	}
	return w.Flush()
}

// worst is the gravest open finding on one record, in words.
func (o *opened) worst(rec *logbook.Overhaul) string {
	var worst *checks.Finding
	for _, f := range o.report.Open() {
		if f.About.Record == rec.Stem && f.Grade >= checks.Advice && (worst == nil || f.Grade > worst.Grade) {
			worst = &f
		}
	}
	if worst == nil {
		return "–"
	}
	return worst.Grade.String() + ": " + worst.Check
}

func (p *program) showPart(o *opened, kind, serial string, periods []*logbook.ServicePeriod) {
	lives, day := o.book.Lives(), o.report.Today
	hours, known := lives.HolderHours(serial, day)
	if kind == "nozzle" {
		hours, known = lives.NozzleHours(serial, day)
	}
	fmt.Fprintf(p.out, "%s %s: %s by %s, %s in this book\n", kind, serial, hoursSaid(hours, known), day,
		logbook.Counted(o.begun(periods), "service life", "service lives"))
	if part := o.book.Part(kind, serial); part != nil {
		for _, end := range []struct {
			word string
			end  logbook.PartEnd
		}{{"condemned", part.Condemned}, {"scrapped", part.Scrapped}} {
			if end.end.Stated() && !o.later(end.end.Date.Day) {
				fmt.Fprintf(p.out, "  %s %s: %s\n", end.word, end.end.Date, end.end.Why)
			}
		}
	}
	if e, out := o.book.EndBy(kind, serial, day); out {
		fmt.Fprintf(p.out, "  ready: no, because the %s was %s (%s)\n", kind, e, e.Place)
	}
	for _, a := range o.book.Landed(day) {
		if kind == "holder" && a.Holder.Written == serial && a.Waits() {
			fmt.Fprintf(p.out, "  landed %s to %s, delivery note %s, promised back %s\n", a.Since, dash(a.Landed.To.Written),
				dash(a.Landed.Note.Written), dash(a.Landed.Promised.Written))
		}
	}
	for _, s := range o.report.Spares {
		if kind == "holder" && s.Holder == serial || kind == "nozzle" && s.Nozzle == serial {
			fmt.Fprintf(p.out, "  ready: %s\n", s.State)
		}
	}
	p.periods(o, periods, true)
	p.about(o, func(f checks.Finding) bool {
		return kind == "holder" && f.About.Holder == serial || kind == "nozzle" && f.About.Nozzle == serial
	})
}

func (p *program) showInstrument(o *opened, id string, i *logbook.Instrument) error {
	fmt.Fprintf(p.out, "%s, %s, range %s, division %s, class %s, calibrated %s until %s\n", id,
		cmp.Or(i.Kind.Written, "kind not stated"), dash(i.Range.String()), dash(i.Division.Written), dash(i.Class.Written),
		dash(i.Calibrated.Written), dash(i.Until.Written))
	for _, c := range i.Comparisons {
		if o.later(c.Date.Day) {
			continue
		}
		fmt.Fprintf(p.out, "  compared %s with %s by %s: true %s, shows %s\n", c.Date, c.Against, c.By, c.True, c.Shows)
	}
	for _, w := range i.FoundWrong {
		fmt.Fprintf(p.out, "  found wrong %s to %s, factor %s: %s\n", w.From, w.To, dash(w.Factor.Written), w.Why)
	}
	w := p.headed()
	head := false
	for _, rec := range o.book.Overhauls {
		for _, t := range []struct {
			word string
			test logbook.Test
		}{{"as found", rec.AsFound}, {"as left", rec.AsLeft}} {
			if t.test.Gauge.Written != id {
				continue
			}
			wrong, ok := judging.WrongOn(i, t.test.Date.Day)
			if !ok {
				continue
			}
			if !head {
				fmt.Fprintln(w, "  record\ttest\tshown\tprobably true")
				head = true
			}
			shown := t.test.Opening.Median()
			true_, known := judging.TrueValue(wrong, shown.Quantity)
			text := "not known"
			if known {
				text = true_.String()
			}
			fmt.Fprintf(w, "  %s\t%s\t%s\t%s\n", rec.Stem, t.word, shown, text)
		}
	}
	w.Flush()
	p.about(o, func(f checks.Finding) bool { return f.About.Instrument == id })
	return nil
}

func (p *program) showRound(o *opened, r logbook.Round) error {
	fmt.Fprintf(p.out, "round %s: %s\n", r.Name, logbook.Counted(len(r.Overhauls), "valve"))
	if job := r.Job(); job != "" {
		fmt.Fprintln(p.out, job)
	}
	w := p.headed()
	fmt.Fprintln(w, "  cylinder\tholder\tnozzle\thours\tas found\tleak-down\tseat\tspray\tlift\tnozzle\tas "+
		"left\tgravest finding")
	for _, rec := range r.Overhauls {
		hours := "not known"
		if s := o.book.Lives().ClosedBy(rec); s != nil {
			hours = hoursText(s.Hours, s.HoursKnown)
		}
		j := o.report.Judgement
		fmt.Fprintf(w, "  %s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", rec.Removed.Cylinder, rec.Holder,
			rec.Nozzle.Found, hours,
			dash(rec.AsFound.Opening.Median().String()), dash(rec.AsFound.LeakDown.Time.String()),
			dash(rec.AsFound.Seat.State.Written),
			dash(j.Find(rec, keys.AsFoundSpray).Written), dash(j.LiftOf(rec).Shown()),
			dash(rec.Decided.Nozzle.Written),
			dash(rec.AsLeft.Opening.Median().String()), o.worst(rec))
	}
	w.Flush()
	p.about(o, func(f checks.Finding) bool { return f.About.Round == r.Name })
	return nil
}

func (p *program) showRecord(o *opened, rec *logbook.Overhaul) error {
	fmt.Fprintf(p.out, "%s\n", rec.Path)
	fmt.Fprintf(p.out, "%s, %s, by %s\n", logbook.Called("holder", rec.Holder.Written),
		logbook.Called("nozzle", cmp.Or(rec.Nozzle.Found.Written, rec.Nozzle.Left.Written)),
		cmp.Or(rec.By.Written, "nobody named"))
	if r := &rec.Received; r.Stated() {
		fmt.Fprintf(p.out, "received %s from %s, as left %s\n", dash(r.Date.Written), dash(r.From.Written), r.By())
	}
	w := p.table()
	sources := sourceNotes{}
	var whys []string // below the table: a line of its own would break the columns
	for _, v := range o.report.Judgement.Of(rec) {
		limit := v.LimitText
		if limit != "" {
			limit += " " + sources.mark(v)
		}
		fmt.Fprintf(w, "  %s\t%s\t%s\t%s\n", v.Name, dash(v.Written), v.Shows(), limit)
		if v.Why != "" {
			whys = append(whys, v.Name+": "+v.Why)
		}
	}
	w.Flush()
	for i, text := range sources.texts {
		fmt.Fprintf(p.out, "  (%d) %s\n", i+1, text)
	}
	for _, why := range whys {
		fmt.Fprintf(p.out, "  %s\n", why)
	}
	p.implied(o, rec)
	p.proposed(o.report.Decisions[rec.Stem], true)
	if t := o.trail.Records[rec.Path]; t != nil {
		c := o.trail.At(t.Now().Commit)
		standing := o.trail.Standing(rec.Path)
		fmt.Fprintf(p.out, "%s\n", standing)
		if len(standing.Keys) > 0 {
			fmt.Fprintf(p.out, "  keys let in: %s\n", strings.Join(standing.Keys, ", "))
		}
		fmt.Fprintf(p.out, "  last changed by commit %.10s, stated %s\n", c.ID, c.When("2006-01-02 15:04Z"))
		for _, s := range t.Countersignatures {
			for _, ch := range s.Changed {
				fmt.Fprintf(p.out, "  since %s saw it, %s (commit %.10s)\n", s.Person, became(ch.Path, ch.Old, ch.New),
					o.trail.At(ch.Commit).ID)
			}
		}
	} else {
		fmt.Fprintln(p.out, o.trail.Headline)
	}
	p.about(o, func(f checks.Finding) bool { return f.About.Record == rec.Stem })
	fmt.Fprintln(p.out, deferralLine)
	return nil
}

// implied prints what the figures of a record imply, and what the book does not state where something cannot be worked
// out.
func (p *program) implied(o *opened, rec *logbook.Overhaul) {
	lines := implied.Of(o.book, rec, o.report.Judgement)
	if len(lines) == 0 {
		return
	}
	fmt.Fprintln(p.out, "implied by the figures, judged by nobody:")
	w := p.table()
	var cannot []string // each reason once, behind the lines that share it
	of := map[string]string{}
	for _, l := range lines {
		switch {
		case l.Value != "":
			fmt.Fprintf(w, "  %s\t%s\n", l.Name, l.Value)
		case of[l.Cannot] == "":
			cannot, of[l.Cannot] = append(cannot, l.Cannot), l.Name
		default:
			of[l.Cannot] += "; " + l.Name
		}
	}
	w.Flush()
	for _, why := range cannot {
		fmt.Fprintf(p.out, "  not known: %s: %s\n", of[why], why)
	}
}

// sourceNotes numbers the sources of the limits of one record, in the order they are met.
type sourceNotes struct{ texts []string }

func (n *sourceNotes) mark(v judging.Verdict) string {
	text := v.Source + ", in force from " + v.Revision.String()
	i := slices.Index(n.texts, text)
	if i < 0 {
		i = len(n.texts)
		n.texts = append(n.texts, text)
	}
	return fmt.Sprintf("(%d)", i+1)
}
