package measure

import (
	"regexp"
	"slices"
	"strings"
)

// Span is a limit: a band open or closed on either side, both ends belonging to it. A nominal value stands beside it
// where the writer gave one ("320 +10/-0 bar").
type Span struct {
	Low, High Quantity // invalid where the side is open
	Nominal   Quantity // invalid where none was written
	tolerance string   // as it was written, where a nominal value was
	lone      bool
}

// String is the span in the plain form, however it was written: "6.0 to 40 s", "at least 2.5 s", "at most 40 s", "320
// +10/-0 bar". It is read back as the same span.
func (s Span) String() string {
	switch {
	case !s.Valid():
		return ""
	case s.tolerance != "":
		return s.tolerance
	case s.lone:
		return s.High.String()
	case !s.High.Valid():
		return "at least " + s.Low.String()
	case !s.Low.Valid():
		return "at most " + s.High.String()
	case s.Low.Unit() == s.High.Unit():
		return s.Low.Number() + " to " + s.High.String()
	}
	return s.Low.String() + " to " + s.High.String()
}

// Valid says that at least one side is closed.
func (s Span) Valid() bool { return s.Low.Valid() || s.High.Valid() }

// Kind is what the span limits.
func (s Span) Kind() Kind {
	if s.Low.Valid() {
		return s.Low.Kind()
	}
	return s.High.Kind()
}

// Side tells where a value lies: -1 below the low end, +1 above the high end, 0 on an end or between.
func (s Span) Side(q Quantity) int {
	if s.Low.Valid() && q.Compare(s.Low) < 0 {
		return -1
	}
	if s.High.Valid() && q.Compare(s.High) > 0 {
		return 1
	}
	return 0
}

// AtMost is the span that ends at q.
func AtMost(q Quantity) Span { return Span{High: q} }

// AtLeast is the span that begins at q.
func AtLeast(q Quantity) Span { return Span{Low: q} }

// Between is the span from low to high.
func Between(low, high Quantity) Span { return Span{Low: low, High: high} }

// Lone says that one value was written, where a band has two ends or one: "6.0 s".
func (s Span) Lone() bool { return s.lone }

const spanForm = "a band, such as: 0.70 to 0.78 mm, at least 2.5 s, at most 40 s or 320 +10/-0 bar"

const figure = `[0-9](?:[0-9.,'’ ` + thin + `]*[0-9])?`

var (
	// dots part the ends of a band; more than two are as many people write.
	dots = regexp.MustCompile(`\.\.+|…`)
	// tolerance is a nominal value with what it may be off by, and the unit behind it, behind the nominal value, or both.
	tolerance = regexp.MustCompile(`^([-+−]?` + figure + `)\s*([^\s0-9+±/−-][^+±]*?)?\s*` +
		`(?:\+\s*(` + figure + `)\s*/\s*[-−–]\s*(` + figure + `)|[-−–]\s*(` + figure + `)\s*/\s*\+\s*(` + figure +
		`)|(?:±|\+\s*/?\s*[-−–])\s*(` + figure + `))\s*([^\s0-9].*)?$`)
	// dashed and worded are other ways to write two ends, or one.
	dashed = regexp.MustCompile(`^([-+−]?` + figure + `)\s*([^\s0-9+±/−-][^+±/]*?)?\s*(?:[-−–—]|(?i:\bto\b))\s*([-+−]?` +
		figure + `.*)$`)
	worded = regexp.MustCompile(`^((?i)at least|at most)\s+(.*)$`)
	// saidOtherwise are further ways to word a limit, each with the plain one. They are not read, because < and "up to"
	// leave open whether the end itself is allowed.
	saidOtherwise = []struct {
		way   *regexp.Regexp
		plain string
	}{
		{regexp.MustCompile(`(?i)^(?:between|from)\s+(.+?)\s+(?:and|to|up to)\s+(.+)$`), "$1 to $2"},
		{regexp.MustCompile(`(?i)^(?:≥|>=|=>|>|min(?:imum|\.)?:?|(?:not|no) (?:less|lower) than|from|above|over)` +
			`\s*([0-9].*)$`), "at least $1"},
		{regexp.MustCompile(`(?i)^(?:≤|<=|=<|<|max(?:imum|\.)?:?|(?:not|no) (?:more|higher) than|up to|to|below|under)` +
			`\s*([0-9].*)$`), "at most $1"},
		{regexp.MustCompile(`(?i)^([0-9].*?)\s*(?:or more|and more|or above|and above|min(?:imum|\.)?)$`), "at least $1"},
		{regexp.MustCompile(`(?i)^([0-9].*?)\s*(?:or less|and less|or below|and below|max(?:imum|\.)?)$`), "at most $1"},
	}
)

// ParseSpan reads a limit: "0.70 to 0.78 mm", "0.70 .. 0.78 mm", "at least 2.5 s", "2.5 s ..", "at most 40 s", "320
// +10/-0 bar", "18.0 ±0.3 mm". A single value is the span of just that value: see [Span.Lone].
func ParseSpan(text string, kind Kind) (Span, []Slip) {
	r := reading{text: text, kind: kind}
	span := r.span(part{text, 0}.trim())
	if span.Nominal.Valid() && !span.lone {
		span.tolerance = strings.TrimFunc(text, isSpace)
	}
	slips := r.done(span.Valid())
	if len(slips) == 0 && span.Low.Valid() && span.High.Valid() && span.Low.Compare(span.High) > 0 {
		// nothing to type: 60 .. 40 s may be 6.0 .. 40 s
		r.amiss(SlipSpanReversed, part{text, 0}, "the lower limit first: are the two exchanged, or is a digit wrong?", false)
		return Span{}, r.done(false)
	}
	return span, slips
}

func (r *reading) span(p part) Span {
	if at := dots.FindAllStringIndex(p.text, 2); len(at) == 1 {
		from, to := at[0][0], at[0][1]
		// 0...5: from 0 to 5, or to .5?
		if to-from > len("..") && to < len(p.text) && p.text[to] >= '0' && p.text[to] <= '9' && p.text[from] == '.' {
			r.amiss(SlipSpanForm, p, spanForm, false)
			return Span{}
		}
		return r.ends(p, p.cut(0, from).trim(), p.cut(to, len(p.text)).trim())
	}
	if m := tolerance.FindStringSubmatchIndex(p.text); m != nil {
		return r.tolerance(p, m)
	}
	if m := worded.FindStringSubmatchIndex(p.text); m != nil {
		if q := r.quantity(p.cut(m[4], m[5])); strings.EqualFold(p.text[:m[3]], "at least") {
			return Span{Low: q}
		} else {
			return Span{High: q}
		}
	}
	if m := dashed.FindStringSubmatchIndex(p.text); m != nil {
		low := m[3]
		if m[4] >= 0 {
			low = m[5]
		}
		return r.ends(p, p.cut(0, low), p.cut(m[6], m[7]))
	}
	if plain := r.saidPlainly(p.text); plain != "" {
		r.amiss(SlipSpanForm, p, spanForm, false, plain)
		return Span{}
	}
	q := r.quantity(p)
	return Span{Low: q, High: q, Nominal: q, lone: q.Valid()}
}

// saidPlainly is the plain form of a limit that is worded otherwise, where that form can be read; empty elsewhere.
func (r *reading) saidPlainly(text string) string {
	for _, w := range saidOtherwise {
		if !w.way.MatchString(text) {
			continue
		}
		plain := w.way.ReplaceAllString(text, w.plain)
		if span, slips := ParseSpan(plain, r.kind); span.Valid() && len(slips) == 0 {
			return span.String()
		}
	}
	return ""
}

// SlipSpanReversed is an upper limit below the lower one; SlipSpanForm a limit that cannot be read.
const (
	SlipSpanReversed = "limit-reversed"
	SlipSpanForm     = "limit-form"
)

// ends reads the two ends of a band, of which one may be open; the unit may stand once.
func (r *reading) ends(p, low, high part) (span Span) {
	if low.text == "" && high.text == "" {
		r.amiss(SlipSpanForm, p, spanForm, false)
		return span
	}
	lowNumber, lowUnit := splitUnit(low)
	highNumber, highUnit := splitUnit(high)
	if lowUnit.text == "" && highUnit.text == "" {
		for _, n := range []part{lowNumber, highNumber} {
			if n.text != "" {
				r.number(n)
			}
		}
		last := highNumber
		if high.text == "" {
			last = lowNumber
		}
		r.withoutUnit(p, last.at+len(last.text))
		return span
	}
	one := func(whole, number, unit, other part) (q Quantity, u *Unit) {
		switch {
		case whole.text == "":
			return q, nil
		case number.text == "" || !unitLike(unit.text, r.kind):
			return r.quantity(whole), nil // which says what is amiss
		}
		canonical := r.number(number)
		if unit.text == "" {
			return quantityOf(canonical, Find(r.kind, other.text)), nil
		}
		u = r.unit(unit, number)
		return quantityOf(canonical, u), u
	}
	span.Low, _ = one(low, lowNumber, lowUnit, highUnit)
	span.High, _ = one(high, highNumber, highUnit, lowUnit)
	if low.text != "" && !span.Low.Valid() || high.text != "" && !span.High.Valid() {
		return Span{} // half a band would be another one
	}
	return span
}

// tolerance reads a nominal value with what it may be off by.
func (r *reading) tolerance(p part, m []int) Span {
	group := func(i int) part {
		if m[2*i] < 0 {
			return part{}
		}
		return p.cut(m[2*i], m[2*i+1]).trim()
	}
	nominal, plus, minus, inner, unit := group(1), group(3), group(4), group(2), group(8)
	if plus.text == "" {
		plus, minus = group(6), group(5)
	}
	if plus.text == "" {
		plus, minus = group(7), part{}
	}
	number := r.number(nominal)
	up := r.number(plus)
	down := up
	if minus.text != "" {
		down = r.number(minus)
	}
	if inner.text == "" {
		inner, unit = unit, part{}
	}
	if inner.text == "" {
		r.withoutUnit(p, p.at+len(p.text))
		return Span{}
	}
	u := r.unit(inner, nominal)
	if unit.text != "" && r.unit(unit, plus) != u { // 400 N·m ±6 %, 320 bar ±1 MPa
		if u != nil && Find(r.kind, unit.text) != nil {
			r.amiss(SlipSpanForm, p, spanForm, false)
		}
		return Span{}
	}
	q, more, less := quantityOf(number, u), quantityOf(up, u), quantityOf(down, u)
	if !q.Valid() || !more.Valid() || !less.Valid() {
		return Span{}
	}
	return Span{Low: q.Minus(less), High: q.Plus(more), Nominal: q}
}

// Relative is a limit or test pressure stated from another value: "opening - 25 bar". Base is empty for an absolute
// value.
type Relative struct {
	Base   string   // the value it is stated from, as written: "opening"
	Offset Quantity // the offset with its sign, or the absolute value
}

// Valid says that something was read.
func (r Relative) Valid() bool { return r.Offset.Valid() }

// From is the value when the base stands at q.
func (r Relative) From(q Quantity) Quantity {
	if r.Base == "" {
		return r.Offset
	}
	return q.Plus(r.Offset)
}

// String is the relative value as it is written: "opening - 25 bar".
func (r Relative) String() string {
	switch {
	case !r.Valid():
		return ""
	case r.Base == "":
		return r.Offset.String()
	case strings.HasPrefix(r.Offset.Number(), "-"):
		return r.Base + " - " + strings.TrimPrefix(r.Offset.String(), "-")
	}
	return r.Base + " + " + strings.TrimPrefix(r.Offset.String(), "+")
}

var relative = regexp.MustCompile(`^(\pL[\pL_ ]*?)\s*([-+−–])\s*([^-+−–\s].*)$`)

// ParseRelative reads "opening - 25 bar" or an absolute "300 bar". The base must be one of bases.
func ParseRelative(text string, kind Kind, bases ...string) (Relative, []Slip) {
	r := reading{text: text, kind: kind}
	rel := r.relative(part{text, 0}.trim(), bases)
	return rel, r.done(rel.Valid())
}

func (r *reading) relative(p part, bases []string) Relative {
	m := relative.FindStringSubmatchIndex(p.text)
	if m == nil {
		q := r.quantity(p)
		if q.Valid() && q.mantissa < 0 && neverBelow(r.kind) { // a pressure below nought is one stated from another
			var from []string
			for _, b := range bases {
				from = append(from, Relative{b, q}.String())
			}
			r.amiss(SlipSpanForm, p, "a "+r.kind.String()+" of nought or more, or one stated from "+strings.Join(bases,
				" or "), false)
			s := &r.slips[len(r.slips)-1]
			s.Or = from
			return Relative{}
		}
		return Relative{Offset: q}
	}
	written := p.cut(m[2], m[3])
	base := strings.ToLower(written.text)
	if !slices.Contains(bases, base) {
		r.amiss(SlipSpanForm, written, "a value stated from "+strings.Join(bases, " or "), false)
		return Relative{}
	}
	if base != written.text {
		r.amiss(SlipUnitSpelling, written, base, true, base)
	}
	q := r.quantity(p.cut(m[6], m[7]))
	if q.Valid() && p.text[m[4]:m[5]] != "+" {
		q = newQuantity(-q.mantissa, q.decimals, q.unit)
	}
	return Relative{base, q}
}

// neverBelow says that no value of a kind is below nought.
func neverBelow(k Kind) bool {
	return k == Pressure || k == Length || k == Torque || k == Time || k == Hours || k == Days
}
