package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"needlebook/logbook"
	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

func (p *program) sign() *cobra.Command {
	var all, yes bool
	var message, key string
	c := &cobra.Command{
		Use:   "sign [WHAT…]",
		Short: "Commit records with your signature, and nothing else",
		Long: `Commits what you name, as it is in the folder, signed with your own key. WHAT
is a record, a position, a serial, a round, an instrument, a deferral, a file
or a folder. Everything else that you or somebody else is editing stays as it
is: other files, and what git has staged.

The key is the one git is set to sign with (user.signingkey), else the one of
this book that ssh-agent holds, else needlebook_ed25519 or id_ed25519 below
.ssh; --key names another. "committed" is said only after the commit has been
read back from disk.

Of a round it is one commit: the records of the valves that came out and of
those that went in. What is new in each, what is out of limits and the open
findings are shown first, and then it asks.

The photos and pressure logs that a record names go with it; one that is not in
the book is named, and the exit status is 1 then.

A figure that was countersigned is struck through under corrections. Where it
was changed without that, nothing is signed but with --yes: it is a stop then.

Findings of grade stop are shown; the record is committed all the same,
because what was found must be kept. Whoever countersigns has to answer them.

A deferral that is committed is signed by whoever approved it: its terms are
shown, with what was changed since that person signed them, then the day that
is written under confirmed, and it asks.

A copy, a record at the wrong place, and a file among records that is none are
left out and named: the exit status is 1 then. What a computer dropped is
never signed. A copy that was committed is taken out of the folder, and signed
so with -m and the reason.`,
		Example: `  needlebook sign overhauls/me1/c3/2024-06-11-h-119.md
  needlebook sign 2024-06-11-h-119 -m "H-119 measured, seat good"
  needlebook sign "ME1 2024-06-11"
  needlebook sign D-07
  needlebook sign "overhauls/me1/c3/2024-06-11-h-119 (copy).md" -m "copied by mistake"
  needlebook sign --all`,
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.signRecords(args, all, yes, message, key)
		},
	}
	c.Flags().BoolVarP(&yes, "yes", "y", false, "do not ask, and sign over what was countersigned")
	c.Flags().BoolVar(&all, "all", false, "every file that is not committed as it stands")
	c.Flags().StringVarP(&message, "message", "m", "", "what to say of it (default: what the records show)")
	keyFlag(c, &key)
	return c
}

func (p *program) signRecords(args []string, all, yes bool, message, key string) error {
	o, err := p.openUnjudged()
	if err != nil {
		return err
	}
	defer o.close()
	if err := errors.Join(o.against(p.receipts), mayCommit(o.dir, o.trail)); err != nil {
		return err
	}
	round := o.aRound(args)
	if round {
		if err := p.judgeNow(o); err != nil {
			return err
		}
	}
	changed := map[string]string{}
	var list []string
	for _, w := range o.trail.WorkTree {
		changed[w.Path] = w.What
		if logbook.Dropped(w.Path) {
			continue
		}
		list = append(list, w.Path+": "+w.What)
	}
	if len(args) == 0 && !all {
		if len(list) == 0 {
			return use("nothing to sign: every file is committed as it stands")
		}
		return use("name what to sign, or give --all; not committed as they stand:\n  %s", strings.Join(list, "\n  "))
	}
	if len(args) > 0 && all {
		return use("name records or give --all, not both")
	}
	picked, confirms, err := p.pick(o, args, changed)
	if err != nil {
		return err
	}
	left := 0
	if len(picked) > 0 {
		if picked, left, err = p.onlyRead(o, args, picked); err != nil {
			return err
		}
	}
	picked, missing := p.withEvidence(o, picked, changed)
	h, err := p.ownSigner(o.dir, o.trail, key, o.crewName)
	if err != nil {
		return err
	}
	defer h.key.Close()
	changes, err := o.changes(picked, changed, message)
	if err != nil {
		return err
	}
	if all {
		mine := p.ofOneself(h, changes)
		if len(mine) == 0 {
			return use("nothing to sign: no file is %s's to change", h.line.Principal)
		}
		left, changes = left+len(changes)-len(mine), mine
	}
	over, err := p.overSeen(o, changes)
	if err != nil {
		return err
	}
	if over > 0 && !yes {
		return use("nothing was signed: write what is changed under corrections, or give --yes")
	}
	confirmed, err := p.confirmations(o, h, confirms)
	if err != nil {
		return err
	}
	changes = append(changes, confirmed...)
	if message == "" && len(confirmed) == len(changes) {
		message = confirming(confirms)
	}
	if message == "" {
		if message, err = o.describe(changes); err != nil {
			return err
		}
	}
	if round {
		if err := p.showChanges(o, changes); err != nil {
			return err
		}
	} else if err := p.showStops(o, picked); err != nil {
		return err
	}
	if round || len(confirmed) > 0 {
		if !p.agreed(fmt.Sprintf("sign %s as %s?", logbook.Counted(len(changes), "file"), h.line.Principal), yes) {
			return nil
		}
	}
	if err := p.commit(h, message, changes); err != nil {
		return err
	}
	if left+missing > 0 {
		p.status = exitFindings
	}
	return nil
}

// ofOneself are the changes that are one's own to make; the others are named, and left for whoever may sign them.
func (p *program) ofOneself(h *ownSigner, changes []exchange.Change) (mine []exchange.Change) {
	for _, c := range changes {
		if err := h.mayChange(c); err != nil {
			fmt.Fprintf(p.err, "%s is left: %v\n", c.Path, err)
			continue
		}
		mine = append(mine, c)
	}
	return mine
}

// onlyRead keeps of the files picked what a check has read: a signature under a text that nobody read vouches for
// nothing. A file that is named and cannot be signed is wrong use; below a folder it is left out, and left counts those
// that ask for a person.
func (p *program) onlyRead(o *opened, args, picked []string) (keep []string, left int, err error) {
	for _, f := range picked {
		why, dropped := o.notSigned(f)
		switch {
		case why == "" && !slices.Contains(args, f) && o.strays(f):
			why = "no check reads it: move it to where it belongs, or name it"
		case why == "":
			if !o.reads(f) {
				fmt.Fprintf(p.err, "%s: no check reads it\n", f)
			}
			keep = append(keep, f)
			continue
		case slices.Contains(args, f):
			return nil, 0, use("%s is not signed: %s", f, why)
		case dropped:
			continue
		}
		left++
		fmt.Fprintf(p.err, "%s is not signed: %s\n", f, why)
	}
	if len(keep) == 0 {
		return nil, 0, use("nothing to sign: no check reads what is named")
	}
	return keep, left, nil
}

// strays says that a file lies among records and is none: who wants it signed where it lies names it.
func (o *opened) strays(name string) bool {
	return slices.ContainsFunc(o.book.Problems, func(p logbook.Problem) bool {
		return p.Place.Path == name && p.Slip == logbook.SlipNotARecord && !p.Newer
	})
}

// notSigned says why a file is not to be signed; empty for one that may be. dropped marks what a computer made for
// itself.
func (o *opened) notSigned(name string) (why string, dropped bool) {
	if logbook.Dropped(name) {
		return "a computer made it for itself", true
	}
	for _, p := range o.book.Problems {
		if p.Place.Path != name && !(p.Slip == logbook.SlipSecondBook && strings.HasPrefix(name, p.Found+"/")) {
			continue
		}
		switch p.Slip {
		case logbook.SlipMisplaced:
			return "move it to " + p.Expected, false
		case logbook.SlipCopy, logbook.SlipCopiedOver:
			return p.Found, false
		case logbook.SlipSecondBook:
			return "it belongs to another book inside this one", false
		case logbook.SlipTooLarge, logbook.SlipUnreadable:
			return "no check could read it", false
		}
	}
	return "", false
}

// reads says that files of that name are read, or looked at, by the checks or by those who judge the history.
func (o *opened) reads(name string) bool {
	top, _, nested := strings.Cut(name, "/")
	switch {
	case !nested && (strings.HasPrefix(name, ".git") || strings.HasPrefix(strings.ToLower(name), "readme")):
		return true
	case nested && slices.Contains([]string{"photos", "logs", "signers", "schema", logbook.Imports}, top):
		return true
	}
	kind, ok := logbook.KindOf(name)
	return ok && (kind.Table || strings.HasSuffix(name, ".md"))
}

// fileKinds are the kinds of things that are written in files of their own.
var fileKinds = []logbook.ThingKind{logbook.ThingPosition, logbook.ThingEngine, logbook.ThingHolder,
	logbook.ThingNozzle,
	logbook.ThingRecord, logbook.ThingRound, logbook.ThingInstrument, logbook.ThingDeferral, logbook.ThingDecision,
	logbook.ThingLimits, logbook.ThingFile, logbook.ThingFolder}

// pick finds the files that are meant, among those that differ from the last commit; without arguments all of them. A
// thing that is named and does not differ is told, but for a deferral whose approver has not signed its terms.
func (p *program) pick(o *opened, args []string, changed map[string]string) (list []string,
	confirms []*logbook.Deferral, err error) {
	picked := map[string]bool{}
	for name := range changed {
		if len(args) == 0 {
			picked[name] = true
		}
	}
	meant, err := p.each(o, args, o.filesElsewhere(changed), fileKinds...)
	if err != nil {
		return nil, nil, err
	}
	for _, t := range meant {
		holds, n := o.holds(t), 0
		for name := range changed {
			if holds(name) {
				picked[name] = true
				n++
			}
		}
		d := o.unconfirmed(t)
		switch {
		case n == 0 && d != nil && !slices.Contains(confirms, d):
			confirms = append(confirms, d)
		case n == 0 && d == nil:
			return nil, nil, use("%s: nothing to sign, it is committed as it stands", t.Name)
		}
	}
	list = slices.Sorted(maps.Keys(picked))
	if len(list)+len(confirms) == 0 {
		return nil, nil, use("nothing to sign: every file is committed as it stands")
	}
	return list, confirms, nil
}

// filesElsewhere are files that the history knows and the reading of the book does not: those that are gone from the
// folder, the register, the schemas; and their folders.
func (o *opened) filesElsewhere(changed map[string]string) (all []logbook.Thing) {
	known := map[string]bool{".": true}
	for _, f := range o.book.Files {
		for ; !known[f]; f = path.Dir(f) {
			known[f] = true
		}
	}
	add := func(name string) {
		kind := logbook.ThingFile
		for ; !known[name]; name, kind = path.Dir(name), logbook.ThingFolder {
			known[name] = true
			all = append(all, logbook.Thing{Kind: kind, Name: name, Path: name})
		}
	}
	for name := range changed {
		add(name)
	}
	for name := range o.trail.Records {
		add(name)
	}
	return all
}

// changes are the picked files as they stand, in the form in which a book holds them. A record that is gone from one
// folder and stands in another has moved; a copy may go, and the message says why.
func (o *opened) changes(picked []string, changed map[string]string, message string) ([]exchange.Change, error) {
	gone := map[string]string{} // by file name
	for p, what := range changed {
		if what == "missing" && strings.HasPrefix(p, "overhauls/") {
			gone[path.Base(p)] = p
		}
	}
	var out []exchange.Change
	moved := map[string]bool{}
	for _, p := range picked {
		if changed[p] == "missing" {
			continue
		}
		text, err := o.text(p)
		if err != nil {
			return nil, err
		}
		c := exchange.Change{Path: p, Text: text}
		if from := gone[path.Base(p)]; changed[p] == "not committed" && strings.HasPrefix(p, "overhauls/") && from != "" {
			c.From = from
			moved[from] = true
		}
		out = append(out, c)
	}
	for _, p := range picked {
		if changed[p] != "missing" || moved[p] {
			continue
		}
		of := o.trail.CopyOf(p)
		switch {
		case of == "":
			return nil, use("%s is gone from the folder: what was written is never taken out of a book. Put it back with git "+
				"checkout -- %s, and write void: REASON into it if it is not to count", p, p)
		case message == "":
			return nil, use("%s is a copy of %s: say with -m why it goes", p, of)
		}
		out = append(out, exchange.Change{Path: p, Delete: true})
	}
	return out, nil
}

// text reads a file as it may be committed: plain, its lines ending in a bare line feed, whatever they end in in the
// folder.
func (o *opened) text(p string) ([]byte, error) {
	if err := trace.CheckPath(p); err != nil {
		return nil, use("%v", err)
	}
	if o.lost[p] {
		return nil, use("%s has lost what was committed, which is never taken out of a book: git checkout -- %s brings it "+
			"back", p, p)
	}
	info, err := os.Lstat(filepath.Join(o.dir, filepath.FromSlash(p)))
	if err == nil && !info.Mode().IsRegular() {
		err = errors.New("it is no plain file")
	}
	if err != nil {
		return nil, fmt.Errorf("could not read %q: %w", p, err)
	}
	text, err := fs.ReadFile(o.files, p)
	if err != nil {
		return nil, fmt.Errorf("could not read %q: %w", p, err)
	}
	if logbook.IsEvidence(p) {
		return text, nil
	}
	if bytes.HasPrefix(text, []byte("\xef\xbb\xbf")) {
		return nil, use("%s line 1, column 1: an unseen byte-order mark, which some editors write; expected plain text: "+
			"needlebook fix --write %s takes it out", p, p)
	}
	plain := utf8.Valid(text) && bytes.IndexByte(text, 0) < 0
	if plain { // as git stores a text
		text = unixLines(text)
	}
	if !plain && bytes.IndexByte(text, '\r') >= 0 {
		return nil, use("%s is no plain text in UTF-8: save a text as UTF-8; a picture lies under photos/, a bench trace "+
			"under logs/", p)
	}
	if i := bytes.IndexByte(text, '\r'); i >= 0 {
		line := text[bytes.LastIndexByte(text[:i], '\n')+1 : i]
		return nil, use("%s line %d, column %d: a carriage return; expected lines that end in a bare line feed: needlebook "+
			"fix --write %s puts them right",
			p, 1+bytes.Count(text[:i], []byte("\n")), 1+len([]rune(string(line))), p)
	}
	if p == "signers/allowed_signers" {
		if _, err := trace.ParseSigners(text); err != nil {
			return nil, use("%v", err)
		}
	}
	return text, nil
}

// describe is the message of a commit whose hand gave none: for each record what was added and what reads otherwise.
func (o *opened) describe(changes []exchange.Change) (string, error) {
	tip, err := trace.FS(o.dir, "")
	if err != nil {
		return "", err
	}
	defer tip.Close()
	var lines []string
	for _, c := range changes {
		from := c.Path
		if c.From != "" {
			from = c.From
		}
		old, err := tip.ReadFile(from)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return "", err
		}
		lines = append(lines, o.subject(c)+": "+difference(old, c.Text))
	}
	if len(lines) == 1 {
		return lines[0], nil
	}
	return fmt.Sprintf("%s\n\n%s", logbook.Counted(len(lines), "file"), strings.Join(lines, "\n")), nil
}

// subject names a file as an engineer would: an overhaul by cylinder and holder.
func (o *opened) subject(c exchange.Change) string {
	rec := o.book.Overhaul(strings.TrimSuffix(path.Base(c.Path), ".md"))
	name := c.Path
	if rec != nil && rec.Path == c.Path {
		name = rec.Stem
		if rec.Removed.Stated() {
			name = fmt.Sprintf("%s out of %s-%s on %s", rec.Holder.Written, rec.Removed.Engine.Written,
				rec.Removed.Cylinder.Written, rec.Removed.Date.Written)
		}
	}
	if c.From != "" {
		name += ", moved from " + path.Dir(c.From)
	}
	return name
}

// difference says what became of a text: whole blocks by name, changed values one by one up to four.
func difference(old, now []byte) string {
	if old == nil {
		return "entered"
	}
	was, is := valuesOf(old), logbook.Values(now)
	var added, changed []string
	for _, v := range is {
		before, there := was[v.Path]
		delete(was, v.Path)
		top, _, _ := strings.Cut(v.Path, ".")
		top, _, _ = strings.Cut(top, "[")
		switch {
		case there && before == v.Written:
		case there:
			changed = append(changed, v.Path)
		case !slices.Contains(added, top):
			added = append(added, top)
		}
	}
	var words []string
	for _, part := range []struct {
		verb string
		list []string
	}{{"added", added}, {"changed", changed}} {
		if len(part.list) > 4 {
			part.list = append(part.list[:4], fmt.Sprintf("%d more", len(part.list)-4))
		}
		if len(part.list) > 0 {
			words = append(words, part.verb+" "+strings.Join(part.list, ", "))
		}
	}
	if len(was) > 0 {
		words = append(words, logbook.Counted(len(was), "value")+" taken out")
	}
	if len(words) == 0 {
		return "updated"
	}
	return strings.Join(words, "; ")
}

func valuesOf(text []byte) map[string]string {
	m := map[string]string{}
	for _, v := range logbook.Values(text) {
		m[v.Path] = v.Written
	}
	return m
}
