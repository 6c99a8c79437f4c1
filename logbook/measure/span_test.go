package measure

import "testing"

// However a limit is written, it is shown in one form, and that form is read as the same limit.
func TestOnePlainForm(t *testing.T) {
	for _, x := range []struct{ written, plain string }{
		{"6.0 .. 40 s", "6.0 to 40 s"}, {"6.0..40 s", "6.0 to 40 s"}, {"6.0 s .. 40 s", "6.0 to 40 s"},
		{"6.0 to 40 s", "6.0 to 40 s"}, {"6.0 TO 40 s", "6.0 to 40 s"}, {"6.0-40 s", "6.0 to 40 s"},
		{"0.5 min .. 40 s", "0.5 min to 40 s"}, {"2.5 s ..", "at least 2.5 s"}, {"At least 2.5 s", "at least 2.5 s"},
		{".. 40 s", "at most 40 s"}, {"at most 40 s", "at most 40 s"}, {"6.0 s", "6.0 s"}, {"20 ±2 s", "20 ±2 s"},
		{"20 +3/-0 s", "20 +3/-0 s"},
	} {
		span, slips := ParseSpan(x.written, Time)
		if len(slips) > 0 || span.String() != x.plain {
			t.Errorf("%q is shown as %q, %v; want %q", x.written, span, slips, x.plain)
		}
		again, _ := ParseSpan(span.String(), Time)
		if again.Low != span.Low || again.High != span.High || again.Lone() != span.Lone() {
			t.Errorf("%q, shown as %q, is read back as another limit", x.written, span)
		}
	}
	if got := Between(Of("0", Find(Pressure, "bar")), Of("600", Find(Pressure, "bar"))).String(); got != "0 to 600 bar" {
		t.Errorf("a band made of two ends is %q", got)
	}
}

// What words leave open is not read, and the plain form is offered.
func TestLimitsSaidOtherwise(t *testing.T) {
	for written, plain := range map[string]string{"≥ 2.5 s": "at least 2.5 s", "> 2.5 s": "at least 2.5 s",
		"min. 2.5 s": "at least 2.5 s", "2.5 s or more": "at least 2.5 s", "<= 40 s": "at most 40 s",
		"max 40 s": "at most 40 s", "up to 40 s": "at most 40 s", "between 6.0 and 40 s": "6.0 to 40 s",
		"from 6.0 to 40 s": "6.0 to 40 s", "not more than 40 s": "at most 40 s", "40 s max": "at most 40 s"} {
		span, slips := ParseSpan(written, Time)
		if span.Valid() || len(slips) != 1 || slips[0].Type != plain {
			t.Errorf("%q: %v %+v, want %q to be offered", written, span, slips, plain)
		}
	}
	for _, written := range []string{"max s", "min", "up to it", "about 40 s"} {
		if span, slips := ParseSpan(written, Time); span.Valid() || len(slips) == 0 || slips[0].Type != "" {
			t.Errorf("%q: %v %+v, want nothing to be offered", written, span, slips)
		}
	}
}
