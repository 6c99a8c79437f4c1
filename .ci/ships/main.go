// Command ships writes one invented vessel as a book, for the Makefile beside it: ships NUMBER DIR. Every third ship has faults planted;
// those after the sixteenth are sisters of the first; every fifth is under git and signed, and DIR.proof holds her founding proof.
package main

import (
	"bytes"
	"crypto/ed25519"
	"crypto/sha256"
	"fmt"
	"os"
	"regexp"
	"strconv"
	"time"

	"golang.org/x/crypto/ssh"

	"needlebook/example-vessel/invent"
	"needlebook/logbook/exchange"
)

func main() {
	if len(os.Args) != 3 {
		fmt.Fprintln(os.Stderr, "ships NUMBER DIR")
		os.Exit(2)
	}
	n, err := strconv.ParseUint(os.Args[1], 10, 64)
	if err == nil {
		err = write(n, os.Args[2])
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "ships:", err)
		os.Exit(1)
	}
}

func write(n uint64, dir string) error {
	o := invent.Options{Overhauls: 40 + int(n)}
	if all := invent.Faults(); n%3 == 0 {
		o.Faults = []string{all[n*7%uint64(len(all))], all[n*13%uint64(len(all))]}
	}
	b := invent.Vessel((n-1)%16+1, o)
	name := regexp.MustCompile(`(?m)^vessel: *"?([^"\r\n]*)"?`)
	b.Files["book.md"] = name.ReplaceAll(b.Files["book.md"], []byte(fmt.Sprintf(`vessel: "$1 %d"`, n)))
	if n%5 != 0 {
		return b.Write(dir)
	}
	return signed(b, n, dir)
}

// signed writes the book as one founding commit of a hand with every role, whose key is derived from the ship's number: it proves
// nothing outside this exercise.
func signed(b *invent.Book, n uint64, dir string) error {
	seed := sha256.Sum256([]byte(fmt.Sprint("needlebook exercise ship ", n)))
	key, err := ssh.NewSignerFromKey(ed25519.NewKeyFromSeed(seed[:]))
	if err != nil {
		return err
	}
	b.Files["signers/allowed_signers"] = []byte(`founder@ship namespaces="git,engineer@needlebook,chief@needlebook,superintendent@needlebook" ` + string(ssh.MarshalAuthorizedKey(key.PublicKey())))
	step := exchange.Step{Draft: exchange.Draft{Author: exchange.Person{Name: "founder", Email: "founder@ship", When: time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC)}, Message: "found the book", Signer: key}}
	for path, text := range b.Files { // order does not matter: the tree sorts them
		text = bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n")) // as a book under git holds it
		step.Changes = append(step.Changes, exchange.Change{Path: path, Text: text})
	}
	ids, err := exchange.Build(dir, []exchange.Step{step})
	if err != nil {
		return err
	}
	return os.WriteFile(dir+".proof", []byte(ids[0]+"@"+ssh.FingerprintSHA256(key.PublicKey())+"\n"), 0o666)
}
