package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"iter"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

// seeing is a verb by which somebody says that he saw a record.
type seeing struct {
	verb, folder, role string
	word               string
	remarks, reason    string
	key                string
	yes                bool
}

func (p *program) countersign() *cobra.Command {
	s := &seeing{verb: "countersign", folder: "countersigned", role: "chief"}
	c := &cobra.Command{
		Use:   "countersign [WHAT…]",
		Short: "Say as chief engineer that you saw records as they are",
		Long: `Shows what is being countersigned: verdicts out of limits, open findings,
whether the valve is ready, and what is different since the last
countersignature. Then, after your yes, it writes countersigned/RECORD.NAME.md
for each, which binds the SHA-256 of exactly that text and of the pictures and
logs it names, and commits it with your signature.

WHAT is a record or a round; of a position, a holder or a nozzle it is the
newest record. Without a name it lists what waits for a countersignature,
newest first, each with the command to type; nothing is written.

What is not committed cannot be countersigned, nor what you wrote yourself. A
finding of grade stop needs a written reason.`,
		Example: `  needlebook countersign
  needlebook countersign 2024-06-11-h-119
  needlebook countersign "ME1 2024-06-11" --yes
  needlebook countersign 2024-06-11-h-119 --reason "cracked nozzle set aside, bench photo seen"
  needlebook countersign 2024-06-11-h-119 --word remarks --remarks "repeat leak-down on the other gauge"`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return p.waiting(s)
			}
			return p.see(s, args)
		},
	}
	s.flags(c)
	return c
}

func (p *program) review() *cobra.Command {
	s := &seeing{verb: "review", folder: "reviews", role: "superintendent"}
	c := &cobra.Command{
		Use:   "review [WHAT…]",
		Short: "Say as superintendent that you saw records as they are",
		Long: `As countersign, for the superintendent: the files are under reviews/. A record
that every chief aboard took part in is closed by such a review.`,
		Example: `  needlebook review "ME2 2024-04-02"
  needlebook review 2024-04-02-h-115 --word remarks --remarks "send the nozzle ashore"`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return p.waiting(s)
			}
			return p.see(s, args)
		},
	}
	s.flags(c)
	return c
}

func (s *seeing) flags(c *cobra.Command) {
	c.Flags().StringVar(&s.word, "word", "as seen", "as seen, remarks or refused")
	c.Flags().StringVar(&s.remarks, "remarks", "", "remarks, for the word remarks or refused")
	c.Flags().StringVar(&s.reason, "reason", "", "why it is signed over a finding of grade stop")
	c.Flags().BoolVarP(&s.yes, "yes", "y", false, "do not ask")
	keyFlag(c, &s.key)
}

func (p *program) see(s *seeing, args []string) error {
	if s.word != "as seen" && s.word != "remarks" && s.word != "refused" {
		return use("--word %q: as seen, remarks or refused", s.word)
	}
	if s.word != "as seen" && strings.TrimSpace(s.remarks) == "" {
		return use("--word %s: say why with --remarks", s.word)
	}
	if strings.ContainsAny(s.reason+s.remarks, "\r\x00") || strings.Contains(s.reason, "\n") {
		return use("a reason is one line of plain words")
	}
	o, err := p.openToCommit()
	if err != nil {
		return err
	}
	defer o.close()
	h, err := p.ownSigner(o.dir, o.trail, s.key, o.crewName)
	if err != nil {
		return err
	}
	defer h.key.Close()
	if h.line.Pending {
		return use("your key is pending: it signs, and %s needs one that a superintendent confirmed", s.verb)
	}
	if !slices.Contains(h.line.Roles, s.role) {
		return use("%s is for a %s, and %s is %s", s.verb, s.role, h.line.Principal, strings.Join(h.line.Roles, " and "))
	}
	records, err := p.recordsNamed(o, args, s, h.line.ID)
	if err != nil {
		return err
	}
	tip, err := trace.FS(o.dir, o.trail.Head)
	if err != nil {
		return err
	}
	defer tip.Close()
	var changes []exchange.Change
	stops := 0
	for _, rec := range records {
		if err := o.maySee(rec, h.line.ID); err != nil {
			return err
		}
		text, err := tip.ReadFile(rec.Path)
		if err != nil {
			return err
		}
		stops += p.shown(o, rec)
		evidence, err := evidenceOf(tip, text)
		if err != nil {
			return err
		}
		c := exchange.Countersigning(s.folder, h.line.ID, rec.Path, text, s.word, s.remarks, evidence...)
		if s.reason != "" {
			c.Text = bytes.Replace(c.Text, []byte("\n---\n"), []byte("\nwhy: "+strconv.Quote(s.reason)+"\n---\n"), 1)
		}
		if old, err := tip.ReadFile(c.Path); err == nil && bytes.Equal(old, c.Text) {
			fmt.Fprintf(p.out, "  %s holds exactly this already\n", c.Path)
			continue
		}
		changes = append(changes, c)
	}
	if stops > 0 && strings.TrimSpace(s.reason) == "" && s.word != "refused" {
		open := "1 finding of grade stop is open"
		if stops > 1 {
			open = logbook.Counted(stops, "finding of grade stop is open", "findings of grade stop are open")
		}
		return use("%s: put it right, or give the reason with --reason \"…\", or refuse with --word refused", open)
	}
	if len(changes) == 0 {
		return use("nothing to %s: you saw all of it as it stands", s.verb)
	}
	if !p.agreed(fmt.Sprintf("%s %d of %s as %s: %s?", s.verb, len(changes), logbook.Counted(len(records), "record"),
		h.line.Principal,
		s.word), s.yes) {
		return nil
	}
	message := fmt.Sprintf("%s: %s, %s", s.verb, strings.Join(args, ", "), s.word)
	return p.commit(h, message, changes)
}

// evidenceOf are the pictures and logs of a commit that the text of a record names; one that is not committed was not
// seen.
func evidenceOf(tip *trace.Tree, text []byte) (all []exchange.Evidence, err error) {
	for _, name := range logbook.EvidenceIn(text) {
		b, err := tip.ReadFile(name)
		if errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrInvalid) {
			continue
		} else if err != nil {
			return nil, err
		}
		all = append(all, exchange.Evidence{Path: name, Bytes: b})
	}
	return all, nil
}

// waiting lists the overhauls that nobody of the role has seen as they stand, the newest first, round by round.
func (p *program) waiting(s *seeing) error {
	o, err := p.openBook("", "", provenBy())
	if err != nil {
		return err
	}
	defer o.close()
	if !o.trail.UnderGit {
		return use("nothing can wait to be seen: %s", o.trail.Headline)
	}
	n, unseen := 0, map[*logbook.Overhaul]bool{}
	for rec := range o.unseen(s.role) {
		n++
		unseen[rec] = true
		fmt.Fprintf(p.out, "%s  %s\n    needlebook %s %s\n", rec.Stem, o.trail.Standing(rec.Path), s.verb, rec.Stem)
	}
	for _, r := range slices.Backward(o.book.Rounds()) {
		waits := 0
		for _, rec := range r.Overhauls {
			if unseen[rec] {
				waits++
			}
		}
		if waits > 1 {
			fmt.Fprintf(p.out, "%d of %s in one look, and what went in with them:\n    needlebook %s %q\n", waits, r.Name,
				s.verb, r.Name)
		}
	}
	fmt.Fprintf(p.out, "%s\n", logbook.Counted(n, "record waits to be seen by a "+s.role,
		"records wait to be seen by a "+s.role))
	return nil
}

// unseen are the committed overhauls that nobody of a role has seen as they stand, the newest first.
func (o *opened) unseen(role string) iter.Seq[*logbook.Overhaul] {
	uncommitted := map[string]bool{}
	for _, w := range o.trail.WorkTree {
		uncommitted[w.Path] = true
	}
	return func(yield func(*logbook.Overhaul) bool) {
		for _, rec := range slices.Backward(o.book.Overhauls) {
			r := o.trail.Records[rec.Path]
			if r != nil && !uncommitted[rec.Path] && !seenAsItIs(r, role) && !yield(rec) {
				return
			}
		}
	}
}

// seenAsItIs says that somebody of the role has seen the record as it stands.
func seenAsItIs(r *logbook.RecordTrail, role string) bool {
	return slices.ContainsFunc(r.Countersignatures, func(c logbook.Countersignature) bool {
		return c.Role == role && c.State == logbook.Countersigned && len(c.Added) == 0
	})
}

// seenKinds are the kinds of things by which records are named to be seen.
var seenKinds = []logbook.ThingKind{logbook.ThingRecord, logbook.ThingRound, logbook.ThingPosition, logbook.ThingHolder,
	logbook.ThingNozzle, logbook.ThingFolder}

// recordsNamed are the overhauls that the arguments mean, in the order of their paths.
func (p *program) recordsNamed(o *opened, args []string, s *seeing, signer string) ([]*logbook.Overhaul, error) {
	meant, err := p.each(o, args, nil, seenKinds...)
	if err != nil {
		return nil, err
	}
	var records []*logbook.Overhaul
	for _, t := range meant {
		of := o.newest(t)
		if t.Kind == logbook.ThingRound {
			of = slices.Concat(of, p.fittedUnseen(o, t, s, signer))
		}
		if len(of) == 0 {
			return nil, use("%s has no overhaul; only overhauls are countersigned", t)
		}
		for _, rec := range of {
			if !slices.Contains(records, rec) {
				records = append(records, rec)
			}
		}
	}
	slices.SortFunc(records, func(a, b *logbook.Overhaul) int { return strings.Compare(a.Path, b.Path) })
	return records, nil
}

// fittedUnseen are the records of the valves that went in with a round and that nobody of the role has seen since.
// Those that the signer cannot see, they wrote them or they are not committed, are told and left to somebody else.
func (p *program) fittedUnseen(o *opened, t logbook.Thing, s *seeing, signer string) (all []*logbook.Overhaul) {
	for _, r := range o.book.Rounds() {
		if r.Name != t.Name {
			continue
		}
		for _, rec := range o.book.FittedIn(r) {
			if trail := o.trail.Records[rec.Path]; trail != nil && seenAsItIs(trail, s.role) {
				continue
			}
			if err := o.maySee(rec, signer); err != nil {
				fmt.Fprintf(p.err, "left out: %v\n", err)
				continue
			}
			all = append(all, rec)
		}
	}
	return all
}

// maySee refuses what is not committed as it stands, and what the hand wrote himself.
func (o *opened) maySee(rec *logbook.Overhaul, signer string) error {
	for _, w := range o.trail.WorkTree {
		if w.Path == rec.Path {
			return use("%s is %s: what is countersigned is a committed text; whoever wrote it signs it first with "+
				"needlebook sign", rec.Path, map[string]string{
				"changed": "changed since it was committed", "not committed": "not committed",
				"missing": "gone from the folder"}[w.What])
		}
	}
	r := o.trail.Records[rec.Path]
	if r == nil {
		return use("%s is not committed: whoever wrote it signs it first with needlebook sign", rec.Path)
	}
	for _, v := range r.Versions {
		c := o.trail.At(v.Commit)
		adopter, _, _ := strings.Cut(c.AdoptedBy, "@")
		if c.Person != "" && trace.SamePerson(c.Person, signer) || adopter != "" && trace.SamePerson(adopter, signer) {
			return use("%s holds your own work, see commit %.12s: another person has to see it", rec.Path, c.ID)
		}
	}
	return nil
}

// shown prints what is being countersigned and returns the number of open findings of grade stop.
func (p *program) shown(o *opened, rec *logbook.Overhaul) (stops int) {
	r := o.trail.Records[rec.Path]
	standing := o.trail.Standing(rec.Path)
	fmt.Fprintf(p.out, "%s\n  %s; signed in parts by %s\n", rec.Path, standing, dash(strings.Join(r.Signers, ", ")))
	if len(standing.Keys) > 0 {
		fmt.Fprintf(p.out, "  keys let in: %s\n", strings.Join(standing.Keys, ", "))
	}
	stops = p.found(o, rec)
	if len(r.Countersignatures) == 0 {
		fmt.Fprintln(p.out, "  nobody has countersigned it yet")
		return stops
	}
	last := r.Countersignatures[len(r.Countersignatures)-1]
	fmt.Fprintf(p.out, "  last seen by %s on %s: %s\n", last.Person, o.trail.At(last.Commit).Stated.Format("2006-01-02"),
		last.State)
	for _, ch := range last.Changed {
		fmt.Fprintf(p.out, "    changed  %s in commit %.12s\n", became(ch.Path, ch.Old, ch.New), o.trail.At(ch.Commit).ID)
	}
	for _, ch := range last.Evidence {
		fmt.Fprintf(p.out, "    %s in commit %.12s\n", replaced(ch), o.trail.At(ch.Commit).ID)
	}
	for _, ch := range last.Added {
		fmt.Fprintf(p.out, "    added    %s\n", stands(ch.Path, ch.New))
	}
	return stops
}

// found prints what a record shows: verdicts out of limits, open findings, whether the valve is ready. It returns the
// number of open findings of grade stop.
func (p *program) found(o *opened, rec *logbook.Overhaul) (stops int) {
	verdicts := o.report.Judgement.Of(rec)
	out := 0
	for _, v := range verdicts {
		if !v.Result.Out() {
			continue
		}
		out++
		written := v.Written
		if v.Value.Valid() {
			written = v.Value.String()
		}
		fmt.Fprintf(p.out, "  %s %s: %s, limit %s\n", v.Name, dash(written), v.Result, dash(v.LimitText))
	}
	if out == 0 {
		fmt.Fprintf(p.out, "  no verdict out of limits, %d given\n", len(verdicts))
	}
	for _, f := range o.report.Open() {
		if f.About.Record != rec.Stem && f.Place.Path != rec.Path || f.Grade < checks.Advice {
			continue
		}
		if f.Grade == checks.Stop {
			stops++
		}
		fmt.Fprintf(p.out, "  %s: %s [%s]\n", f.Grade, f.Message, f.Check)
	}
	fmt.Fprintf(p.out, "  ready: %s\n", o.report.Decisions[rec.Stem].Ready)
	return stops
}
