package main

import (
	"fmt"
	"io"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/trace"
)

// explainRecord prints the plain commands that check one file of the book again, without this program.
func (p *program) explainRecord(t *logbook.Trail, name string) error {
	var held []logbook.Thing
	for at, r := range t.Records {
		record := logbook.Thing{Kind: logbook.ThingFile, Name: at, Path: at}
		held = append(held, record)
		if record.Name = r.Stem; strings.HasPrefix(at, "overhauls/") {
			record.Kind = logbook.ThingRecord
			held = append(held, record)
		}
	}
	found := logbook.Find(strings.TrimPrefix(name, "./"), held)
	if len(found) == 0 {
		near := logbook.NearestThings(name, held)
		if near == nil {
			return use("--explain %s: the tip holds no such record; name it by its path or its file name", name)
		}
		return use("--explain %s: the tip holds no such record; the nearest is %s", name, near[0].Name)
	}
	file := found[0].Path
	_, err := io.WriteString(p.data, t.ProofCommands(file))
	return err
}

// proofScript prints the script with the founding proof filled in: the one given, else the one that the history itself
// suggests, which proves nothing by itself and says so.
func (p *program) proofScript(t *logbook.Trail, proof string) error {
	if proof == "" {
		c := t.At(t.Founding)
		if c == nil || c.Key == "" {
			return use("--script: the history has no signed founding commit; give the proof with --proof")
		}
		proof = c.ID + "@" + c.Key
		fmt.Fprintln(p.err, "needlebook: no founding proof was given; the one filled in is what this history says of "+
			"itself: compare it with the one that was handed over outside the book")
	}
	_, err := io.WriteString(p.data, logbook.ProofScript(proof))
	return err
}

// verifyOther answers the flags of verify that print instead of judging; done says that one was given.
func (p *program) verifyOther(dir, at, proof, record, receipts string, script bool) (done bool, err error) {
	if record == "" && !script {
		return false, nil
	}
	t, err := trace.Read(dir, trace.Options{FoundingProof: proof, Rev: at, Cache: cacheFolder(), Context: p.ctx})
	if err != nil {
		return true, failed{err, verifyStatus(err)}
	}
	if record != "" {
		if _, err := p.received(dir, t, receipts); err != nil {
			return true, err
		}
		return true, p.explainRecord(t, record)
	}
	return true, p.proofScript(t, proof)
}
