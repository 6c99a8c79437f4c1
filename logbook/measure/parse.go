package measure

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxDigits is the most digits of a number that are read: more are no measurement.
const maxDigits = 15

// Slip is something amiss in the writing of a number or unit: a plain fact, which a check turns into words for the
// reader.
type Slip struct {
	Name     string // which slip: one of the Slip constants
	Found    string // the text at fault, for showing
	Expected string // what belongs there
	Read     bool   // whether a value was read all the same

	// What is put in the place of Len bytes from At on in the text that was read. No other byte of it is at fault.
	At, Len int
	Instead string   // what belongs there; empty where only the writer can know
	Or      []string // what else may be meant there; all that may be where nothing tells which

	// the whole text to type: with Instead in its place, and whatever else is amiss in it put right; may be empty
	Type  string
	Meant []string // every whole text that may be meant, the likeliest first
}

// The slips of writing that Parse knows.
const (
	SlipDecimalComma  = "decimal-comma"
	SlipThousands     = "thousands-separator"
	SlipColon         = "colon-in-number"
	SlipNumberForm    = "number-form"
	SlipUnitMissing   = "unit-missing"
	SlipUnitUnknown   = "unit-unknown"
	SlipUnitSpelling  = "unit-spelling"
	SlipNotANumber    = "not-a-number"
	SlipLeadingZero   = "leading-zero"
	SlipForeignDigits = "foreign-digits"
)

// reading is one text on its way to a value, with what was amiss in it.
type reading struct {
	text  string
	kind  Kind // 0 for a bare number
	slips []Slip
}

// part is a stretch of the text that is read.
type part struct {
	text string
	at   int // where it begins
}

func (p part) cut(from, to int) part { return part{p.text[from:to], p.at + from} }

// trim is the part without the blanks around it.
func (p part) trim() part {
	left := strings.TrimLeftFunc(p.text, isSpace)
	return part{strings.TrimRightFunc(left, isSpace), p.at + len(p.text) - len(left)}
}

// amiss notes a slip of a part; none in instead means that only the writer knows.
func (r *reading) amiss(name string, p part, expected string, read bool, instead ...string) {
	s := Slip{Name: name, Found: p.text, At: p.at, Len: len(p.text), Expected: expected, Read: read}
	if len(instead) > 0 {
		s.Instead, s.Or = instead[0], instead[1:]
	}
	r.slips = append(r.slips, s)
}

// done finishes the slips: where no value came of the text none was read, and each knows what to type for the whole of
// it.
func (r *reading) done(valid bool) []Slip {
	for i := range r.slips {
		s := &r.slips[i]
		s.Read = s.Read && valid
		if s.Instead != "" {
			s.Type = r.with(i, s.Instead)
			s.Meant = append(s.Meant, s.Type)
		}
		for _, other := range s.Or {
			s.Meant = append(s.Meant, r.with(i, other))
		}
		if slices.Contains(s.Meant, "") {
			s.Type, s.Meant = "", nil
		}
	}
	return r.slips
}

// with is the whole text with something in the place of one slip, and every other put right; empty where another cannot
// be.
func (r *reading) with(which int, instead string) string {
	order := make([]int, len(r.slips))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(r.slips[b].At, r.slips[a].At) })
	text := r.text
	for _, i := range order {
		s, put := r.slips[i], instead
		if i != which {
			put = s.Instead
		}
		if put == "" || s.At+s.Len > len(text) {
			return ""
		}
		text = text[:s.At] + put + text[s.At+s.Len:]
	}
	return text
}

// plainLength is the length of the plain decimal number at the front of a text: a sign, digits without leading zeros, a
// point and more digits; 0 where none stands there.
func plainLength(s string) int {
	i := 0
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	whole := i
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	if i == whole || s[whole] == '0' && i > whole+1 {
		return 0
	}
	if i+1 < len(s) && s[i] == '.' && s[i+1] >= '0' && s[i+1] <= '9' {
		for i++; i < len(s) && s[i] >= '0' && s[i] <= '9'; i++ {
		}
	}
	return i
}

// plainNumber says that a text is a number of a kind as it is to be written: plain digits, not more than are a
// measurement, and of hours no point that may part thousands.
func plainNumber(s string, kind Kind) bool {
	return s != "" && plainLength(s) == len(s) && (len(s) <= maxDigits || digitsIn(s) <= maxDigits) &&
		!(kind == Hours && oneGroup.MatchString(s))
}

// Parse reads one quantity, "312 bar" or "312bar", of the wanted kind. The Quantity is invalid where nothing could be
// read without guessing; slips say what was amiss, also where the value was read.
func Parse(text string, kind Kind) (Quantity, []Slip) {
	r := reading{text: text, kind: kind}
	q := r.quantity(part{text, 0})
	return q, r.done(q.Valid())
}

// quantity reads a number and its unit.
func (r *reading) quantity(p part) Quantity {
	number, unit := splitUnit(p)
	switch {
	case number.text == "":
		r.amiss(SlipNotANumber, p, "a number and a unit, such as "+example(r.kind), false)
		return Quantity{}
	case !unitLike(unit.text, r.kind):
		r.amiss(SlipNumberForm, p, "one number and a unit, such as "+example(r.kind), false)
		return Quantity{}
	}
	canonical := r.number(number)
	if unit.text == "" && strings.ContainsRune(number.text, ':') {
		r.inSeconds() // minutes and seconds bear no unit: the colon is what is amiss
		return Quantity{}
	}
	return quantityOf(canonical, r.unit(unit, number))
}

// inSeconds gives the times that the last slip offers their unit, where none was written.
func (r *reading) inSeconds() {
	if last := len(r.slips) - 1; last >= 0 && r.slips[last].Name == SlipColon && r.kind == Time {
		for i := range r.slips[last].Or {
			r.slips[last].Or[i] += " " + Second.Name
		}
	}
}

// quantityOf is invalid where number or unit could not be read.
func quantityOf(canonical string, u *Unit) Quantity {
	if canonical == "" || u == nil {
		return Quantity{}
	}
	q, _ := decimalOf(canonical, u)
	return q
}

// ParseNumber reads a number that stands without its unit: a count, a class, a reading in a column of a kind, which is
// 0 for none. canonical is empty where it cannot be read.
func ParseNumber(text string, kind Kind) (canonical string, slips []Slip) {
	r := reading{text: text, kind: kind}
	canonical = r.number(part{text, 0}.trim())
	return canonical, r.done(canonical != "")
}

func example(k Kind) string {
	switch k {
	case Pressure:
		return "312 bar"
	case Length:
		return "0.76 mm"
	case Torque:
		return "400 N·m"
	case Time:
		return "11.2 s"
	case Hours:
		return "57705 h"
	case Temperature:
		return "21 °C"
	case Difference:
		return "+12 K"
	case Share:
		return "85 %"
	}
	return "10 " + BaseUnit(k).Name
}

// splitUnit parts the number at the front from the unit behind it. Spaces inside the number stay with the number, so
// that "1 250 h" is seen for what it is.
func splitUnit(p part) (number, unit part) {
	if n := plainLength(p.text); n > 0 && n+1 < len(p.text) && p.text[n] == ' ' && plainUnit(p.text[n+1:]) {
		return p.cut(0, n), p.cut(n+1, len(p.text))
	}
	p = p.trim()
	s, end := p.text, 0
	for i, r := range s {
		if unicode.IsDigit(r) {
			end = i + utf8.RuneLen(r)
			continue
		}
		if isSpace(r) || strings.ContainsRune("+-−–.,:_'’·", r) {
			continue
		}
		if (r == 'e' || r == 'E' || r == 'x' || r == 'X' || r == 'o') && end > 0 && exponentOrRadix(s[i:]) {
			continue
		}
		break
	}
	if end < len(s) && s[end] == '.' {
		end++
	}
	if l := strings.ToLower(strings.TrimLeft(s, "+-")); strings.HasPrefix(l, ".nan") || strings.HasPrefix(l, ".inf") {
		if end = strings.IndexByte(s, ' '); end < 0 {
			end = len(s)
		}
	}
	return p.cut(0, end).trim(), p.cut(end, len(s)).trim()
}

// unitLike says that what stands behind a number may be a unit, known or not. In 31.5/31.0/31.5, in 1O210 h and in 31.5
// MPa, 31.0 MPa it is more of the number, or of another one: cutting it off would change the value.
func unitLike(text string, kind Kind) bool {
	if text == "" || Find(kind, text) != nil {
		return true
	}
	first, _ := utf8.DecodeRuneInString(text)
	return (unicode.IsLetter(first) || strings.ContainsRune("%°\"'″′", first)) && !strings.ContainsAny(text, ",;01456789")
}

// plainUnit says that a text is nothing but the letters of a unit, of which the first cannot go on with the number.
func plainUnit(s string) bool {
	switch s[0] {
	case 'e', 'E', 'x', 'X', 'o':
		return false
	}
	for i := range len(s) {
		if c := s[i]; !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c == '%') {
			return false
		}
	}
	return true
}

var exponent = regexp.MustCompile(`^([eE][+-]?[0-9]|[xX][0-9a-fA-F]|o[0-7])`)

func exponentOrRadix(s string) bool { return exponent.MatchString(s) }

func isSpace(r rune) bool { return unicode.IsSpace(r) || r == '\u202f' || r == '\u2009' }

// The blanks that part groups of three digits: no-break, narrow no-break and thin space (ISO 80000-1, 7.3.1).
const thin = "\u00a0\u202f\u2009"

var (
	commaDecimal = regexp.MustCompile(`^([+-]?[0-9]+),([0-9]+)$`)
	// grouped is a number whose groups of three digits are parted by such a blank, or by a plain one.
	grouped = regexp.MustCompile(`^[+-]?[1-9][0-9]{0,2}([ ` + thin + `][0-9]{3})+([.,][0-9]+)?$`)
	// parted is a number whose groups of three digits are parted by anything that people part them with.
	parted = regexp.MustCompile(`^[+-]?[1-9][0-9]{0,2}([,. '’][0-9]{3})+([.,][0-9]+)?$`)
	// oneGroup is a number with one point or comma and three digits behind it: thousands, or a fraction.
	oneGroup     = regexp.MustCompile(`^([+-]?[1-9][0-9]{0,2})[.,]([0-9]{3})$`)
	leadingZero  = regexp.MustCompile(`^([+-]?)0+([0-9]+(\.[0-9]+)?)$`)
	underscored  = regexp.MustCompile(`^[+-]?[0-9][0-9_]*_[0-9_]*(\.[0-9]+)?$`)
	bareFraction = regexp.MustCompile(`^([+-]?)(\.[0-9]+|[0-9]+\.)$`)
)

// number gives the number of a part in plain decimal form, or nothing where it would have to be guessed.
func (r *reading) number(p part) string {
	s := p.text
	if plainNumber(s, r.kind) {
		return s
	}
	open := func(name, expected string, instead ...string) string {
		r.amiss(name, p, expected, false, instead...)
		return ""
	}
	if digitsIn(s) > maxDigits {
		return open(SlipNumberForm, "a number of at most 15 digits")
	}
	if folded := foldDigits(s); folded != s {
		if plainNumber(folded, r.kind) {
			r.amiss(SlipForeignDigits, p, "the digits 0 to 9 and a plain minus sign", true, folded)
			return folded
		}
		return open(SlipForeignDigits, "the digits 0 to 9 and a plain minus sign")
	}
	if grouped.MatchString(s) && (r.kind == Hours || !strings.Contains(s, " ")) {
		s = ungrouped(s, " "+thin)
		if plainLength(s) == len(s) { // the blanks say that a point is a decimal point
			return s
		}
	}
	switch {
	case strings.ContainsRune(s, ':'):
		return open(SlipColon, "seconds only, with a decimal point", clockTimes(s)...)
	case parted.MatchString(s) && (r.kind == Hours || !pointAlone(s)):
		whole, fraction := partedAs(s)
		if fraction == "" {
			return open(SlipThousands, "digits without a separator", whole)
		}
		r.amiss(SlipThousands, p, "digits without a separator", false)
		r.slips[len(r.slips)-1].Or = []string{whole, fraction}
		return ""
	case commaDecimal.MatchString(s):
		fixed := strings.Replace(s, ",", ".", 1)
		if plainLength(fixed) == len(fixed) {
			r.amiss(SlipDecimalComma, p, "a decimal point", true, fixed)
			return fixed
		}
		return open(SlipDecimalComma, "a decimal point")
	case leadingZero.MatchString(s):
		m := leadingZero.FindStringSubmatch(s)
		return open(SlipLeadingZero, "a number without leading zeros", m[1]+m[2])
	case underscored.MatchString(s):
		return open(SlipNumberForm, "digits without underscores", strings.ReplaceAll(s, "_", ""))
	case bareFraction.MatchString(s):
		m := bareFraction.FindStringSubmatch(s)
		if strings.HasPrefix(m[2], ".") {
			return open(SlipNumberForm, "a digit on both sides of the decimal point", m[1]+"0"+m[2])
		}
		return open(SlipNumberForm, "a digit on both sides of the decimal point", m[1]+strings.TrimSuffix(m[2], "."))
	case strings.ContainsFunc(s, isSpace) && !strings.ContainsFunc(s, func(r rune) bool {
		return unicode.IsLetter(r) ||
			r == '%'
	}):
		return open(SlipNumberForm, "one number, without spaces")
	}
	if n := slices.Index(numberWords, strings.ToLower(s)); n >= 0 {
		return open(SlipNumberForm, "digits, not the word", strconv.Itoa(n))
	}
	return open(SlipNumberForm, "plain digits, with a decimal point where one is needed")
}

func digitsIn(s string) (n int) {
	for _, r := range s {
		if unicode.IsDigit(r) {
			n++
		}
	}
	return n
}

// pointAlone says that a number holds one point and nothing else that parts it: a fraction, but where hours are read.
func pointAlone(s string) bool {
	return strings.Count(s, ".") == 1 && !strings.ContainsAny(s, ", '’")
}

func ungrouped(s, separators string) string {
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune(separators, r) {
			return -1
		}
		return r
	}, s)
}

// partedAs are the numbers that one with parted thousands may be: as a whole, and where one point or comma with three
// digits behind it may as well be a decimal sign, with a fraction. Of two different signs the last is the decimal sign:
// 19.120,5 is 19120.5. Both are empty where nothing of it makes sense.
func partedAs(s string) (whole, fraction string) {
	if m := oneGroup.FindStringSubmatch(s); m != nil {
		fraction = m[1]
		if f := strings.TrimRight(m[2], "0"); len(f) == 3 { // written so that it cannot be taken for thousands again
			fraction += "." + f + "0"
		} else if f != "" {
			fraction += "." + f
		}
		return m[1] + m[2], fraction
	}
	const signs = ",. '’"
	last := strings.LastIndexAny(s, signs)
	sign, size := utf8.DecodeRuneInString(s[last:])
	first := strings.IndexAny(s, signs)
	switch {
	case (sign == '.' || sign == ',') && strings.Count(s, string(sign)) == 1 && first < last:
		return ungrouped(s[:last], signs) + "." + s[last+size:], ""
	// 1,250,5; several readings in a row
	case len(s)-last-size != 3, sign == ' ' && (first < last || digitsIn(s[:first]) == 3):
		return "", ""
	}
	return ungrouped(s, signs), ""
}

var clock = regexp.MustCompile(`^([0-9]+):([0-9]{2})$`)

// clockTimes are what 3:20 may mean in seconds. Nothing tells which, so the first is as empty as where only the writer
// knows.
func clockTimes(s string) []string {
	m := clock.FindStringSubmatch(s)
	if m == nil {
		return nil
	}
	minutes, _ := strconv.Atoi(m[1])
	seconds, _ := strconv.Atoi(m[2])
	return []string{"", m[1] + "." + m[2], strconv.Itoa(60*minutes + seconds)}
}

var numberWords = []string{"zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
	"eleven", "twelve"}

// foldDigits writes digits of other scripts and typographic minus signs in plain characters.
func foldDigits(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '−' || r == '‐' || r == '–' || r == '－':
			return '-'
		case r == '．' || r == '·':
			return '.'
		case r > 0x7f && unicode.IsDigit(r):
			return '0' + digitValue(r)
		}
		return r
	}, s)
}

// digitValue is the value of a decimal digit of any script: each script's ten digits stand together, zero first.
func digitValue(r rune) rune {
	zero := r
	for unicode.IsDigit(zero-1) && r-zero < 9 {
		zero--
	}
	return r - zero
}

// unit reads the unit behind a number.
func (r *reading) unit(p, number part) *Unit {
	if p.text == "" {
		r.withoutUnit(number, number.at+len(number.text))
		return nil
	}
	u := Find(r.kind, p.text)
	switch {
	case u == nil:
		var any []string
		// more than a unit only the writer can place: 315 MPa (first opening pressure)
		if !strings.ContainsRune(p.text, ' ') {
			any = append([]string{""}, UnitsOf(r.kind)...)
		}
		r.amiss(SlipUnitUnknown, p, "a unit of "+r.kind.String()+": "+strings.Join(UnitsOf(r.kind), ", "), false, any...)
	case p.text != u.Name:
		put := u.Name
		if before, _ := utf8.DecodeLastRuneInString(r.text[:p.at]); !isSpace(before) {
			put = " " + put
		}
		r.amiss(SlipUnitSpelling, p, u.Name, true, put)
	}
	return u
}

// withoutUnit notes that no unit stands behind a text, where one belongs.
func (r *reading) withoutUnit(p part, at int) {
	var units []string
	for _, u := range UnitsOf(r.kind) {
		units = append(units, " "+u)
	}
	r.amiss(SlipUnitMissing, p, "a unit: "+strings.Join(UnitsOf(r.kind), ", "), false, units...)
	s := &r.slips[len(r.slips)-1]
	s.At, s.Len = at, 0
}
