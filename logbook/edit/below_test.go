package edit_test

import (
	"strings"
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/edit"
)

// What is supplied is what was missing, at its place in the schema; every byte that stood there stays.
func TestSupply(t *testing.T) {
	const was = `---
holder: "H-1" # as stamped
removed:
    engine: ME1
    # counted twice
    counter: 100 h
as_found: not tested (out of order)
as_left: {oil: 21 °C}
measured:
  lift: 0.77 mm
---
Said.
`
	const from = `---
holder: "H-2"
nozzle:
  left: "N-1"
removed:
  engine: "ME1"
  cylinder: "2"
  counter: 200 h
  reason: planned
as_found:
  oil: 20 °C
as_left:
  leak_down:
    time: 9 s
measured:
  lift:
    value: 0.76 mm
  holder_wear:
    value: 0.01 mm
---
`
	const want = `---
holder: "H-1" # as stamped
nozzle:
  left: "N-1"
removed:
    engine: ME1
    cylinder: "2"
    # counted twice
    counter: 100 h
    reason: planned
as_found: not tested (out of order)
as_left: {oil: 21 °C}
measured:
  lift: 0.77 mm
  holder_wear:
    value: 0.01 mm
---
Said.
`
	for _, ends := range []string{"\n", "\r\n"} {
		with := func(text string) string { return strings.ReplaceAll(text, "\n", ends) }
		got, added, lacking, err := edit.Supply([]byte(with(was)), []byte(from), logbook.KindNamed("overhaul").Fields)
		if err != nil || string(got) != with(want) {
			t.Errorf("%v\n%s\nwant\n%s", err, got, with(want))
		}
		if s := strings.Join(added, " "); s != "nozzle removed.cylinder removed.reason measured.holder_wear" {
			t.Errorf("added %s", s)
		}
		if s := strings.Join(lacking, " "); s != "as_found as_left.leak_down measured.lift" {
			t.Errorf("lacking %s", s)
		}
	}
}
