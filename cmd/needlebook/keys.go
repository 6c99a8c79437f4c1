package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/crypto/ssh"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/signers"
)

func (p *program) keyVerb() *cobra.Command {
	var out, comment string
	var open bool
	c := &cobra.Command{
		Use:   "key NAME",
		Short: "Make your own signing key, once, on your own computer",
		Long: `A key is two small files that belong together. The secret half stays with you:
it puts your name under a record, as your signature does on paper, and whoever
has it can sign as you.

The other half, the file that ends in .pub, is no secret: give it to the chief
or the superintendent, who lets you in with needlebook enrol. From then on
anybody can check that a record was signed by you.

The secret half is locked with a passphrase that you choose: several words
that you do not use elsewhere. If you lose it, or the computer, nothing that
you signed is lost: make a new key and have it let in. If somebody else may
have got it, tell the superintendent at once, who marks it with needlebook
withdraw.

The key is an ordinary ssh-ed25519 key; git and ssh-keygen take it as it is.`,
		Example: `  needlebook key t.wairimu
  needlebook key t.wairimu --out D:/keys/needlebook_ed25519`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if out == "" {
				home, err := os.UserHomeDir()
				if err != nil {
					return use("name the file with --out: %v", err)
				}
				out = filepath.Join(home, ".ssh", "needlebook_ed25519")
			}
			if comment == "" {
				comment = args[0]
			}
			if strings.ContainsAny(comment, "\r\n") {
				return use("a key's comment is one line")
			}
			for _, f := range []string{out, out + ".pub"} {
				if _, err := os.Stat(f); err == nil {
					return keyThere(f, strings.TrimSuffix(f, ".pub")+".pub", args[0])
				}
			}
			var phrase []byte
			if !open {
				var err error
				if phrase, err = p.newPassphrase(out); err != nil {
					return err
				}
			}
			public, err := signers.Make(out, comment, phrase)
			clear(phrase)
			if err != nil {
				return err
			}
			fmt.Fprintf(p.out, `your key is made
  secret half   %s
                keep it to yourself; it never goes by mail or into the book
  public half   %s.pub
                give this file to the chief or superintendent, who types
                  needlebook enrol %s --role engineer --their-key %s.pub
                the first of a new book types needlebook commission DIR
  fingerprint   %s
                read it out by voice, so that they know the file is yours

Once you are let in:
  needlebook sign RECORD                       finds the key by itself when it lies in .ssh
  git config --global gpg.format ssh           so that git commit -S signs with it as well
  git config --global user.signingkey %q
`, out, out, args[0], filepath.Base(out), ssh.FingerprintSHA256(public), out)
			return p.guarded(out)
		},
	}
	c.Flags().StringVar(&out, "out", "", "file for the secret half (default: .ssh/needlebook_ed25519 in your own folder)")
	c.Flags().StringVar(&comment, "comment", "", "comment in the key (default: NAME)")
	c.Flags().BoolVar(&open, "no-passphrase", false,
		"leave the secret half unlocked; whoever copies the file can sign as you")
	return c
}

// guarded says of a secret half that the file system keeps from nobody.
func (p *program) guarded(file string) error {
	kept, err := signers.Guarded(file)
	if err != nil {
		return fmt.Errorf("the key is made; who may read %q could not be asked: %w", file, err)
	}
	if !kept {
		fmt.Fprintf(p.err, "the disk of %q keeps no file from other users: whoever takes the secret half may sign as you\n"+
			"  move both halves into the folder .ssh of your own\n", file)
	}
	return nil
}

// newPassphrase asks for a passphrase twice.
func (p *program) newPassphrase(file string) ([]byte, error) {
	fmt.Fprintln(p.err, "choose a passphrase of several words; it locks the secret half")
	first, err := p.passphrase(file)
	if err != nil {
		return nil, fmt.Errorf("a new key needs a passphrase typed at a terminal, or --no-passphrase: %w", err)
	}
	again, err := p.passphrase(file + ", again")
	defer clear(again)
	switch {
	case err != nil:
		return nil, err
	case string(first) != string(again):
		return nil, use("the two are not the same: try again")
	case len(first) < 8:
		return nil, use("a passphrase of %s is soon guessed: take several words", logbook.Counted(len(first), "character"))
	}
	return first, nil
}

// keyThere says that a key is in the place of a new one, and whose it is by its public half: on a computer that several
// people use it is often another person's.
func keyThere(file, public, name string) error {
	text, _ := budget.Read(public, budget.MaxFile) // a key without its public half says nothing of whose it is
	_, whose, _, _, err := ssh.ParseAuthorizedKey(text)
	if person, _, _ := strings.Cut(whose, "@"); err == nil && person != "" && person != name {
		return use("%q is there already, the key of %s; yours: needlebook key %s --out FILE", file, whose, name)
	}
	return use("%q is there already: it is your key, keep it. needlebook key NAME --out FILE makes another one", file)
}
