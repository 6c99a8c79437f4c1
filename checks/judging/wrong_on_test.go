package judging

import (
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// An instrument is wrong from the first to the last of the days in which it was found so, both among them; without a
// last one still, and without a first one on no day. Outside source: none.
func TestWrongOn(t *testing.T) {
	i := &logbook.Instrument{FoundWrong: []logbook.FoundWrong{
		{To: logbook.Date{Day: 90}},
		{From: logbook.Date{Day: 100}, To: logbook.Date{Day: 110}},
		{From: logbook.Date{Day: 200}}}}
	for day, first := range map[logbook.Day]logbook.Day{50: 0, 99: 0, 100: 100, 105: 100, 110: 100, 111: 0, 199: 0, 200: 200,
		9999: 200} {
		if w, ok := WrongOn(i, day); ok != (first != 0) || w.From.Day != first {
			t.Errorf("on day %d: wrong %v since %d, want since %d", day, ok, w.From.Day, first)
		}
	}
}

// How well a difference is known is not said of two values of which one is missing, or is of another kind. Outside
// source: none.
func TestBetweenOneKind(t *testing.T) {
	bar, _ := measure.Parse("300 bar", measure.Pressure)
	mm, _ := measure.Parse("0.50 mm", measure.Length)
	gauge := &logbook.Instrument{}
	gauge.Error.Quantity, _ = measure.Parse("5 bar", measure.Pressure)
	b := &logbook.Book{Instruments: map[string]*logbook.Instrument{"PG-1": gauge}}
	for name, c := range map[string]struct {
		other Taken
		known bool
	}{
		"alike":        {Taken{Value: bar, Instrument: "PG-1", Day: 1}, true},
		"another kind": {Taken{Value: mm, Instrument: "PG-1", Day: 1}, false},
		"missing":      {Taken{Instrument: "PG-1", Day: 1}, false},
	} {
		if _, ok := Between(b, Taken{Value: bar, Instrument: "PG-1", Day: 1}, c.other); ok != c.known {
			t.Errorf("%s: known %v, want %v", name, ok, c.known)
		}
	}
}
