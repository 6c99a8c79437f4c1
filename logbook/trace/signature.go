package trace

import (
	"bytes"
	"crypto/ed25519"
	"crypto/sha256"
	"crypto/sha512"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"fmt"
	"hash"
	"strings"

	"golang.org/x/crypto/cryptobyte"
)

// The kinds of key that a book's register takes; every other kind is reported as what it is.
const (
	keyPlain = "ssh-ed25519"
	keyToken = "sk-ssh-ed25519@openssh.com"
)

const (
	armourBegin = "-----BEGIN SSH SIGNATURE-----\n"
	armourEnd   = "-----END SSH SIGNATURE-----\n"
	armourWidth = 70
)

// errOtherKind marks a signature that may be good, but not of a kind that counts in a book.
var errOtherKind = errors.New("other kind of signature")

// sshSignature is a signature in OpenSSH's format (openssh-portable, PROTOCOL.sshsig).
type sshSignature struct {
	key       []byte // the public key in wire form; string(key) names it in the register
	namespace string
	hash      string
	signed    []byte // the raw 64-byte signature
	flags     byte   // of a security key
	counter   uint32
}

// Armour writes a signature blob as ssh-keygen does: base64 in lines of 70 between its two markers.
func Armour(blob []byte) []byte {
	text := base64.StdEncoding.EncodeToString(blob)
	var out bytes.Buffer
	out.WriteString(armourBegin)
	for len(text) > 0 {
		n := min(armourWidth, len(text))
		out.WriteString(text[:n])
		out.WriteByte('\n')
		text = text[n:]
	}
	out.WriteString(armourEnd)
	return out.Bytes()
}

// unarmour is the inverse of Armour and takes nothing else: a second way to write one signature would
// let anybody mint a twin of a commit under another id.
func unarmour(text []byte) ([]byte, error) {
	body, ok := bytes.CutPrefix(text, []byte(armourBegin))
	if !ok {
		return nil, otherArmour(text)
	}
	body, ok = bytes.CutSuffix(body, []byte(armourEnd))
	if !ok {
		return nil, fmt.Errorf("the signature does not end with its closing line")
	}
	blob, err := base64.StdEncoding.Strict().DecodeString(strings.ReplaceAll(string(body), "\n", ""))
	if err != nil || !bytes.Equal(Armour(blob), text) {
		return nil, fmt.Errorf("the signature is not written as ssh-keygen writes it")
	}
	return blob, nil
}

func otherArmour(text []byte) error {
	for _, k := range []struct{ begin, name string }{
		{"-----BEGIN PGP ", "an OpenPGP signature"},
		{"-----BEGIN SIGNED MESSAGE-----", "an X.509 signature"},
	} {
		if bytes.HasPrefix(text, []byte(k.begin)) {
			return fmt.Errorf("%w: %s", errOtherKind, k.name)
		}
	}
	return fmt.Errorf("the signature does not begin as one of OpenSSH")
}

// parseSignature reads the armoured signature of a commit: version 1, nothing reserved, nothing behind
// it, and one of the two kinds of key.
func parseSignature(armour []byte) (*sshSignature, error) {
	blob, err := unarmour(armour)
	if err != nil {
		return nil, err
	}
	in, s := cryptobyte.String(blob), new(sshSignature)
	var magic, namespace, reserved, hash, inner []byte
	var version uint32
	if !in.ReadBytes(&magic, 6) || string(magic) != "SSHSIG" || !in.ReadUint32(&version) {
		return nil, fmt.Errorf("the signature does not begin with SSHSIG")
	}
	if version != 1 {
		return nil, fmt.Errorf("the signature is of version %d, wanted 1", version)
	}
	if !readString(&in, &s.key) || !readString(&in, &namespace) || !readString(&in, &reserved) ||
		!readString(&in, &hash) || !readString(&in, &inner) || !in.Empty() {
		return nil, fmt.Errorf("the signature is cut short or has bytes behind it")
	}
	if len(reserved) > 0 {
		return nil, fmt.Errorf("the signature's reserved field is not empty")
	}
	s.namespace, s.hash = string(namespace), string(hash)
	kind, err := keyKind(s.key)
	if err != nil {
		return nil, err
	}
	sig := cryptobyte.String(inner)
	var sigKind []byte
	ok := readString(&sig, &sigKind) && readString(&sig, &s.signed)
	if ok && kind == keyToken {
		ok = sig.ReadUint8(&s.flags) && sig.ReadUint32(&s.counter)
	}
	if !ok || !sig.Empty() || string(sigKind) != kind || len(s.signed) != ed25519.SignatureSize {
		return nil, fmt.Errorf("the signature is not one of a %s key", kind)
	}
	if s.hash != "sha512" && s.hash != "sha256" {
		return nil, fmt.Errorf("the signature uses the digest %q, wanted sha512 or sha256", clip(s.hash))
	}
	return s, nil
}

// keyKind names the kind of a public key in wire form, checking its shape.
func keyKind(key []byte) (string, error) {
	in := cryptobyte.String(key)
	var name, point, application []byte
	if !readString(&in, &name) {
		return "", fmt.Errorf("the signature holds no key")
	}
	switch kind := string(name); kind {
	case keyPlain:
		if !readString(&in, &point) || !in.Empty() || len(point) != ed25519.PublicKeySize {
			return "", fmt.Errorf("the %s key has not the right length", kind)
		}
		return kind, nil
	case keyToken:
		if !readString(&in, &point) || !readString(&in, &application) || !in.Empty() || len(point) != ed25519.PublicKeySize {
			return "", fmt.Errorf("the %s key has not the right length", kind)
		}
		return kind, nil
	default:
		return "", fmt.Errorf("%w: an SSH key of kind %s", errOtherKind, clip(kind))
	}
}

// good reports whether the signature is over message (in parts) in the namespace git. It is a pure
// function of the bytes; who may sign is judged elsewhere.
func (s *sshSignature) good(message ...[]byte) bool {
	var h hash.Hash = sha512.New()
	if s.hash == "sha256" {
		h = sha256.New()
	}
	for _, part := range message {
		h.Write(part)
	}
	signed := []byte("SSHSIG")
	for _, field := range [][]byte{[]byte(s.namespace), nil, []byte(s.hash), h.Sum(nil)} {
		signed = appendString(signed, field)
	}
	in := cryptobyte.String(s.key)
	var kind, point, application []byte
	if !readString(&in, &kind) || !readString(&in, &point) || len(point) != ed25519.PublicKeySize {
		return false
	}
	if string(kind) == keyToken {
		// PROTOCOL.u2f: the key signs its application, the flags, the counter and the message, and
		// bit 0 of the flags says that somebody touched it.
		if !readString(&in, &application) || s.flags&1 == 0 {
			return false
		}
		app, msg := sha256.Sum256(application), sha256.Sum256(signed)
		signed = append(app[:], s.flags)
		signed = binary.BigEndian.AppendUint32(signed, s.counter)
		signed = append(signed, msg[:]...)
	}
	return ed25519.Verify(point, signed, s.signed)
}

// fingerprint names a public key as ssh-keygen -l does.
func fingerprint(key []byte) string {
	sum := sha256.Sum256(key)
	return "SHA256:" + base64.RawStdEncoding.EncodeToString(sum[:])
}

func readString(in *cryptobyte.String, out *[]byte) bool {
	var n uint32
	return in.ReadUint32(&n) && uint64(n) <= uint64(len(*in)) && in.ReadBytes(out, int(n))
}

func appendString(b, s []byte) []byte {
	return append(binary.BigEndian.AppendUint32(b, uint32(len(s))), s...)
}
