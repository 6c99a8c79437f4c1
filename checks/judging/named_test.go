package judging

import (
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// A reason why no instrument is named is no instrument that the book does not have. Outside source: none.
func TestReasonIsNoInstrument(t *testing.T) {
	for _, x := range []struct{ wrench, instrument string }{{"TW-9", "TW-9"}, {"not recorded (no number on it)", ""}} {
		b, err := logbook.Read(fstest.MapFS{
			"book.md": {Data: []byte("---\nvessel: A Ship\nengines:\n  - {id: ME1, type: 4T20, cylinders: [1], limits: 4t20}\n" +
				"opening: {date: 2020-01-01}\n---\n")},
			"limits/4t20.md": {Data: []byte("---\ntype: 4T20\nrevisions:\n  - {from: 2020-01-01, source: a manual, nozzle_nut: {torque: 300 N·m}}\n---\n")},
			"overhauls/me1/c1/2020-03-01-h-1.md": {Data: []byte("---\nholder: \"H-1\"\nremoved: {engine: ME1, cylinder: 1, date: 2020-03-01}\n" +
				"assembled: {nozzle_nut: {torque: 300 N·m, wrench: " + x.wrench + "}}\n---\n")},
		})
		if err != nil {
			t.Fatal(err)
		}
		v := Judge(b).Find(b.Overhauls[0], "assembled.nozzle_nut.torque")
		if v.Instrument != x.instrument || (v.Why == "") != (x.instrument == "") {
			t.Errorf("%s: read with %q, %s because %q", x.wrench, v.Instrument, v.Result, v.Why)
		}
	}
}
