package evidence_test

import (
	"math"
	"os"
	"strings"
	"testing"

	"needlebook/checks/evidence"
	"needlebook/checks/judging"
	"needlebook/example-vessel/invent"
	"needlebook/logbook"
)

// What occurs with planted faults is named, and the innocent are not, on vessels that nobody has seen. How many a crew forgives is
// common practice, no source. With -v the rates are printed; NEEDLEBOOK_LONG tries hundreds of vessels of each kind.
func TestTheGuiltyAreNamed(t *testing.T) {
	vessels := uint64(12)
	if os.Getenv("NEEDLEBOOK_LONG") != "" {
		vessels = 400
	}
	for _, x := range []struct {
		fault string
		found func(found []evidence.Association, e *evidence.Evidence, key string) bool
		least float64 // share of the planted faults that must be named
	}{
		{"", nil, 0},
		{"holder that eats nozzles", func(found []evidence.Association, _ *evidence.Evidence, key string) bool {
			for _, a := range found {
				if a.Kind == "holder" && a.With == "failed" && strings.HasSuffix(key, "-"+stem(a.Which)) {
					return true
				}
			}
			return false
		}, 0.6},
		{"cylinder that eats valves", func(found []evidence.Association, _ *evidence.Evidence, _ string) bool {
			return len(found) > 0 && found[0].Kind == "position"
		}, 0.4}, // a year or two of records: of a position that spoils half of its valves they hold five
		{"gauge that was dropped", func(_ []evidence.Association, e *evidence.Evidence, _ string) bool {
			return cell(e, "rounds", 2, "opening pressure")
		}, 0.7},
		{"gauge found wrong", func(_ []evidence.Association, e *evidence.Evidence, _ string) bool {
			return cell(e, "gauges", 7, "yes")
		}, 0.8},
		{"bad bunker", func(_ []evidence.Association, e *evidence.Evidence, _ string) bool {
			return cell(e, "rounds", 4, " d)")
		}, 0.7},
	} {
		planted, met, any, persons := 0, 0, 0, 0
		for seed := range vessels {
			var o invent.Options
			if x.fault != "" {
				o.Faults = []string{x.fault}
			}
			v := invent.Vessel(seed, o)
			if x.fault != "" && len(v.Key) == 0 {
				continue
			}
			planted++
			b, err := logbook.Read(v.FS())
			if err != nil {
				t.Fatal(err)
			}
			e := evidence.New(b, b.Rounds(), judging.Judge(b), b.Today())
			found, _ := e.Associations()
			if x.found != nil && x.found(found, e, v.Key[0].Record) {
				met++
			}
			if len(found) > 0 {
				any++
			}
			for _, a := range found {
				if strings.HasPrefix(a.Kind, "person") {
					persons++
				}
			}
		}
		t.Logf("%q: %d vessels, named rightly %d, anything named %d, persons named %d", x.fault, planted, met, any, persons)
		chance := 2 * math.Sqrt(float64(planted)*x.least*(1-x.least)) // two standard deviations of so few vessels
		if float64(met) < x.least*float64(planted)-chance {
			t.Errorf("%q: %d of %d named, want a share of %g", x.fault, met, planted, x.least)
		}
		// two sets of questions about two findings, one in twenty each
		if x.fault == "" && float64(any) > 0.25*float64(planted) {
			t.Errorf("on %d of %d honest vessels something is named", any, planted)
		}
		if float64(persons) > max(1, 0.1*float64(planted)) {
			t.Errorf("%q: %d innocent persons named on %d vessels", x.fault, persons, planted)
		}
	}
}

// stem is a serial as a record's file name has it.
func stem(serial string) string {
	return strings.Map(func(r rune) rune {
		if r == '/' || r == ' ' {
			return '-'
		}
		return r
	}, strings.ToLower(serial))
}

func cell(e *evidence.Evidence, table string, column int, holds string) bool {
	p := e.RecurringPaper()
	for _, r := range p.Table(table).Rows {
		if strings.Contains(r[column].Text, holds) {
			return true
		}
	}
	return false
}
