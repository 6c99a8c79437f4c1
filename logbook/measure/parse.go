package measure

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxDigits is the most digits of a number that are read: more are no measurement.
const maxDigits = 15

// Slip is something amiss in the writing of a number or unit: a plain fact, which a check turns into words for the reader.
type Slip struct {
	Name     string // which slip: one of the Slip constants
	Found    string // the text at fault
	Expected string // what belongs there
	Type     string // what to type instead; empty where only the writer can know
	Read     bool   // whether a value was read all the same
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

// plainLength is the length of the plain decimal number at the front of a text: a sign, digits without leading zeros, a point and more
// digits; 0 where none stands there.
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

func plainNumber(s string) bool { return s != "" && plainLength(s) == len(s) }

// Parse reads one quantity, "312 bar" or "312bar", of the wanted kind. The Quantity is invalid where nothing could be read
// without guessing; slips say what was amiss, also where the value was read.
func Parse(text string, kind Kind) (Quantity, []Slip) {
	number, unitText := splitUnit(text)
	if number == "" {
		return Quantity{}, []Slip{{SlipNotANumber, text, "a number and a unit, such as " + example(kind), "", false}}
	}
	if !unitLike(unitText, kind) {
		return Quantity{}, []Slip{{SlipNumberForm, text, "one number and a unit, such as " + example(kind), "", false}}
	}
	canonical, slips := readNumber(number)
	unit, unitSlips := readUnit(number, canonical, unitText, kind)
	slips = append(slips, unitSlips...)
	if unit != nil {
		for i := range slips {
			if slips[i].Type != "" && !strings.HasSuffix(slips[i].Type, unit.Name) {
				slips[i].Type += " " + unit.Name
			}
		}
	}
	if canonical == "" || unit == nil {
		for i := range slips {
			slips[i].Read = false
		}
		return Quantity{}, slips
	}
	q, ok := decimalOf(canonical, unit)
	if !ok {
		return Quantity{}, append(slips, Slip{SlipNumberForm, number, "a number of at most 15 digits", "", false})
	}
	if len(slips) == 0 {
		q.written = number
	}
	return q, slips
}

// ParseNumber reads a bare number (a count, a class, a share of one); canonical is empty where it cannot be read.
func ParseNumber(text string) (canonical string, slips []Slip) {
	return readNumber(strings.TrimSpace(text))
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

// splitUnit parts the number at the front from the unit behind it. Spaces inside the number stay with the number, so that
// "1 250 h" is seen for what it is.
func splitUnit(text string) (number, unit string) {
	if n := plainLength(text); n > 0 && n+1 < len(text) && text[n] == ' ' && plainUnit(text[n+1:]) {
		return text[:n], text[n+1:]
	}
	s := strings.TrimFunc(text, isSpace)
	end := 0
	for i, r := range s {
		if unicode.IsDigit(r) {
			end = i + utf8.RuneLen(r)
			continue
		}
		if isSpace(r) || strings.ContainsRune("+-−.,:_'’·", r) {
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
		word, rest, _ := strings.Cut(s, " ")
		return word, strings.TrimFunc(rest, isSpace)
	}
	return strings.TrimFunc(s[:end], isSpace), strings.TrimFunc(s[end:], isSpace)
}

// unitLike says that what stands behind a number may be a unit, known or not. In 31.5/31.0/31.5, in 1O210 h and in 31.5 MPa, 31.0 MPa
// it is more of the number, or of another one: cutting it off would change the value.
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

var (
	commaDecimal = regexp.MustCompile(`^([+-]?[0-9]+),([0-9]+)$`)
	thousands    = regexp.MustCompile(`^[+-]?[1-9][0-9]{0,2}([,. '’\x{00a0}\x{202f}\x{2009}][0-9]{3})+([.,][0-9]+)?$`)
	leadingZero  = regexp.MustCompile(`^([+-]?)0+([0-9]+(\.[0-9]+)?)$`)
	underscored  = regexp.MustCompile(`^[+-]?[0-9][0-9_]*_[0-9_]*(\.[0-9]+)?$`)
	bareFraction = regexp.MustCompile(`^([+-]?)(\.[0-9]+|[0-9]+\.)$`)
)

// readNumber gives the number in plain decimal form, or nothing where it would have to be guessed.
func readNumber(s string) (string, []Slip) {
	if plainNumber(s) {
		return s, nil
	}
	one := func(name, expected, typed string) (string, []Slip) {
		return "", []Slip{{name, s, expected, typed, false}}
	}
	if folded := foldDigits(s); folded != s {
		if plainNumber(folded) {
			return folded, []Slip{{SlipForeignDigits, s, "the digits 0 to 9 and a plain minus sign", folded, true}}
		}
		return one(SlipForeignDigits, "the digits 0 to 9 and a plain minus sign", "")
	}
	switch {
	case strings.ContainsRune(s, ':'):
		return one(SlipColon, "seconds only, with a decimal point", "")
	case thousands.MatchString(s) && !(strings.Count(s, ".") == 1 && !strings.ContainsAny(s, ", '’\u00a0\u202f\u2009")):
		return one(SlipThousands, "digits without a separator", "")
	case commaDecimal.MatchString(s):
		fixed := strings.Replace(s, ",", ".", 1)
		if plainNumber(fixed) {
			return fixed, []Slip{{SlipDecimalComma, s, "a decimal point", fixed, true}}
		}
		return one(SlipDecimalComma, "a decimal point", "")
	case leadingZero.MatchString(s):
		m := leadingZero.FindStringSubmatch(s)
		return one(SlipLeadingZero, "a number without leading zeros", m[1]+m[2])
	case underscored.MatchString(s):
		return one(SlipNumberForm, "digits without underscores", strings.ReplaceAll(s, "_", ""))
	case bareFraction.MatchString(s):
		m := bareFraction.FindStringSubmatch(s)
		if strings.HasPrefix(m[2], ".") {
			return one(SlipNumberForm, "a digit on both sides of the decimal point", m[1]+"0"+m[2])
		}
		return one(SlipNumberForm, "a digit on both sides of the decimal point", m[1]+strings.TrimSuffix(m[2], "."))
	case strings.ContainsFunc(s, isSpace) && !strings.ContainsFunc(s, func(r rune) bool { return unicode.IsLetter(r) || r == '%' }):
		return one(SlipNumberForm, "one number, without spaces", "")
	}
	if n := slices.Index(numberWords, strings.ToLower(s)); n >= 0 {
		return one(SlipNumberForm, "digits, not the word", strconv.Itoa(n))
	}
	return one(SlipNumberForm, "plain digits, with a decimal point where one is needed", "")
}

var numberWords = []string{"zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}

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

func readUnit(number, canonical, text string, kind Kind) (*Unit, []Slip) {
	if text == "" {
		typed := ""
		if canonical != "" {
			typed = canonical + " " + BaseUnit(kind).Name
		}
		return nil, []Slip{{SlipUnitMissing, number, "a unit: " + strings.Join(UnitsOf(kind), ", "), typed, false}}
	}
	if u := Find(kind, text); u != nil {
		if text != u.Name && canonical != "" {
			return u, []Slip{{SlipUnitSpelling, text, u.Name, canonical + " " + u.Name, true}}
		}
		return u, nil
	}
	return nil, []Slip{{SlipUnitUnknown, text, "a unit of " + kind.String() + ": " + strings.Join(UnitsOf(kind), ", "), "", false}}
}
