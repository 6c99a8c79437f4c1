package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/exchange/mail"
	"needlebook/logbook/exchange/mailbag"
	"needlebook/logbook/exchange/packs"
	"needlebook/logbook/exchange/remote"
	"needlebook/logbook/exchange/transfer"
	"needlebook/logbook/trace"
)

func (p *program) mailbag() *cobra.Command {
	c := &cobra.Command{
		Use:   "mailbag",
		Short: "Carry the book's commits as files, by mail or on a stick",
		Long: `For a ship without a connection: pack writes what the other side lacks into
files, open takes such files in. Each open writes an acknowledgement for the
way back, so that the next pack carries only what is new.

A bag is a standard git bundle: git bundle verify and git fetch read it as
well, and open reads what git bundle create wrote.`,
		Example: `  needlebook mailbag pack -o /media/stick/to-office
  needlebook mailbag open /media/stick/to-ship/*`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return noVerb(cmd, args[0])
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	c.AddCommand(p.packBag(), p.openBags())
	for _, sub := range c.Commands() {
		wrongArgsAreUse(sub)
	}
	return c
}

// anySide is the other side where nobody names it.
const anySide = "other"

// post is what both halves of mailbag are told.
type post struct {
	out, side, proof, receipts string
}

func (o *post) flags(c *cobra.Command, out string) {
	c.Flags().StringVarP(&o.out, "out", "o", "", out)
	c.Flags().StringVar(&o.side, "side", anySide, "your name for the other side, where there are several")
	c.Flags().StringVar(&o.receipts, "receipts", "",
		"folder of the receipts, outside the book: they travel with the acknowledgement")
	proofFlag(c, &o.proof)
}

// open finds book, history and what is known of the other side.
func (p *program) openPost(o *post) (string, *logbook.Trail, *mail.Post, error) {
	dir, err := p.findBook()
	if err != nil {
		return "", nil, nil, err
	}
	if inside, err := within(dir, o.out); err != nil {
		return "", nil, nil, err
	} else if inside && o.out != "" {
		return "", nil, nil, use("%s lies inside the book: bags and acknowledgements never go there; name a folder "+
			"outside with -o", o.out)
	}
	how := reading(o.proof)
	how.Context = p.ctx
	t, err := trace.Read(dir, how)
	if err != nil {
		return "", nil, nil, failed{fmt.Errorf("the book here cannot be judged: %w", err), verifyStatus(err)}
	}
	if t.Founding < 0 {
		return "", nil, nil, fmt.Errorf("cannot exchange %q: %s", dir, t.Headline)
	}
	post, err := mail.OpenPost(dir, o.side)
	if errors.Is(err, remote.ErrNoRemote) {
		err = use("--side: %v", err)
	}
	return dir, t, post, err
}

// packing is one run of mailbag pack.
type packing struct {
	post
	since    string
	parts    string
	atMost   string
	small    bool
	photos   bool
	dryRun   bool
	dir      string
	trail    *logbook.Trail
	known    *mail.Post
	partSize int64
}

func (p *program) packBag() *cobra.Command {
	s := &packing{}
	c := &cobra.Command{
		Use:   "pack -o DIR",
		Short: "Write what the other side lacks into files",
		Long: `Writes a git bundle of all commits that the other side has not acknowledged,
and an acknowledgement of what came from it. Until something was acknowledged
the bag holds the whole book. --since names a commit that the other side has:
for the first bag, or when a computer over there has died.

--parts cuts the bag into numbered files of that size, each checked by itself,
to be opened in any order. A lost one is asked for again by the other side's
acknowledgement, and the next pack makes just that one. Standard tools put
them together again:  tail -q -n +6 NAME.*.part > NAME.bundle

--small packs the bag as a whole, which saves a third of a large one and
little of a small one.  gzip -d NAME.bundle.gz makes the plain bundle of it.

--photos-apart writes what comes before the first commit that brings a photo
or a bench log as a bag of its own: it can be sent now, the rest with the next
stick.`,
		Example: `  needlebook mailbag pack -o ../outbox
  needlebook mailbag pack -o ../outbox --parts 500kB
  needlebook mailbag pack -o /media/stick --side office --receipts /office/receipts/ostrevane
  needlebook mailbag pack -o ../outbox --small --at-most 100kB`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if s.out == "" && !s.dryRun {
				return use("name the folder for the files with -o DIR")
			}
			return p.runPack(s)
		},
	}
	s.flags(c, "folder for the files")
	c.Flags().StringVar(&s.since, "since", "", "a commit that the other side is known to have")
	c.Flags().StringVar(&s.parts, "parts", "", "cut into files of this size, such as 500kB")
	c.Flags().StringVar(&s.atMost, "at-most", "", "pack no more than this: the oldest commits first")
	c.Flags().BoolVar(&s.small, "small", false, "pack the bag as a whole (.bundle.gz)")
	c.Flags().BoolVar(&s.photos, "photos-apart", false, "a bag of its own for what comes before the first photo")
	c.Flags().BoolVar(&s.dryRun, "dry-run", false, "say what would be written and how many bytes")
	return c
}

func (p *program) runPack(s *packing) (err error) {
	if s.partSize, err = size("parts", s.parts); err != nil {
		return err
	}
	if s.parts != "" && s.partSize < 1000 {
		return use("--parts %s: parts of at least 1kB", s.parts)
	}
	bound, err := size("at-most", s.atMost)
	if err != nil {
		return err
	}
	if s.dir, s.trail, s.known, err = p.openPost(&s.post); err != nil {
		return err
	}
	if !s.dryRun {
		if err := os.MkdirAll(s.out, 0o777); err != nil {
			return err
		}
	}
	again, err := s.known.Again(p.ctx)
	if err != nil {
		return err
	}
	for i := range again {
		if err := p.writeOut(s, again[i].Bag[:12]+"."+again[i].Name(), again[i].File()); err != nil {
			return err
		}
	}
	if !s.dryRun {
		if err := s.known.Answered(); err != nil {
			return err
		}
	}
	if len(again) > 0 {
		fmt.Fprintf(p.out, "the other side asked for these parts again; pack once more for what is new\n")
		return nil
	}
	has, err := s.known.Has()
	if err != nil {
		return err
	}
	if s.since != "" {
		tree, err := trace.FS(s.dir, s.since)
		if err != nil {
			return use("--since %s: %v", s.since, err)
		}
		has = []string{tree.Commit} // whatever was acknowledged: a computer may have died over there
		tree.Close()
	}
	upTo, err := p.upTo(s, has, bound)
	if err != nil {
		return err
	}
	for _, tip := range upTo {
		bag, err := mail.PackBag(p.ctx, s.dir, has, tip, s.small)
		if err != nil {
			return err
		}
		if bag == nil {
			fmt.Fprintln(p.out, "the other side has acknowledged all there is: no bag is needed")
			break
		}
		if err := p.writeBag(s, bag, has); err != nil {
			return err
		}
		has = append(has, bag.Tip)
	}
	return p.acknowledge(s.dir, s.trail, s.known, &s.post, s.dryRun)
}

// upTo are the commits up to which bags are made, one after the other; empty means the tip.
func (p *program) upTo(s *packing, has []string, bound int64) ([]string, error) {
	if bound > 0 {
		o, err := mail.Fitting(p.ctx, s.dir, has, max(1, bound-200)) // less what stands before the pack
		if err != nil {
			return nil, err
		}
		p.behind(o, bound)
		if o.Tip == "" && o.Behind > 0 {
			return nil, nil
		}
		return []string{o.Tip}, nil
	}
	if s.photos {
		first, err := mail.WithoutPhotos(p.ctx, s.dir, has)
		if err != nil || first == "" || first == s.trail.Head {
			return []string{""}, err
		}
		return []string{first, ""}, nil
	}
	return []string{""}, nil
}

// writeBag writes one bag, whole or in parts.
func (p *program) writeBag(s *packing, bag *mail.Bag, has []string) error {
	text, ending := bag.Text, ".bundle"
	if s.small {
		var err error
		if text, err = mail.Smaller(text); err != nil {
			return err
		}
		ending = ".bundle.gz"
	}
	on := "the whole history"
	if len(bag.Needs) > 0 {
		on = fmt.Sprintf("builds on commit %.12s", bag.Needs[0])
	}
	fmt.Fprintf(p.out, "%s, %s; %s\n", logbook.Counted(bag.Commits, "commit"), inBytes(int64(len(text))), on)
	name := bag.Tip[:12]
	if s.partSize == 0 || int64(len(text)) <= s.partSize {
		return p.writeOut(s, name+ending, text)
	}
	parts, err := s.known.Split(mail.Parcelled{Has: has, UpTo: bag.Tip, Size: s.partSize, Small: s.small}, text, s.dryRun)
	var size mail.PartSizeError
	if errors.As(err, &size) {
		return use("--parts %s: %v", s.parts, err)
	} else if err != nil {
		return err
	}
	for i := range parts {
		if err := p.writeOut(s, name+"."+parts[i].Name(), parts[i].File()); err != nil {
			return err
		}
	}
	return nil
}

func (p *program) writeOut(s *packing, name string, text []byte) error {
	if s.dryRun {
		fmt.Fprintf(p.out, "  would write %s, %s\n", name, inBytes(int64(len(text))))
		return nil
	}
	file := filepath.Join(s.out, name)
	if err := replaceFile(file, text); err != nil {
		return fmt.Errorf("could not write %q: %w", file, err)
	}
	fmt.Fprintf(p.out, "  %s, %s\n", file, inBytes(int64(len(text))))
	return nil
}

// replaceFile writes a file beside its place, syncs it and renames it.
func replaceFile(name string, text []byte) error {
	f, err := os.CreateTemp(filepath.Dir(name), ".needlebook-")
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	err = errors.Join(err, budget.Chmod(f.Name(), 0o644), f.Sync(), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), name)
	}
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return nil
}

// acknowledge writes the acknowledgement: what the book holds, what is missing of parts, receipts the other side has
// not.
func (p *program) acknowledge(dir string, t *logbook.Trail, known *mail.Post, o *post, dryRun bool) error {
	if o.out == "" || dryRun {
		return nil
	}
	a := mailbag.Ack{Book: t.At(t.Founding).ID}
	var err error
	if a.From, err = known.Copy(); err != nil {
		return err
	}
	seen, err := known.Seen()
	if err != nil {
		return err
	}
	var more []string
	if seen != "" {
		more = append(more, seen)
	}
	if a.Has, err = mail.Tips(dir, more...); err != nil {
		return err
	}
	if a.Lacks, err = known.Waiting(); err != nil {
		return err
	}
	if o.receipts != "" {
		sealed, _, _, err := readReceipts(dir, o.receipts)
		if err != nil {
			return err
		}
		there, err := known.Receipts()
		if err != nil {
			return err
		}
		a.Receipts = len(sealed)
		for _, s := range sealed[min(there, len(sealed)):] {
			a.Sealed = append(a.Sealed, mailbag.Sealed{Text: s.Text, Signature: s.Signature})
		}
	}
	if err := os.MkdirAll(o.out, 0o777); err != nil {
		return err
	}
	file := filepath.Join(o.out, fmt.Sprintf("%.12s-%.4s.ack", a.Has[0], a.From))
	if err := replaceFile(file, a.File()); err != nil {
		return fmt.Errorf("could not write %q: %w", file, err)
	}
	fmt.Fprintf(p.out, "acknowledgement for the way back: %s\n", file)
	return nil
}

// opening is one run of mailbag open.
type opening struct {
	post
	key    string
	forget bool
	dir    string
	trail  *logbook.Trail
	known  *mail.Post
}

func (p *program) openBags() *cobra.Command {
	s := &opening{}
	c := &cobra.Command{
		Use:   "open FILE…",
		Short: "Take in bags, parts of bags and acknowledgements",
		Long: `Reads bags, parts and acknowledgements in any order, some of them perhaps
twice. Every byte is checked before anything is let in; the history is judged
as sync does, and taken in by a step forward or a merge signed with your key.

Parts wait until the others of their bag are there; the acknowledgement,
written into the folder of -o (beside the first file, without it), asks for
the missing ones. Git's own bundles are read as well, thin ones too.

Exit status as for sync.`,
		Example: `  needlebook mailbag open ../inbox/*
  needlebook mailbag open /media/stick/*.part -o ../outbox
  needlebook mailbag open reply.ack --receipts ~/receipts`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 && !s.forget {
				return use("name the files to open")
			}
			return p.runOpen(s, args)
		},
	}
	s.flags(c, "folder for the acknowledgement (default: beside the first file)")
	c.Flags().BoolVar(&s.forget, "forget-parts", false, "let parts go that wait for others")
	keyFlag(c, &s.key)
	return c
}

func (p *program) runOpen(s *opening, args []string) (err error) {
	if args, err = matching(args); err != nil {
		return err
	}
	if s.out == "" && len(args) > 0 {
		s.out = filepath.Dir(args[0]) // never into a book, in which one may be standing
	}
	if s.dir, s.trail, s.known, err = p.openPost(&s.post); err != nil {
		return err
	}
	if s.forget {
		if err := s.known.ForgetAll(); err != nil {
			return err
		}
	}
	stopped := false
	// A bag may build on another one that is named after it, so what could not be opened is tried again as long as another
	// could.
	for left := args; len(left) > 0 && !stopped; {
		var later []string
		var why error
		for _, name := range left {
			var needs *mail.NeedsError
			goOn, err := p.openFile(s, name, len(args) > 1)
			if errors.As(err, &needs) {
				later, why = append(later, name), err
				continue
			}
			if refusedForGood(err) { // the others may be sound
				if err := p.refusedAmong(args, err); err != nil {
					return err
				}
				continue
			}
			if err != nil {
				return err
			}
			if !goOn {
				stopped = true
				break
			}
		}
		if len(later) == len(left) {
			return failed{fmt.Errorf("%s: %w: open the bag before it first. Where that is lost, let the other side pack "+
				"again, and name a commit that is here: mailbag pack --since %.12s", later[0], why, s.trail.Head), exitFindings}
		}
		left = later
	}
	if err := p.stillMissing(s.known); err != nil {
		return err
	}
	return p.acknowledge(s.dir, s.trail, s.known, &s.post, false)
}

// refusedAmong says that one of several files is refused; of a single one the error says so.
func (p *program) refusedAmong(args []string, err error) error {
	var f failed
	if errors.As(err, &f); len(args) == 1 {
		return err
	}
	fmt.Fprintf(p.err, "needlebook: %v\n", err)
	p.status = max(p.status, f.status)
	return nil
}

// foreign says that a file among several, as on a stick that carries other things too, is none that mailbag pack
// writes. A bag that holds nothing, because the stick was pulled out, is none of these.
func foreign(name string, text []byte) bool {
	return !slices.Contains([]string{".bundle", ".gz", ".part", ".ack"}, strings.ToLower(filepath.Ext(name))) &&
		!mailbag.IsAck(text) && !mailbag.IsPart(text) && !bytes.HasPrefix(text, []byte("# v")) &&
		!bytes.HasPrefix(text, []byte{0x1f, 0x8b})
}

// matching puts the files in place of patterns, for shells that leave that to the program.
func matching(args []string) ([]string, error) {
	var names []string
	for _, arg := range args {
		if _, err := os.Lstat(arg); err == nil || !strings.ContainsAny(arg, "*?") {
			names = append(names, arg)
			continue
		}
		found, err := filepath.Glob(arg)
		if err != nil || len(found) == 0 {
			return nil, use("no file is called like %q", arg)
		}
		names = append(names, found...)
	}
	return names, nil
}

// maxFile bounds one file of a mailbag.
const maxFile = 2 << 30

// openFile opens one file, perhaps among others; goOn is false when a signer has to decide first.
func (p *program) openFile(s *opening, name string, among bool) (goOn bool, err error) {
	info, err := os.Stat(name)
	switch {
	case err != nil:
		return false, use("cannot open %q: %v", name, err)
	case among && info.IsDir():
		fmt.Fprintf(p.out, "%s: a folder, passed over\n", name)
		return true, nil
	case !info.Mode().IsRegular():
		return false, use("%q is no file; the files in a folder: %s", name, filepath.Join(name, "*"))
	case info.Size() > maxFile:
		return false, failed{fmt.Errorf("%s is refused: it is larger than %d GiB", name, maxFile>>30), exitBroken}
	}
	text, err := budget.Read(name, maxFile)
	if err != nil {
		return false, err
	}
	switch {
	case among && foreign(name, text):
		fmt.Fprintf(p.out, "%s: no bag, part or acknowledgement, passed over\n", name)
		return true, nil
	case mailbag.IsAck(text):
		return true, p.openAck(s, name, text)
	case mailbag.IsPart(text):
		part, err := mailbag.ReadPart(text)
		if err != nil {
			return false, failed{fmt.Errorf("%s is refused: %w", name, err), exitBroken}
		}
		if was, err := s.known.WasOpened(part.Bag); err != nil || was {
			fmt.Fprintf(p.out, "%s: part %d of %d of bag %.12s, which is in the book\n", name, part.Number, part.Of, part.Bag)
			return true, err
		}
		bundle, err := s.known.KeepPart(part)
		if err != nil {
			return false, failed{fmt.Errorf("%s is refused: %w", name, err), exitBroken}
		}
		if bundle == nil {
			fmt.Fprintf(p.out, "%s: part %d of %d of bag %.12s\n", name, part.Number, part.Of, part.Bag)
			return true, nil
		}
		tip, goOn, err := p.openBag(s, name, bundle)
		if err == nil {
			err = s.known.Opened(part.Bag, tip)
		}
		if err == nil || refusedForGood(err) {
			err = errors.Join(err, s.known.Forget(part.Bag))
		}
		return goOn, err
	}
	_, goOn, err = p.openBag(s, name, text)
	return goOn, err
}

// stillMissing says which parts other parts wait for.
func (p *program) stillMissing(known *mail.Post) error {
	waiting, err := known.Waiting()
	for _, l := range waiting {
		p.status = max(p.status, exitFindings)
		fmt.Fprintf(p.out, "bag %.12s waits for its other parts; still missing: %s\n", l.Bag, mailbag.Numbers(l.Parts))
	}
	return err
}

// refusedForGood reports whether trying again cannot help.
func refusedForGood(err error) bool {
	var f failed
	return errors.As(err, &f) && (f.status == exitBroken || f.status == exitRewound)
}

func (p *program) openBag(s *opening, name string, file []byte) (tip string, goOn bool, err error) {
	start := time.Now()
	in, err := mail.Unpacked(file)
	var got *mail.Arrived
	if err == nil {
		got, err = mail.OpenBundle(p.ctx, s.dir, in)
	}
	switch {
	case refusedBytes(err):
		return "", false, failed{fmt.Errorf("%s is refused, and nothing of it was let in: %w", name, err), exitBroken}
	case err != nil:
		return "", false, err
	}
	fmt.Fprintf(p.err, "opened %s: %s, %s in %s\n", name, logbook.Counted(got.Objects, "object"),
		inBytes(int64(len(file))), seconds(time.Since(start)))
	a := &arrived{ctx: p.ctx, dir: s.dir, from: filepath.Base(name), tip: got.Tip, seenRef: s.known.From(), proof: s.proof,
		receipts: s.receipts, unnamed: s.side == anySide}
	if a.seen, err = s.known.Seen(); err != nil {
		return "", false, err
	}
	if err := a.authenticate(); errors.Is(err, budget.ErrStopped) {
		return "", false, err
	} else if err != nil {
		return "", false, a.putAside(s.known.Aside(got.Tip), err)
	}
	a.back = false // bags arrive in any order
	if len(a.fresh) == 0 {
		fmt.Fprintf(p.out, "%s: nothing new\n", name)
	} else if err := errors.Join(remote.SetRef(s.dir, s.known.From(), got.Tip),
		s.known.Holds(append(got.Needs, got.Tip)...)); err != nil {
		return "", false, err // and only what is new shows that the other side packed it: one meets his own bags too
	}
	p.say(a)
	goOn, err = p.takeIn(a, s.key)
	return got.Tip, goOn, err
}

// refusedBytes says that what came is broken, cut short or hostile.
func refusedBytes(err error) bool {
	var hostile *transfer.HostileError
	var form *packs.FormError
	var missing *transfer.IncompleteError
	return errors.As(err, &hostile) || errors.As(err, &form) || errors.As(err, &missing) ||
		errors.Is(err, io.ErrUnexpectedEOF)
}

// openAck takes in an acknowledgement.
func (p *program) openAck(s *opening, name string, text []byte) error {
	a, err := mailbag.ReadAck(text)
	if err != nil {
		return failed{fmt.Errorf("%s is refused: %w", name, err), exitBroken}
	}
	if book := s.trail.At(s.trail.Founding).ID; a.Book != book {
		return failed{fmt.Errorf("%s is refused: it is of the book founded by commit %.12s, and this one by %.12s", name,
			a.Book, book), exitRewound}
	}
	if own, err := s.known.Copy(); err != nil {
		return err
	} else if own == a.From {
		fmt.Fprintf(p.out, "%s: an acknowledgement of this copy, for the other side\n", name)
		return nil
	}
	if err := s.known.Holds(a.Has...); err != nil {
		return err
	}
	if err := s.known.Asked(a.Lacks, a.Receipts); err != nil {
		return err
	}
	fmt.Fprintf(p.out, "%s: the other side stands on commit %.12s\n", name, a.Has[0])
	for _, l := range a.Lacks {
		fmt.Fprintf(p.out, "  it lacks parts %s of bag %.12s: needlebook mailbag pack makes them again\n",
			mailbag.Numbers(l.Parts), l.Bag)
	}
	if len(a.Sealed) == 0 {
		return nil
	}
	if s.receipts == "" {
		fmt.Fprintf(p.out, "  it carries %s: open it with --receipts DIR, outside the book, to keep what it carries and "+
			"hold the book against it\n", logbook.Counted(len(a.Sealed), "receipt"))
		return nil
	}
	return p.keepReceipts(s, name, a)
}

// keepReceipts adds the receipts that came to those that are kept, and holds the book against all of them.
func (p *program) keepReceipts(s *opening, name string, a *mailbag.Ack) error {
	if inside, err := within(s.dir, s.receipts); err != nil {
		return err
	} else if inside {
		return use("%q lies inside the book: whoever can rewrite the book could rewrite it too; name a folder outside",
			s.receipts)
	}
	if err := os.MkdirAll(s.receipts, 0o777); err != nil {
		return err
	}
	sealed, receivers, next, err := readReceipts(s.dir, s.receipts)
	if err != nil {
		return err
	}
	var fresh []trace.Sealed
	for _, c := range a.Sealed {
		if !slices.ContainsFunc(sealed, func(o trace.Sealed) bool { return bytes.Equal(o.Text, c.Text) }) {
			fresh = append(fresh, trace.Sealed{Name: fmt.Sprintf("%04d.receipt", next+len(fresh)), Text: c.Text,
				Signature: c.Signature})
		}
	}
	w, err := trace.AgainstReceipts(s.dir, s.trail, append(sealed, fresh...), receivers)
	if err != nil {
		return err
	}
	if len(w.Doubts) > 0 {
		return failed{fmt.Errorf("%s: its receipts are not kept: %s", name, strings.Join(w.Doubts, "; ")), exitRewound}
	}
	for _, f := range fresh {
		at := filepath.Join(s.receipts, f.Name)
		for _, part := range []struct {
			name string
			text []byte
		}{{at + ".sig", f.Signature}, {at, f.Text}} {
			if err := writeOnce(part.name, part.text); err != nil {
				return fmt.Errorf("could not write %q: %w", part.name, err)
			}
		}
	}
	fmt.Fprintf(p.out, "  %s kept in %s\n", logbook.Counted(len(fresh), "new receipt"), s.receipts)
	if len(w.Rewritten) > 0 {
		return failed{fmt.Errorf("REWRITTEN: %s", strings.Join(w.Rewritten, "; ")), exitRewound}
	}
	return nil
}
