package page

import (
	"strconv"
	"strings"

	"needlebook/logbook"
)

func itoa(n int) string { return strconv.Itoa(n) }

// Hours are running hours for the eye: whole hours, with a thin space at the thousands.
func Hours(h float64) string {
	if h < 0 {
		return Grouped(int(h-0.5)) + " h"
	}
	return Grouped(int(h+0.5)) + " h"
}

// Counted is a number with its noun: "no records", "one record", "7 records". one is the whole phrase for one.
func Counted(n int, one, many string) string {
	switch n {
	case 0:
		return "no " + many
	case 1:
		return one
	}
	return Grouped(n) + " " + logbook.Plural(n, one, many)
}

// Grouped is a whole number with a thin space at the thousands.
func Grouped(n int) string {
	if n < 0 {
		return "−" + Grouped(-n)
	}
	text := itoa(n)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + "\u202f" + text[i:]
	}
	return text
}

// Fixed is a number with so many decimals, without a minus at nil.
func Fixed(v float64, decimals int) string {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if text == "-0" {
		return "0"
	}
	return text
}

// Percent is a share of one in whole per cent.
func Percent(v float64) string { return itoa(int(v*100+0.5)) + " %" }

// SignedBar is a difference of pressures.
func SignedBar(v float64) string {
	text := Fixed(v, 1)
	if v > 0 {
		text = "+" + text
	}
	return text + " bar"
}

// SignedKelvin is a difference of temperatures, without its unit.
func SignedKelvin(v float64) string {
	text := Fixed(v, 0)
	if v > 0.5 {
		return "+" + text
	}
	return text
}

// OrDash is a text, or a dash where there is none.
func OrDash(text string) string {
	if text == "" {
		return "–"
	}
	return text
}

// UpperFirst is a text with a capital letter.
func UpperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// Joined are several texts with commas.
func Joined(all []string) string { return strings.Join(all, ", ") }
