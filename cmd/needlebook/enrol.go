package main

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/crypto/ssh"

	"needlebook/logbook/hands"
)

func (p *program) enrol() *cobra.Command {
	var role, file, from, post, key, name, reason string
	var again, yes bool
	c := &cobra.Command{
		Use:   "enrol HAND",
		Short: "Let a hand in: his key, in a role, from a day on",
		Long: `Adds one line to hands/signers and commits it with your signature: the public
half of the new hand's key, what he may do, and from which day (UTC). A chief lets
engineers in; a superintendent everybody. The new hand makes his key on his own
computer with needlebook key and gives you the .pub file; the other half never
leaves him. A new superintendent shows that he holds his key by signing soon.

When every superintendent's key is lost, or two have withdrawn each other, nobody
can let one in. --found-again then writes a new founding commit on top, signed by
the new superintendent's own key, and prints a new founding proof, to be handed
over as the first one was.`,
		Example: `  needlebook enrol t.wairimu --role engineer --key t.wairimu.pub
  needlebook enrol i.tamm --role chief --key tamm.pub --from 2024-07-01
  needlebook enrol s.okonjo --found-again --sign-with ~/.ssh/new_ed25519 --reason "office burnt down, key lost"`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			day := time.Now().UTC().Truncate(24 * time.Hour)
			if d, err := dayOf("from", from); err != nil {
				return err
			} else if d != 0 {
				day = d.Time()
			}
			if again {
				if role != "" && role != "superintendent" || file != "" {
					return use("--found-again is for a superintendent who signs with his own key: leave out --role and --key, name it with --sign-with")
				}
				return p.foundAgain(args[0], post, name, key, reason, day, yes)
			}
			if role == "" || file == "" {
				return use("enrol %s --role engineer|chief|superintendent|witness --key FILE.pub", args[0])
			}
			text, err := os.ReadFile(file)
			if err != nil {
				return use("--key: could not read the public key: %v", err)
			}
			public, _, _, _, err := ssh.ParseAuthorizedKey(text)
			if err != nil {
				return use("--key %s: no public key; it is one line that begins with ssh-ed25519, in the file that ends in .pub", file)
			}
			return p.changeHands(key, func(o *opened, h *ownHand, read func(string) ([]byte, error)) (string, map[string][]byte, error) {
				principal := args[0]
				if !strings.Contains(principal, "@") {
					principal += "@" + h.postFor(role, post)
				}
				if name == "" {
					name = o.crewName(strings.SplitN(principal, "@", 2)[0])
				}
				register, err := read(hands.Signers)
				if err != nil {
					return "", nil, err
				}
				register, err = hands.Enrol(register, principal, role, public, day, name)
				return fmt.Sprintf("%s let in as %s from %s", principal, role, day.Format("2006-01-02")), map[string][]byte{hands.Signers: register}, err
			})
		},
	}
	c.Flags().StringVar(&role, "role", "", "engineer, chief, superintendent or witness")
	c.Flags().StringVar(&file, "key", "", "the new hand's public key, a file that ends in .pub")
	c.Flags().StringVar(&from, "from", "", "first day, UTC (default: today)")
	c.Flags().StringVar(&post, "post", "", "what stands behind the @ (default: as your own line has it, or the role)")
	c.Flags().StringVar(&name, "name", "", "his name, at the end of the line (default: from crew.csv)")
	c.Flags().BoolVar(&again, "found-again", false, "every superintendent's key is lost: a new founding commit, with a founding proof of its own")
	c.Flags().StringVar(&reason, "reason", "", "with --found-again: why, in one line")
	c.Flags().BoolVarP(&yes, "yes", "y", false, "with --found-again: do not ask")
	c.Flags().StringVar(&key, "sign-with", "", "your own key file (default: as for needlebook sign)")
	return c
}

// postFor is what stands behind the @ of a new hand: what is said, else the post of the one who lets him in, such as the ship; where
// that is only the word for his role, the word for the new hand's.
func (h *ownHand) postFor(role, said string) string {
	_, own, _ := strings.Cut(h.line.Principal, "@")
	switch {
	case said != "":
		return said
	case slices.Contains(h.line.Roles, own):
		return role
	}
	return own
}
