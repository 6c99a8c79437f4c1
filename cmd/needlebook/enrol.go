package main

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/crypto/ssh"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/signers"
	"needlebook/logbook/trace"
)

// newcomer is who is let in, as typed.
type newcomer struct {
	who, role, file, post, name, mail string
	public                            ssh.PublicKey
	day                               time.Time
	aboard                            bool // a line of the crew list was written
}

func (p *program) enrol() *cobra.Command {
	n := &newcomer{}
	var from, key, reason, confirm string
	var again, yes bool
	c := &cobra.Command{
		Use:   "enrol NAME",
		Short: "Let a signer in: their key, in a role, from a day on",
		Long: `Adds one line to signers/allowed_signers and commits it with your signature:
the public half of the new signer's key, what they may do, and from which day
(UTC). A chief lets engineers in; a superintendent everybody. An engineer or
chief whom crew.csv does not have gets a line there too, from that day on.

New signers make the key on their own computer with needlebook key and give
you the .pub file; the other half never leaves them. A new superintendent
shows that they hold the key by signing soon.

A second key of one person is let in by that person's other key, in the same
role, or by a superintendent. A chief lets it in as pending: the person works
on, and what the key signs is shown as "key pending, does not count for four
eyes".

A file is written for the superintendent, who types what it says: enrol NAME
--confirm FINGERPRINT. Then the key counts from its first day. Names that
differ only in dots, dashes, or letters that look alike are one person's.

When every superintendent's key is lost, or two have withdrawn each other,
nobody can let one in. --found-again then writes a new founding commit on top,
signed by the new superintendent's own key, and prints a new founding proof,
to be handed over as the first one was.`,
		Example: `  needlebook enrol t.wairimu --role engineer --their-key t.wairimu.pub
  needlebook enrol i.tamm --role chief --their-key tamm.pub --from 2024-07-01
  needlebook enrol t.wairimu --confirm SHA256:abc…
  needlebook enrol s.okonjo --found-again --key ~/.ssh/new_ed25519 --reason "office burnt down, key lost"`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			n.who, n.day = args[0], time.Now().UTC().Truncate(24*time.Hour)
			if d, err := dayOf("from", from); err != nil {
				return err
			} else if d != 0 {
				n.day = d.Time()
			}
			switch {
			case again && (n.role != "" && n.role != "superintendent" || n.file != ""):
				return use("--found-again is for a superintendent who signs with their own key: leave out --role and " +
					"--their-key, " +
					"name it with --key")
			case again:
				return p.foundAgain(n.who, n.post, n.name, key, reason, n.day, yes)
			case confirm != "" && (n.role != "" || n.file != ""):
				return use("--confirm is for a key that stands in the register: leave out --role and --their-key")
			case confirm != "":
				return p.confirmKey(n.who, confirm, key)
			}
			return p.letIn(n, key)
		},
	}
	c.Flags().StringVar(&n.role, "role", "", "engineer, chief, superintendent or receiver")
	c.Flags().StringVar(&n.file, "their-key", "", "the new signer's public key, a file that ends in .pub")
	c.Flags().StringVar(&from, "from", "", "first day, UTC (default: today)")
	c.Flags().StringVar(&n.post, "post", "", "what stands behind the @ (default: as your own line has it, or the role)")
	c.Flags().StringVar(&n.name, "name", "", "their name, at the end of the line (default: from crew.csv)")
	c.Flags().StringVar(&confirm, "confirm", "", "as a superintendent: this pending key, SHA256:…, is the person's")
	c.Flags().StringVar(&n.mail, "mail", "",
		"where a pending key's file for the superintendent goes (default: beside the public key)")
	c.Flags().BoolVar(&again, "found-again", false,
		"every superintendent's key is lost: a new founding commit, with a founding proof of its own")
	c.Flags().StringVar(&reason, "reason", "", "with --found-again: why, in one line")
	c.Flags().BoolVarP(&yes, "yes", "y", false, "with --found-again: do not ask")
	keyFlag(c, &key)
	return c
}

// publicKey reads the half of a key that is no secret.
func publicKey(file string) (ssh.PublicKey, error) {
	text, err := budget.Read(file, budget.MaxFile)
	if err != nil {
		return nil, fmt.Errorf("could not read the public key: %w", err)
	}
	public, _, _, _, err := ssh.ParseAuthorizedKey(text)
	if err != nil {
		return nil, fmt.Errorf("%q holds no public key; it is one line that begins with ssh-ed25519, in the file that "+
			"ends in .pub", file)
	}
	return public, nil
}

// letIn adds the line of a key to the register; a key that has to wait for a superintendent is said to, and written
// down for him.
func (p *program) letIn(n *newcomer, key string) error {
	if n.role == "" || n.file == "" {
		return use("enrol %s --role engineer|chief|superintendent|receiver --their-key FILE.pub", n.who)
	}
	var err error
	if n.public, err = publicKey(n.file); err != nil {
		return use("--their-key: %v", err)
	}
	if n.mail == "" {
		n.mail = strings.TrimSuffix(n.file, ".pub") + ".confirm.txt"
	}
	var waits []byte
	err = p.changeSigners(key, func(o *opened, h *ownSigner, read func(string) ([]byte, error)) (string, map[string][]byte,
		error) {
		if !strings.Contains(n.who, "@") {
			n.who += "@" + h.postFor(n.role, n.post)
		}
		signer, _, _ := strings.Cut(n.who, "@")
		if n.name == "" {
			n.name = o.crewName(signer)
		}
		pending := h.waitsFor(signer)
		name, until, message := n.name, time.Time{}, fmt.Sprintf("%s let in as %s from %s", n.who, n.role,
			n.day.Format("2006-01-02"))
		if pending {
			name, message = signers.Pending(name), message+", key pending"
			waits = n.request(h, o.trail.Commits[o.trail.Founding].ID)
			if err := writeNew(n.mail, waits); err != nil {
				return "", nil, use("the file for the superintendent could not be written: %v: name another with --mail", err)
			}
		}
		if n.who == h.line.Principal {
			until = h.line.Until // no longer than the key that lets it in
		}
		register, err := read(signers.Signers)
		if err != nil {
			return "", nil, err
		}
		if register, err = signers.Enrol(register, n.who, n.role, n.public, n.day, until, name); err != nil {
			return "", nil, err
		}
		texts := map[string][]byte{signers.Signers: register}
		return message, texts, n.intoCrew(o, h, signer, read, texts)
	})
	switch {
	case err != nil && waits != nil:
		return errors.Join(err, os.Remove(n.mail))
	case err != nil:
		return err
	case n.aboard:
		fmt.Fprintf(p.out, "%s: %s aboard from %s, correct the day and the rank where they are others\n", logbook.CrewFile,
			n.who, n.day.Format("2006-01-02"))
	}
	if waits != nil {
		fmt.Fprintf(p.out, "%s: %s, until a superintendent confirms it\n  mail to the superintendent  %s\n", n.who,
			logbook.PendingWords,
			n.mail)
	}
	return nil
}

// ranks are those that a person who is let in, and works on board, has in the crew list until somebody writes another.
var ranks = map[string]string{"engineer": "engineer", "chief": "chief engineer"}

// intoCrew adds a person who works on board and whom the crew list does not have, from the first day of their key on:
// the records name them.
func (n *newcomer) intoCrew(o *opened, h *ownSigner, signer string, read func(string) ([]byte, error),
	texts map[string][]byte) error {
	if len(o.book.Aboard(signer)) > 0 || ranks[n.role] == "" || trace.NotHis(logbook.CrewFile, h.line.Roles) != "" {
		return nil
	}
	crew, err := read(logbook.CrewFile)
	if err != nil {
		return err
	}
	texts[logbook.CrewFile], err = withRow(crew, logbook.CrewFile, []string{signer, n.name, ranks[n.role],
		n.day.Format("2006-01-02"), ""})
	n.aboard = err == nil
	return err
}

// waitsFor reports whether a key that the signer lets in under a name has to wait for a superintendent: the name is
// known, and neither is the person's own nor a superintendent's the key that lets it in.
func (h *ownSigner) waitsFor(signer string) bool {
	same := func(known string) bool { return trace.SamePerson(known, signer) }
	further := !same(h.line.ID) && !slices.Contains(h.line.Roles, "superintendent") && slices.ContainsFunc(h.named, same)
	return further || h.line.Pending
}

// request is what a superintendent needs to know of a key that waits for him.
func (n *newcomer) request(h *ownSigner, founding string) []byte {
	signer, _, _ := strings.Cut(n.who, "@")
	fingerprint := ssh.FingerprintSHA256(n.public)
	return fmt.Appendf(nil, `A further key waits for a superintendent.

  book         founding commit %s
  person       %s, %s
  let in by    %s
  key          %s
  fingerprint  %s

Ask the person to read the fingerprint to you. If it is this one, sync and type

  needlebook enrol %s --confirm %s

Until then the person works on, and what the key signs is shown as
"%s".
`, founding, n.who, n.name, h.line.Principal, strings.TrimSpace(string(ssh.MarshalAuthorizedKey(n.public))),
		fingerprint, signer, fingerprint, logbook.PendingWords)
}

// writeNew writes a file that must not be there yet.
func writeNew(name string, text []byte) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return errors.Join(err, os.Remove(name))
	}
	return nil
}

// confirmKey vouches as a superintendent for a key that a chief let in.
func (p *program) confirmKey(signer, fingerprint, key string) error {
	return p.changeSigners(key, func(o *opened, h *ownSigner, read func(string) ([]byte, error)) (string,
		map[string][]byte, error) {
		if !slices.Contains(h.line.Roles, "superintendent") {
			return "", nil, use("--confirm is for a superintendent, and %s is %s", h.line.Principal,
				strings.Join(h.line.Roles, " and "))
		}
		for _, l := range h.all {
			if l.Key == fingerprint && !l.Pending {
				return "", nil, use("the key %s of %s is not pending", fingerprint, l.Principal)
			}
		}
		register, err := read(signers.Signers)
		if err != nil {
			return "", nil, err
		}
		register, err = signers.Confirm(register, signer, fingerprint)
		return fmt.Sprintf("key of %s confirmed, %s", signer, fingerprint), map[string][]byte{signers.Signers: register}, err
	})
}

// postFor is what stands behind the @ of a new signer: what is said, else the post of the one who lets him in, such as
// the ship; where that is only the word for his role, the word for the new signer's.
func (h *ownSigner) postFor(role, said string) string {
	_, own, _ := strings.Cut(h.line.Principal, "@")
	switch {
	case said != "":
		return said
	case slices.Contains(h.line.Roles, own):
		return role
	}
	return own
}
