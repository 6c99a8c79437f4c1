package logbook

import (
	"math"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"needlebook/logbook/language"
	"needlebook/logbook/measure"
	"needlebook/logbook/tree"
)

// scalar fills one field that holds a single value.
func (dec decoder) scalar(n *tree.Node, v reflect.Value, f *Field, key string) {
	report := func(p Problem) {
		p.Place, p.Key = dec.placeOf(n), key
		dec.problems = append(dec.problems, p)
	}
	fill(n.Value, !n.Style.Quoted(), v, f, report)
}

// amiss is a slip of a value as a whole; its place and key come later.
func amiss(slip, text, expected, typed string, read bool) Problem {
	p := Problem{Slip: slip, Found: text, Expected: expected, Type: typed, Read: read, Len: len(text), Instead: typed}
	if typed != "" {
		p.Meant = []string{typed}
	}
	return p
}

// fill reads one scalar text into a field; it serves front matter and tables alike. plain says that the text stood
// without quotes. What is proposed for a slip is read again, and stays only where nothing is amiss in it.
func fill(text string, plain bool, v reflect.Value, f *Field, report func(Problem)) {
	readScalar(text, plain, v, f, func(p Problem) {
		p.proposeOnly(func(typed string) bool { return cleanScalar(typed, v.Type(), f) })
		report(p)
	})
}

// cleanScalar says that a text can be typed into a field and nothing is amiss in it then.
func cleanScalar(typed string, t reflect.Type, f *Field) bool {
	clean, bare := true, strings.Trim(typed, `"`)
	readScalar(bare, bare == typed, reflect.New(t).Elem(), f, func(Problem) { clean = false })
	return clean
}

func readScalar(text string, plain bool, v reflect.Value, f *Field, report func(Problem)) {
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
		number := text
		if f.Cut {
			if number = cut(text, f, report); number == "" {
				return
			}
		}
		q, slips := parseAny(number, f.Kind)
		shift(slips, text, number)
		if q.Valid() && strings.HasPrefix(q.Number(), "-") && f.neverBelow(f.Kind, q) {
			report(amiss(measure.SlipNumberForm, text, "a "+f.Kind.String()+" of nought or more",
				strings.TrimLeft(q.String(), "-"), false))
			return
		}
		a.Quantity, a.More = q, q.Valid() && number != text
		reportSlips(slips, report)
	case ShapeBand:
		b := v.Addr().Interface().(*Band)
		s, slips := parseSpanAny(text, f.Kind)
		if b.Span = s; s.Lone() && f.Lone != loneValue {
			b.Span = lone(s, text, f, report) // which is the one thing to say of it
			return
		}
		if low := s.Low; low.Valid() && low.Float() < 0 && f.neverBelow(low.Kind(), low) {
			b.Span = measure.Span{}
			report(amiss(measure.SlipSpanForm, text, "a "+low.Kind().String()+" of nought or more", strings.TrimLeft(text, "-−"),
				false))
			return
		}
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

// shift makes slips of the end of a text slips of the whole.
func shift(slips []measure.Slip, whole, end string) {
	front := whole[:len(whole)-len(end)]
	for i := range slips {
		s := &slips[i]
		s.At += len(front)
		if s.Type != "" {
			s.Type = front + s.Type
		}
		for m := range s.Meant {
			s.Meant[m] = front + s.Meant[m]
		}
	}
}

// cutOff are the ways to write a reading that was cut off.
var cutOff = regexp.MustCompile(`^\s*(?i:(more than)|over|above|longer than|at least|>=?|≥)\s*([0-9].*)$`)

// cut takes the words from the front of a reading that was cut off; empty where they are others, of which it says what
// to write.
func cut(text string, f *Field, report func(Problem)) string {
	m := cutOff.FindStringSubmatch(text)
	switch {
	case m == nil:
		return text
	case m[1] == "":
		typed := MoreThan + m[2]
		report(amiss(measure.SlipNumberForm, text, "a number and a unit, or "+MoreThan+"60 "+f.Unit, typed, false))
		return ""
	}
	return m[2]
}

// neverBelow says that what stands at a key is never below nought: a pressure, a torque, a time, a length. A deviation
// may be, the wear of a face that was measured without any, and the end of a scale, but for that of a wrench.
func (f *Field) neverBelow(kind measure.Kind, q measure.Quantity) bool {
	switch kind {
	case measure.Torque:
		return true
	case measure.Pressure, measure.Time, measure.Hours:
		return f.Kind != 0 && !strings.HasSuffix(f.Key, "_deviation")
	case measure.Length:
		return f.Kind != 0 && q.Float() < 0 && !strings.Contains(f.path, "holder_wear")
	}
	return false
}

// lone is the band that one value stands for, where the field takes one: the end of a scale that begins at nought.
// Anywhere else one value is no band, and nothing is judged by it.
func lone(s measure.Span, text string, f *Field, report func(Problem)) measure.Span {
	switch from := "0 to " + s.High.String(); {
	case f.Lone == loneEnd && s.Kind() == measure.Pressure && s.High.Float() > 0:
		p := amiss(SlipFromNought, text, "the beginning of the scale too; a pressure gauge is read as from nought",
			from, true)
		report(p)
		whole, _ := measure.ParseSpan(from, measure.Pressure)
		return whole
	case f.Lone == loneEnd:
		report(amiss(measure.SlipSpanForm, text, "both ends of the scale, such as 40 to "+s.High.String(), "", false))
		return measure.Span{}
	}
	value := s.High.String()
	p := amiss(measure.SlipSpanForm, text, "a band: which side of "+value+" is allowed?", "", false)
	p.Meant = []string{"at least " + value, "at most " + value}
	report(p)
	return measure.Span{}
}

func reportSlips(slips []measure.Slip, report func(Problem)) {
	for _, s := range slips {
		report(Problem{Slip: s.Name, Found: s.Found, Expected: s.Expected, Type: s.Type, Meant: s.Meant, Read: s.Read,
			At: s.At, Len: s.Len, Instead: s.Instead})
	}
}

// anyKinds are the kinds an instrument may state, tried in this order.
var anyKinds = []measure.Kind{measure.Pressure, measure.Length, measure.Torque, measure.Time, measure.Temperature,
	measure.Share}

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
	// a whole number with decimals behind it, as a spreadsheet leaves it
	wholeNumber = regexp.MustCompile(`^(0|[1-9][0-9]*)\.0+$`)
	plainIndex  = regexp.MustCompile(`^(0|[1-9][0-9]*)$`)
)

// fillSerial keeps an identity as text. One that other YAML readers would take for a number, a truth value or a date
// must stand in quotes; the number of a cylinder need not.
func fillSerial(text string, plain bool, f *Field, report func(Problem)) {
	if !plain || text == "" || f.As != "" && plainIndex.MatchString(text) {
		return
	}
	what := ""
	switch numeric := strings.IndexByte("0123456789+-.", text[0]) >= 0; {
	case numeric && numberLike.MatchString(text):
		what = "a number"
	case numeric && dateLike.MatchString(text):
		what = "a date"
	case len(text) <= len("false") && boolLike.MatchString(text):
		what = "a truth value"
	default:
		return
	}
	if whole := wholeNumber.FindStringSubmatch(text); whole != nil {
		typed := whole[1]
		if f.As == "" {
			typed = `"` + typed + `"`
		}
		report(amiss(SlipUnquoted, text, "an identity: some programs write decimals behind a whole number", typed, true))
		return
	}
	report(amiss(SlipUnquoted, text, "quotes around an identity: without them it would be read as "+what,
		`"`+text+`"`, true))
}

func fillWord(text string, w *Word, f *Field, report func(Problem)) {
	for _, known := range f.Words {
		if known == text {
			return
		}
	}
	if len(f.Words) == 2 && f.Words[0] == "yes" { // yes and no are written in many ways
		switch strings.ToLower(text) {
		case "true", "y", "on":
			w.Written = "yes"
			report(amiss(SlipWord, text, "yes or no", "yes", true))
			return
		case "false", "n", "off":
			w.Written = "no"
			report(amiss(SlipWord, text, "yes or no", "no", true))
			return
		}
	}
	near := nearest(text, f.Words)
	if near != "" && plainLetters(near) == plainLetters(text) {
		w.Written = near
		report(amiss(SlipWord, text, near, near, true))
		return
	}
	for _, known := range f.Words { // "planned maintenance" begins with the word
		if near == "" && len(known) > 3 && strings.HasPrefix(plainLetters(text), plainLetters(known)) {
			near = known
		}
	}
	if near == "" {
		near = language.Meant(f.path, text, f.Words)
	}
	w.present = false
	p := amiss(SlipWord, text, "one of: "+strings.Join(f.Words, ", "), near, false)
	for _, known := range f.Words {
		if known != near {
			p.Meant = append(p.Meant, known)
		}
	}
	report(p)
}

var (
	isoMoment = regexp.MustCompile(`^(\d{4}-\d{2}-\d{2})(?:[T ](\d{2}:\d{2})(?::\d{2})?(?:Z|[+-]\d{2}:?\d{2})?)?$`)
	otherDate = regexp.MustCompile(`^(\d{1,2})[-./](\d{1,2})[-./](\d{4})$`)
	withClock = regexp.MustCompile(`^(.*\d)[ T]([01]?\d:[0-5]\d|2[0-3]:[0-5]\d)$`)
	loosely   = regexp.MustCompile(`^(\d{4})[-./](\d{1,2})[-./](\d{1,2})$`)
)

func fillDate(text string, d *Date, report func(Problem)) {
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
			report(amiss(SlipDate, text, expected+"; this day does not exist", "", false))
			return
		}
		if m[2] != "" {
			if _, err := time.Parse("15:04", m[2]); err != nil {
				report(amiss(SlipDate, text, "a time of day such as 14:30", "", false))
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
	if dayFirst, monthFirst, ok := EitherOrder(day); ok { // only one above twelve tells, or the two being one
		if typed = dayFirst; dayFirst == "" || monthFirst != "" && monthFirst != dayFirst {
			typed = monthFirst
		}
		if dayFirst != "" && monthFirst != "" && dayFirst != monthFirst {
			typed = ""
		}
	} else if m := loosely.FindStringSubmatch(day); m != nil {
		b, _ := strconv.Atoi(m[2])
		c, _ := strconv.Atoi(m[3])
		if typed = isoText(m[1], b, c); len(m[2]) != len(m[3]) {
			typed = "" // of two digits and one, the one may have lost its other
		}
	}
	if typed != "" {
		typed += clock
	}
	p := amiss(SlipDate, text, expected, typed, false)
	if typed == "" {
		p.Meant = DaysMeant(text)
	}
	report(p)
}

// EitherOrder are the days that a date with its year last may be, day first and month first, each empty where it is
// none of the calendar; ok is false for a text that is no such date.
func EitherOrder(text string) (dayFirst, monthFirst string, ok bool) {
	m := otherDate.FindStringSubmatch(text)
	if m == nil {
		return "", "", false
	}
	a, _ := strconv.Atoi(m[1])
	b, _ := strconv.Atoi(m[2])
	return isoText(m[3], b, a), isoText(m[3], a, b), true
}

// provenOrder puts the dates of one file into the order that the file proves: a day above twelve shows for all of them
// with the same sign between whether the day or the month is first. Where a file proves both, its dates are in no
// order, and none of them is known.
func provenOrder(problems []Problem) {
	type order struct{ dayFirst, monthFirst bool }
	proven := map[string]order{}
	each := func(do func(p *Problem, sign, clock, dayFirst, monthFirst string)) {
		for i := range problems {
			p := &problems[i]
			day, clock := p.Found, ""
			if m := withClock.FindStringSubmatch(p.Found); m != nil {
				day, clock = m[1], " "+strings.Repeat("0", 5-len(m[2]))+m[2]
			}
			if d, m, ok := EitherOrder(day); ok && p.Slip == SlipDate {
				do(p, strings.Trim(day, "0123456789")[:1], clock, d, m)
			}
		}
	}
	each(func(_ *Problem, sign, _, dayFirst, monthFirst string) {
		o := proven[sign]
		o.dayFirst = o.dayFirst || dayFirst != "" && monthFirst == ""
		o.monthFirst = o.monthFirst || monthFirst != "" && dayFirst == ""
		proven[sign] = o
	})
	each(func(p *Problem, sign, clock, dayFirst, monthFirst string) {
		typed := ""
		switch o := proven[sign]; {
		case o.dayFirst && o.monthFirst:
		case o.dayFirst:
			typed = dayFirst
		case o.monthFirst:
			typed = monthFirst
		default:
			return
		}
		if p.Type, p.Instead, p.Meant = "", "", DaysMeant(p.Found); typed != "" {
			p.Type, p.Instead, p.Meant = typed+clock, typed+clock, []string{typed + clock}
		}
	})
}

var (
	threeParts = regexp.MustCompile(`^(\d{1,4})[-./ ](\d{1,2})[-./ ](\d{1,4})$`)
	monthNamed = []string{"2 January 2006", "2 Jan 2006", "2-Jan-2006", "2-January-2006", "2.Jan.2006", "January 2, 2006",
		"Jan 2, 2006", "January 2 2006", "Jan 2 2006", "2 Jan 06", "2-Jan-06"}
)

// DaysMeant are the days that a text may mean which is not written as a date of the calendar, as they are typed: day
// first, month first, or with two digits of the year. A time of day behind it stays.
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

func fillNumber(text string, n *Number, f *Field, report func(Problem)) {
	canonical, slips := measure.ParseNumber(text, f.Kind)
	value, err := strconv.ParseFloat(canonical, 64)
	if canonical != "" && err == nil && f.Count && (value < 0 || value != math.Trunc(value)) {
		report(amiss(measure.SlipNumberForm, text, "a whole number: how many there were", "", false))
		return
	}
	reportSlips(slips, report)
	if canonical == "" || err != nil {
		return
	}
	n.Value, n.Valid = value, true
}
