package logbook

import (
	"math"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"go.yaml.in/yaml/v4"

	"needlebook/logbook/measure"
)

// scalar fills one field that holds a single value.
func (dec decoder) scalar(n *yaml.Node, v reflect.Value, f *Field, key string) {
	report := func(slip, found, expected, typed string, read bool) {
		dec.at(n, key, slip, found, expected, typed, read)
	}
	plain := n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle|yaml.LiteralStyle|yaml.FoldedStyle) == 0
	fill(n.Value, plain, v, f, report)
}

// fill reads one scalar text into a field; it serves front matter and tables alike. plain says that the text stood without
// quotes.
func fill(text string, plain bool, v reflect.Value, f *Field, report func(slip, found, expected, typed string, read bool)) {
	switch f.Shape {
	case ShapeText:
	case ShapeSerial:
		fillSerial(text, plain, f, report)
	case ShapeWord:
		fillWord(text, v.Addr().Interface().(*Word), f, report)
	case ShapeDate:
		fillDate(text, v.Addr().Interface().(*Date), report)
	case ShapeAmount:
		a := v.Addr().Interface().(*Amount)
		q, slips := parseAny(text, f.Kind)
		if below := strings.HasPrefix(q.Signed(), "-"); below && !strings.HasSuffix(f.Key, "_deviation") && (f.Kind == measure.Pressure || f.Kind == measure.Torque || f.Kind == measure.Time || f.Kind == measure.Hours) {
			report(measure.SlipNumberForm, text, "a "+f.Kind.String()+" of nought or more", strings.TrimLeft(q.String(), "-−"), false)
			return
		}
		a.Quantity = q
		reportSlips(slips, report)
	case ShapeBand:
		b := v.Addr().Interface().(*Band)
		s, slips := parseSpanAny(text, f.Kind)
		b.Span = s
		reportSlips(slips, report)
	case ShapeRelation:
		r := v.Addr().Interface().(*Relation)
		rel, slips := measure.ParseRelative(text, f.Kind, "opening")
		r.Relative = rel
		reportSlips(slips, report)
	case ShapeNumber:
		fillNumber(text, v.Addr().Interface().(*Number), f, report)
	}
}

func reportSlips(slips []measure.Slip, report func(slip, found, expected, typed string, read bool)) {
	for _, s := range slips {
		report(s.Name, s.Found, s.Expected, s.Type, s.Read)
	}
}

// anyKinds are the kinds an instrument may state, tried in this order.
var anyKinds = []measure.Kind{measure.Pressure, measure.Length, measure.Torque, measure.Time, measure.Temperature, measure.Share}

func parseAny(text string, kind measure.Kind) (q measure.Quantity, slips []measure.Slip) {
	if kind != 0 {
		return measure.Parse(text, kind)
	}
	for _, k := range anyKinds {
		if q, slips = measure.Parse(text, k); q.Valid() {
			return q, slips
		}
	}
	return measure.Parse(text, measure.Pressure)
}

func parseSpanAny(text string, kind measure.Kind) (s measure.Span, slips []measure.Slip) {
	if kind != 0 {
		return measure.ParseSpan(text, kind)
	}
	for _, k := range anyKinds {
		if s, slips = measure.ParseSpan(text, k); s.Valid() {
			return s, slips
		}
	}
	return measure.ParseSpan(text, measure.Pressure)
}

var (
	numberLike = regexp.MustCompile(`^[-+]?(\.[0-9]+|[0-9][0-9_]*(\.[0-9_]*)?)([eE][-+]?[0-9]+)?$|^0[xob][0-9a-fA-F_]+$|^[-+]?\.(inf|Inf|INF)$|^\.(nan|NaN|NAN)$|^[0-9]+(:[0-5]?[0-9])+$`)
	boolLike   = regexp.MustCompile(`^(?i)(y|n|yes|no|on|off|true|false|null|~)$`)
	dateLike   = regexp.MustCompile(`^[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}$`)
	plainIndex = regexp.MustCompile(`^(0|[1-9][0-9]*)$`)
)

// fillSerial keeps an identity as text. One that other YAML readers would take for a number, a truth value or a date must
// stand in quotes; the number of a cylinder need not.
func fillSerial(text string, plain bool, f *Field, report func(slip, found, expected, typed string, read bool)) {
	if !plain || text == "" || !likeOther(text) || f.As != "" && plainIndex.MatchString(text) {
		return
	}
	what := ""
	switch {
	case numberLike.MatchString(text):
		what = "a number"
	case boolLike.MatchString(text):
		what = "a truth value"
	case dateLike.MatchString(text):
		what = "a date"
	default:
		return
	}
	report(SlipUnquoted, text, "quotes around an identity: without them it would be read as "+what, `"`+text+`"`, true)
}

// likeOther says that a text could be taken for a number, a date or a truth value at all, by its first character and its length.
func likeOther(text string) bool {
	c := text[0]
	return c >= '0' && c <= '9' || c == '+' || c == '-' || c == '.' || len(text) <= len("false")
}

func fillWord(text string, w *Word, f *Field, report func(slip, found, expected, typed string, read bool)) {
	for _, known := range f.Words {
		if known == text {
			return
		}
	}
	if len(f.Words) == 2 && f.Words[0] == "yes" { // yes and no are written in many ways
		switch strings.ToLower(text) {
		case "true", "y", "on":
			w.Written = "yes"
			report(SlipWord, text, "yes or no", "yes", true)
			return
		case "false", "n", "off":
			w.Written = "no"
			report(SlipWord, text, "yes or no", "no", true)
			return
		}
	}
	near := nearest(text, f.Words)
	if near != "" && plainLetters(near) == plainLetters(text) {
		w.Written = near
		report(SlipWord, text, near, near, true)
		return
	}
	for _, known := range f.Words { // "planned maintenance" begins with the word
		if near == "" && len(known) > 3 && strings.HasPrefix(plainLetters(text), plainLetters(known)) {
			near = known
		}
	}
	w.present = false
	report(SlipWord, text, "one of: "+strings.Join(f.Words, ", "), near, false)
}

var (
	isoMoment = regexp.MustCompile(`^(\d{4}-\d{2}-\d{2})(?:[T ](\d{2}:\d{2})(?::\d{2})?(?:Z|[+-]\d{2}:?\d{2})?)?$`)
	otherDate = regexp.MustCompile(`^(\d{1,2})[-./](\d{1,2})[-./](\d{4})$`)
	withClock = regexp.MustCompile(`^(.*\d)[ T]([01]?\d:[0-5]\d|2[0-3]:[0-5]\d)$`)
	loosely   = regexp.MustCompile(`^(\d{4})[-./](\d{1,2})[-./](\d{1,2})$`)
)

func fillDate(text string, d *Date, report func(slip, found, expected, typed string, read bool)) {
	const expected = "a date of the calendar, written 2024-04-02"
	if len(text) == len(time.DateOnly) {
		if day, err := ParseDay(text); err == nil && day.Time().Year() >= 1900 {
			d.Day = day
			return
		}
	}
	if m := isoMoment.FindStringSubmatch(text); m != nil {
		day, err := ParseDay(m[1])
		if err != nil || day.Time().Year() < 1900 {
			report(SlipDate, text, expected+"; this day does not exist", "", false)
			return
		}
		if m[2] != "" {
			if _, err := time.Parse("15:04", m[2]); err != nil {
				report(SlipDate, text, "a time of day such as 14:30", "", false)
				return
			}
		}
		d.Day, d.Time = day, m[2]
		return
	}
	typed, day, clock := "", text, ""
	if m := withClock.FindStringSubmatch(text); m != nil {
		day, clock = m[1], " "+strings.Repeat("0", 5-len(m[2]))+m[2]
	}
	if m := otherDate.FindStringSubmatch(day); m != nil { // day first or month first? Only one above twelve tells
		a, _ := strconv.Atoi(m[1])
		b, _ := strconv.Atoi(m[2])
		switch {
		case a > 12 && a <= 31 && b <= 12:
			typed = isoText(m[3], b, a)
		case b > 12 && b <= 31 && a <= 12:
			typed = isoText(m[3], a, b)
		}
	} else if m := loosely.FindStringSubmatch(day); m != nil {
		b, _ := strconv.Atoi(m[2])
		c, _ := strconv.Atoi(m[3])
		typed = isoText(m[1], b, c)
	}
	if typed != "" {
		typed += clock
	}
	report(SlipDate, text, expected, typed, false)
}

var (
	threeParts = regexp.MustCompile(`^(\d{1,4})[-./ ](\d{1,2})[-./ ](\d{1,4})$`)
	monthNamed = []string{"2 January 2006", "2 Jan 2006", "2-Jan-2006", "2-January-2006", "2.Jan.2006", "January 2, 2006", "Jan 2, 2006", "January 2 2006", "Jan 2 2006", "2 Jan 06", "2-Jan-06"}
)

// DaysMeant are the days that a text may mean which is not written as a date of the calendar, as they are typed: day first, month
// first, or with two digits of the year. A time of day behind it stays.
func DaysMeant(text string) []string {
	var days []string
	if m := withClock.FindStringSubmatch(text); m != nil {
		for _, d := range DaysMeant(m[1]) {
			days = append(days, d+" "+strings.Repeat("0", 5-len(m[2]))+m[2])
		}
		return days
	}
	add := func(year string, month, day int) {
		if d := isoText(year, month, day); d != "" && !slices.Contains(days, d) {
			days = append(days, d)
		}
	}
	for _, layout := range monthNamed {
		if t, err := time.Parse(layout, text); err == nil {
			add(t.Format("2006"), int(t.Month()), t.Day())
		}
	}
	m := threeParts.FindStringSubmatch(text)
	if m == nil {
		return days
	}
	number := func(s string) int { n, _ := strconv.Atoi(s); return n }
	a, b, c := number(m[1]), number(m[2]), number(m[3])
	switch {
	case len(m[3]) == 4:
		add(m[3], b, a)
		add(m[3], a, b)
	case len(m[1]) == 4:
		add(m[1], b, c)
	case len(m[1]) < 3 && len(m[3]) == 2:
		add("20"+m[3], b, a)
		add("20"+m[3], a, b)
		if len(m[1]) == 2 {
			add("20"+m[1], b, c)
		}
	}
	return days
}

func isoText(year string, month, day int) string {
	s := year + "-" + pad(month) + "-" + pad(day)
	if _, err := ParseDay(s); err != nil {
		return ""
	}
	return s
}

func pad(n int) string {
	if n < 10 {
		return "0" + strconv.Itoa(n)
	}
	return strconv.Itoa(n)
}

func fillNumber(text string, n *Number, f *Field, report func(slip, found, expected, typed string, read bool)) {
	canonical, slips := measure.ParseNumber(text)
	reportSlips(slips, report)
	if canonical == "" {
		return
	}
	value, err := strconv.ParseFloat(canonical, 64)
	if err != nil || len(canonical) > 18 {
		report(measure.SlipNumberForm, text, "a number of at most 15 digits", "", false)
		return
	}
	if f.Count && (value < 0 || value != math.Trunc(value)) {
		report(measure.SlipNumberForm, text, "a whole number: how many there were", "", false)
		return
	}
	n.Value, n.Valid = value, true
}
