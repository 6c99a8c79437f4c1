package tree

import (
	"bytes"
	"strings"
)

// Span is a stretch of a file that is one thing.
type Span struct {
	Kind     SpanKind
	From, To int
}

// SpanKind is what a stretch is.
type SpanKind uint8

// The kinds of stretches.
const (
	Fence  SpanKind = iota // a line of dashes, or what stands before the first
	Blank                  // spaces and line ends
	Remark                 // from its # to the end of its line
	Key
	Sign // a colon, a dash, a comma, a bracket
	Text // a single value as written, with its quotes
	Rest // what could not be read
	Body
)

// All are the stretches of a file, one behind the other: together they are the file, byte for byte.
func (t *Tree) All() []Span {
	var w writer
	w.src = t.Src
	w.put(Fence, t.Front)
	w.entries(t.Root)
	w.gap(t.Close)
	w.put(Fence, t.Body)
	w.put(Body, len(t.Src))
	return w.all
}

// writer puts stretches one behind the other.
type writer struct {
	src []byte
	all []Span
	at  int
}

// put makes what follows up to an offset one stretch.
func (w *writer) put(kind SpanKind, to int) {
	if to > w.at {
		w.all = append(w.all, Span{kind, w.at, to})
		w.at = to
	}
}

// gap takes apart what stands between keys and values.
func (w *writer) gap(to int) {
	for w.at < to {
		rest := w.src[w.at:to]
		line := len(rest)
		if i := bytes.IndexAny(rest, "\r\n"); i >= 0 {
			line = i
		}
		switch blank := len(rest) - len(bytes.TrimLeft(rest, " \t\r\n")); {
		case blank > 0:
			w.put(Blank, w.at+blank)
		case rest[0] == '#' && (w.at == 0 || strings.IndexByte(" \t\r\n", w.src[w.at-1]) >= 0):
			w.put(Remark, w.at+line)
		case strings.IndexByte("-:,[]{}?", rest[0]) >= 0:
			w.put(Sign, w.at+1)
		default:
			w.put(Rest, w.at+line)
		}
	}
}

func (w *writer) entries(n *Node) {
	if n.Vague {
		w.gap(n.ValueAt)
		w.put(Rest, n.ValueEnd)
		return
	}
	for _, e := range n.Below {
		w.gap(e.KeyAt)
		if e.Key != "" {
			key := bytes.TrimSuffix(bytes.TrimRight(w.src[e.KeyAt:e.KeyEnd], " \t"), []byte(":"))
			w.put(Key, e.KeyAt+len(bytes.TrimRight(key, " \t")))
		}
		switch {
		case e.Kind == Value && !e.Vague:
			w.gap(e.ValueAt)
			w.put(Text, e.ValueEnd)
		case e.Kind == Unread:
			w.gap(e.ValueAt)
			w.put(Rest, e.ValueEnd)
		}
		if e.Kind != Value || e.Vague {
			w.entries(e)
		}
	}
}
