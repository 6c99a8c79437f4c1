package measure

import (
	"regexp"
	"slices"
	"strings"
)

// Span is a limit: a band open or closed on either side, both ends belonging to it. A nominal value stands beside it where the
// writer gave one ("320 +10/-0 bar").
type Span struct {
	Low, High Quantity // invalid where the side is open
	Nominal   Quantity // invalid where none was written
	written   string
}

// String is the span as written.
func (s Span) String() string { return s.written }

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
func AtMost(q Quantity) Span { return Span{High: q, written: "at most " + q.String()} }

// AtLeast is the span that begins at q.
func AtLeast(q Quantity) Span { return Span{Low: q, written: "at least " + q.String()} }

// Between is the span from low to high.
func Between(low, high Quantity) Span {
	return Span{Low: low, High: high, written: low.Number() + " .. " + high.String()}
}

const spanForm = "a band such as 0.70 .. 0.78 mm, 2.5 s .., .. 40 s or 320 +10/-0 bar"

var (
	tolerance = regexp.MustCompile(`^(.*?[0-9])\s*(?:\+\s*([0-9.,]+)\s*/\s*[-−]\s*([0-9.,]+)|(?:±|\+\s*[-−/]\s*[-−]?)\s*([0-9.,]+))\s*([^0-9]*)$`)
)

// ParseSpan reads a limit: "0.70 .. 0.78 mm", "2.5 s ..", ".. 40 s", "320 +10/-0 bar", "18.0 ±0.3 mm". A single value is the
// span of just that value.
func ParseSpan(text string, kind Kind) (Span, []Slip) {
	text = strings.TrimFunc(text, isSpace)
	var span Span
	var slips []Slip
	switch {
	case strings.Contains(text, ".."):
		span, slips = parseEnds(text, kind)
	case tolerance.MatchString(text):
		span, slips = parseTolerance(text, kind)
	default:
		var q Quantity
		q, slips = Parse(text, kind)
		span = Span{Low: q, High: q, Nominal: q}
	}
	span.written = text
	slips = oneUnit(text, kind, slips)
	if len(slips) == 0 && span.Low.Valid() && span.High.Valid() && span.Low.Compare(span.High) > 0 {
		return Span{}, []Slip{{SlipSpanReversed, text, "the lower limit first", span.High.String() + " .. " + span.Low.String(), false}}
	}
	return span, slips
}

// oneUnit says once of a limit that it has no unit, where each of its numbers would say it.
func oneUnit(text string, kind Kind, slips []Slip) []Slip {
	if len(slips) < 2 || slices.ContainsFunc(slips, func(s Slip) bool { return s.Name != SlipUnitMissing }) {
		return slips
	}
	return []Slip{{SlipUnitMissing, text, slips[0].Expected, text + " " + BaseUnit(kind).Name, false}}
}

// SlipSpanReversed is an upper limit below the lower one; SlipSpanForm a limit that cannot be read.
const (
	SlipSpanReversed = "limit-reversed"
	SlipSpanForm     = "limit-form"
)

func parseEnds(text string, kind Kind) (Span, []Slip) {
	lowText, highText, _ := strings.Cut(text, "..")
	lowText, highText = strings.TrimFunc(lowText, isSpace), strings.TrimFunc(highText, isSpace)
	if lowText == "" && highText == "" {
		return Span{}, []Slip{{SlipSpanForm, text, spanForm, "", false}}
	}
	var span Span
	var slips, more []Slip
	if highText != "" {
		span.High, slips = Parse(highText, kind)
	}
	if lowText != "" {
		if _, unit := splitUnit(lowText); unit == "" && span.High.Valid() { // "0.70 .. 0.78 mm": the unit stands once
			lowText += " " + span.High.Unit().Name
		}
		span.Low, more = Parse(lowText, kind)
	}
	return span, append(more, slips...)
}

func parseTolerance(text string, kind Kind) (Span, []Slip) {
	m := tolerance.FindStringSubmatch(text)
	plus, minus, unit := m[2], m[3], m[5]
	if m[4] != "" {
		plus, minus = m[4], m[4]
	}
	nominal, slips := Parse(m[1]+" "+unit, kind)
	up, more := Parse(plus+" "+unit, kind)
	slips = append(slips, more...)
	down, more := Parse(minus+" "+unit, kind)
	slips = append(slips, more...)
	if !nominal.Valid() || !up.Valid() || !down.Valid() {
		return Span{}, slips
	}
	return Span{Low: nominal.Minus(down), High: nominal.Plus(up), Nominal: nominal}, slips
}

// Relative is a limit or test pressure stated from another value: "opening - 25 bar". Base is empty for an absolute value.
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

var relative = regexp.MustCompile(`^([a-z_ ]*[a-z_])\s*([-+−])\s*(.*)$`)

// ParseRelative reads "opening - 25 bar" or an absolute "300 bar". The base must be one of bases.
func ParseRelative(text string, kind Kind, bases ...string) (Relative, []Slip) {
	text = strings.TrimFunc(text, isSpace)
	m := relative.FindStringSubmatch(text)
	if m == nil {
		q, slips := Parse(text, kind)
		return Relative{Offset: q}, slips
	}
	known := false
	for _, b := range bases {
		known = known || b == m[1]
	}
	if !known {
		return Relative{}, []Slip{{SlipSpanForm, m[1], "a value stated from " + strings.Join(bases, " or "), "", false}}
	}
	sign := ""
	if m[2] != "+" {
		sign = "-"
	}
	q, slips := Parse(sign+m[3], kind)
	return Relative{m[1], q}, slips
}
