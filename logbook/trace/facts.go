package trace

import (
	"encoding/binary"
	"errors"
	"fmt"
	"strings"
	"time"
)

// The kinds of fact in a part of the cache.
const (
	factCommit = 'c'
	factText   = 't'
	factFile   = 'f'
)

// packer writes facts one after the other: numbers as varints, strings with their length in front.
type packer []byte

func (p *packer) byte(b byte)    { *p = append(*p, b) }
func (p *packer) number(n int)   { *p = binary.AppendVarint(*p, int64(n)) }
func (p *packer) text(s string)  { p.number(len(s)); *p = append(*p, s...) }
func (p *packer) bytes(b []byte) { *p = append(*p, b...) }

func (p *packer) person(who person) {
	p.text(who.name)
	p.text(who.email)
	if who.at.IsZero() {
		p.number(0) // date 0 is never taken from a commit
	} else {
		p.number(int(who.at.Unix()))
	}
}

func (p *packer) entry(e entry) {
	p.text(e.mode)
	if e.mode != "" {
		p.bytes(e.id[:])
	}
}

// How a signature's fact is kept: good, or which of the errors.
const (
	sigGood = iota
	sigNone
	sigBad
	sigOther
	sigForm
)

func (p *packer) signed(s signed) {
	switch {
	case s.err == nil:
		p.byte(sigGood)
	case errors.Is(s.err, errNone):
		p.byte(sigNone)
	case errors.Is(s.err, errBad):
		p.byte(sigBad)
	case errors.Is(s.err, errOtherKind):
		p.byte(sigOther)
		p.text(strings.TrimPrefix(s.err.Error(), errOtherKind.Error()+": "))
	default:
		p.byte(sigForm)
		p.text(s.err.Error())
	}
	p.text(s.key)
}

func (p *packer) commit(n *node) {
	p.byte(factCommit)
	p.bytes(n.id[:])
	c := n.raw
	p.bytes(c.tree[:])
	p.number(len(c.parents))
	for _, h := range c.parents {
		p.bytes(h[:])
	}
	p.person(c.author)
	p.person(c.committer)
	p.text(c.message)
	p.text(c.malformed)
	p.signed(n.sig)
	p.number(len(n.sides))
	for _, side := range n.sides {
		p.number(len(side))
		for _, s := range side {
			p.text(s.path)
			p.text(s.from)
			p.entry(s.was)
			p.entry(s.is)
		}
	}
}

func (p *packer) blob(h id, t text) {
	p.byte(factText)
	p.bytes(h[:])
	p.bytes(t.sum[:])
	if !t.asked {
		p.number(-1)
		return
	}
	p.number(len(t.values))
	for _, s := range t.values {
		p.text(s)
	}
}

func (p *packer) file(name string, sum digest) {
	p.byte(factFile)
	p.text(name)
	p.bytes(sum[:])
}

// unpacker reads them again. What it returns lies in the string read, so that it costs no copy. A part
// that ends too early sets bad and gives empty values from then on.
type unpacker struct {
	rest string
	bad  bool
}

func (u *unpacker) take(n int) string {
	if n < 0 || n > len(u.rest) {
		u.bad, u.rest = true, ""
		return ""
	}
	s := u.rest[:n]
	u.rest = u.rest[n:]
	return s
}

func (u *unpacker) byte() byte {
	if s := u.take(1); s != "" {
		return s[0]
	}
	return 0
}

func (u *unpacker) number() int {
	var n uint64
	for shift := 0; shift < 64; shift += 7 {
		b := u.byte()
		n |= uint64(b&0x7f) << shift
		if b < 0x80 {
			return int(int64(n>>1) ^ -int64(n&1))
		}
	}
	u.bad = true
	return 0
}

// count is a number of things of which each takes at least one byte.
func (u *unpacker) count() int {
	n := u.number()
	if n < 0 || n > len(u.rest) {
		u.bad = true
		return 0
	}
	return n
}

func (u *unpacker) text() string { return u.take(u.number()) }

func (u *unpacker) id() (h id) {
	copy(h[:], u.take(len(h)))
	return h
}

func (u *unpacker) digest() (d digest) {
	copy(d[:], u.take(len(d)))
	return d
}

func (u *unpacker) person() person {
	p := person{name: u.text(), email: u.text()}
	if at := u.number(); at != 0 {
		p.at = time.Unix(int64(at), 0).UTC()
	}
	return p
}

func (u *unpacker) entry() entry {
	e := entry{mode: u.text()}
	if e.mode != "" {
		e.id = u.id()
	}
	return e
}

func (u *unpacker) signed() (s signed) {
	switch kind := u.byte(); kind {
	case sigGood:
	case sigNone:
		s.err = errNone
	case sigBad:
		s.err = errBad
	case sigOther:
		s.err = fmt.Errorf("%w: %s", errOtherKind, u.text())
	case sigForm:
		s.err = errors.New(u.text())
	default:
		u.bad = true
	}
	s.key = u.text()
	return s
}

func (u *unpacker) commit() *node {
	n := &node{id: u.id(), raw: &rawCommit{tree: u.id()}, known: true}
	n.raw.parents = make([]id, u.count())
	for i := range n.raw.parents {
		n.raw.parents[i] = u.id()
	}
	n.raw.author, n.raw.committer = u.person(), u.person()
	n.raw.message, n.raw.malformed = u.text(), u.text()
	n.sig = u.signed()
	n.sides = make([][]step, u.count())
	for i := range n.sides {
		if m := u.count(); m > 0 {
			n.sides[i] = make([]step, m)
		}
		for j := range n.sides[i] {
			n.sides[i][j] = step{path: u.text(), from: u.text(), was: u.entry(), is: u.entry()}
		}
	}
	return n
}

func (u *unpacker) blob() (h id, t text) {
	h, t.sum = u.id(), u.digest()
	if n := u.number(); n >= 0 && n <= len(u.rest) {
		t.asked, t.values = true, make([]string, n)
		for i := range t.values {
			t.values[i] = u.text()
		}
	}
	return h, t
}

// decode takes in the facts of one part; false when they are not of the form.
func (c *facts) decode(part string) bool {
	u := &unpacker{rest: part}
	for len(u.rest) > 0 && !u.bad {
		switch u.byte() {
		case factCommit:
			n := u.commit()
			c.commits[n.id] = n
		case factText:
			h, t := u.blob()
			c.texts[h] = t
		case factFile:
			name := u.text()
			c.stored[name] = u.digest()
		default:
			return false
		}
	}
	return !u.bad
}
