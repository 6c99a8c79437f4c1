package trace

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"
	"time"
	"unicode/utf8"

	"github.com/go-git/go-git/v5/plumbing"
)

// Sizes beyond which a commit is refused: far above what a book needs.
const (
	maxParents = 8
	maxMessage = 64 << 10
)

// rawCommit is a commit as its stored bytes say it, before any judgement.
type rawCommit struct {
	tree              id
	parents           []id
	author, committer person
	message           string

	// malformed says why the commit has not the one accepted form; empty when it has.
	malformed string
	// armour is the signature as ssh-keygen or gpg wrote it, nil when there is none. What it signs is
	// before followed by after: the stored bytes without the signature's header.
	armour        []byte
	before, after []byte
}

// person is who a commit names, and the date he states.
type person struct {
	name, email string
	at          time.Time
}

func (s *Store) commit(h id) (*rawCommit, error) {
	raw, err := s.read(h, plumbing.CommitObject)
	if err != nil {
		return nil, err
	}
	c, err := parseCommit(raw)
	if err != nil {
		return nil, &BrokenError{ID: h.String(), Why: "is no readable commit: " + err.Error()}
	}
	return c, nil
}

// parseCommit reads a commit's stored bytes. The error is for bytes that name no tree; every other
// departure from the one accepted form leaves a readable commit with the reason in malformed. The form
// is strict because two programs that read one commit differently can be shown different texts under
// one signature (CVE-2026-45022, CVE-2026-44309: a second tree header).
func parseCommit(raw []byte) (*rawCommit, error) {
	c := &rawCommit{before: raw}
	refuse := func(format string, a ...any) {
		if c.malformed == "" {
			c.malformed = fmt.Sprintf(format, a...)
		}
	}
	const order = "tree parent author committer gpgsig"
	last, rest, seen := 0, raw, map[string]int{}
	for len(rest) > 0 && rest[0] != '\n' {
		line, next, found := bytes.Cut(rest, []byte("\n"))
		if !found {
			next = nil
			refuse("a header without line end")
		}
		start := len(raw) - len(rest)
		name, value, spaced := bytes.Cut(line, []byte(" "))
		for len(next) > 0 && next[0] == ' ' { // a folded header goes on
			_, next, _ = bytes.Cut(next, []byte("\n"))
		}
		end := len(raw) - len(next)
		key := string(name)
		seen[key]++
		place := bytes.Index([]byte(order), name)
		switch {
		case len(name) == 0 || place < 0 || (place > 0 && order[place-1] != ' ') ||
			(place+len(name) < len(order) && order[place+len(name)] != ' '):
			refuse("the header %q does not belong in a book's commit", clip(key))
		case !spaced:
			refuse("the header %s has no value", key)
		case place < last:
			refuse("the header %s stands after a later one", key)
		case key != "parent" && seen[key] > 1:
			refuse("the header %s stands twice", key)
		case key != "gpgsig" && end-start > len(line)+1:
			refuse("the header %s goes over several lines", key)
		}
		last = max(last, place)
		if err := c.header(key, value, seen[key], refuse); err != nil {
			return nil, err
		}
		if key == "gpgsig" && seen[key] == 1 {
			c.armour = unfold(raw[min(start+len("gpgsig "), end):end])
			c.before, c.after = raw[:start:start], raw[end:]
		}
		rest = next
	}
	switch {
	case seen["tree"] == 0:
		return nil, fmt.Errorf("it names no tree")
	case seen["author"] == 0 || seen["committer"] == 0:
		refuse("author or committer is missing")
	case len(c.parents) > maxParents:
		refuse("%d parents, at most %d are taken", len(c.parents), maxParents)
	case len(rest) == 0:
		refuse("the empty line before the message is missing")
	case len(rest) > maxMessage:
		refuse("the message is longer than %d KiB", maxMessage>>10)
	}
	for i, p := range c.parents {
		for _, q := range c.parents[:i] {
			if p == q {
				refuse("one parent stands twice")
			}
		}
	}
	switch {
	case bytes.ContainsAny(raw, "\x00"):
		refuse("a NUL byte")
	case bytes.ContainsAny(raw, "\r"):
		refuse("a carriage return")
	case !utf8.Valid(raw):
		refuse("bytes that are not UTF-8")
	}
	if len(rest) > 0 {
		c.message = string(bytes.TrimRight(rest[1:], "\n"))
	}
	return c, nil
}

// header takes in one header; times says how often its name has come up.
func (c *rawCommit) header(key string, value []byte, times int, refuse func(string, ...any)) error {
	switch key {
	case "tree", "parent":
		if !hexID.Match(value) {
			if key == "tree" && times > 1 {
				return nil
			}
			return fmt.Errorf("its %s is no object id", key)
		}
		h := plumbing.NewHash(string(value))
		if key == "parent" {
			c.parents = append(c.parents, h)
		} else if times == 1 {
			c.tree = h
		}
	case "author", "committer":
		p, err := parsePerson(value)
		if err != nil {
			refuse("%s: %v", key, err)
		}
		if times > 1 {
			return nil
		}
		if key == "author" {
			c.author = p
		} else {
			c.committer = p
		}
	}
	return nil
}

// LastSecond is the last that a date in a commit may state, the end of the year 9999: no later one can be
// written in four digits, and ssh-keygen takes none.
const LastSecond = 253_402_300_799

var personForm = regexp.MustCompile(`^([^<>]*?) ?<([^<>]*)> ([0-9]+) ([+-])([0-9]{2})([0-9]{2})$`)

// parsePerson reads "name <address> seconds zone". Date 0 is refused because OpenSSH takes it for "no
// date" and judges by today; so are more than 12 digits and zones that no place on earth keeps.
func parsePerson(line []byte) (person, error) {
	m := personForm.FindSubmatch(line)
	if m == nil {
		return person{name: clip(string(line))}, fmt.Errorf("not of the form name <address> seconds zone")
	}
	p := person{name: string(m[1]), email: string(m[2])}
	if len(m[3]) > 12 || m[3][0] == '0' {
		return p, fmt.Errorf("the date %s is not of 1 to 12 digits beginning with 1 to 9", clip(string(m[3])))
	}
	seconds, _ := strconv.ParseInt(string(m[3]), 10, 64)
	if seconds > LastSecond {
		return p, fmt.Errorf("the date %s lies beyond the year 9999", m[3])
	}
	p.at = time.Unix(seconds, 0).UTC()
	hours, _ := strconv.Atoi(string(m[5]))
	minutes, _ := strconv.Atoi(string(m[6]))
	if hours*60+minutes > 14*60 || minutes > 59 {
		return p, fmt.Errorf("no place keeps the zone %s%s%s", m[4], m[5], m[6])
	}
	for _, b := range line {
		if b < ' ' || b == 0x7f {
			return p, fmt.Errorf("a control character in the name")
		}
	}
	return p, nil
}

// unfold takes the leading space off the further lines of a folded header.
func unfold(value []byte) []byte {
	return bytes.ReplaceAll(value, []byte("\n "), []byte("\n"))
}

// clip keeps what a message quotes from a stranger's bytes short.
func clip(s string) string {
	if len(s) > 40 {
		return s[:40] + "…"
	}
	return s
}
