package trace

import (
	"encoding/base64"
	"fmt"
	"regexp"
	"strings"
	"time"

	"golang.org/x/crypto/ssh"
)

// maxRegister bounds signers/allowed_signers.
const maxRegister = 64 << 10

// Paths of the files that say who may sign.
const (
	signersPath   = "signers/allowed_signers"
	withdrawnPath = "signers/withdrawn"
	adoptedPath   = "signers/adopted"
)

// A role is what a signer may do. A line of the register holds several.
type role uint8

const (
	engineer role = 1 << iota
	chief
	superintendent
	receipt
	commits // may sign commits at all: the namespace git
)

// namespaces are the roles as OpenSSH knows them, in the order they are shown.
var namespaces = []struct {
	role       role
	name, word string
}{
	{commits, "git", ""},
	{engineer, "engineer@needlebook", "engineer"},
	{chief, "chief@needlebook", "chief"},
	{superintendent, "superintendent@needlebook", "superintendent"},
	{receipt, "receipt@needlebook", "receiver"},
}

func (r role) words() []string {
	var w []string
	for _, n := range namespaces {
		if r&n.role != 0 && n.word != "" {
			w = append(w, n.word)
		}
	}
	return w
}

// line is one line of signers/allowed_signers: a key, whose it is, and what it may do.
type line struct {
	text          string
	principal     string
	roles         role
	after, before time.Time // zero when the line does not say
	key           string    // wire form
	comment       string
}

// hand is the person: the part of the principal before the @.
func (l *line) signer() string {
	signer, _, _ := strings.Cut(l.principal, "@")
	return signer
}

// allows reports whether the line lets the same person do all that old let, whenever that is.
func (l *line) allows(old *line) bool {
	return l.principal == old.principal && l.roles&old.roles == old.roles
}

// same reports whether two lines of one key differ in nothing but their comment.
func (l *line) same(o *line) bool {
	return l.principal == o.principal && l.roles == o.roles && l.after.Equal(o.after) && l.before.Equal(o.before)
}

// endedBy reports whether the line's last minute is over by the end of the day, in UTC, of a date: the
// midnight that ends a day belongs to it. Who signs somebody off today rounds up to a minute or to the day.
func (l *line) endedBy(t time.Time) bool {
	const day = 24 * time.Hour
	return !l.before.IsZero() && !l.before.After(t.UTC().Truncate(day).Add(day))
}

// covers reports whether the line allows all that old allowed.
func (l *line) covers(old *line) bool {
	return l.allows(old) &&
		(l.after.IsZero() || !old.after.IsZero() && !l.after.After(old.after)) &&
		(l.before.IsZero() || !old.before.IsZero() && !l.before.Before(old.before))
}

// holds reports whether a date lies in the line's window. Both ends count, as for ssh-keygen.
func (l *line) holds(t time.Time) bool {
	return (l.after.IsZero() || !t.Before(l.after)) && (l.before.IsZero() || !t.After(l.before))
}

// pure reports whether the line makes an engineer and nothing else.
func (l *line) pure() bool { return l.roles&^commits == engineer }

// register is a whole well-formed signers/allowed_signers, its lines by key.
type register map[string]*line

var lineForm = regexp.MustCompile(`^([a-z0-9][a-z0-9._-]*@[a-z0-9._-]+) +namespaces="([a-z@,]+)"` +
	`(?:,valid-after="([0-9]{8}(?:[0-9]{4})?)Z")?(?:,valid-before="([0-9]{8}(?:[0-9]{4})?)Z")?` +
	` +(ssh-ed25519|sk-ssh-ed25519@openssh\.com) +([A-Za-z0-9+/]+=*)( .*)?$`)

// parseRegister reads signers/allowed_signers: OpenSSH's allowed-signers format, without what lets one line
// stand for somebody nobody named (patterns, authorities, lines without namespaces) and without dates
// that depend on the reader's time zone. One line that is not of the form refuses the whole file.
func parseRegister(text []byte) (register, error) {
	if len(text) > maxRegister {
		return nil, fmt.Errorf("%s is longer than %d KiB", signersPath, maxRegister>>10)
	}
	r := register{}
	number := 0
	for t := range strings.Lines(string(text)) {
		number++
		t = strings.TrimSuffix(t, "\n")
		if strings.Trim(t, " \t") == "" || strings.HasPrefix(t, "#") { // blank as OpenSSH has it
			continue
		}
		l, err := parseLine(t)
		if err != nil {
			return nil, fmt.Errorf("%s line %d: %w", signersPath, number, err)
		}
		if other := r[l.key]; other != nil {
			return nil, fmt.Errorf("%s line %d: the key of %s stands there for %s already", signersPath, number, l.principal,
				other.principal)
		}
		r[l.key] = l
	}
	return r, nil
}

func parseLine(text string) (*line, error) {
	m := lineForm.FindStringSubmatch(text)
	if m == nil || strings.ContainsAny(text, "\x00\r") {
		return nil, fmt.Errorf(`not of the form name@post namespaces="…",valid-after="20240101Z" ssh-ed25519 AAAA…: %q`, clip(text))
	}
	l := &line{text: text, principal: m[1], comment: m[7]}
	for name := range strings.SplitSeq(m[2], ",") {
		r := roleOf(name)
		if r == 0 || l.roles&r != 0 {
			return nil, fmt.Errorf("namespace %q is none of a book's, or stands twice", clip(name))
		}
		l.roles |= r
	}
	var err error
	if l.after, err = parseDate(m[3]); err != nil {
		return nil, err
	}
	if l.before, err = parseDate(m[4]); err != nil {
		return nil, err
	}
	if !l.before.IsZero() && !l.after.Before(l.before) {
		return nil, fmt.Errorf("valid-before is not later than valid-after")
	}
	blob, err := base64.StdEncoding.Strict().DecodeString(m[6])
	if err != nil {
		return nil, fmt.Errorf("the key is not base64")
	}
	if kind, err := keyKind(blob); err != nil || kind != m[5] {
		return nil, fmt.Errorf("the key is not one of kind %s", m[5])
	}
	l.key = string(blob)
	return l, nil
}

func roleOf(namespace string) role {
	for _, n := range namespaces {
		if n.name == namespace {
			return n.role
		}
	}
	return 0
}

// parseDate reads YYYYMMDD or YYYYMMDDHHMM in UTC; empty gives the zero time.
func parseDate(text string) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	t, err := time.Parse("200601021504"[:len(text)], text)
	if err != nil || t.Unix() <= 0 {
		return time.Time{}, fmt.Errorf("%sZ is no date", text)
	}
	return t, nil
}

// SignersLine writes one line of signers/allowed_signers, without line end. Roles are of the words engineer,
// chief, superintendent and receiver; all but a receiver alone may sign commits. A zero after or before
// leaves that end open; both are cut to the minute. The comment may be empty.
func SignersLine(principal string, roles []string, after, before time.Time, key ssh.PublicKey, comment string) (string,
	error) {
	names := []string{}
	for _, n := range namespaces {
		for _, word := range roles {
			if word == n.word {
				names = append(names, n.name)
			}
		}
	}
	if len(names) != len(roles) || len(names) == 0 {
		return "", fmt.Errorf("roles %q: wanted one or more of engineer, chief, superintendent, receiver, each once", roles)
	}
	if len(names) > 1 || roles[0] != "receiver" {
		names = append([]string{"git"}, names...)
	}
	text := fmt.Sprintf("%s namespaces=%q", principal, strings.Join(names, ","))
	if !after.IsZero() {
		text += fmt.Sprintf(",valid-after=%q", writeDate(after))
	}
	if !before.IsZero() {
		text += fmt.Sprintf(",valid-before=%q", writeDate(before))
	}
	text += " " + strings.TrimSpace(string(ssh.MarshalAuthorizedKey(key)))
	if comment != "" {
		text += " " + comment
	}
	_, err := parseLine(text)
	if err == nil && strings.Contains(text, "\n") {
		err = fmt.Errorf("a comment is one line")
	}
	return text, err
}

func writeDate(t time.Time) string {
	t = t.UTC()
	if t.Hour() == 0 && t.Minute() == 0 {
		return t.Format("20060102Z")
	}
	return t.Format("200601021504Z")
}
