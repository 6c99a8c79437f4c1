package signers

import (
	"crypto/ed25519"
	"crypto/rand"
	"encoding/pem"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"golang.org/x/crypto/ssh"
)

// Make makes a new key and writes its secret half to file, readable by its owner alone and locked with
// the passphrase unless that is empty, and its public half to file.pub. Neither may be there yet.
func Make(file, comment string, passphrase []byte) (ssh.PublicKey, error) {
	_, secret, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		return nil, fmt.Errorf("could not make a key: %w", err)
	}
	signer, err := ssh.NewSignerFromKey(secret)
	if err != nil {
		return nil, fmt.Errorf("could not make a key: %w", err)
	}
	var block *pem.Block
	if len(passphrase) > 0 {
		block, err = ssh.MarshalPrivateKeyWithPassphrase(secret, comment, passphrase)
	} else {
		block, err = ssh.MarshalPrivateKey(secret, comment)
	}
	if err != nil {
		return nil, fmt.Errorf("could not write the key down: %w", err)
	}
	if err := os.MkdirAll(filepath.Dir(file), 0o700); err != nil {
		return nil, err
	}
	public := strings.TrimSpace(string(ssh.MarshalAuthorizedKey(signer.PublicKey())) + " " + comment)
	public = strings.ReplaceAll(public, "\n", "") + "\n"
	if err := writeNew(file, pem.EncodeToMemory(block), 0o600); err != nil {
		return nil, err
	}
	if err := writeNew(file+".pub", []byte(public), 0o644); err != nil {
		return nil, errors.Join(err, os.Remove(file))
	}
	return signer.PublicKey(), nil
}

// writeNew writes a file that must not be there yet.
func writeNew(name string, text []byte, mode os.FileMode) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	return errors.Join(err, f.Sync(), f.Close())
}
