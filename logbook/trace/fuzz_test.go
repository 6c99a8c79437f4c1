package trace_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/crypto/ssh"

	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

// wider says whether a fuzz target may ask another program about each input.
var wider = os.Getenv("NEEDLEBOOK_WIDER") == "1"

// FuzzCommit: any bytes are read without panic. A commit in the accepted form is put together again from
// what is signed and the signature, byte for byte, and git takes it as a commit.
func FuzzCommit(f *testing.F) {
	head := "tree 4b825dc642cb6eb9a060e54bf8d69288fbee4904\nparent 1111111111111111111111111111111111111111\n"
	who := "author a <a@b> 1704110400 +0000\ncommitter a <a@b> 1704110400 -0330\n"
	sig, err := exchange.Sign([]byte(head+who+"\nm\n"), key(ivanov), "git")
	if err != nil {
		f.Fatal(err)
	}
	for _, seed := range []string{
		head + who + "\nm\n", string(withHeader([]byte(head+who+"\nm\n"), "gpgsig", sig)), head + who + "gpgsig x\n y\n\nm",
		head, who, "", "\n", "tree ", "tree \n\n", head + who, head + who + "encoding x\n\n", " \n", "gpgsig \n \n \n\n", head + "author  <> 1 +0000\ncommitter <> 1 +0000\n\n",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		readable, malformed, armour, signed := trace.ParseCommit(raw)
		if !readable || malformed != "" {
			return
		}
		again := signed
		if armour != nil {
			again = withHeader(signed, "gpgsig", armour)
		}
		if !bytes.Equal(again, raw) {
			t.Errorf("put together again:\n%q\nwas\n%q", again, raw)
		}
		if wider {
			if out, ok := oracle(t, t.TempDir(), raw, "git", "hash-object", "-t", "commit", "--stdin"); !ok {
				t.Errorf("git refuses it: %s", out)
			}
		}
	})
}

// FuzzSSHSig: any bytes are read without panic. A well-formed signature has only one way to be written,
// and a good one is good for ssh-keygen too.
func FuzzSSHSig(f *testing.F) {
	for _, space := range []string{"git", "file"} {
		sig, err := exchange.Sign([]byte("text\n"), key(ivanov), space)
		if err != nil {
			f.Fatal(err)
		}
		blob := unarmour(f, sig)
		f.Add(sig, []byte("text\n"))
		f.Add(blob, []byte("text\n"))
		f.Add(blob[:40], []byte(""))
	}
	f.Add(trace.Armour(nil), []byte(""))
	f.Add([]byte(openPGP), []byte(""))
	f.Fuzz(func(t *testing.T, sig, text []byte) {
		for _, armour := range [][]byte{sig, trace.Armour(sig)} {
			wellFormed, good, space := trace.ParseSignature(armour, text)
			if !wellFormed {
				if good {
					t.Error("good, but not well-formed")
				}
				continue
			}
			if !bytes.Equal(trace.Armour(unarmour(t, armour)), armour) {
				t.Errorf("another way to write it is taken: %q", armour)
			}
			if good && wider && space != "" && !strings.ContainsAny(space, "\x00") {
				dir := t.TempDir()
				os.WriteFile(filepath.Join(dir, "sig"), armour, 0o600)
				if out, ok := oracle(t, dir, text, "ssh-keygen", "-Y", "check-novalidate", "-n", space, "-s", "sig"); !ok {
					t.Errorf("ssh-keygen refuses it: %s", out)
				}
			}
		}
	})
}

// FuzzRegister: any bytes are read without panic. Each line that is taken is taken by an independent
// reader of the format, with the same key and the same namespaces.
func FuzzRegister(f *testing.F) {
	f.Add([]byte(lines(shore, berg, ivanov)))
	f.Add([]byte(line(ivanov, roles[ivanov], "20240101", "202406011230") + "# a comment\n\n"))
	for _, bad := range []string{
		"\ufeff" + lines(ivanov), strings.ReplaceAll(lines(ivanov), "\n", "\r\n"), "*" + lines(ivanov), "!" + lines(ivanov),
		strings.Replace(lines(ivanov), "namespaces", "cert-authority,namespaces", 1),
		strings.Replace(lines(ivanov), `namespaces="git,engineer@needlebook",`, "", 1),
		strings.Replace(lines(ivanov), "20240101Z", "20240101", 1), strings.Replace(lines(ivanov), "20240101Z", "20240231Z", 1),
		strings.Replace(lines(ivanov), "ssh-ed25519 ", "ssh-rsa ", 1), lines(ivanov, ivanov), strings.Replace(lines(ivanov), "ivanov", "iv\u0430nov", 1),
		strings.Replace(lines(ivanov), "engineer@needlebook", "engineer@needlebook,engineer@needlebook", 1), "garbage\n" + lines(ivanov),
	} {
		f.Add([]byte(bad))
		if got, err := trace.ParseRegister([]byte(bad)); err == nil {
			f.Errorf("taken: %q as %q", bad, got)
		}
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		ours, err := trace.ParseRegister(text)
		if err != nil {
			return
		}
		theirs := 0
		for l := range strings.Lines(string(text)) {
			l = strings.TrimSuffix(l, "\n")
			if strings.TrimSpace(l) == "" || l[0] == '#' {
				continue
			}
			theirs++
			principal, rest, _ := strings.Cut(l, " ")
			key, _, options, _, err := ssh.ParseAuthorizedKey([]byte(strings.TrimSpace(rest)))
			if err != nil || len(options) == 0 {
				t.Fatalf("not taken elsewhere: %q: %v", l, err)
			}
			names, _ := strings.CutPrefix(options[0], "namespaces=")
			found := false
			for _, o := range ours {
				part := strings.SplitN(o, "\t", 3)
				same := part[0] == principal && part[2] == string(key.Marshal())
				for n := range strings.SplitSeq(strings.Trim(names, `"`), ",") {
					same = same && strings.Contains(","+part[1]+",", ","+n+",")
				}
				found = found || same
			}
			if !found {
				t.Errorf("%q is read as one of %q", l, ours)
			}
		}
		if theirs != len(ours) {
			t.Errorf("%d lines, %d read", theirs, len(ours))
		}
	})
}
