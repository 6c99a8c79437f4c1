package checks

import (
	"path"
	"strings"
	"testing"

	"needlebook/logbook/keys"
)

// TestMeasuredWithin holds what is said to be closed by a measurement within its limit against that record's verdicts.
func TestMeasuredWithin(t *testing.T) {
	r := Run(exampleVessel(t), Options{})
	for _, f := range r.Findings {
		if !strings.Contains(f.Ended.Words, "measured again within its limit") {
			continue
		}
		o := r.Book.Overhaul(strings.TrimSuffix(path.Base(f.Ended.Place.Path), ".md"))
		for _, v := range r.Judgement.Of(o) {
			if strings.HasPrefix(v.Key, "measured.") && v.Result.Out() && v.Key != keys.MeasuredNoGo {
				t.Errorf("%s: %s: %s, but %s there is %s", f.Place, f.Message, f.Ended.Words, v.Name, v.Result)
			}
		}
	}
}
