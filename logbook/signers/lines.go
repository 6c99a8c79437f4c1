package signers

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode"

	"golang.org/x/crypto/ssh"

	"needlebook/logbook"
	"needlebook/logbook/trace"
)

// Paths of the files that say who may sign.
const (
	Signers   = "signers/allowed_signers"
	Withdrawn = "signers/withdrawn"
	Adopted   = "signers/adopted"
)

// ErrSigner is what an error is, to be asked with errors.Is, that says what of the person's own words does not fit: no
// such hand, key, name, role or reason.
var ErrSigner = errors.New("signer does not fit")

type unfitError string

func (e unfitError) Error() string        { return string(e) }
func (e unfitError) Is(target error) bool { return target == ErrSigner }

func unfit(format string, a ...any) error { return unfitError(fmt.Sprintf(format, a...)) }

// RolesOf are the words of a register line for a post: a chief is an engineer too.
func RolesOf(post string) ([]string, error) {
	switch post {
	case "engineer", "superintendent", "receiver":
		return []string{post}, nil
	case "chief":
		return []string{"engineer", "chief"}, nil
	}
	return nil, unfit("role %q: engineer, chief, superintendent or receiver", post)
}

// Enrol adds one line to signers/allowed_signers: the key of a principal, name@post, in a role from a day on, and until
// a minute unless that is zero. Every other byte stays.
func Enrol(register []byte, principal, post string, key ssh.PublicKey, from, until time.Time, name string) ([]byte,
	error) {
	if err := kind(key); err != nil {
		return nil, err
	}
	there, err := trace.ParseSigners(register)
	if err != nil {
		return nil, err
	}
	roles, err := RolesOf(post)
	if err != nil {
		return nil, err
	}
	if err := Named(principal); err != nil {
		return nil, err
	}
	if strings.ContainsFunc(name, unicode.IsControl) {
		return nil, unfit("the name %q is not one line of plain words", name)
	}
	for _, h := range there {
		id, _, _ := strings.Cut(principal, "@")
		switch {
		case h.Key != ssh.FingerprintSHA256(key):
		case h.ID == id && !h.Until.IsZero():
			return nil, unfit("the key is in the register already, good until %s, and what it signed stays good"+
				"\n    a signer who comes back makes a new one with needlebook key", h.Until.Format("2006-01-02 15:04Z"))
		default:
			return nil, unfit("the key is in the register already, for %s: every signer has a key of their own", h.Principal)
		}
	}
	line, err := trace.SignersLine(principal, roles, from, until, key, name)
	if err != nil {
		return nil, err
	}
	return checked(append(ended(register), line+"\n"...))
}

// Pending is the remark behind a line whose key waits for a superintendent. It is for the reader of the file: who let a
// key in decides whether it is pending.
func Pending(name string) string {
	if name == "" {
		return trace.PendingWords
	}
	return name + ", " + trace.PendingWords
}

// Confirm writes another remark to the line of one key of a hand, without the words that it is pending, and leaves
// every other byte: a superintendent who signs that vouches for the key.
func Confirm(register []byte, signer, fingerprint string) ([]byte, error) {
	return edit(register, signer, fingerprint, func(h trace.Signer) (string, error) {
		if !h.SaysPending {
			return h.Line + " (confirmed)", nil
		}
		return strings.TrimRight(strings.TrimSuffix(strings.TrimRight(h.Line, " "), trace.PendingWords), ", "), nil
	})
}

// Named says what is wrong with a principal, such as t.wairimu@engineer; nil where nothing is.
func Named(principal string) error {
	if !principalForm.MatchString(principal) {
		return unfit("%q is no name for a signer, as t.wairimu or t.wairimu@engineer is"+
			"\n    lower-case letters, digits, dot, dash and underscore, before and behind the @", principal)
	}
	return nil
}

var principalForm = regexp.MustCompile(`^[a-z0-9][a-z0-9._-]*@[a-z0-9._-]+$`)

var window = regexp.MustCompile(`^(\S+ +namespaces="[^"]*"(?:,valid-after="[0-9]+Z")?)(?:,valid-before="[0-9]+Z")?( +\S+ .*)$`)

// SignOff sets the last minute of every line of a signer that is still open then, or of his one key when a
// fingerprint is given. What he signed before stays as it was. Every other byte stays. The last superintendent
// does not go: nobody could let his successor in.
func SignOff(register []byte, signer, fingerprint string, last time.Time) ([]byte, error) {
	was := office(register, last)
	register, err := edit(register, signer, fingerprint, func(h trace.Signer) (string, error) {
		if !h.Until.IsZero() && !h.Until.After(last) {
			return h.Line, nil
		}
		if !h.From.IsZero() && !last.After(h.From) {
			return "", unfit("%s comes into force only on %s", h.Principal, h.From.Format("2006-01-02 15:04Z"))
		}
		m := window.FindStringSubmatch(h.Line)
		return fmt.Sprintf(`%s,valid-before="%s"%s`, m[1], last.UTC().Format("200601021504Z"), m[2]), nil
	})
	if err == nil && was && !office(register, last) {
		return nil, unfit("%s is the last superintendent, and nobody could let another in afterwards"+
			"\n    let the successor in first, with needlebook enrol", signer)
	}
	return register, err
}

// office reports whether a superintendent who signs commits is left in the register after a time.
func office(register []byte, after time.Time) bool {
	there, err := trace.ParseSigners(register)
	return err == nil && slices.ContainsFunc(there, func(h trace.Signer) bool {
		return h.Commits && slices.Contains(h.Roles, "superintendent") && (h.Until.IsZero() || h.Until.After(after))
	})
}

// Remove takes a hand's lines out of signers/allowed_signers, or his one key's when a fingerprint is given: for a
// stolen or disputed key. It returns the fingerprints that stood in them.
func Remove(register []byte, signer, fingerprint string) (left []byte, keys []string, err error) {
	left, err = edit(register, signer, fingerprint, func(h trace.Signer) (string, error) {
		keys = append(keys, h.Key)
		return "", nil
	})
	return left, keys, err
}

// perhaps names the signer that may be meant by one that is not there; empty where none is like it.
func perhaps(signer string, there []trace.Signer) string {
	var ids []string
	for _, h := range there {
		ids = append(ids, h.ID)
	}
	if near := logbook.Nearest(signer, ids); near != "" && near != signer {
		return "; type " + near + " if that is meant"
	}
	return ""
}

// edit rewrites the lines of a hand; an empty answer takes the line out.
func edit(register []byte, signer, fingerprint string, change func(trace.Signer) (string, error)) ([]byte, error) {
	there, err := trace.ParseSigners(register)
	if err != nil {
		return nil, err
	}
	byLine := map[string]trace.Signer{}
	for _, h := range there {
		if (h.ID == signer || h.Principal == signer) && (fingerprint == "" || h.Key == fingerprint) {
			byLine[h.Line] = h
		}
	}
	if len(byLine) == 0 {
		return nil, unfit("%s is in no line of %s%s%s", signer, Signers, with(fingerprint), perhaps(signer, there))
	}
	var out []byte
	for text := range bytes.Lines(register) {
		h, his := byLine[strings.TrimSuffix(string(text), "\n")]
		if !his {
			out = append(out, text...)
			continue
		}
		line, err := change(h)
		if err != nil {
			return nil, err
		}
		if line != "" {
			out = append(out, line+"\n"...)
		}
	}
	if bytes.Equal(out, register) {
		return nil, unfit("the lines of %s end by then already", signer)
	}
	return checked(out)
}

func with(fingerprint string) string {
	if fingerprint == "" {
		return ""
	}
	return " with the key " + fingerprint
}

// Compromise adds to signers/withdrawn that a key is not believed after its last good commit, a full id.
func Compromise(withdrawn []byte, fingerprint, lastGood, reason string) ([]byte, error) {
	if err := oneLine(reason); err != nil {
		return nil, err
	}
	return append(ended(withdrawn), fmt.Sprintf("%s compromised last-good=%s %s\n", fingerprint, lastGood, reason)...), nil
}

// Adopt adds to signers/adopted that somebody answers for a commit, a full id.
func Adopt(adopted []byte, commit, reason string) ([]byte, error) {
	if err := oneLine(reason); err != nil {
		return nil, err
	}
	for text := range bytes.Lines(adopted) {
		if bytes.HasPrefix(text, []byte(commit+" ")) {
			return nil, unfit("commit %.12s is adopted already: %s", commit, bytes.TrimSpace(text[41:]))
		}
	}
	return append(ended(adopted), commit+" "+reason+"\n"...), nil
}

func oneLine(reason string) error {
	if strings.TrimSpace(reason) == "" || strings.ContainsAny(reason, "\n\r\x00") {
		return unfit("a reason is one line of plain words: --reason \"…\"")
	}
	return nil
}

// ended is the text with a line end at its end, as a slice of its own.
func ended(text []byte) []byte {
	text = bytes.Clone(text)
	if len(text) > 0 && text[len(text)-1] != '\n' {
		text = append(text, '\n')
	}
	return text
}

func checked(register []byte) ([]byte, error) {
	_, err := trace.ParseSigners(register)
	return register, err
}
