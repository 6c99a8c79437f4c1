package page

import (
	"testing"

	"needlebook/logbook/measure"
)

// TestHoursArePastedBack holds that running hours as a page shows them are read as the same number where somebody
// pastes them into a record: the thin space at the thousands says nothing. No outside source.
func TestHoursArePastedBack(t *testing.T) {
	for _, h := range []float64{0, 7, 999, 1000, 1780, 15399, 123456} {
		q, slips := measure.Parse(Hours(h), measure.Hours)
		if !q.Valid() || len(slips) > 0 || q.Float() != h {
			t.Errorf("%q is read as %v, %v; want %g h", Hours(h), q, slips, h)
		}
	}
}
