package intake

import (
	"regexp"
	"strings"
)

// scaleForm is a part or a multiple of a unit, as headings name it: 1/100 mm, 0.01 mm, x10 bar.
var scaleForm = regexp.MustCompile(`^(?:[x×*]? ?1 ?/ ?1(0+)|[x×*]? ?0[.,](0*)1|[x×*] ?1(0+)) ?(\pL.*)$`)

// scaled parts a unit from the power of ten of it that a sheet counts in; 0 for the unit itself.
func scaled(text string) (unit string, power int) {
	m := scaleForm.FindStringSubmatch(strings.Join(strings.Fields(text), " "))
	switch {
	case m == nil:
		return text, 0
	case m[1] != "":
		power = -len(m[1])
	case m[3] != "":
		power = len(m[3])
	default:
		power = -len(m[2]) - 1
	}
	return m[4], power
}

// shifted is a decimal number with its point moved, digit by digit, so that nothing of it is rounded.
func shifted(number string, power int) string {
	sign := ""
	if strings.HasPrefix(number, "-") {
		sign, number = "-", number[1:]
	}
	whole, behind, _ := strings.Cut(number, ".")
	switch {
	case power == 0:
		return sign + number
	case power < 0:
		whole = strings.Repeat("0", max(0, 1-power-len(whole))) + whole
		at := len(whole) + power
		whole, behind = whole[:at], whole[at:]+behind
	default:
		behind += strings.Repeat("0", max(0, power-len(behind)))
		whole, behind = whole+behind[:power], behind[power:]
	}
	if whole = strings.TrimLeft(whole, "0"); whole == "" {
		whole = "0"
	}
	if behind != "" {
		whole += "." + behind
	}
	return sign + whole
}
