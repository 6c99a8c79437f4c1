package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"needlebook/logbook/exchange"
	"needlebook/logbook/signers"
	"needlebook/logbook/trace"
)

// foundAgain writes a new founding commit on top of a book that nobody can let a superintendent into any more: the
// lines of the lost superintendents go, the new one's comes, and his own key signs it. No signer before it vouches for
// it; the proof it prints does, once it has been handed over as the first one was.
func (p *program) foundAgain(signer, post, name, keyFile, reason string, day time.Time, yes bool) error {
	if strings.TrimSpace(reason) == "" || strings.ContainsAny(reason, "\n\r\x00") {
		return use("--found-again: say in one line of plain words why, with --reason \"…\"")
	}
	o, err := p.openUnjudged()
	if err != nil {
		return err
	}
	defer o.close()
	if !o.trail.UnderGit || o.trail.Founding < 0 {
		return use("%s: there is nothing to found again", o.trail.Headline)
	}
	key, _, err := p.findKey(o.dir, keyFile, nil, true)
	if err != nil {
		return err
	}
	defer key.Close()
	tip, err := trace.FS(o.dir, o.trail.Head)
	if err != nil {
		return err
	}
	defer tip.Close()
	register, err := tip.ReadFile(signers.Signers)
	if err != nil {
		return err
	}
	there, err := trace.ParseSigners(register)
	if err != nil {
		return err
	}
	var gone []string
	for _, h := range there {
		if !slices.Contains(h.Roles, "superintendent") {
			continue
		}
		if register, _, err = signers.Remove(register, h.Principal, h.Key); err != nil {
			return err
		}
		gone = append(gone, h.Principal)
		if post == "" {
			_, post, _ = strings.Cut(h.Principal, "@")
		}
	}
	principal := signer
	if !strings.Contains(principal, "@") {
		if post == "" {
			return use("--found-again: say with --post what stands behind the @ of %s", signer)
		}
		principal += "@" + post
	}
	if name == "" {
		name = o.crewName(strings.SplitN(principal, "@", 2)[0])
	}
	register, err = signers.Enrol(register, principal, "superintendent", key.PublicKey(), day, time.Time{}, name)
	if errors.Is(err, signers.ErrSigner) {
		return use("%v: with a key that is there no new founding is needed: enrol as ever", err)
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(p.out, "superintendents who go: %s\nwho comes: %s, key %s\nThe break stays visible for ever: every "+
		"reader needs the new founding proof beside the old one.\n", dash(strings.Join(gone, ", ")), principal,
		key.Fingerprint())
	if !p.agreed("found the book again?", yes) {
		return nil
	}
	person := exchange.Person{Name: name, Email: principal, When: time.Now()}
	id, err := exchange.Write(o.dir, exchange.Draft{Author: person, Message: "founded again: " + reason, Signer: key,
		Changes: []exchange.Change{{Path: signers.Signers, Text: register}}})
	if err != nil {
		return err
	}
	fmt.Fprintf(p.out, `committed %.12s
new founding proof  %s@%s
  hand it over as the first one was: on paper, to the office, into the class file. From now on
    needlebook verify --proof OLD,NEW      and for every verb NEEDLEBOOK_PROOF=OLD,NEW
  with both, the oldest first; the new one alone judges nothing that stands before it.
`, id, id, key.Fingerprint())
	return nil
}
