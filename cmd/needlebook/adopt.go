package main

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/logbook"
	"needlebook/logbook/exchange"
	"needlebook/logbook/signers"
	"needlebook/logbook/trace"
)

func (p *program) adopt() *cobra.Command {
	var reason, key string
	c := &cobra.Command{
		Use:   "adopt COMMIT",
		Short: "Answer, with a reason, for a commit that nobody of the book signed",
		Long: `For a forgotten signature, or a record sent late by a signer who has left:
history is never rewritten. A chief or superintendent answers for the commit
by a line in signers/adopted. Its state becomes "adopted", never "signed".
Nobody adopts their own commit; a chief answers only for what a chief may
change.`,
		Example: `  needlebook adopt 8f3c0d12ab34 --reason "signature forgotten, figure seen on the bench sheet"`,
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if reason == "" {
				return use("adopt %s --reason \"…\": say why you answer for it", args[0])
			}
			return p.changeSigners(key, func(o *opened, h *ownSigner, read func(string) ([]byte, error)) (string,
				map[string][]byte, error) {
				id, err := commitNamed(o.dir, args[0])
				if err != nil {
					return "", nil, err
				}
				i := -1
				for n := range o.trail.Commits {
					if o.trail.Commits[n].ID == id {
						i = n
					}
				}
				if i < 0 {
					return "", nil, use("commit %.12s is not in the past of the tip: bring it in first", id)
				}
				c := o.trail.At(i)
				switch {
				case c.State.Speaks():
					return "", nil, use("commit %.12s is %s by %s: it needs nobody else to answer for it", id, c.State,
						cmp.Or(c.AdoptedBy, c.Signer))
				case h.line.Pending:
					return "", nil, use("your key is pending: another person has to answer for commit %.12s", id)
				case c.Person != "" && trace.SamePerson(c.Person, h.line.ID) || c.Person == "" && c.AuthorEmail == h.person.Email:
					return "", nil, use("commit %.12s is your own: another person has to answer for it", id)
				}
				for _, ch := range c.Changes {
					if why := trace.NotHisToAnswer(ch.Path, h.line.Roles); why != "" {
						return "", nil, use("%s, and so to answer for; %s is %s", why, h.line.Principal,
							strings.Join(h.line.Roles, " and "))
					}
				}
				adopted, err := read(signers.Adopted)
				if err != nil {
					return "", nil, err
				}
				adopted, err = signers.Adopt(adopted, id, reason)
				return fmt.Sprintf("commit %.12s adopted: %s", id, reason), map[string][]byte{signers.Adopted: adopted}, err
			})
		},
	}
	c.Flags().StringVar(&reason, "reason", "", "why you answer for it, in one line")
	keyFlag(c, &key)
	return c
}

// commitNamed is the full id of a commit.
func commitNamed(dir, rev string) (string, error) {
	tree, err := trace.FS(dir, rev)
	if err != nil {
		return "", err
	}
	return tree.Commit, tree.Close()
}

// changeSigners makes one signed change of the files that say who may sign. The change is worked out from the texts of
// the tip, so that nothing uncommitted slips in with it.
func (p *program) changeSigners(key string, change func(*opened, *ownSigner, func(string) ([]byte, error)) (string,
	map[string][]byte, error)) error {
	o, err := p.openUnjudged()
	if err != nil {
		return err
	}
	defer o.close()
	h, err := p.ownSigner(o.dir, o.trail, key, o.crewName)
	if err != nil {
		return err
	}
	defer h.key.Close()
	tip, err := trace.FS(o.dir, o.trail.Head)
	if err != nil {
		return err
	}
	defer tip.Close()
	read := func(name string) ([]byte, error) {
		text, err := tip.ReadFile(name)
		if errors.Is(err, fs.ErrNotExist) {
			return nil, nil
		}
		return text, err
	}
	message, texts, err := change(o, h, read)
	if errors.Is(err, signers.ErrSigner) {
		return use("%v", err)
	}
	if err != nil {
		return err
	}
	var changes []exchange.Change
	for _, name := range []string{logbook.CrewFile, signers.Adopted, signers.Signers, signers.Withdrawn} {
		if text, ok := texts[name]; ok {
			changes = append(changes, exchange.Change{Path: name, Text: text})
		}
	}
	return p.commit(h, message, changes)
}
