package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/edit"
	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/joining"
	"needlebook/logbook/trace"
)

// resolving is one run of the verb resolve.
type resolving struct {
	proposal, giveUp   bool
	take, why, message string
	key                string
}

func (p *program) resolve() *cobra.Command {
	s := &resolving{}
	c := &cobra.Command{
		Use:   "resolve [WHAT…]",
		Short: "Decide what both sides wrote into one record, and sign the merge",
		Long: `When sync or mailbag finds that both sides wrote into one record, all else is
taken in and that record waits for a person. Without a name, resolve shows
what waits: each value that either side changed, with its base, both sides and
the proposal.

The proposal puts the record together key by key: what only one side changed
is as that side wrote it, and every other byte stays as it was. Where both
changed one value to different ones there is no proposal: both are between
git's marks <<<<<<< ======= >>>>>>>, and a signer writes there what is right.

resolve RECORD takes the record as it is in the folder; --proposal takes the
proposal, --take here or --take there the whole text of one side. When the
last one is resolved the merge is signed with your key, and you answer for the
text.

Nothing that was written is lost. A figure that is not to count becomes a
correction, with the reason that --why gives: under corrections, below the
record where it has none, in a table as a line behind a #. Of two photos under
one name the other is kept beside it, as tip-2.jpg.

--give-up takes the book back to where it was before; what you had written
into the record is kept among git's objects and named.

It is git's own unfinished merge: git status, git diff, git add and git commit
-S work on it as well, and git merge --abort gives it up.`,
		Example: `  needlebook resolve
  needlebook resolve overhauls/me1/c3/2024-06-11-h-119.md --proposal
  needlebook resolve 2024-06-11-h-119
  needlebook resolve 2024-06-11-h-119 --take here --why "read again: the other was of H-120"
  needlebook resolve --give-up`,
		RunE: func(cmd *cobra.Command, args []string) error { return p.runResolve(s, args) },
	}
	c.Flags().BoolVar(&s.proposal, "proposal", false, "take the proposal")
	c.Flags().StringVar(&s.take, "take", "", "take the whole text of one side: here or there")
	c.Flags().StringVar(&s.why, "why", "", "why a figure that a side wrote is not to stand")
	c.Flags().StringVarP(&s.message, "message", "m", "",
		"what the merge commit says (default: what was noted when it began)")
	c.Flags().BoolVar(&s.giveUp, "give-up", false, "take the book back to where it was before the merge")
	keyFlag(c, &s.key)
	return c
}

func (p *program) runResolve(s *resolving, args []string) error {
	dir, err := p.findBook()
	if err != nil {
		return err
	}
	if s.giveUp {
		if len(args) > 0 || s.proposal || s.take != "" {
			return use("--give-up gives the whole merge up: name no record with it")
		}
		return p.giveUpMerge(dir)
	}
	if s.take != "" && s.take != "here" && s.take != "there" {
		return use("--take %s: here, or there", s.take)
	}
	if s.proposal && s.take != "" {
		return use("give --proposal or --take, not both")
	}
	if len(args) == 0 && (s.proposal || s.take != "") {
		return use("name the record to resolve")
	}
	o, err := joining.ReadOpen(dir)
	if errors.Is(err, joining.ErrNoMerge) {
		return use("%v; sync and mailbag begin one", err)
	} else if err != nil {
		return err
	}
	if o.Theirs == "" {
		return use("the merge was cut off before it was noted what it merges: needlebook resolve --give-up takes it back, " +
			"then sync again")
	}
	if len(args) == 0 && len(o.Left()) > 0 {
		return p.showOpen(dir, o)
	}
	book, err := p.openUnjudged()
	if err != nil {
		return err
	}
	defer book.close()
	meant, err := p.openNamed(book, o, args)
	if err != nil {
		return err
	}
	h, err := p.ownSigner(dir, book.trail, s.key, book.crewName)
	if err != nil {
		return err
	}
	defer h.key.Close()
	for _, f := range meant {
		if err := h.mayChange(exchange.Change{Path: f.Sides.Path}); err != nil {
			return err
		}
		if err := p.resolveOne(dir, s, h, f); err != nil {
			return err
		}
	}
	if o, err = joining.ReadOpen(dir); err != nil {
		return err
	}
	if left := o.Left(); len(left) > 0 {
		p.status = exitFindings
		fmt.Fprintf(p.out, "still to resolve: %s\n", strings.Join(left, ", "))
		return nil
	}
	return p.finishMerge(dir, s.message, h)
}

// openNamed are the files that wait for a person, by the names of what they are about: one for each argument.
func (p *program) openNamed(book *opened, o *joining.Open, args []string) (meant []*joining.OpenFile, err error) {
	var own []logbook.Thing // the marks of git may keep a record from being read
	for _, f := range o.Files {
		own = append(own, logbook.Thing{Kind: logbook.ThingFile, Name: f.Sides.Path, Path: f.Sides.Path},
			logbook.Thing{Kind: logbook.ThingFile, Name: path.Base(f.Sides.Path), Path: f.Sides.Path},
			logbook.Thing{Kind: logbook.ThingFile, Name: strings.TrimSuffix(path.Base(f.Sides.Path), ".md"),
				Path: f.Sides.Path})
	}
	for _, arg := range args {
		var found []logbook.Thing
		for _, name := range book.inBook(arg) {
			if found == nil {
				found = logbook.Find(name, own)
			}
		}
		if found == nil {
			found = logbook.Find(arg, book.book.Things(fileKinds...))
		}
		var of []*joining.OpenFile
		for i := range o.Files {
			if f := &o.Files[i]; slices.ContainsFunc(found, func(t logbook.Thing) bool {
				return book.book.Holds(t)(f.Sides.Path)
			}) {
				of = append(of, f)
			}
		}
		switch {
		case len(of) == 0:
			return nil, use("%s: no file that waits; they are: %s", arg, strings.Join(o.Left(), ", "))
		case len(of) > 1:
			return nil, use("%s: %d files of it wait: name one with its folder", arg, len(of))
		}
		meant = append(meant, of...)
	}
	return meant, nil
}

// resolveOne decides one file.
func (p *program) resolveOne(dir string, s *resolving, h *ownSigner, f *joining.OpenFile) error {
	where := f.Sides.Path
	lies, err := budget.Read(filepath.Join(dir, filepath.FromSlash(where)), budget.MaxFile)
	if errors.Is(err, fs.ErrNotExist) {
		lies, err = nil, nil
	}
	if err != nil {
		return err
	}
	var text []byte
	switch {
	case s.proposal && f.Text == nil:
		return use("%s: there is no proposal, because both sides changed %s; write in the folder what is to stand there, "+
			"between the marks, and resolve it without --proposal", where, contradicted(f))
	case s.proposal:
		text = f.Text
	case s.take == "here":
		text = f.Ours
	case s.take == "there":
		text = f.Theirs
	default:
		text = lies
	}
	if (s.proposal || s.take != "") && lies != nil && !slices.ContainsFunc([][]byte{f.Marked, f.Text, f.Ours, f.Theirs,
		text}, func(t []byte) bool { return bytes.Equal(unixLines(lies), t) }) {
		return use("%s was edited in the folder, and %s would write over it: resolve it as it lies, without the flag", where,
			map[bool]string{true: "--proposal", false: "--take"}[s.proposal])
	}
	if text == nil {
		return use("%s is not there: what was written is never taken out of a book. Put it back with --take or --proposal, "+
			"and write void: REASON into it if it is not to count", where)
	}
	if !f.Bytes() {
		text = unixLines(text)
		if line := f.Sides.Unsettled(text); line > 0 {
			return use("%s line %d: still one of git's marks: write what is to stand, take the marks out, and resolve it again",
				where, line)
		}
		if _, err := trace.ParseSigners(text); where == "signers/allowed_signers" && err != nil {
			return use("%v: put it right in the folder, and resolve it again", err)
		}
		if text, err = p.answered(where, text, s, h, f); err != nil {
			return err
		}
	}
	beside, err := joining.Resolve(dir, where, lies, text)
	if err != nil {
		return err
	}
	fmt.Fprintf(p.out, "resolved %s\n", where)
	for _, name := range beside {
		fmt.Fprintf(p.out, "  the other one is kept as %s: let the records that mean it name it so\n", name)
	}
	return nil
}

func unixLines(text []byte) []byte { return bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n")) }

func contradicted(f *joining.OpenFile) string {
	var names []string
	for _, x := range f.Fields {
		if x.Contradicted {
			names = append(names, x.Path)
		}
	}
	if len(names) == 0 {
		return "it"
	}
	return strings.Join(names, ", ")
}

// answered sees to it that every value or row that a side wrote stands in the text, or that the text says why it does
// not: in a table in a line behind a #.
func (p *program) answered(where string, text []byte, s *resolving, h *ownSigner, f *joining.OpenFile) ([]byte,
	error) {
	day := h.person.When.Format("2006-01-02")
	said := string(text)
	var missing []string
	for _, l := range f.Lost(text) {
		was := l.Was
		if was == "" {
			was = "taken out"
		}
		if slices.ContainsFunc([]string{"what: " + l.Path, "what: " + strconv.Quote(l.Path), l.Path + " was "},
			func(s string) bool { return strings.Contains(said, s) }) && strings.Contains(said, was) {
			continue // the correction is written already
		}
		if s.why == "" {
			missing = append(missing, fmt.Sprintf("%s: %s", l.Path, was))
			continue
		}
		var err error
		if path.Ext(where) == ".csv" {
			text = append(bytes.TrimRight(text, "\n"), fmt.Sprintf("\n# %s, %s: was %s. %s\n", day, h.line.ID, was, s.why)...)
			continue
		}
		if strings.HasPrefix(where, "overhauls/") {
			item := fmt.Sprintf("{date: %s, by: %s, what: %s, was: %s, why: %s}", day, h.line.ID, strconv.Quote(l.Path),
				strconv.Quote(was), strconv.Quote(s.why))
			text, err = edit.AddItem(text, "corrections", item, keysOf("overhaul"))
		}
		if err != nil || !strings.HasPrefix(where, "overhauls/") {
			text = append(bytes.TrimRight(text, "\n"), fmt.Sprintf("\n\n%s, %s: %s was %s. %s\n", day, h.line.ID, l.Path, was,
				s.why)...)
		}
	}
	if len(missing) > 0 {
		return nil, use("%s does not hold what a side wrote:\n  %s\nwrite it back, or say with --why why it is not to "+
			"stand: it then stays in the record as a correction", where, strings.Join(missing, "\n  "))
	}
	return text, nil
}

// keysOf are the keys of a kind of file in their order.
func keysOf(kind string) []string {
	var keys []string
	for _, f := range logbook.KindNamed(kind).Fields {
		keys = append(keys, f.Key)
	}
	return keys
}

// finishMerge signs the merge.
func (p *program) finishMerge(dir, message string, h *ownSigner) error {
	if h.warn != "" {
		fmt.Fprintf(p.err, "needlebook: %s\n", h.warn)
	}
	id, err := joining.FinishMerge(dir, exchange.Draft{Author: h.person, Message: message, Signer: h.key},
		func(path string) string { return trace.NotHis(path, h.line.Roles) })
	var notHis *joining.NotAllowedError
	if errors.As(err, &notHis) {
		return use("%v, and %s is %s: let one who may sign the merge", err, h.line.Principal,
			strings.Join(h.line.Roles, " and "))
	} else if err != nil {
		return err
	}
	fmt.Fprintf(p.out, "merged by commit %.12s, signed by %s (%s); sync sends it\n", id, h.line.Principal,
		strings.Join(h.line.Roles, ", "))
	return nil
}

func (p *program) giveUpMerge(dir string) error {
	kept, err := joining.GiveUp(dir)
	if errors.Is(err, joining.ErrNoMerge) {
		return use("%v", err)
	} else if err != nil {
		return err
	}
	for _, k := range kept {
		fmt.Fprintf(p.out, "what you had written into %s is kept: git cat-file blob %s\n", k.Path, k.Blob)
	}
	fmt.Fprintln(p.out, "the merge is given up: the book is as it was before; sync begins it again")
	return nil
}

// showOpen shows what waits for a person, and what to type.
func (p *program) showOpen(dir string, o *joining.Open) error {
	p.status = max(p.status, exitFindings)
	here, err := trace.Read(dir, trace.Options{Rev: o.Ours, Context: p.ctx})
	if err != nil {
		return err
	}
	there, err := trace.Read(dir, trace.Options{Rev: o.Theirs, Context: p.ctx})
	if err != nil {
		return err
	}
	fmt.Fprintf(p.out, "both sides wrote into %s, and that is for a person to decide; all else is taken in\n",
		logbook.Counted(len(o.Files), "file"))
	for i := range o.Files {
		f := &o.Files[i]
		state := ""
		if f.Resolved {
			state = ": resolved"
		}
		fmt.Fprintf(p.out, "\n%s%s\n", f.Sides.Path, state)
		if f.Resolved {
			continue
		}
		if f.Moved != "" {
			fmt.Fprintf(p.out, "  moved to another place on each side: there to %s; it stays here, and can be moved once the "+
				"merge is signed\n", f.Moved)
		}
		if f.Plain != "" {
			fmt.Fprintf(p.out, "  %s\n", f.Plain)
		}
		p.mergeTable(f, writer(here, f.Sides.Path), writer(there, f.Sides.Path))
	}
	first := o.Files[slices.IndexFunc(o.Files, func(f joining.OpenFile) bool { return !f.Resolved })]
	flag := ""
	switch {
	case first.Text != nil:
		flag = " --proposal"
	case first.Bytes():
		flag = " --take here"
	}
	fmt.Fprintln(p.out)
	if slices.ContainsFunc(o.Files, func(f joining.OpenFile) bool {
		return !f.Resolved &&
			bytes.Contains(f.Marked, []byte("<<<<<<< "))
	}) {
		fmt.Fprintln(p.out, "the folder holds both texts where they contradict each other, between git's marks <<<<<<< "+
			"======= >>>>>>>")
	}
	fmt.Fprintf(p.out, "to decide: needlebook resolve %s%s    to give the merge up: needlebook resolve --give-up\n",
		first.Sides.Path, flag)
	return nil
}

// mergeTable is the table of one file.
func (p *program) mergeTable(f *joining.OpenFile, here, there side) {
	if len(f.Fields) == 0 {
		return
	}
	if here.place == there.place || here.place == "" || there.place == "" {
		here.place, there.place = "here", "there"
	}
	alike := false
	w := p.headed()
	fmt.Fprintf(w, "  value\tbase\t%s\t%s\tproposed\n", here, there)
	for _, x := range f.Fields {
		if x.Base == "" && x.Ours == x.Theirs && !x.Contradicted {
			alike = true
			continue
		}
		mark := ""
		if x.Contradicted && x.Proposed == "" {
			mark = "decide"
		}
		fmt.Fprintf(w, "  %s\t%s\t%s\t%s\t%s\n", x.Path, short(x.Base), short(x.Ours), short(x.Theirs),
			short(x.Proposed+mark))
	}
	w.Flush()
	if alike {
		fmt.Fprintf(p.out, "  both sides wrote the rest alike\n")
	}
}

// short keeps a text in its column.
func short(s string) string {
	r := []rune(dash(s))
	if len(r) > 40 {
		r = append(r[:39], '…')
	}
	return string(r)
}

// side is who wrote a side's text, and whether he sits aboard or ashore.
type side struct{ place, signer, day string }

func (s side) String() string {
	if s.signer == "" {
		return s.place
	}
	return s.place + ", " + s.signer + " " + s.day
}

// writer is who last wrote a file: a superintendent is ashore, engineers and chiefs are aboard.
func writer(t *logbook.Trail, where string) side {
	r := t.Records[where]
	if r == nil {
		return side{}
	}
	c := t.At(r.Now().Commit)
	s := side{place: "aboard", signer: c.Person, day: c.Stated.Format("2006-01-02")}
	if slices.Contains(c.Roles, "superintendent") && !slices.Contains(c.Roles, "engineer") &&
		!slices.Contains(c.Roles, "chief") {
		s.place = "ashore"
	}
	return s
}
