package intake

import (
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"needlebook/logbook/measure"
)

// numberHabit is how a column, or a sheet, writes numbers.
type numberHabit struct {
	decimal   map[byte]int // cells in which a sign can only be the decimal sign
	parted    map[byte]int // cells in which a sign has three digits behind it, and may part thousands
	only      map[byte]int // cells in which a sign can only part thousands
	whole     float64      // the largest number without a sign
	fractions int          // stored numbers with a fraction
}

var numberForm = regexp.MustCompile("^[-+−]?[0-9.,][0-9.,'’ \u00a0\u202f\u2009]*$")

func (h *numberHabit) take(c cell) {
	text := c.text
	if m := quantityForm.FindStringSubmatch(text); m != nil {
		text = m[1]
	}
	if !numberForm.MatchString(text) {
		return
	}
	if h.decimal == nil {
		h.decimal, h.parted, h.only = map[byte]int{}, map[byte]int{}, map[byte]int{}
	}
	if v, err := strconv.ParseFloat(text, 64); err == nil && !strings.Contains(text, ".") {
		h.whole = max(h.whole, v)
	} else if c.stored && err == nil {
		h.fractions++
	}
	if c.stored {
		return // as the spreadsheet stores it, not as somebody typed it
	}
	points, commas := strings.Count(text, "."), strings.Count(text, ",")
	last := byte('.')
	if strings.LastIndexByte(text, ',') > strings.LastIndexByte(text, '.') {
		last = ','
	}
	other := byte('.' + ',' - last)
	switch signs := points + commas; {
	case signs == 0:
	case points > 0 && commas > 0:
		h.decimal[last]++
		h.only[other]++
	case signs > 1:
		h.only[last]++
	case decimalOnly(text, last):
		h.decimal[last]++
	default:
		h.parted[last]++
	}
}

// decimalOnly says that the one sign in a number can only be the decimal sign: no thousand begins with nought, and no
// group of digits has more or fewer than three.
func decimalOnly(text string, sign byte) bool {
	before, behind, _ := strings.Cut(strings.TrimLeft(text, "+-−"), string(sign))
	before = strings.TrimSpace(before)
	return len(behind) != 3 || before == "" || before[0] == '0' || len(before) > 3
}

var (
	groupForm = regexp.MustCompile(`^[1-9][0-9]{0,2}([.,'’ ` + "\u00a0\u202f\u2009" + `][0-9]{3})+$`)
	sumForm   = regexp.MustCompile(`^[1-9][0-9]{0,2}([.'’ ` + "\u00a0\u202f" + `][0-9]{3})+,[0-9]+$|` +
		`^[1-9][0-9]{0,2}([,'’ ` + "\u00a0\u202f" + `][0-9]{3})+\.[0-9]+$`)
)

// number is a number as a record writes it, by what the column and the sheet do elsewhere. why says what is doubtful.
func (h *numberHabit) number(c cell, text string, kind measure.Kind, sheet *numberHabit) (number, why string) {
	sign := ""
	if text = strings.TrimSpace(text); strings.ContainsAny(text[:1], "+-") || strings.HasPrefix(text, "−") {
		_, size := firstRune(text)
		sign, text = strings.Trim(strings.Replace(text[:size], "−", "-", 1), "+"), text[size:]
	}
	digits := func(t string) string {
		return strings.Map(func(r rune) rune {
			if unicode.IsDigit(r) {
				return r
			}
			return -1
		}, t)
	}
	at := strings.LastIndexAny(text, ".,")
	if c.stored {
		if kind == measure.Hours && at >= 0 && h.whole >= 1000 {
			return "", "whole hours: the spreadsheet may have taken a sign of thousands for the decimal sign"
		}
		return sign + text, ""
	}
	if len(text) > 1 && len(text) != 4 && at == 0 {
		text, at = "0"+text, 1 // .77
	}
	one := strings.Count(text, ".")+strings.Count(text, ",") == 1
	switch {
	case digits(text) == text:
		return sign + text, ""
	case sumForm.MatchString(text):
		return sign + digits(text[:at]) + "." + text[at+1:], ""
	case at < 0 && groupForm.MatchString(text) && (kind == measure.Hours || !strings.Contains(text, " ")):
		return sign + digits(text), ""
	case at < 0:
		return "", "digits without a separator"
	case !one && groupForm.MatchString(text) && h.decimal[text[at]] == 0 && strings.Count(text, text[at:at+1]) > 1:
		return sign + digits(text), ""
	case !one || digits(text[:at]) != text[:at] || digits(text[at+1:]) != text[at+1:] || at+1 == len(text):
		return "", "a number without signs between its digits"
	case decimalOnly(text, text[at]):
		if kind == measure.Hours && h.whole >= 1000 && len(text)-at > 2 {
			return "", "digits without a separator"
		}
		return sign + text[:at] + "." + text[at+1:], ""
	}
	return h.parts(sign, text, at, kind, sheet)
}

// parts reads a number with one sign and three digits behind it, which may be its decimals or its hundreds.
func (h *numberHabit) parts(sign, text string, at int, kind measure.Kind, sheet *numberHabit) (number, why string) {
	s := text[at]
	other := byte('.' + ',' - s)
	whole, fraction := sign+text[:at]+text[at+1:], sign+text[:at]+"."+text[at+1:]
	switch {
	case kind == measure.Hours: // no counter of hours shows thousandths
		if h.decimal[s] == 0 && h.parted[other] == 0 && (h.parted[s]+h.only[s] > 1 || sheet.decimal[other] > 0) &&
			(sheet.decimal[s] == 0 || sheet.decimal[other] > 0) {
			return whole, ""
		}
		return "", "digits without a separator"
	case h.decimal[s] > 0 && h.decimal[other] == 0 && h.only[s] == 0:
		return fraction, ""
	case h.decimal[other] > 0 && h.decimal[s] == 0:
		return whole, ""
	case len(h.decimal) == 0 && h.only[s] == 0 && sheet.decimal[s] > 0 && sheet.decimal[other] == 0 && sheet.only[s] == 0:
		return fraction, ""
	}
	return "", "digits without a separator, or more or fewer decimals than three"
}

func firstRune(text string) (r rune, size int) {
	for i, x := range text {
		if i > 0 {
			return r, i
		}
		r = x
	}
	return r, len(text)
}
