package trace_test

import (
	"bytes"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/pem"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
	"golang.org/x/crypto/ssh"

	"needlebook/logbook"
	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

func hexBytes(s string) []byte {
	b, err := hex.DecodeString(s)
	if err != nil {
		panic(err)
	}
	return b
}

func unarmour(t testing.TB, armour []byte) []byte {
	t.Helper()
	p, _ := pem.Decode(armour)
	if p == nil {
		t.Fatalf("no armour: %q", armour)
	}
	return p.Bytes
}

// rfc8032 is the key of TEST 1 in RFC 8032, section 7.1.
func rfc8032(t testing.TB) ssh.Signer {
	t.Helper()
	s, err := ssh.NewSignerFromKey(ed25519.NewKeyFromSeed(hexBytes("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60")))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestPublishedSignatures(t *testing.T) {
	signer := rfc8032(t)
	// RFC 8032, section 7.1, TEST 1: public key and signature of the empty message.
	sig, err := signer.Sign(nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	if want := hexBytes("e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b"); !bytes.Equal(sig.Blob, want) {
		t.Errorf("signature %x, want %x", sig.Blob, want)
	}
	wire := signer.PublicKey().Marshal()
	if want := hexBytes("d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"); !bytes.HasSuffix(wire, want) {
		t.Errorf("public key %x, want %x", wire, want)
	}
	// The fingerprint as OpenSSH 9.2p1, ssh-keygen -l, prints it for that key.
	if got, want := trace.Fingerprint(wire), "SHA256:bbXpuKG6zhzdmnxq256TlqzFBzRl2f6OOg722cYNbU8"; got != want {
		t.Errorf("fingerprint %s, want %s", got, want)
	}
	// The signature file as OpenSSH 9.2p1, ssh-keygen -Y sign -n file, writes it (PROTOCOL.sshsig): its SHA-256.
	armour, err := exchange.Sign([]byte("hello needlebook\n"), signer, "file")
	if err != nil {
		t.Fatal(err)
	}
	if got, want := fmt.Sprintf("%x", sha256.Sum256(armour)), "0f48fc47dd5af3ba59a7756696338f22ed47a241b32868667b1f8762f051d62b"; got != want {
		t.Errorf("armour has SHA-256 %s, want %s", got, want)
	}
	// The ids that git 2.39.5 gives to that text, and to a tree that holds it as m.txt.
	text := plumbing.ComputeHash(plumbing.BlobObject, []byte("hello needlebook\n"))
	if want := "f48fe9ddecdeba56113c5bcec73826e8d937af74"; text.String() != want {
		t.Errorf("text %s, want %s", text, want)
	}
	tree := plumbing.ComputeHash(plumbing.TreeObject, append([]byte("100644 m.txt\x00"), text[:]...))
	if want := "c233f3c7c9586d6aae4618f900e4e07828be71b4"; tree.String() != want {
		t.Errorf("tree %s, want %s", tree, want)
	}
}

// RFC 8032, section 7.1, TEST 2 and TEST 3.
func TestPublishedVectors(t *testing.T) {
	for _, c := range []struct{ name, seed, public, message, signature string }{
		{"TEST 2", "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb", "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c", "72",
			"92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"},
		{"TEST 3", "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7", "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "af82",
			"6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a"},
	} {
		signer, err := ssh.NewSignerFromKey(ed25519.NewKeyFromSeed(hexBytes(c.seed)))
		if err != nil {
			t.Fatal(err)
		}
		sig, err := signer.Sign(nil, hexBytes(c.message))
		if err != nil || !bytes.Equal(sig.Blob, hexBytes(c.signature)) || !bytes.HasSuffix(signer.PublicKey().Marshal(), hexBytes(c.public)) {
			t.Errorf("%s: signature %x, want %s (%v)", c.name, sig.Blob, c.signature, err)
		}
	}
}

// The whole commit as git 2.39.5 with OpenSSH 9.2p1 makes it from the key of RFC 8032's TEST 1, the tree
// above and these names and dates.
func TestGoldenCommit(t *testing.T) {
	signer := exchange.Person{Name: "A. Hand", Email: "a.hand@example.org", When: time.Unix(1709294400, 0).UTC()}
	ids, err := exchange.Build(filepath.Join(t.TempDir(), "book"), []exchange.Step{{Draft: exchange.Draft{Author: signer, Message: "golden", Signer: rfc8032(t),
		Changes: []exchange.Change{{Path: "m.txt", Text: []byte("hello needlebook\n")}}}}})
	if err != nil || ids[0] != "2ac902f4c2a47e5b32997ba3ef54d83197ffda63" {
		t.Errorf("commit %v, want 2ac902f4c2a47e5b32997ba3ef54d83197ffda63 (%v)", ids, err)
	}
}

// privateKey writes a key as OpenSSH reads it.
func privateKey(t testing.TB, dir, name string) string {
	t.Helper()
	seed := sha256.Sum256([]byte("needlebook test key of " + name))
	block, err := ssh.MarshalPrivateKey(ed25519.NewKeyFromSeed(seed[:]), name)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, strings.ReplaceAll(name, "@", "-")+".key")
	if err := os.WriteFile(file, pem.EncodeToMemory(block), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file+".pub", ssh.MarshalAuthorizedKey(key(name).PublicKey()), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// A commit that git makes with ssh-keygen and one that is made here are the same commit, id and all.
func TestGitMakesTheSameCommit(t *testing.T) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul("a", "1"))
	ours, ids := s.book(t)
	theirs, _ := found(shore, berg, ivanov).book(t)
	file := privateKey(t, t.TempDir(), ivanov)
	if err := os.MkdirAll(filepath.Join(theirs, filepath.Dir(record)), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(theirs, record), []byte(overhaul("a", "1")), 0o666); err != nil {
		t.Fatal(err)
	}
	date := fmt.Sprint(zero.Add(10*time.Minute).Unix(), " +0000")
	oracle(t, theirs, nil, "git", "add", record)
	if out, ok := oracle(t, theirs, nil, "env", "GIT_AUTHOR_DATE="+date, "GIT_COMMITTER_DATE="+date,
		"git", "-c", "user.name="+ivanov, "-c", "user.email=hand@example.org", "-c", "user.signingkey="+file, "commit", "-q", "-S", "-m", "step 1"); !ok {
		t.Fatalf("git commit: %s", out)
	}
	out, _ := oracle(t, theirs, nil, "git", "rev-parse", "HEAD")
	if strings.TrimSpace(out) != ids[1] {
		t.Errorf("git made %s, here %s", out, ids[1])
	}
	for _, dir := range []string{ours, theirs} {
		if trail := read(t, dir, ids); !trail.Proved {
			t.Errorf("%s", trail.Headline)
		}
	}
}

// What ssh-keygen says of a signers file and a signature, we say (ssh-keygen(1), ALLOWED SIGNERS).
func TestSSHKeygenAgrees(t *testing.T) {
	text := []byte("hello needlebook\n")
	for _, c := range []struct {
		name               string
		signers            string
		principal, space   string
		at                 string // verify time
		tampered, accepted bool
	}{
		{"good", lines(ivanov), ivanov, "git", "20240601Z", false, true},
		{"another principal", lines(ivanov), berg, "git", "20240601Z", false, false},
		{"another namespace", lines(ivanov), ivanov, "file", "20240601Z", false, false},
		{"a role he has", lines(ivanov), ivanov, "engineer@needlebook", "20240601Z", false, true},
		{"a role he has not", lines(ivanov), ivanov, "chief@needlebook", "20240601Z", false, false},
		{"another text", lines(ivanov), ivanov, "git", "20240601Z", true, false},
		{"expired", line(ivanov, roles[ivanov], "20240101", "20240201"), ivanov, "git", "20240601Z", false, false},
		{"expired since, good then", line(ivanov, roles[ivanov], "20240101", "20240201"), ivanov, "git", "20240115Z", false, true},
		{"not yet", line(ivanov, roles[ivanov], "20240101", "20240201"), ivanov, "git", "20231231Z", false, false},
		{"in the last second", line(ivanov, roles[ivanov], "20240101", "202402011230"), ivanov, "git", "20240201123000Z", false, true},
		{"a second late", line(ivanov, roles[ivanov], "20240101", "202402011230"), ivanov, "git", "20240201123001Z", false, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			sig, err := exchange.Sign(text, key(ivanov), c.space)
			if err != nil {
				t.Fatal(err)
			}
			os.WriteFile(filepath.Join(dir, "signers"), []byte(c.signers), 0o600)
			os.WriteFile(filepath.Join(dir, "sig"), sig, 0o600)
			message := bytes.Clone(text)
			if c.tampered {
				message[0]++
			}
			out, ok := oracle(t, dir, message, "ssh-keygen", "-Y", "verify", "-f", "signers", "-I", c.principal, "-n", c.space, "-s", "sig", "-Overify-time="+c.at)
			if ok != c.accepted {
				t.Errorf("ssh-keygen: %v, want %v: %s", ok, c.accepted, out)
			}
			at, _ := time.Parse("20060102150405Z", (strings.TrimSuffix(c.at, "Z") + "000000")[:14]+"Z")
			if got := trace.Accepts([]byte(c.signers), c.principal, c.space, at, message, sig); got != c.accepted {
				t.Errorf("here: %v, want %v", got, c.accepted)
			}
		})
	}
}

// ssh-keygen signs and we read it, from a key that it made itself.
func TestSSHKeygenSigns(t *testing.T) {
	dir := t.TempDir()
	if out, ok := oracle(t, dir, nil, "ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", "x", "-f", "k"); !ok {
		t.Fatal(out)
	}
	os.WriteFile(filepath.Join(dir, "text"), []byte("a text\n"), 0o600)
	if out, ok := oracle(t, dir, nil, "ssh-keygen", "-Y", "sign", "-q", "-f", "k", "-n", "git", "text"); !ok {
		t.Fatal(out)
	}
	sig, _ := os.ReadFile(filepath.Join(dir, "text.sig"))
	pub, _ := os.ReadFile(filepath.Join(dir, "k.pub"))
	signers := []byte(`a@b namespaces="git,engineer@needlebook" ` + strings.TrimSpace(string(pub)) + "\n")
	if !trace.Accepts(signers, "a@b", "git", zero, []byte("a text\n"), sig) {
		t.Error("a signature by ssh-keygen is not accepted")
	}
	out, _ := oracle(t, dir, nil, "ssh-keygen", "-l", "-f", "k.pub")
	blob, err := base64.StdEncoding.DecodeString(strings.Fields(string(pub))[1])
	if err != nil || !strings.Contains(out, trace.Fingerprint(blob)) {
		t.Errorf("fingerprint %s, ssh-keygen says %s", trace.Fingerprint(blob), out)
	}
}

// Over generated histories, honest and not, git judges every commit's bytes as we do: signed well, by a key
// that somebody knows, or not. Who of them was allowed to when is not asked of git, which cannot tell: the
// signers it is given hold everybody, without dates.
func TestGitAgreesOnGeneratedHistories(t *testing.T) {
	everybody := ""
	for _, n := range []string{shore, berg, ivanov, reyes, nobody} {
		everybody += line(n, []string{"engineer"}, "", "")
	}
	signers := filepath.Join(t.TempDir(), "signers")
	if err := os.WriteFile(signers, []byte(everybody), 0o600); err != nil {
		t.Fatal(err)
	}
	commits := 0
	for seed := range count(3, 320) {
		f := newFleet(uint64(5000 + seed))
		if seed%2 == 1 {
			f.spoil = attacks[seed/2%len(attacks)].make
		}
		f.play(8 + seed%12)
		dir, ids := f.book(t)
		if seed%5 == 4 { // and one whose bytes were changed after signing
			ids[len(ids)-1] = forge(t, dir, ids[len(ids)-1], func(raw []byte) []byte { return append(raw, "more\n"...) })
		}
		out, ok := oracle(t, dir, nil, "git", "-c", "gpg.ssh.allowedSignersFile="+signers, "log", "--format=%H %G? %GF")
		if !ok {
			t.Fatal(out)
		}
		theirs := map[string]string{}
		for l := range strings.Lines(out) {
			id, rest, _ := strings.Cut(strings.TrimSpace(l), " ")
			theirs[id] = rest
		}
		trail := read(t, dir, ids)
		if len(theirs) != len(trail.Commits) {
			t.Fatalf("seed %d: git lists %d commits, here %d", seed, len(theirs), len(trail.Commits))
		}
		for _, c := range trail.Commits {
			want := "G " + c.Key
			switch c.State {
			case logbook.Unsigned:
				want = "N"
			case logbook.BadSignature:
				want = "B"
			case logbook.SecondRoot: // refused for its place; its bytes are good
			}
			got := theirs[c.ID]
			if want == "B" {
				got = got[:1]
			}
			if got != want {
				t.Errorf("seed %d, commit %s: git says %q, here %q (%s)", seed, c.ID, got, want, c.State)
			}
			commits++
		}
		if seed%2 == 0 && seed%5 != 4 {
			if out, ok := oracle(t, dir, nil, "git", "fsck", "--strict", "--full"); !ok {
				t.Errorf("seed %d: git fsck: %s", seed, out)
			}
		}
	}
	t.Logf("%d commits", commits)
}

// Git calls these good, and we do not, on purpose: it reads what is signed and passes over what is not, so
// that anybody makes a twin of a commit under another id; or it asks OpenSSH for no date when the date is 0.
func TestWhereGitIsSatisfied(t *testing.T) {
	for _, c := range []struct {
		name  string
		forge func(raw []byte) []byte
		state logbook.State
	}{
		{"a second signature", func(raw []byte) []byte { return withHeader(raw, "gpgsig", []byte(openPGP)) }, logbook.Malformed},
		{"free text in a gpgsig-sha256 header", func(raw []byte) []byte { return withHeader(raw, "gpgsig-sha256", []byte("anything\n")) }, logbook.Malformed},
		{"the date 0, with a key that is good from 2024 on", func(raw []byte) []byte {
			raw = bytes.Replace(withoutSignature(raw), []byte("<hand@example.org> 1704111000 +0000\n\n"), []byte("<hand@example.org> 0 +0000\n\n"), 1)
			return resign(t, raw, key(ivanov), "git")
		}, logbook.Malformed},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := found(shore, berg, ivanov)
			s.by(ivanov, record, overhaul())
			dir, ids := s.book(t)
			tip := forge(t, dir, ids[1], c.forge)
			if out, ok := oracle(t, dir, nil, "git", "verify-commit", tip); !ok {
				t.Errorf("git is expected to be satisfied: %s", out)
			}
			if got := read(t, dir, ids).Commits[1].State; got != c.state {
				t.Errorf("here %s, want %s", got, c.state)
			}
		})
	}
}

// A commit signed with a real OpenPGP key, which git and gpg call good: here it is named for what it is and
// speaks for nobody.
func TestRealOpenPGP(t *testing.T) {
	if !wider {
		t.Skip("makes an OpenPGP key; runs with NEEDLEBOOK_WIDER=1")
	}
	s := found(shore, berg, ivanov)
	dir, ids := s.book(t)
	home := t.TempDir()
	os.Chmod(home, 0o700)
	gpg := func(args ...string) (string, bool) {
		return oracle(t, dir, nil, "env", append([]string{"GNUPGHOME=" + home}, args...)...)
	}
	t.Cleanup(func() { gpg("gpgconf", "--kill", "all") })
	if out, ok := gpg("gpg", "--batch", "--pinentry-mode", "loopback", "--passphrase", "", "--quick-generate-key", "ivanov <ivanov@example.org>", "ed25519", "sign", "never"); !ok {
		t.Fatal(out)
	}
	write(t, dir, record, overhaul())
	oracle(t, dir, nil, "git", "add", record)
	if out, ok := gpg("git", "-c", "user.name=ivanov", "-c", "user.email=ivanov@example.org", "-c", "gpg.format=openpgp", "-c", "user.signingkey=ivanov@example.org", "commit", "-q", "-S", "-m", "x"); !ok {
		t.Fatal(out)
	}
	if out, _ := gpg("git", "-c", "gpg.format=openpgp", "log", "-1", "--format=%G?"); strings.TrimSpace(out) != "G" && strings.TrimSpace(out) != "U" {
		t.Errorf("git and gpg say %q", out)
	}
	trail := read(t, dir, ids)
	if c := trail.Commits[1]; c.State != logbook.OtherSignature || c.Why != "an OpenPGP signature" || trail.Proved {
		t.Errorf("%s: %s", c.State, c.Why)
	}
}

// What a revoked key signed: ssh-keygen with a list of revoked keys calls all of it bad, whenever it was
// signed (ssh-keygen(1), KEY REVOCATION LISTS). A book takes a key out at a commit, and what was signed and
// seen before it stays signed: that is why its register and not such a list says who may sign.
func TestRevokedKeys(t *testing.T) {
	dir := t.TempDir()
	file := privateKey(t, dir, ivanov)
	sig, err := exchange.Sign([]byte("text\n"), key(ivanov), "git")
	if err != nil {
		t.Fatal(err)
	}
	os.WriteFile(filepath.Join(dir, "signers"), []byte(lines(ivanov)), 0o600)
	os.WriteFile(filepath.Join(dir, "sig"), sig, 0o600)
	if out, ok := oracle(t, dir, nil, "ssh-keygen", "-q", "-k", "-f", "revoked", file+".pub"); !ok {
		t.Fatal(out)
	}
	if out, ok := oracle(t, dir, []byte("text\n"), "ssh-keygen", "-Y", "verify", "-f", "signers", "-I", ivanov, "-n", "git", "-s", "sig", "-r", "revoked"); ok {
		t.Errorf("ssh-keygen takes a revoked key: %s", out)
	}
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul())
	s.by(shore, "signers/allowed_signers", lines(shore, berg))
	book, ids := s.book(t)
	if c := read(t, book, ids).Commits[1]; c.State != logbook.Signed {
		t.Errorf("here %s: %s", c.State, c.Why)
	}
}

// Verdicts of linear histories agree with git where the two ask the same question: is this commit
// signed by a key of the register at the tip.
func TestGitAgreesOnLinearHistories(t *testing.T) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul())
	s.by(nobody, record, overhaul("a", "1"))
	s.by(berg, record, overhaul("a", "2"))
	s.unsigned()
	s.by(berg, "signers/allowed_signers", lines(shore, berg, ivanov, reyes))
	s.by(reyes, record, overhaul("a", "3"))
	dir, ids := s.book(t)
	out, _ := oracle(t, dir, nil, "git", "log", "--reverse", "--format=%H %G? %GS")
	trail := read(t, dir, ids)
	ours := ""
	for _, c := range trail.Commits {
		letter := map[bool]string{true: "G", false: "U"}[c.State.Speaks()]
		if c.State == "unsigned" {
			letter = "N"
		}
		ours += fmt.Sprintf("%s %s %s\n", c.ID, letter, c.Signer)
	}
	if out != ours {
		t.Errorf("git says\n%shere\n%s", out, ours)
	}
}
