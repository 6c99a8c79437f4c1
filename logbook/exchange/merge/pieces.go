package merge

import (
	"bytes"
	"strings"
)

// pieces is a text in the making: stretches that stand, and stretches in which the two sides contradict each other.
type pieces []piece

// piece stands when both texts are the same; else it is the one or the other.
type piece struct {
	ours, theirs []byte
	apart        bool
}

func (p *pieces) add(text []byte)           { *p = append(*p, piece{text, text, false}) }
func (p *pieces) apart(ours, theirs []byte) { *p = append(*p, piece{ours, theirs, true}) }

// clean says that nothing is contradicted.
func (p pieces) clean() bool {
	for _, one := range p {
		if one.apart {
			return false
		}
	}
	return true
}

// as is the text with every contradiction decided for one side.
func (p pieces) as(who side) []byte {
	var b []byte
	for _, one := range p {
		if who == theirs {
			b = append(b, one.theirs...)
		} else {
			b = append(b, one.ours...)
		}
	}
	return b
}

// marked is the text with git's markers around whole lines. They are longer than any like them in the text.
func (p pieces) marked(here, there, eol string) []byte {
	size := 7
	for _, who := range []side{ours, theirs} {
		for l := range bytes.Lines(p.as(who)) {
			for _, c := range []byte("<=>") {
				if n := len(l) - len(bytes.TrimLeft(l, string(c))); n >= size {
					size = n + 1
				}
			}
		}
	}
	mark := func(c, name string) string {
		if name != "" {
			name = " " + name
		}
		return strings.Repeat(c, size) + name + eol
	}
	var out, o, t []byte // what is written, and the line or stretch that is not yet
	dirty := false
	flush := func() {
		if dirty {
			out = append(out, mark("<", here)...)
			out = append(append(out, o...), mark("=", "")...)
			out = append(append(out, t...), mark(">", there)...)
		} else {
			out = append(out, o...)
		}
		o, t, dirty = nil, nil, false
	}
	whole := func(text []byte) bool { return len(text) == 0 || text[len(text)-1] == '\n' }
	for _, one := range p {
		if one.apart {
			if !dirty && whole(o) {
				flush()
			}
			o, t, dirty = append(o, one.ours...), append(t, one.theirs...), true
			if whole(o) && whole(t) && whole(one.ours) && whole(one.theirs) {
				flush()
			}
			continue
		}
		for l := range bytes.Lines(one.ours) {
			if !dirty && whole(o) {
				flush()
			}
			o, t = append(o, l...), append(t, l...)
			if dirty && whole(o) && whole(t) {
				flush()
			}
		}
	}
	if dirty { // the last line has no end: the markers need one
		for _, last := range []*[]byte{&o, &t} {
			if !whole(*last) {
				*last = append(*last, eol...)
			}
		}
	}
	flush()
	return out
}

// texts puts two changes of one text together line by line, and says what became of each section. With keep, what both
// sides added in one place stands one behind the other, and is kept.
func (p *pieces) texts(base, us, them []byte, keep bool, did func(s section, kept bool)) {
	for _, s := range sections(lines(base), lines(us), lines(them)) {
		kept := keep && len(s.b) == 0 && ends(s.o) && ends(s.t)
		switch s.who {
		case nobody, ours, alike:
			p.add(joined(s.o))
		case theirs:
			p.add(joined(s.t))
		default:
			p.both(s, kept)
		}
		if did != nil {
			did(s, kept && s.who == apart)
		}
	}
}

// both is a section that both sides changed: what they wrote alike stands once, the rest is a contradiction, unless it
// is kept.
func (p *pieces) both(s section, keep bool) {
	at := 0
	for _, h := range changes(s.o, s.t) {
		p.add(joined(s.o[at:h.from]))
		o, t := joined(s.o[h.from:h.to]), joined(s.t[h.at:h.until])
		if keep {
			p.add(o)
			p.add(t)
		} else {
			p.apart(o, t)
		}
		at = h.to
	}
	p.add(joined(s.o[at:]))
}

func joined(lines []string) []byte { return []byte(strings.Join(lines, "")) }

func ends(lines []string) bool { return len(lines) > 0 && strings.HasSuffix(lines[len(lines)-1], "\n") }
