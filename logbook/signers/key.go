// Package signers knows a signer's own key and the files that say who may sign: where a key is found (git's
// settings, the agent, a key file), how a new one is made, and how a line of signers/allowed_signers, signers/withdrawn
// or signers/adopted is written. It writes no book and judges no history.
//
// Begin with Find, and with Enrol.
package signers

import (
	"bytes"
	"crypto/x509"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/crypto/ssh"
	"golang.org/x/crypto/ssh/agent"

	"needlebook/logbook/budget"
)

// Sources say where a key may be.
type Sources struct {
	// File is a key file named by the person: the secret half, or the .pub of a key that the agent
	// holds. It goes before everything else.
	File string
	// Setting is git's user.signingkey, Format its gpg.format; either may be empty.
	Setting, Format string
	// Home is the person's folder, for .ssh and for ~ in a setting.
	Home string
	// Agent is the socket of ssh-agent, SSH_AUTH_SOCK; empty when none runs.
	Agent string
	// Listed reports whether a key, by its fingerprint, may sign in the book. Of keys that nobody named,
	// only a listed one is taken.
	Listed func(fingerprint string) bool
	// Ask asks for the passphrase of a key file.
	Ask func(file string) ([]byte, error)
}

// ErrNoKey says that no key was found. The text names the places looked at.
var ErrNoKey = errors.New("no key to sign with")

// A Key is a hand's own key, ready to sign.
type Key struct {
	ssh.Signer
	// From says where it was found, in words.
	From string
	// Close ends the talk with the agent; never nil.
	Close func() error
}

// Fingerprint is the key's, SHA256:….
func (k *Key) Fingerprint() string { return Fingerprint(k.PublicKey()) }

// Fingerprint is that of a public key, SHA256:….
func Fingerprint(public ssh.PublicKey) string { return ssh.FingerprintSHA256(public) }

// ownFiles are looked at below .ssh, in this order, when nobody named a key.
var ownFiles = []string{"needlebook_ed25519", "id_ed25519", "id_ed25519_sk"}

// Find finds the hand's key: the one named, else the one that git is set to sign with, else the one key
// of the book that the agent holds, else a key file of the book's below .ssh. The caller closes it.
func Find(s Sources) (*Key, error) {
	if s.File != "" {
		return s.named(s.File, "named")
	}
	if s.Setting != "" && (s.Format == "ssh" || s.Format == "") {
		text, literal := strings.CutPrefix(s.Setting, "key::")
		if literal || strings.HasPrefix(text, "ssh-") || strings.HasPrefix(text, "sk-ssh-") {
			public, _, _, _, err := ssh.ParseAuthorizedKey([]byte(text))
			if err != nil {
				return nil, fmt.Errorf("git's user.signingkey holds no key that can be read: %w", err)
			}
			return s.held(public, "git's user.signingkey")
		}
		if rest, ok := strings.CutPrefix(text, "~/"); ok {
			text = filepath.Join(s.Home, rest)
		}
		if _, err := os.Stat(text); err == nil || s.Format == "ssh" && strings.ContainsAny(text, `/\`) {
			return s.named(text, "git's user.signingkey")
		}
	}
	found, err := s.agentKeys()
	if err != nil {
		return nil, err
	}
	switch len(found) {
	case 1:
		return s.held(found[0], "the agent")
	case 0:
	default:
		return nil, fmt.Errorf("%w: the agent holds %d keys of the book; name yours with --key FILE.pub", ErrNoKey,
			len(found))
	}
	for _, name := range ownFiles {
		file := filepath.Join(s.Home, ".ssh", name)
		public, err := PublicOf(file)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		if s.Listed(ssh.FingerprintSHA256(public)) {
			return s.named(file, file)
		}
	}
	return nil, fmt.Errorf("%w: git's user.signingkey names none, the agent holds none of the book's"+
		"\n    none of %s below %s is one of the book's"+
		"\n    needlebook key makes one, --key FILE names one",
		ErrNoKey, strings.Join(ownFiles, ", "), filepath.Join(s.Home, ".ssh"))
}

// maxKey bounds a file that holds a key.
const maxKey = 1 << 20

// PublicOf reads the public half that belongs to a key file, from the file itself or the .pub beside it.
func PublicOf(file string) (ssh.PublicKey, error) {
	text, err := budget.Read(file, maxKey)
	if err != nil {
		return nil, err
	}
	if public, _, _, _, err := ssh.ParseAuthorizedKey(text); err == nil {
		return public, nil
	}
	var locked *ssh.PassphraseMissingError
	switch signer, err := ssh.ParsePrivateKey(text); {
	case err == nil:
		return signer.PublicKey(), nil
	case errors.As(err, &locked) && locked.PublicKey != nil:
		return locked.PublicKey, nil
	}
	beside, err := budget.Read(file+".pub", maxKey)
	if err != nil {
		return nil, fmt.Errorf("%q is no key file that can be read, and there is no %q: %w", file, file+".pub", err)
	}
	public, _, _, _, err := ssh.ParseAuthorizedKey(beside)
	if err != nil {
		return nil, fmt.Errorf("%q holds no public key: %w", file+".pub", err)
	}
	return public, nil
}

// named opens the key of a file: through the agent when it holds it, else from the secret half.
func (s Sources) named(file, from string) (*Key, error) {
	public, err := PublicOf(file)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoKey, err)
	}
	if err := kind(public); err != nil {
		return nil, err
	}
	if k, err := s.throughAgent(public, from); k != nil || err != nil {
		return k, err
	}
	secret := strings.TrimSuffix(file, ".pub")
	text, err := budget.Read(secret, maxKey)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%w: the agent does not hold the key of %q, and there is no %q; load it with ssh-add",
			ErrNoKey, file, secret)
	}
	if err != nil {
		return nil, err
	}
	if public.Type() == ssh.KeyAlgoSKED25519 {
		return nil, fmt.Errorf("%w: the key of %q is in a hardware token and signs through the agent"+
			"\n    load it with ssh-add %s, then try again", ErrNoKey, file, secret)
	}
	signer, err := ssh.ParsePrivateKey(text)
	var locked *ssh.PassphraseMissingError
	if errors.As(err, &locked) {
		if s.Ask == nil {
			return nil, fmt.Errorf("%w: %q is locked with a passphrase; load it with ssh-add", ErrNoKey, secret)
		}
		var phrase []byte
		if phrase, err = s.Ask(secret); err != nil {
			return nil, err
		}
		signer, err = ssh.ParsePrivateKeyWithPassphrase(text, phrase)
		clear(phrase)
		if errors.Is(err, x509.IncorrectPasswordError) {
			return nil, fmt.Errorf("the passphrase does not open the key file %q; try again", secret)
		}
	}
	if err != nil {
		return nil, fmt.Errorf("could not open the key file %q: %w", secret, err)
	}
	if !bytes.Equal(signer.PublicKey().Marshal(), public.Marshal()) {
		return nil, fmt.Errorf("%q and %q are not two halves of one key", secret, file)
	}
	return &Key{Signer: signer, From: from, Close: func() error { return nil }}, nil
}

// held opens a key of which only the public half is known.
func (s Sources) held(public ssh.PublicKey, from string) (*Key, error) {
	if err := kind(public); err != nil {
		return nil, err
	}
	k, err := s.throughAgent(public, from)
	if k == nil && err == nil {
		err = fmt.Errorf("%w: %s names %s, which no agent holds; load it with ssh-add", ErrNoKey, from,
			ssh.FingerprintSHA256(public))
	}
	return k, err
}

// kind refuses keys that no register of a book takes.
func kind(public ssh.PublicKey) error {
	if t := public.Type(); t != ssh.KeyAlgoED25519 && t != ssh.KeyAlgoSKED25519 {
		return fmt.Errorf("key %s is of kind %s; a book takes ssh-ed25519 and sk-ssh-ed25519: needlebook key makes one",
			ssh.FingerprintSHA256(public), t)
	}
	return nil
}

// dial opens the agent; nil when there is none.
func (s Sources) dial() (agent.ExtendedAgent, func() error) {
	if s.Agent == "" {
		return nil, nil
	}
	c, err := net.Dial("unix", s.Agent)
	if err != nil {
		return nil, nil // no agent behind the name: as none
	}
	return agent.NewClient(c), c.Close
}

// agentKeys are the keys of the book that the agent holds.
func (s Sources) agentKeys() ([]ssh.PublicKey, error) {
	a, done := s.dial()
	if a == nil {
		return nil, nil
	}
	defer done()
	list, err := a.List()
	if err != nil {
		return nil, fmt.Errorf("could not ask the agent for its keys: %w", err)
	}
	var keys []ssh.PublicKey
	for _, k := range list {
		if public, err := ssh.ParsePublicKey(k.Blob); err == nil && s.Listed(ssh.FingerprintSHA256(public)) {
			keys = append(keys, public)
		}
	}
	return keys, nil
}

func (s Sources) throughAgent(public ssh.PublicKey, from string) (*Key, error) {
	a, done := s.dial()
	if a == nil {
		return nil, nil
	}
	signers, err := a.Signers()
	if err != nil {
		return nil, errors.Join(fmt.Errorf("could not ask the agent for its keys: %w", err), done())
	}
	i := slices.IndexFunc(signers, func(k ssh.Signer) bool {
		return bytes.Equal(k.PublicKey().Marshal(),
			public.Marshal())
	})
	if i < 0 {
		return nil, done()
	}
	if from != "the agent" {
		from += ", through the agent"
	}
	return &Key{Signer: signers[i], From: from, Close: done}, nil
}
