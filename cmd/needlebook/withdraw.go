package main

import (
	"fmt"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"needlebook/logbook/signers"
)

func (p *program) withdraw() *cobra.Command {
	var compromised bool
	var lastGood, reason, fingerprint, until, key string
	c := &cobra.Command{
		Use:   "withdraw NAME",
		Short: "Let a signer go, or mark their key as stolen",
		Long: `An ordinary sign-off keeps the signer's line in signers/allowed_signers and
sets its last minute: what was signed before stays good. When that minute is
over by the end of this day (UTC), the key is withdrawn: no later commit with
it counts, whatever date it states. A later day lets the signer sign until
then.

With --compromised somebody else has the key, or may have it: the line is
taken out, and signers/withdrawn says up to which commit the key is still
believed. What it signed after that, and let in, no longer counts.

A chief withdraws engineers; a superintendent everybody.`,
		Example: `  needlebook withdraw a.brekkestad
  needlebook withdraw a.brekkestad --until 2022-10-31
  needlebook withdraw l.penhaligon --compromised --last-good 8f3c0d12ab34 --reason "laptop stolen in Tern Haven"`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case compromised && (lastGood == "" || reason == ""):
				return use("--compromised: say up to which commit the key is believed, and why: --last-good COMMIT --reason \"…\"")
			case !compromised && lastGood != "":
				return use("--last-good goes with --compromised")
			}
			// the line holds whole minutes: the one that runs still counts
			at := time.Now().UTC().Truncate(time.Minute).Add(time.Minute)
			if d, err := dayOf("until", until); err != nil {
				return err
			} else if d != 0 {
				at = d.Time().Add(24*time.Hour - time.Minute)
			}
			return p.changeSigners(key, func(o *opened, h *ownSigner, read func(string) ([]byte, error)) (string,
				map[string][]byte, error) {
				register, err := read(signers.Signers)
				if err != nil {
					return "", nil, err
				}
				if !compromised {
					for _, c := range o.trail.Commits {
						if (c.Person == args[0] || c.Signer == args[0]) && c.Stated.After(at) &&
							(fingerprint == "" || c.Key == fingerprint) {
							return "", nil, use("%s signed commit %.12s, stated %s: the last minute has to be later, or git "+
								"calls it unknown", args[0], c.ID, c.Stated.Format("2006-01-02 15:04Z"))
						}
					}
					register, err = signers.SignOff(register, args[0], fingerprint, at)
					message := fmt.Sprintf("%s signs off, last day %s", args[0], at.Format("2006-01-02"))
					if reason != "" {
						message += ": " + reason
					}
					return message, map[string][]byte{signers.Signers: register}, err
				}
				id, err := lastGood, error(nil)
				if id != "none" {
					id, err = commitNamed(o.dir, lastGood)
				}
				if err != nil {
					return "", nil, err
				}
				register, keys, err := signers.Remove(register, args[0], fingerprint)
				if err != nil {
					return "", nil, err
				}
				if slices.Contains(keys, h.line.Key) {
					return "", nil, use("you would sign with the key that nobody is to believe any more: let another person sign, "+
						"or let your new key in first with needlebook enrol and name it with --key, and the old one with "+
						"--fingerprint %s", h.line.Key)
				}
				gone, err := read(signers.Withdrawn)
				if err != nil {
					return "", nil, err
				}
				for _, k := range keys {
					if gone, err = signers.Compromise(gone, k, id, reason); err != nil {
						return "", nil, err
					}
				}
				return fmt.Sprintf("key of %s compromised, last good commit %.12s: %s", args[0], id, reason),
					map[string][]byte{signers.Signers: register, signers.Withdrawn: gone}, nil
			})
		},
	}
	c.Flags().BoolVar(&compromised, "compromised", false, "somebody else has the key, or may have it")
	c.Flags().StringVar(&lastGood, "last-good", "", "last commit of that key that is still believed, or none")
	c.Flags().StringVar(&reason, "reason", "", "why, in one line")
	c.Flags().StringVar(&fingerprint, "fingerprint", "", "of several keys of the signer only this one, SHA256:…")
	c.Flags().StringVar(&until, "until", "", "last day, UTC, of an ordinary sign-off (default: now)")
	keyFlag(c, &key)
	return c
}
