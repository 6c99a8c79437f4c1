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

// Verdicts of linear histories agree with git where the two ask the same question: is this commit
// signed by a key of the register at the tip.
func TestGitAgreesOnLinearHistories(t *testing.T) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul())
	s.by(nobody, record, overhaul("a", "1"))
	s.by(berg, record, overhaul("a", "2"))
	s.unsigned()
	s.by(berg, "hands/signers", lines(shore, berg, ivanov, reyes))
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
