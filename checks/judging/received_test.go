package judging

import (
	"testing"
	"testing/fstest"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// TestByCertificate: what a workshop certified is judged by the uncertainty that its certificate states, and by no instrument of
// this book; what was read on board by the ship's own. Outside source: none.
func TestByCertificate(t *testing.T) {
	verdicts := func(t *testing.T, received, gauge string) (left, lift, aboard *Verdict) {
		t.Helper()
		b, err := logbook.Read(fstest.MapFS{
			"book.md": {Data: []byte("---\nengines: [{id: A, cylinders: [1], limits: x}]\n---\n")},
			"limits/x.md": {Data: []byte("---\nrevisions:\n  - from: 2020-01-01\n    opening_pressure: {used: 300 +10/-0 bar, new: 320 +10/-0 bar}\n" +
				"    lift: {new: 0.50 .. 0.56 mm}\n---\n")},
			"instruments/g-1.md": {Data: []byte("---\nid: G-1\nkind: gauge\nrange: 0 to 600 bar\ndivision: 1 bar\nclass: 1.0\n---\n")},
			"overhauls/spares/2020-06-01-e-1.md": {Data: []byte("---\nholder: E-1\nnozzle: {left: Y-1}\n" + received +
				"measured: {lift: 0.53 mm}\nas_left: {date: 2020-01-05, gauge: " + gauge + ", opening_pressure: [323 bar]}\n---\n")},
		})
		if err != nil || len(b.Problems) > 0 && received != "" {
			t.Fatal(err, b.Problems)
		}
		j, o := Judge(b), b.Overhauls[0]
		return j.Find(o, keys.AsLeftOpeningPressure), j.Find(o, keys.MeasuredLift), j.Find(o, keys.ReceivedOpenedAboardOpeningPressure)
	}
	const certified = "received: {date: 2020-06-01, certificate: WC-7, state: new, uncertainty: {pressure: 2 bar}, " +
		"opened_aboard: {gauge: G-1, opening_pressure: [325 bar]}}\n"
	left, lift, aboard := verdicts(t, certified, "WS-7")
	if left.Result != Within || left.U < 1.99 || left.U > 2.01 || left.Theirs != "by certificate" || left.Shows() != "within, by certificate" {
		t.Errorf("as left: %s, U %g, %q", left.Result, left.U, left.Theirs)
	}
	if lift.Theirs != "by certificate" || lift.U != 0 || lift.Result != Within || lift.Why != "by certificate, which states no uncertainty" {
		t.Errorf("lift: %s, %q, %q", lift.Result, lift.Theirs, lift.Why)
	}
	if aboard.Theirs != "" || aboard.U < 5 || aboard.LimitText != "320 +10/-0 bar (new)" {
		t.Errorf("on board: %q, U %g, %s", aboard.Theirs, aboard.U, aboard.LimitText)
	}
	if left, _, _ = verdicts(t, certified, "G-1"); left.Theirs != "" || left.U < 5 {
		t.Errorf("set on board: %q, U %g: the ship's own gauge tells", left.Theirs, left.U)
	}
	if left, lift, _ = verdicts(t, "", "WS-7"); left.Theirs != "" || left.Result != NotProven || lift.Theirs != "" {
		t.Errorf("not received: %q, %s", left.Theirs, left.Result)
	}
	if left, _, _ = verdicts(t, "received: {date: 2020-06-01, from: another ship, certificate: none (sheet lost), state: new}\n", "WS-7"); left.Theirs != "by its sender" {
		t.Errorf("no certificate: %q", left.Theirs)
	}
	if left, _, _ = verdicts(t, "received: {date: 2020-06-01, certificate: WC-7}\n", "WS-7"); left.Result != NoLimitThen || left.Why == "" {
		t.Errorf("state not stated: %s, %q", left.Result, left.Why)
	}
}
