package rounds

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"needlebook/logbook"
	"needlebook/logbook/edit"
	"needlebook/logbook/measure"
	"needlebook/logbook/tree"
)

// anyRecord is the path by which a text is read as a record, wherever it will lie.
const anyRecord = "overhauls/round.md"

var (
	bare = regexp.MustCompile(`^[-+−]?[0-9][0-9.,]*$`)
	// parted is a number whose thousands a blank parts, which leaves no choice.
	parted = regexp.MustCompile(`^[-+]?[0-9]{1,3}([ \x{a0}\x{202f}][0-9]{3})+([.,][0-9]+)?$`)
	// more is a reading that was cut off without its unit.
	more = regexp.MustCompile(`^(?i)(?:more than|over|>)\s*([0-9][0-9.,]*)$`)
	// powers is what a spreadsheet makes of a serial such as 12E5.
	powers = regexp.MustCompile(`^[0-9]+([.,][0-9]+)?E[+-]?[0-9]+$`)
	// unsure is how people write that they are not sure of a name.
	unsure = regexp.MustCompile(`[?~,]|(?i)\sor\s`)
	listed = regexp.MustCompile(`\s*[;/\n]\s*`)
	counts = regexp.MustCompile(`[;,/&\s]+(?:and\s+)?`)
	// absentForm is a value that is missing, with its reason.
	absentForm = regexp.MustCompile(`^(?i)not\s+(?:` + logbook.Absences + `)\b`)
)

// written is what cells of one value are as a record writes them, through all that the reader of a record corrects
// without a choice; why says what is expected where nobody can tell.
func written(key string, f logbook.Field, cells []string, units []string) (text, why string) {
	var items []string
	for i, cell := range cells {
		if strings.ContainsRune(cell, Unreadable) {
			return "", "letters that the file still has: save it as CSV UTF-8"
		}
		if strings.HasPrefix(cell, "#") {
			return "", fmt.Sprintf("the value: %q is what a spreadsheet shows for none", cell)
		}
		parts := []string{cell}
		switch f.Shape {
		case logbook.ShapeAmounts, logbook.ShapeTexts, logbook.ShapeSerials:
			parts = listed.Split(cell, -1)
		case logbook.ShapeNumbers:
			if parts = counts.Split(strings.Trim(cell, "[] "), -1); absentForm.MatchString(cell) {
				parts = []string{cell}
			}
		}
		for _, part := range parts {
			if part = strings.TrimSpace(part); part == "" {
				continue
			}
			one, why := single(f, part, units[i])
			if why != "" {
				return "", why
			}
			items = append(items, one)
		}
	}
	value := "[" + strings.Join(items, ", ") + "]"
	if many := slices.Contains([]logbook.Shape{logbook.ShapeAmounts, logbook.ShapeTexts, logbook.ShapeSerials,
		logbook.ShapeNumbers}, f.Shape); !many || len(items) == 1 && (noneCounted.MatchString(items[0]) ||
		absentForm.MatchString(strings.Trim(items[0], `"`))) {
		value = strings.Join(items, " ")
	}
	return read(key, value)
}

// noneCounted is how people say that a list of counts has nothing in it.
var noneCounted = regexp.MustCompile(`^"?(?i)(none|nil|no|-|–)"?$`)

// single is one value, with the unit of its column where it has none.
func single(f logbook.Field, cell, unit string) (text, why string) {
	switch f.Shape {
	case logbook.ShapeAmount, logbook.ShapeAmounts:
		if unit == "" {
			break
		}
		if parted.MatchString(cell) {
			cell = strings.Map(withoutBlank, cell)
		}
		if m := more.FindStringSubmatch(cell); m != nil {
			return logbook.MoreThan + m[1] + " " + unit, ""
		}
		if bare.MatchString(cell) {
			return cell + " " + unit, ""
		}
	case logbook.ShapeDate:
		cell = atMidnight(cell)
		switch days := logbook.DaysMeant(cell); {
		case len(days) == 1:
			return days[0], ""
		case len(days) > 1:
			return "", "a date without a choice: " + strings.Join(days, " or ")
		}
	case logbook.ShapeWord:
		cell = wordOf(f.Words, cell)
	case logbook.ShapeSerial, logbook.ShapeSerials:
		if powers.MatchString(cell) {
			return "", "the serial as it is stamped: a spreadsheet made a power of ten of it"
		}
		if unsure.MatchString(cell) {
			return "", "the name or serial alone, as it is stamped"
		}
	}
	return quoted(f, cell), ""
}

// truths are how spreadsheets write a box that is ticked and one that is not, in their user's language.
var truths = map[string]string{"TRUE": "yes", "WAHR": "yes", "VERDADERO": "yes", "VERDADEIRO": "yes", "VRAI": "yes",
	"ИСТИНА": "yes", "BENAR": "yes", "FALSE": "no", "FALSCH": "no", "FALSO": "no", "FAUX": "no", "ЛОЖЬ": "no",
	"SALAH": "no"}

// wordOf is the word that a cell stands for: the letter that the sheet of the round gives it, or a ticked box as a
// spreadsheet writes it; the cell itself for anything else.
func wordOf(words []string, cell string) string {
	if word := truths[strings.ToUpper(cell)]; slices.Contains(words, word) {
		return word
	}
	var begin []string
	for _, w := range words {
		if len(cell) == 1 && strings.EqualFold(w[:1], cell) {
			begin = append(begin, w)
		}
	}
	if len(begin) == 1 {
		return begin[0]
	}
	return cell
}

func withoutBlank(r rune) rune {
	if unicode.IsSpace(r) {
		return -1
	}
	return r
}

// quoted is a value as it is read back wherever it stands.
func quoted(f logbook.Field, v string) string {
	text := slices.Contains([]logbook.Shape{logbook.ShapeText, logbook.ShapeTexts, logbook.ShapeSerial,
		logbook.ShapeSerials}, f.Shape)
	plain := !text || f.As != ""
	for _, r := range v {
		if !(r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || strings.ContainsRune(" .+-%°·/²³µ", r)) {
			plain = false
		}
	}
	if plain && !strings.HasPrefix(v, "-") && !strings.HasPrefix(v, "%") && (!text || nameOrNumber.MatchString(v)) {
		return v
	}
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`, "\r", `\r`, "\t", `\t`).Replace(v) + `"`
}

// nameOrNumber is a name, or a number as it is counted, which no reader takes for anything else.
var nameOrNumber = regexp.MustCompile(`^[A-Za-z]|^[1-9][0-9]{0,3}$`)

// read has the reader of records look at a value by itself, and gives it as it is corrected.
func read(key, value string) (text, why string) {
	fixed, _ := edit.Correct(anyRecord, alone(key, value), func(string) bool { return true })
	if amiss := logbook.Problems(anyRecord, fixed); len(amiss) > 0 {
		if meant := amiss[0].Meant; len(meant) > 1 {
			if f, _ := logbook.KindNamed("overhaul").Field(key); f.Shape == logbook.ShapeWord {
				return "", "one of: " + strings.Join(meant, ", ")
			}
			return "", strings.Join(meant, " or ") + ", whichever is meant"
		}
		return "", amiss[0].Expected
	}
	t := logbook.TreeOf(fixed)
	n := t.Root
	for part := range strings.SplitSeq(key, ".") {
		at := slices.IndexFunc(n.Below, func(e *tree.Node) bool { return e.Key == part })
		if at < 0 {
			return "", "a value"
		}
		n = n.Below[at]
	}
	return string(fixed[n.ValueAt:n.ValueEnd]), ""
}

// alone is a record of one value.
func alone(key, value string) []byte {
	var b strings.Builder
	b.WriteString("---\n")
	for i, part := range strings.Split(key, ".") {
		if i > 0 {
			b.WriteString("\n")
		}
		b.WriteString(strings.Repeat("  ", i) + part + ":")
	}
	return []byte(b.String() + " " + value + "\n---\n")
}

// meaning is what a value says, however it is written; several are in their order.
func meaning(name string, src []byte) map[string]string {
	all := map[string]string{}
	said, _ := logbook.Meanings(name, src)
	for _, m := range said {
		key, _, _ := strings.Cut(m.Key, "[")
		if all[key] != "" {
			all[key] += ", "
		}
		all[key] += m.Says
	}
	return all
}

// same says that two values of a key say the same. A quantity says its unit too.
func same(key, value, says string) bool { return meaning(anyRecord, alone(key, value))[key] == says }

// noughtsLost finds the one known serial that a typed one is where a spreadsheet took noughts in front of it away.
func noughtsLost(typed string, known []string) string {
	for _, k := range known {
		if k != typed && strings.TrimLeft(k, "0") == typed && typed != "" {
			return k
		}
	}
	return ""
}

// unitOf is a column's unit as a record writes it.
func unitOf(c Column) string {
	if c.Unit == "" {
		return ""
	}
	if _, known := measure.KindOf(c.Unit); known {
		return c.Unit
	}
	return unitNamed(c.Unit)
}

// orBlank is a text for a person, a blank said as such.
func orBlank(text string) string {
	if text == "" {
		return "blank"
	}
	return fmt.Sprintf("%q", text)
}
