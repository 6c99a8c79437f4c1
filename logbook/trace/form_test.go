package trace_test

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/rsa"
	"strings"
	"testing"

	"golang.org/x/crypto/ssh"

	"needlebook/logbook"
	"needlebook/logbook/trace"
)

const openPGP = "-----BEGIN PGP SIGNATURE-----\n\niHUEABYKAB0WIQ==\n=abcd\n-----END PGP SIGNATURE-----\n"

// Each row changes the bytes of a well-signed tip. What git 2.39 says of the commit is in the last
// column where it differs in spirit: it calls many of them good, or leaves them to fsck.
func TestForms(t *testing.T) {
	rsaKey, _ := rsa.GenerateKey(rand.Reader, 2048)
	rsaSigner, _ := ssh.NewSignerFromKey(rsaKey)
	ecKey, _ := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	ecSigner, _ := ssh.NewSignerFromKey(ecKey)
	ivanovs := key(ivanov)
	// sub replaces in the bytes and leaves the signature as it was.
	sub := func(old, new string) func(*testing.T, []byte) []byte {
		return func(t *testing.T, raw []byte) []byte {
			if !bytes.Contains(raw, []byte(old)) {
				t.Fatalf("nothing like %q in the commit", old)
			}
			return bytes.Replace(raw, []byte(old), []byte(new), 1)
		}
	}
	// signed replaces before signing, so that only the form is wrong.
	signed := func(old, new string) func(*testing.T, []byte) []byte {
		return func(t *testing.T, raw []byte) []byte {
			return resign(t, sub(old, new)(t, withoutSignature(raw)), ivanovs, "git")
		}
	}
	sigLine := func(raw []byte, n int) string {
		_, sig, _ := bytes.Cut(raw, []byte("gpgsig "))
		return strings.Split(string(sig), "\n")[n]
	}
	for _, c := range []struct {
		name  string
		forge func(*testing.T, []byte) []byte
		state logbook.State
		why   string
	}{
		{"as it was", func(t *testing.T, raw []byte) []byte { return raw }, logbook.Signed, ""},
		{"A01 no signature", func(t *testing.T, raw []byte) []byte { return withoutSignature(raw) }, logbook.Unsigned, ""},
		{"A08 message altered", sub("step 1", "step 9"), logbook.BadSignature, "not over these bytes"},
		{"A05 the signature is over another tree", func(t *testing.T, raw []byte) []byte {
			return append([]byte("tree 4b825dc642cb6eb9a060e54bf8d69288fbee4904"), raw[45:]...)
		}, logbook.BadSignature, "not over these bytes"},
		{"A06 author altered", sub("author ivanov", "author berg"), logbook.BadSignature, "not over these bytes"},
		{"A07 committer's date altered", sub("1704111000 +0000\ngpgsig", "1704111001 +0000\ngpgsig"), logbook.BadSignature, "not over these bytes"},
		{"A24 signed with a certificate", func(t *testing.T, raw []byte) []byte {
			cert := &ssh.Certificate{Key: ivanovs.PublicKey(), CertType: ssh.UserCert, ValidPrincipals: []string{"ivanov"}, ValidBefore: ssh.CertTimeInfinity}
			if err := cert.SignCert(rand.Reader, key(shore)); err != nil {
				t.Fatal(err)
			}
			signer, err := ssh.NewCertSigner(cert, ivanovs)
			if err != nil {
				t.Fatal(err)
			}
			return resign(t, withoutSignature(raw), signer, "git")
		}, logbook.OtherSignature, "an SSH key of kind ssh-ed25519-cert-v01@openssh.com"},
		{"A25 signed with OpenPGP", func(t *testing.T, raw []byte) []byte {
			return withHeader(withoutSignature(raw), "gpgsig", []byte(openPGP))
		}, logbook.OtherSignature, "an OpenPGP signature"},
		{"A25 signed with X.509", func(t *testing.T, raw []byte) []byte {
			return withHeader(withoutSignature(raw), "gpgsig", []byte("-----BEGIN SIGNED MESSAGE-----\nMII=\n-----END SIGNED MESSAGE-----\n"))
		}, logbook.OtherSignature, "an X.509 signature"},
		{"A22 signed with an RSA key", func(t *testing.T, raw []byte) []byte {
			return resign(t, withoutSignature(raw), rsaSigner, "git")
		}, logbook.OtherSignature, "an SSH key of kind ssh-rsa"},
		{"A23 signed with an ECDSA key", func(t *testing.T, raw []byte) []byte {
			return resign(t, withoutSignature(raw), ecSigner, "git")
		}, logbook.OtherSignature, "an SSH key of kind ecdsa-sha2-nistp256"},
		{"A17 signed for files", func(t *testing.T, raw []byte) []byte {
			return resign(t, withoutSignature(raw), ivanovs, "file")
		}, logbook.Malformed, "the signature was made for file"},
		{"A10 two signatures: a twin that anybody can make", func(t *testing.T, raw []byte) []byte {
			return withHeader(raw, "gpgsig", []byte(openPGP))
		}, logbook.Malformed, "the header gpgsig stands twice"},
		{"A11 a gpgsig-sha256 header: another twin", func(t *testing.T, raw []byte) []byte {
			return withHeader(raw, "gpgsig-sha256", []byte("anything\n"))
		}, logbook.Malformed, `the header "gpgsig-sha256" does not belong`},
		{"A30 a mergetag", func(t *testing.T, raw []byte) []byte {
			return resign(t, withHeader(withoutSignature(raw), "mergetag", []byte("object x\ntype commit\n")), ivanovs, "git")
		}, logbook.Malformed, `the header "mergetag" does not belong`},
		{"A30 an encoding", func(t *testing.T, raw []byte) []byte {
			return resign(t, withHeader(withoutSignature(raw), "encoding", []byte("ISO-8859-1\n")), ivanovs, "git")
		}, logbook.Malformed, `the header "encoding" does not belong`},
		{"A30 an unknown header behind the signature", func(t *testing.T, raw []byte) []byte {
			return withHeader(raw, "note", []byte("x\n"))
		}, logbook.Malformed, `the header "note" does not belong`},
		{"A26 a second tree in front", func(t *testing.T, raw []byte) []byte {
			return append([]byte("tree 4b825dc642cb6eb9a060e54bf8d69288fbee4904\n"), raw...)
		}, logbook.Malformed, "the header tree stands twice"},
		{"A26 a second tree behind the first", func(t *testing.T, raw []byte) []byte {
			return sub("\nparent ", "\ntree 4b825dc642cb6eb9a060e54bf8d69288fbee4904\nparent ")(t, raw)
		}, logbook.Malformed, "the header tree stands twice"},
		{"a parent behind the author", func(t *testing.T, raw []byte) []byte {
			p := string(raw[bytes.Index(raw, []byte("parent ")):][:48])
			return resign(t, sub("committer ", p+"committer ")(t, sub(p, "")(t, withoutSignature(raw))), ivanovs, "git")
		}, logbook.Malformed, "the header parent stands after a later one"},
		{"A27 two authors", signed("committer ", "author x <x> 1704111000 +0000\ncommitter "), logbook.Malformed, "the header author stands twice"},
		{"L04 the date 0", signed("committer ivanov@second-engineer <hand@example.org> 1704111000", "committer ivanov@second-engineer <hand@example.org> 0"), logbook.Malformed, "the date 0"},
		{"L16 a negative date", signed("1704111000 +0000\ncommitter", "-5 +0000\ncommitter"), logbook.Malformed, "not of the form name <address> seconds zone"},
		{"L04 the date 1: before the key's first day", signed("committer ivanov@second-engineer <hand@example.org> 1704111000", "committer ivanov@second-engineer <hand@example.org> 1"), logbook.OutsideWindow, "stated 1970-01-01 00:00Z"},
		{"L12 the year 10000", signed("committer ivanov@second-engineer <hand@example.org> 1704111000", "committer ivanov@second-engineer <hand@example.org> 253402300800"), logbook.Malformed, "lies beyond the year 9999"},
		{"L05 the zone -1200", signed("1704111000 +0000\ncommitter", "1704111000 -1200\ncommitter"), logbook.Signed, ""},
		{"L12 a date of 13 digits", signed("1704111000 +0000\ncommitter", "9999999999999 +0000\ncommitter"), logbook.Malformed, "not of 1 to 12 digits"},
		{"L05 the zone +1400", signed("1704111000 +0000\ncommitter", "1704111000 +1400\ncommitter"), logbook.Signed, ""},
		{"L05 the zone +9999", signed("1704111000 +0000\ncommitter", "1704111000 +9999\ncommitter"), logbook.Malformed, "no place keeps the zone"},
		{"A29 a carriage return in a name", signed("author ivanov", "author iva\rnov"), logbook.Malformed, "control character"},
		{"a carriage return in the message", signed("step 1", "step\r1"), logbook.Malformed, "a carriage return"},
		{"A28 a NUL in the message", signed("step 1", "step\x001"), logbook.Malformed, "a NUL byte"},
		{"bytes that are not UTF-8", signed("step 1", "st\xff"), logbook.Malformed, "not UTF-8"},
		{"A12 armour in lines of 64", func(t *testing.T, raw []byte) []byte {
			head, sig, _ := bytes.Cut(raw, []byte("gpgsig -----BEGIN SSH SIGNATURE-----\n"))
			sig, tail, _ := bytes.Cut(sig, []byte(" -----END"))
			text := strings.NewReplacer("\n", "", " ", "").Replace(string(sig))
			out := string(head) + "gpgsig -----BEGIN SSH SIGNATURE-----\n"
			for len(text) > 64 {
				out, text = out+" "+text[:64]+"\n", text[64:]
			}
			return []byte(out + " " + text + "\n -----END" + string(tail))
		}, logbook.Malformed, "not written as ssh-keygen writes it"},
		{"A13 text behind the armour", sub("-----END SSH SIGNATURE-----\n", "-----END SSH SIGNATURE-----\n more\n"), logbook.Malformed, "does not end with its closing line"},
		{"A14 a blank in the base64", func(t *testing.T, raw []byte) []byte {
			l := sigLine(raw, 1)
			return bytes.Replace(raw, []byte(l), []byte(l[:20]+" "+l[20:]), 1)
		}, logbook.Malformed, "not written as ssh-keygen writes it"},
		{"A15 bits in the base64 that nobody reads", func(t *testing.T, raw []byte) []byte {
			end := bytes.Index(raw, []byte("=\n -----END SSH"))
			if end < 0 {
				t.Fatal("the base64 has no filling at its end")
			}
			raw[end-1]++ // of whose six bits the lowest two stand for nothing
			return raw
		}, logbook.Malformed, "not written as ssh-keygen writes it"},
		{"A16 an empty armour", func(t *testing.T, raw []byte) []byte {
			return withHeader(withoutSignature(raw), "gpgsig", trace.Armour(nil))
		}, logbook.Malformed, "does not begin with SSHSIG"},
		{"a signature of nothing", func(t *testing.T, raw []byte) []byte {
			return withHeader(withoutSignature(raw), "gpgsig", []byte("\n"))
		}, logbook.Malformed, "does not begin as one of OpenSSH"},
		{"A18 signed for nothing", blob(func(b []byte) []byte {
			return bytes.Replace(b, []byte("\x00\x00\x00\x03git\x00\x00\x00\x00"), []byte("\x00\x00\x00\x00\x00\x00\x00\x00"), 1)
		}), logbook.Malformed, "the signature was made for "},
		{"A19 version 2", blob(func(b []byte) []byte { b[9] = 2; return b }), logbook.Malformed, "of version 2"},
		{"bytes behind the signature", blob(func(b []byte) []byte { return append(b, 0) }), logbook.Malformed, "has bytes behind it"},
		{"cut short", blob(func(b []byte) []byte { return b[:len(b)-1] }), logbook.Malformed, "cut short"},
		{"A20 a reserved field that is not empty", blob(func(b []byte) []byte {
			return bytes.Replace(b, []byte("\x00\x00\x00\x03git\x00\x00\x00\x00"), []byte("\x00\x00\x00\x03git\x00\x00\x00\x01x"), 1)
		}), logbook.Malformed, "reserved field is not empty"},
		{"A21 the digest sha1", blob(func(b []byte) []byte {
			return bytes.Replace(b, []byte("\x00\x00\x00\x06sha512"), []byte("\x00\x00\x00\x04sha1"), 1)
		}), logbook.Malformed, `uses the digest "sha1"`},
		{"A21 a digest nobody knows", blob(func(b []byte) []byte {
			return bytes.Replace(b, []byte("sha512"), []byte("sha999"), 1)
		}), logbook.Malformed, `uses the digest "sha999"`},
		{"the digest changed to sha256", blob(func(b []byte) []byte {
			return bytes.Replace(b, []byte("sha512"), []byte("sha256"), 1)
		}), logbook.BadSignature, "not over these bytes"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := found(shore, berg, ivanov)
			s.by(ivanov, record, overhaul())
			dir, ids := s.book(t)
			tip := forge(t, dir, ids[1], func(raw []byte) []byte { return c.forge(t, raw) })
			trail := read(t, dir, ids)
			got := trail.Commits[len(trail.Commits)-1]
			if got.ID != tip || got.State != c.state || !strings.Contains(got.Why, c.why) {
				t.Errorf("%s: %s, want %s: %s", got.State, got.Why, c.state, c.why)
			}
			if trail.Proved != (c.state == logbook.Signed) {
				t.Errorf("proved %v: %s", trail.Proved, trail.Headline)
			}
			if c.state == logbook.Signed || c.name == "L05 the zone +1400" {
				if out, ok := oracle(t, dir, nil, "git", "verify-commit", tip); !ok {
					t.Errorf("git disagrees: %s", out)
				}
			}
		})
	}
}

// blob changes a signature's bytes and armours them again.
func blob(f func([]byte) []byte) func(*testing.T, []byte) []byte {
	return func(t *testing.T, raw []byte) []byte {
		_, sig, _ := bytes.Cut(raw, []byte("gpgsig "))
		sig, _, _ = bytes.Cut(sig, []byte("\n\n"))
		armour := append(bytes.ReplaceAll(sig, []byte("\n "), []byte("\n")), '\n')
		old := unarmour(t, armour)
		return withHeader(withoutSignature(raw), "gpgsig", trace.Armour(f(old)))
	}
}

func TestParentSwapped(t *testing.T) {
	t.Run("A09 another parent under the old signature", func(t *testing.T) {
		s := found(shore, berg, ivanov)
		s.by(ivanov, record, overhaul("a", "1"))
		s.by(berg, record, overhaul("a", "2"))
		dir, ids := s.book(t)
		forge(t, dir, ids[2], func(raw []byte) []byte { return bytes.Replace(raw, []byte(ids[1]), []byte(ids[0]), 1) })
		if c := read(t, dir, ids).Commits[1]; c.State != logbook.BadSignature {
			t.Errorf("%s: %s", c.State, c.Why)
		}
	})
}

// The commit with a forged form keeps all that it brought: reading is never blocked.
func TestMalformedIsShown(t *testing.T) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul("a", "1"))
	dir, ids := s.book(t)
	forge(t, dir, ids[1], func(raw []byte) []byte { return withHeader(raw, "note", []byte("x\n")) })
	trail := read(t, dir, ids)
	if r := trail.Records[record]; r == nil || r.Now().State != logbook.Malformed || len(r.Signers) != 0 {
		t.Errorf("record %+v", r)
	}
	if _, err := trace.FS(dir, ""); err != nil {
		t.Error(err)
	}
}

// What a commit whose bytes are not those that were signed says of who may sign has no force, whoever signed it first.
func TestForgedRegisterHasNoForce(t *testing.T) {
	s := found(shore, berg)
	s.by(shore, "signers/allowed_signers", lines(shore, berg)+line(nobody, []string{"engineer"}, "", ""))
	dir, ids := s.book(t)
	forge(t, dir, ids[1], func(raw []byte) []byte { return append(raw, "more\n"...) })
	commitOn(t, dir, nobody, "parts/h-1.md", "---\n---\n")
	trail := read(t, dir, ids)
	if c := trail.Commits[1]; c.State != logbook.BadSignature {
		t.Errorf("the forged commit: %s: %s", c.State, c.Why)
	}
	if c := trail.Commits[2]; c.Stands || c.State != logbook.UnknownKey {
		t.Errorf("whom it lets in: %s: %s", c.State, c.Why)
	}
}
