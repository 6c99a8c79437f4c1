package signers

import (
	"bytes"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/rsa"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/crypto/ssh"
	"golang.org/x/crypto/ssh/agent"

	"needlebook/logbook/exchange"
)

// desk is a person's folder with keys, and an agent at a socket.
type desk struct {
	t      *testing.T
	home   string
	ring   agent.Agent
	socket string
}

func newDesk(t *testing.T) *desk {
	d := &desk{t: t, home: t.TempDir(), ring: agent.NewKeyring()}
	d.serve(d.ring)
	return d
}

func (d *desk) serve(a agent.Agent) {
	dir, err := os.MkdirTemp("", "nb") // a socket's path is short
	if err != nil {
		d.t.Fatal(err)
	}
	d.socket = filepath.Join(dir, "agent")
	l, err := net.Listen("unix", d.socket)
	if err != nil {
		d.t.Skipf("no sockets here: %v", err)
	}
	d.t.Cleanup(func() { l.Close(); os.RemoveAll(dir) })
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go agent.ServeAgent(a, c)
		}
	}()
}

// make writes a key below .ssh and returns its public half.
func (d *desk) make(name, phrase string) ssh.PublicKey {
	public, err := Make(filepath.Join(d.home, ".ssh", name), name, []byte(phrase))
	if err != nil {
		d.t.Fatal(err)
	}
	return public
}

// load puts a key file into the agent and takes the secret half away.
func (d *desk) load(name string) {
	file := filepath.Join(d.home, ".ssh", name)
	text, err := os.ReadFile(file)
	if err != nil {
		d.t.Fatal(err)
	}
	secret, err := ssh.ParseRawPrivateKey(text)
	if err == nil {
		err = d.ring.Add(agent.AddedKey{PrivateKey: secret})
	}
	if err := errors.Join(err, os.Remove(file)); err != nil {
		d.t.Fatal(err)
	}
}

func TestFind(t *testing.T) {
	all := func(string) bool { return true }
	for _, c := range []struct {
		name string
		set  func(d *desk, s *Sources) ssh.PublicKey // the key that is to be found
		from string
		says string // of the error
	}{
		{"a named file", func(d *desk, s *Sources) ssh.PublicKey { k := d.make("a", ""); s.File = d.home + "/.ssh/a"; return k }, "named", ""},
		{"a named file goes before git's setting", func(d *desk, s *Sources) ssh.PublicKey {
			d.make("b", "")
			k := d.make("a", "")
			s.File, s.Setting, s.Format = d.home+"/.ssh/a", d.home+"/.ssh/b", "ssh"
			return k
		}, "named", ""},
		{"git's setting, from the home folder", func(d *desk, s *Sources) ssh.PublicKey {
			k := d.make("a", "")
			s.Setting, s.Format = "~/.ssh/a.pub", "ssh"
			return k
		}, "git's user.signingkey", ""},
		{"git's setting, the key written out, in the agent", func(d *desk, s *Sources) ssh.PublicKey {
			k := d.make("a", "")
			d.load("a")
			s.Setting, s.Format = "key::"+string(ssh.MarshalAuthorizedKey(k)), "ssh"
			return k
		}, "git's user.signingkey, through the agent", ""},
		{"the same, no agent holds it", func(d *desk, s *Sources) ssh.PublicKey {
			k := d.make("a", "")
			s.Setting, s.Format = string(ssh.MarshalAuthorizedKey(k)), "ssh"
			return nil
		}, "", "which no agent holds; load it with ssh-add"},
		{"git signs with OpenPGP elsewhere: its key id is not taken for a file", func(d *desk, s *Sources) ssh.PublicKey {
			s.Setting, s.Format = "0xDEADBEEF", "openpgp"
			return d.make("id_ed25519", "")
		}, ".ssh/id_ed25519", ""},
		{"the agent's one key of the book", func(d *desk, s *Sources) ssh.PublicKey {
			k := d.make("a", "")
			d.load("a")
			d.make("b", "")
			d.load("b")
			s.Listed = func(f string) bool { return f == ssh.FingerprintSHA256(k) }
			return k
		}, "the agent", ""},
		{"two keys of the book in the agent", func(d *desk, s *Sources) ssh.PublicKey {
			d.make("a", "")
			d.load("a")
			d.make("b", "")
			d.load("b")
			return nil
		}, "", "the agent holds 2 keys of the book; name yours with --key"},
		{"the file below .ssh", func(d *desk, s *Sources) ssh.PublicKey { return d.make("needlebook_ed25519", "") }, ".ssh/needlebook_ed25519", ""},
		{"locked with a passphrase", func(d *desk, s *Sources) ssh.PublicKey {
			s.Ask = func(string) ([]byte, error) { return []byte("one two three"), nil }
			return d.make("id_ed25519", "one two three")
		}, ".ssh/id_ed25519", ""},
		{"wrong passphrase", func(d *desk, s *Sources) ssh.PublicKey {
			d.make("id_ed25519", "one two three")
			s.Ask = func(string) ([]byte, error) { return []byte("one two"), nil }
			return nil
		}, "", "the passphrase does not open the key file"},
		{"locked, and nobody to ask", func(d *desk, s *Sources) ssh.PublicKey { d.make("id_ed25519", "one two three"); return nil }, "", "is locked with a passphrase; load it with ssh-add"},
		{"a key that is not of the book", func(d *desk, s *Sources) ssh.PublicKey {
			d.make("id_ed25519", "")
			s.Listed = func(string) bool { return false }
			return nil
		}, "", "needlebook key makes one"},
		{"nothing at all, and a dead agent", func(d *desk, s *Sources) ssh.PublicKey { s.Agent = d.home + "/none"; return nil }, "", "no key to sign with"},
		{"another kind of key", func(d *desk, s *Sources) ssh.PublicKey {
			k, err := rsa.GenerateKey(rand.Reader, 2048)
			if err != nil {
				d.t.Fatal(err)
			}
			public, err := ssh.NewPublicKey(&k.PublicKey)
			if err != nil {
				d.t.Fatal(err)
			}
			s.File = d.home + "/rsa.pub"
			if err := os.WriteFile(s.File, ssh.MarshalAuthorizedKey(public), 0o600); err != nil {
				d.t.Fatal(err)
			}
			return nil
		}, "", "is of kind ssh-rsa; a book takes ssh-ed25519"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := newDesk(t)
			s := Sources{Home: d.home, Agent: d.socket, Listed: all}
			want := c.set(d, &s)
			key, err := Find(s)
			if c.says != "" {
				if err == nil || !strings.Contains(err.Error(), c.says) {
					t.Fatalf("Find: %v, want an error that says %q", err, c.says)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			defer key.Close()
			if !bytes.Equal(key.PublicKey().Marshal(), want.Marshal()) || !strings.HasSuffix(key.From, c.from) {
				t.Errorf("found %s from %s, want %s from %s", key.Fingerprint(), key.From, ssh.FingerprintSHA256(want), c.from)
			}
			sig, err := key.Sign(rand.Reader, []byte("x"))
			if err != nil || want.Verify([]byte("x"), sig) != nil {
				t.Errorf("the key does not sign: %v", err)
			}
		})
	}
}

// token is an agent that holds a hardware key: what it signs carries flags and a counter, as in OpenSSH's PROTOCOL.u2f.
type token struct {
	agent.Agent
	secret ed25519.PrivateKey
}

func (k token) public() ssh.PublicKey {
	wire := ssh.Marshal(struct {
		Kind, Key, App string
	}{ssh.KeyAlgoSKED25519, string(k.secret.Public().(ed25519.PublicKey)), "ssh:"})
	public, err := ssh.ParsePublicKey(wire)
	if err != nil {
		panic("hands: " + err.Error())
	}
	return public
}

func (k token) List() ([]*agent.Key, error) {
	return []*agent.Key{{Format: ssh.KeyAlgoSKED25519, Blob: k.public().Marshal(), Comment: "token"}}, nil
}

func (k token) Sign(_ ssh.PublicKey, data []byte) (*ssh.Signature, error) {
	app, digest := sha256.Sum256([]byte("ssh:")), sha256.Sum256(data)
	rest := binary.BigEndian.AppendUint32([]byte{1}, 7) // touched; the seventh signature
	message := append(append(app[:], rest...), digest[:]...)
	return &ssh.Signature{Format: ssh.KeyAlgoSKED25519, Blob: ed25519.Sign(k.secret, message), Rest: rest}, nil
}

// A hardware key signs through the agent, and ssh-keygen takes the signature.
func TestHardwareKey(t *testing.T) {
	_, secret, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	k := token{agent.NewKeyring(), secret}
	d := &desk{t: t, home: t.TempDir()}
	d.serve(k)
	key, err := Find(Sources{Home: d.home, Agent: d.socket, Listed: func(string) bool { return true }})
	if err != nil {
		t.Fatal(err)
	}
	defer key.Close()
	armour, err := exchange.Sign([]byte("text"), key, "git")
	if err != nil {
		t.Fatal(err)
	}
	keygen, err := exec.LookPath("ssh-keygen")
	if err != nil {
		if os.Getenv("NEEDLEBOOK_WIDER") != "" {
			t.Fatal(err)
		}
		t.Skip("ssh-keygen is not installed")
	}
	sig, signers := filepath.Join(d.home, "sig"), filepath.Join(d.home, "signers")
	line := `x@ship namespaces="git" ` + string(ssh.MarshalAuthorizedKey(k.public()))
	if err := errors.Join(os.WriteFile(sig, armour, 0o600), os.WriteFile(signers, []byte(line), 0o600)); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(keygen, "-Y", "verify", "-f", signers, "-I", "x@ship", "-n", "git", "-s", sig)
	cmd.Stdin = io.Reader(strings.NewReader("text"))
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Errorf("ssh-keygen: %v: %s", err, out)
	}
}
