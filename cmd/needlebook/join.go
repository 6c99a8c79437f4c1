package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/crypto/ssh"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/mail"
	"needlebook/logbook/exchange/mailbag"
	"needlebook/logbook/exchange/remote"
	"needlebook/logbook/signers"
	"needlebook/logbook/trace"
)

// newCopy is one run of the verb join.
type newCopy struct {
	from               []string // an address, or the files of a bag
	dir                string   // the folder to be
	proof, key, branch string
	limit              time.Duration
	line               *remote.Remote // where it came from; nil for a bag
	trail              *logbook.Trail
	settings           string
}

func (p *program) joinVerb() *cobra.Command {
	j := &newCopy{}
	c := &cobra.Command{
		Use:   "join ADDRESS|BAG… DIR",
		Short: "Get a book onto a second computer, and set up signing there",
		Long: `Brings the whole book into a new or empty folder: from any git remote that
sync knows (a folder, ssh://, https://, host:path), or from the files of a
mailbag.

It asks for the founding proof that commission printed, because only that
tells your ship's book from another one. Typed off a paper, the 40 digits
before the @ are enough; blanks do not matter. A history that does not begin
with that commit is refused.

The book is made beside DIR and put in its place when it is whole and proved:
a connection that breaks leaves nothing.

Then it looks for your key, tries it, and says what is to be done next: where
the key is not let in yet, the line that a chief or superintendent types.`,
		Example: `  needlebook join ssh://git@office.example/aurinda.git aurinda
  needlebook join /media/stick/aurinda aurinda --proof "$(cat founding.txt)"
  needlebook join /media/stick/to-ship/* aurinda`,
		Args: cobra.MinimumNArgs(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			j.from, j.dir = args[:len(args)-1], args[len(args)-1]
			return p.runJoin(j)
		},
	}
	c.Flags().StringVar(&j.branch, "branch", "main", "the branch over there")
	c.Flags().DurationVar(&j.limit, "time-limit", 30*time.Minute, "give up after this time")
	keyFlag(c, &j.key)
	proofFlag(c, &j.proof)
	return c
}

func (p *program) runJoin(j *newCopy) (err error) {
	if j.limit <= 0 {
		return use("--time-limit %s: a time, such as 90s or 10m", j.limit)
	}
	if !branchName.MatchString(j.branch) || strings.Contains(j.branch, "..") {
		return use("--branch %q: letters, digits, dash, dot and slash", j.branch)
	}
	if left, err := os.ReadDir(j.dir); err == nil && len(left) > 0 {
		return use("%q is not empty: name a new or an empty folder", j.dir)
	}
	key, err := p.keyToJoin(j)
	if err != nil {
		return err
	}
	if key != nil {
		defer key.Close()
	}
	talk, err := p.interviewed(j.dir)
	if err != nil {
		return err
	}
	if err := j.askProof(talk); err != nil {
		return err
	}
	b, err := exchange.Join(j.dir, j.branch)
	if err != nil {
		return err
	}
	ctx, stop := p.within(j.limit)
	defer stop()
	if err = p.fill(ctx, j, b); err != nil {
		err = errors.Join(err, b.Abandon())
	}
	if err := errors.Join(err, talk.kept.done()); err != nil { // a proof that was refused is asked for again
		return err
	}
	if j.line != nil {
		if line, err := remote.Find(j.dir, "origin"); err != nil {
			return err
		} else if err := line.Note(j.dir, j.trail.Head); err != nil {
			return err
		}
	}
	return p.joined(j, key)
}

// keyToJoin is the key at hand, once it has signed something; nil where there is none. One that was named must sign.
func (p *program) keyToJoin(j *newCopy) (*signers.Key, error) {
	key, err := p.signingKey(j.key)
	if err != nil && j.key != "" {
		return nil, err
	}
	if err != nil {
		fmt.Fprintf(p.err, "no key signs here yet: %v\n", err)
		return nil, nil
	}
	if _, err := os.Stat(key.From); err == nil {
		full, err := filepath.Abs(key.From)
		if err != nil {
			return nil, err
		}
		j.settings = "[user]\n\tsigningkey = " + gitQuoted(full) + "\n"
	}
	return key, nil
}

var (
	branchName = regexp.MustCompile(`^[A-Za-z0-9]([A-Za-z0-9._/-]*[A-Za-z0-9])?$`)
	wholeProof = regexp.MustCompile(`[0-9a-f]{40}@SHA256:[A-Za-z0-9+/]{43}`)
	digitsOnly = regexp.MustCompile(`^[0-9a-f]{40}$`)
)

// askProof takes the founding proof from the flag, or asks for it: whole, or the digits of the founding commit.
func (j *newCopy) askProof(talk *interview) error {
	take := func(typed string) error {
		bare := strings.Join(strings.Fields(typed), "")
		if whole := wholeProof.FindAllString(bare, -1); len(whole) > 0 {
			j.proof = strings.Join(whole, ",")
			return nil
		}
		if j.proof = strings.ToLower(bare); !digitsOnly.MatchString(j.proof) {
			return use("%q is no founding proof: 40 digits 0 to 9 and a to f, @SHA256: and 43 characters, as commission "+
				"printed it; the 40 digits are enough", typed)
		}
		return nil
	}
	if j.proof != "" {
		return take(j.proof)
	}
	return talk.until(question{"founding proof",
		", as commission printed it; the 40 digits before the @ are enough"}, take)
}

// fill brings the objects, holds the history against the founding proof, and puts the book in its place.
func (p *program) fill(ctx context.Context, j *newCopy, b *exchange.Beside) error {
	tip, err := "", error(nil)
	if info, statErr := os.Stat(j.from[0]); len(j.from) > 1 || statErr == nil && info.Mode().IsRegular() ||
		strings.ContainsAny(j.from[0], "*?") {
		tip, err = p.fromBags(ctx, j, b)
	} else {
		tip, err = p.fromRemote(ctx, j, b)
	}
	if err != nil {
		return err
	}
	if err := p.founded(ctx, j, b.Dir, tip); err != nil {
		return err
	}
	return b.Settle(tip, j.settings)
}

// fromRemote fetches.
func (p *program) fromRemote(ctx context.Context, j *newCopy, b *exchange.Beside) (tip string, err error) {
	line, err := remote.Find(b.Dir, j.from[0])
	if errors.Is(err, remote.ErrNoRemote) {
		return "", use("%v", err)
	} else if err != nil {
		return "", err
	}
	if p.err.width > 0 {
		line.Progress = progress{p.err.Writer}
	}
	came, err := line.Fetch(ctx, b.Dir)
	if errors.Is(err, remote.ErrConnection) || errors.Is(err, budget.ErrStopped) {
		return "", notCarried("could not fetch from "+line.Name, err, "nothing is left behind", "try again")
	} else if err != nil {
		return "", p.fetchFailed(line, err)
	}
	if came.Tip == "" {
		return "", use("%s has no branch %s: name the branch with --branch", line.Name, line.Branch)
	}
	fmt.Fprintf(p.err, "fetched from %s: %s, %s in %s\n", line.Name, logbook.Counted(came.Objects, "object"),
		inBytes(came.Bytes), seconds(came.Took))
	j.line = line
	j.settings += fmt.Sprintf("[remote \"origin\"]\n\turl = %s\n\tfetch = +refs/heads/*:refs/remotes/origin/*\n"+
		"[branch \"%s\"]\n\tremote = origin\n\tmerge = refs/heads/%[2]s\n", gitQuoted(line.URL), j.branch)
	return came.Tip, nil
}

// gitQuoted is a value as git's settings hold it, whatever is in it.
func gitQuoted(value string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`, "\t", `\t`).Replace(value) + `"`
}

// fromBags opens bags and parts, in any order, and returns the newest tip.
func (p *program) fromBags(ctx context.Context, j *newCopy, b *exchange.Beside) (tip string, err error) {
	files, err := matching(j.from)
	if err != nil {
		return "", err
	}
	post, err := mail.OpenPost(b.Dir, anySide)
	if err != nil {
		return "", err
	}
	for left := files; len(left) > 0; {
		var later []string
		var needs *mail.NeedsError
		for _, name := range left {
			got, err := bagIn(ctx, post, b.Dir, name)
			switch {
			case errors.As(err, &needs):
				later = append(later, name)
				continue
			case err != nil:
				return "", err
			case got == nil: // a part, or no bag
				continue
			}
			if tip, err = newer(b.Dir, tip, got.Tip); err != nil {
				return "", err
			}
			err = errors.Join(remote.SetRef(b.Dir, post.From(), tip), post.Holds(append(got.Needs, got.Tip)...))
			if err != nil {
				return "", err
			}
		}
		if len(later) == len(left) {
			return "", failed{fmt.Errorf("%s: %w: a book is joined from a bag of the whole history, which mailbag pack "+
				"writes for a side that has acknowledged nothing: mailbag pack --side NEW -o DIR", later[0], needs), exitFindings}
		}
		left = later
	}
	if tip == "" {
		if err := p.stillMissing(post); err != nil {
			return "", err
		}
		return "", use("no whole bag is among %s", logbook.Counted(len(files), "file"))
	}
	return tip, nil
}

// bagIn opens one file: a bag, or a part that makes one whole; nil where it brings no commits, or not yet.
func bagIn(ctx context.Context, post *mail.Post, dir, name string) (*mail.Arrived, error) {
	text, err := budget.Read(name, maxFile)
	if err != nil {
		return nil, use("cannot open %q: %v", name, err)
	}
	switch {
	case mailbag.IsAck(text), foreign(name, text):
		return nil, nil
	case mailbag.IsPart(text):
		part, err := mailbag.ReadPart(text)
		if err == nil {
			text, err = post.KeepPart(part)
		}
		if err != nil {
			return nil, failed{fmt.Errorf("%s is refused: %w", name, err), exitBroken}
		}
		if text == nil {
			return nil, nil
		}
	}
	in, err := mail.Unpacked(text)
	var got *mail.Arrived
	if err == nil {
		got, err = mail.OpenBundle(ctx, dir, in)
	}
	if refusedBytes(err) {
		return nil, failed{fmt.Errorf("%s is refused, and nothing of it was let in: %w", name, err), exitBroken}
	}
	return got, err
}

// newer is the one of two tips that has the other behind it.
func newer(dir, tip, other string) (string, error) {
	if tip == "" {
		return other, nil
	}
	if held, err := mail.Holds(dir, other, tip); held || err != nil {
		return other, err
	}
	if held, err := mail.Holds(dir, tip, other); held || err != nil {
		return tip, err
	}
	return "", use("the bags hold two states that are not joined: join with one, and open the other with mailbag open")
}

// founded holds what came against the founding proof, and says what is not proved of it.
func (p *program) founded(ctx context.Context, j *newCopy, dir, tip string) error {
	o := trace.Options{Rev: tip, EveryText: true, Context: ctx}
	digits := digitsOnly.MatchString(j.proof)
	if !digits {
		o.FoundingProof = j.proof
	}
	t, err := trace.Read(dir, o)
	from := strings.Join(j.from, ", ")
	switch {
	case errors.Is(err, budget.ErrStopped):
		return err
	case err != nil:
		return failed{fmt.Errorf("what came from %s is refused: %w", from, err), verifyStatus(err)}
	case len(t.Broken) > 0:
		return refused(exitBroken, "what came from %s is refused: the bytes of %s do not match their id", from,
			t.Broken[0].Path)
	case t.Founding < 0:
		return refused(exitRewound, "what came from %s is refused: %s", from, t.Headline)
	case digits && t.At(t.Founding).ID != j.proof:
		return refused(exitRewound, "what came from %s is refused: it is founded by commit %s, and the proof says %s", from,
			t.At(t.Founding).ID, j.proof)
	}
	j.trail = t
	a := &arrived{from: from, theirs: t}
	for i := range t.Commits {
		a.fresh = append(a.fresh, i)
	}
	p.say(a)
	return nil
}

// joined says what is there now, and what is to be done next.
func (p *program) joined(j *newCopy, key *signers.Key) error {
	founding := j.trail.At(j.trail.Founding)
	fmt.Fprintf(p.out, "%s: the book is here, and its founding proof fits: commit %.12s of %s\n", j.dir, founding.ID,
		founding.Stated.Format("2006-01-02"))
	exchangeWith := "needlebook sync"
	if j.line == nil {
		exchangeWith = "needlebook mailbag pack -o DIR"
	}
	if key == nil {
		fmt.Fprintf(p.out, "Next, to sign here: make your key, and have it let in\n  needlebook key YOUR.NAME\n")
		return nil
	}
	all, err := trace.InForce(j.trail)
	if err != nil {
		return err
	}
	for _, l := range all {
		if l.Key == key.Fingerprint() {
			fmt.Fprintf(p.out, "your key %s is that of %s here: you can sign\nNext: cd %s, then needlebook\n",
				key.Fingerprint(), l.Principal, j.dir)
			return nil
		}
	}
	fmt.Fprintf(p.out, `your key %s is not let in yet
Next: a chief or superintendent, in the book on their computer, with your public half in a file
  %s
  needlebook enrol YOUR.NAME --role engineer --their-key FILE.pub
  %s
`, key.Fingerprint(), bytes.TrimSpace(ssh.MarshalAuthorizedKey(key.PublicKey())), exchangeWith)
	return nil
}
