package checks

import (
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var (
	hoursSaid    = regexp.MustCompile(`^[1-9][0-9]{3,5} h$`)
	hoursWritten = regexp.MustCompile(`\b([1-9][0-9]{0,2})([0-9]{3}) h\b`)
	rowWritten   = regexp.MustCompile(`(?m)^([0-9-]{10},[1-9][0-9]{0,2})([0-9]{3})((?:\.[0-9])?,)`)
)

// The whole book of a ship in which 18 340 is written 18.340, as in much of the world, is not silent: every such number is a finding at
// its line, with the number that was meant to type. Common practice, no source.
func TestWholeBookInThousandsWithPoints(t *testing.T) {
	book, planted := fstest.MapFS{}, 0
	for p, f := range ostrevane(t) {
		text := string(f.Data)
		switch {
		case strings.HasPrefix(p, "hours/"):
			planted += len(rowWritten.FindAllString(text, -1))
			text = rowWritten.ReplaceAllString(text, "$1.$2$3")
		case strings.HasSuffix(p, ".md"):
			front, rest, _ := strings.Cut(strings.TrimPrefix(text, "---\n"), "\n---")
			values, _ := logbook.Meanings(p, f.Data)
			for _, v := range values {
				if hoursSaid.MatchString(v.Says) {
					planted++
				}
			}
			text = "---\n" + hoursWritten.ReplaceAllString(front, "$1.$2 h") + "\n---" + rest
		}
		book[p] = &fstest.MapFile{Data: []byte(text)}
	}
	b, err := logbook.Read(book)
	if err != nil {
		t.Fatal(err)
	}
	met, told := 0, 0
	for _, p := range b.Problems {
		if p.Slip != measure.SlipThousands {
			continue
		}
		met++
		switch whole := strings.ReplaceAll(p.Found, ".", ""); {
		case p.Type == "":
			t.Logf("not told: %s", p)
		case strings.TrimSuffix(p.Type, " h") != whole:
			t.Errorf("%s: to type %q", p, p.Type)
		default:
			told++
		}
	}
	t.Logf("%d numbers planted, %d met, of %d it is told what to type", planted, met, told)
	if met < planted || told < planted*9/10 {
		t.Errorf("%d numbers planted, %d met, of %d it is told what to type", planted, met, told)
	}
	found := map[logbook.Place]bool{}
	for _, f := range Run(b, Options{}).Findings {
		found[f.Place] = found[f.Place] || f.Check == "thousands-separator"
		for _, r := range f.Related { // of a table they are told once
			found[r.Place] = found[r.Place] || f.Check == "thousands-separator"
		}
	}
	for _, p := range b.Problems {
		if p.Slip == measure.SlipThousands && !found[p.Place] {
			t.Errorf("%s is silent", p)
		}
	}
}
