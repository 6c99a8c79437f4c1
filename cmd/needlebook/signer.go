package main

import (
	"bufio"
	"crypto/rand"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"needlebook/logbook"
	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/remote"
	"needlebook/logbook/signers"
	"needlebook/logbook/trace"
)

// ownSigner is the person at the keyboard: his key, and the line of the register that is in force for it.
type ownSigner struct {
	dir    string
	key    *signers.Key
	line   trace.Signer
	all    []trace.Signer // every line in force
	named  []string       // whoever ever came into the register
	person exchange.Person
	warn   string // a clock that cannot be right; empty otherwise
}

func keyFlag(c *cobra.Command, file *string) {
	c.Flags().StringVar(file, "key", "",
		"key file to sign with (default: the one git is set to sign with, the agent's, or the one below .ssh)")
}

// ownSigner finds the key and whose it is. The caller closes the key.
func (p *program) ownSigner(dir string, t *logbook.Trail, file string, crew func(signer string) string) (*ownSigner,
	error) {
	if err := mayCommit(dir, t); err != nil {
		return nil, err
	}
	all, err := trace.InForce(t)
	if err != nil {
		return nil, err
	}
	key, _, err := p.findKey(dir, file, all, true)
	if err != nil {
		return nil, err
	}
	h := &ownSigner{dir: dir, key: key, all: all, named: t.EverNamed}
	for _, l := range all {
		if l.Key == key.Fingerprint() {
			h.line = l
		}
	}
	now := time.Now()
	switch {
	case h.line.Key == "":
		err = fmt.Errorf("key %s (%s) is not in force in this book; a chief or superintendent lets it in with "+
			"needlebook enrol", key.Fingerprint(), key.From)
	case !h.line.Commits:
		err = fmt.Errorf("the key of %s may not sign commits: it is a receiver's", h.line.Principal)
	case !h.line.Holds(now):
		err = fmt.Errorf("the key of %s is good%s, and this computer says it is %s", h.line.Principal, span(h.line),
			now.UTC().Format("2006-01-02 15:04Z"))
	}
	if err != nil {
		key.Close()
		return nil, err
	}
	if last := t.At(len(t.Commits) - 1); last.Stated.Sub(now) > 10*time.Minute {
		h.warn = fmt.Sprintf("this computer says it is %s, but the last commit is stated %s: set the clock, or the date "+
			"will stand as contradicted",
			now.UTC().Format("2006-01-02 15:04Z"), last.Stated.Format("2006-01-02 15:04Z"))
	}
	// who signs, and not whoever git on a shared computer is set to
	h.person = exchange.Person{Name: crew(h.line.ID), Email: h.line.Principal, When: now}
	return h, nil
}

// openToCommit is openBook for a verb that will sign: it asks nothing where that cannot be done.
func (p *program) openToCommit() (*opened, error) {
	o, err := p.openBook("", "", provenBy())
	if err != nil {
		return nil, err
	}
	if err := mayCommit(o.dir, o.trail); err != nil {
		o.close()
		return nil, err
	}
	return o, nil
}

// mayCommit refuses where there is no history that a commit could go on from, or another than the founding proof is of.
func mayCommit(dir string, t *logbook.Trail) error {
	next := ""
	if t.UnderGit && t.FoundingProof == provenBy() {
		return nil
	}
	if _, err := os.Stat(filepath.Join(dir, ".git")); err != nil {
		next = "; needlebook commission begins a book under git, git init makes a repository of this folder"
	} else if _, err := trace.FS(dir, ""); errors.Is(err, trace.ErrUnborn) {
		next = "; the founder's first commit, which brings signers/allowed_signers, is made with git commit -S"
	}
	return fmt.Errorf("cannot sign in %q: %s%s", dir, t.Headline, next)
}

func span(l trace.Signer) string {
	text := ""
	if !l.From.IsZero() {
		text += " from " + l.From.Format("2006-01-02 15:04Z")
	}
	if !l.Until.IsZero() {
		text += " until " + l.Until.Format("2006-01-02 15:04Z")
	}
	return text
}

// findKey finds the key to sign with. Of keys that nobody named, only one that may sign commits, or else receipts, is
// taken.
func (p *program) findKey(dir, file string, all []trace.Signer, commits bool) (*signers.Key, remote.Settings, error) {
	return findKeyBy(dir, file, all, commits, p.passphrase)
}

// findKeyBy is findKey with another way to ask for a passphrase.
func findKeyBy(dir, file string, all []trace.Signer, commits bool,
	ask func(file string) ([]byte, error)) (*signers.Key, remote.Settings, error) {
	set, err := remote.ReadSettings(dir)
	if err != nil {
		return nil, nil, err
	}
	home, err := os.UserHomeDir()
	if err != nil {
		home = dir // a key must be named then, or in the agent
	}
	listed := map[string]bool{}
	for _, l := range all {
		listed[l.Key] = l.Commits == commits
	}
	key, err := signers.Find(signers.Sources{File: file, Setting: set["user.signingkey"], Format: set["gpg.format"],
		Home:  home,
		Agent: os.Getenv("SSH_AUTH_SOCK"), Listed: func(key string) bool { return listed[key] }, Ask: ask})
	return key, set, err
}

// passphrase asks at the terminal, and shows nothing of what is typed.
func (p *program) passphrase(file string) ([]byte, error) {
	tty, err := os.OpenFile("/dev/tty", os.O_RDWR, 0)
	if err != nil {
		if in, ok := p.in.(*os.File); ok && term.IsTerminal(int(in.Fd())) {
			tty, err = in, nil
		}
	}
	if err != nil {
		return nil, fmt.Errorf("the key %q is locked with a passphrase, and there is no terminal to ask at; load it with "+
			"ssh-add first", file)
	}
	if tty != p.in {
		defer tty.Close()
	}
	fmt.Fprintf(p.err, "passphrase of %s: ", file)
	phrase, err := term.ReadPassword(int(tty.Fd()))
	fmt.Fprintln(p.err)
	return phrase, err
}

// agreed asks a question that is answered with yes or no. No answer is no.
func (p *program) agreed(question string, yes bool) bool {
	if yes {
		return true
	}
	fmt.Fprintf(p.out, "%s [y/N] ", question)
	answer, _ := bufio.NewReader(p.in).ReadString('\n')
	answer = strings.ToLower(strings.TrimSpace(answer))
	if answer != "y" && answer != "yes" {
		fmt.Fprintln(p.out, "nothing was written; answer y, or give --yes")
		p.status = exitFindings
		return false
	}
	return true
}

// mayChange says that a change is not the hand's to make. Of signers/allowed_signers the lines decide.
func (h *ownSigner) mayChange(c exchange.Change) error {
	why := ""
	if c.Path == signers.Signers && c.Text != nil {
		tip, err := trace.FS(h.dir, "")
		if err != nil {
			return err
		}
		defer tip.Close()
		was, err := tip.ReadFile(signers.Signers)
		if err == nil {
			why, err = trace.SignersNotHis(h.line, was, c.Text)
		}
		if err != nil {
			return err
		}
	} else {
		why = trace.NotHis(c.Path, h.line.Roles)
	}
	if why != "" {
		return use("%s, and %s is %s", why, h.line.Principal, strings.Join(h.line.Roles, " and "))
	}
	return nil
}

// commit signs and writes the changes, and says so once they have been read back from disk.
func (p *program) commit(h *ownSigner, message string, changes []exchange.Change) error {
	for _, c := range changes {
		if err := h.mayChange(c); err != nil {
			return err
		}
	}
	if h.warn != "" {
		fmt.Fprintf(p.err, "needlebook: %s\n", h.warn)
	}
	id, err := exchange.Write(h.dir, exchange.Draft{Author: h.person, Message: message, Changes: changes, Signer: h.key})
	switch {
	case errors.Is(err, exchange.ErrUnfinished):
		return fmt.Errorf("%w: needlebook resolve shows what waits", err)
	case errors.Is(err, exchange.ErrEdited):
		return fmt.Errorf("%w; what stands in the folder is not in the last commit: sign that first, or put "+
			"it elsewhere", err)
	case err != nil:
		return err
	}
	subject, _, _ := strings.Cut(message, "\n")
	what, files := ": "+subject, logbook.Counted(len(changes), "file")
	if subject == files {
		what = ""
	}
	fmt.Fprintf(p.out, "committed %.12s, signed by %s (%s), %s%s\n", id, h.line.Principal,
		strings.Join(h.line.Roles, ", "), files, what)
	return nil
}

// crewName is the name of a hand as the crew list has it, or his id.
func (o *opened) crewName(signer string) string {
	for _, c := range o.book.Aboard(signer) {
		if c.Name.Written != "" {
			return c.Name.Written
		}
	}
	return signer
}

// openUnjudged reads book and history, and leaves the checks out: for verbs that change no record.
func (p *program) openUnjudged() (*opened, error) {
	dir, err := p.findBook()
	if err != nil {
		return nil, err
	}
	return readFolder(p.ctx, dir, "", "", p.today, provenBy())
}

// signingKey is [program.anyKey], once it has signed something and the signature was good.
func (p *program) signingKey(file string) (*signers.Key, error) {
	key, err := p.anyKey(file)
	if err != nil {
		return nil, err
	}
	text := []byte("needlebook: can this key sign?")
	signature, err := key.Sign(rand.Reader, text)
	if err == nil {
		err = key.PublicKey().Verify(text, signature)
	}
	if err != nil {
		key.Close()
		return nil, fmt.Errorf("the key of %s cannot sign: %w", key.From, err)
	}
	return key, nil
}

// anyKey finds a key outside of any book: the one named, else the one git is set to sign with, the agent's, or the one
// below .ssh.
func (p *program) anyKey(file string) (*signers.Key, error) {
	here, err := os.Getwd()
	if err != nil {
		return nil, err
	}
	set, err := remote.ReadSettings(here)
	if err != nil {
		set = remote.Settings{} // outside any repository a key is named, or found below .ssh
	}
	home, err := os.UserHomeDir()
	if err != nil {
		home = here
	}
	if rest, own := strings.CutPrefix(file, "~/"); own {
		file = filepath.Join(home, rest)
	}
	return signers.Find(signers.Sources{File: file, Setting: set["user.signingkey"], Format: set["gpg.format"],
		Home:  home,
		Agent: os.Getenv("SSH_AUTH_SOCK"), Listed: func(string) bool { return true }, Ask: p.passphrase})
}
