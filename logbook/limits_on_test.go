package logbook_test

import (
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// A group of limits whose values are blank asks for nothing, as the file that a new book gets says; the reason why there is none stays, and
// so does what an earlier revision states. No outside source.
func TestBlankLimitsAskForNothing(t *testing.T) {
	b, err := logbook.Read(fstest.MapFS{"book.md": {Data: []byte("---\nvessel: Try\n---\n")}, "limits/t.md": {Data: []byte(`---
type: T
revisions:
  - from: 2024-01-01
    source: invented
    cooling:
      at:
      for:
    pipe_nut: {torque: 80 N·m}
    end_cap:
      torque:
    clamp_nuts: not applicable (old engine)
  - from: 2024-06-01
    source: invented
    cooling: {at: 5 bar}
    pipe_nut: {torque: , steps: }
---
`)}})
	if err != nil {
		t.Fatal(err)
	}
	on := func(text string) *logbook.Revision {
		day, _ := logbook.ParseDay(text)
		in, ok := b.Limits["t"].On(day)
		if !ok {
			t.Fatalf("no limits on %s: %+v", text, b.Problems)
		}
		return in
	}
	first, then := on("2024-02-01"), on("2024-07-01")
	if first.Cooling.Stated() || first.EndCap.Stated() || !first.PipeNut.Stated() || first.ClampNuts.Stated() || !first.ClampNuts.Present() {
		t.Errorf("cooling %t, end cap %t, pipe nut %t, clamp nuts %t", first.Cooling.Stated(), first.EndCap.Stated(), first.PipeNut.Stated(), first.ClampNuts.Stated())
	}
	if !then.Cooling.Stated() || then.PipeNut.Torque.String() != "80 N·m" {
		t.Errorf("then cooling %t, pipe nut %s", then.Cooling.Stated(), then.PipeNut.Torque)
	}
}
