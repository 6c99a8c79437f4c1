package judging

import "needlebook/logbook"

// AtOil is the leak-down time of a test in seconds as it would have been with its oil at another temperature in °C, from the oil of the
// bench it was made on; ok is false where time, temperature or oil are not known.
func AtOil(b *logbook.Book, t *logbook.Test, celsius float64) (seconds float64, ok bool) {
	j := &judge{b: b}
	oil, ok := j.oilOf(t.Bench.Written)
	if !ok || !t.Oil.Quantity.Valid() || !t.LeakDown.Time.Quantity.Valid() {
		return 0, false
	}
	there, err := oil.DynamicMPaS(t.Oil.Float())
	if err != nil || there <= 0 {
		return 0, false
	}
	here, err := oil.DynamicMPaS(celsius)
	if err != nil {
		return 0, false
	}
	return t.LeakDown.Time.Float() * here / there, true
}
