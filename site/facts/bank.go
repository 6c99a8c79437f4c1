package facts

import (
	"regexp"

	"needlebook/logbook"
)

// Bank is one row of cylinders.
type Bank struct {
	Name      string
	Cylinders []string
}

var (
	bankFirst = regexp.MustCompile(`^([A-Za-z]+)[ -]?([0-9]+)$`)
	bankLast  = regexp.MustCompile(`^([0-9]+)[ -]?([A-Za-z]+)$`)
)

// BanksOf tells the banks of a vee engine from the names of its cylinders: A1, B1 or 1L, 1R. An engine in line has
// one, without a name.
func BanksOf(e logbook.Engine) []Bank {
	line := Bank{}
	var banks []Bank
	at := map[string]int{}
	vee := true
	for _, c := range e.Cylinders.Each {
		line.Cylinders = append(line.Cylinders, c.Written)
		name := ""
		if m := bankFirst.FindStringSubmatch(c.Written); m != nil {
			name = m[1]
		} else if m := bankLast.FindStringSubmatch(c.Written); m != nil {
			name = m[2]
		}
		vee = vee && name != ""
		i, ok := at[name]
		if !ok {
			i = len(banks)
			at[name] = i
			banks = append(banks, Bank{Name: name})
		}
		banks[i].Cylinders = append(banks[i].Cylinders, c.Written)
	}
	if !vee || len(banks) < 2 {
		return []Bank{line}
	}
	return banks
}
