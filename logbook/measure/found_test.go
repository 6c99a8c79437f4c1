package measure

import "testing"

// A number in a way of writing that is not a logbook's is refused whole, in whichever letters, and the words of a refusal name each way
// of stating it.
func TestWhatIsFound(t *testing.T) {
	for _, c := range []struct{ text, found string }{
		{"1e3 h", "1e3"}, {"1E3 h", "1E3"}, {"0x17 h", "0x17"}, {"0X17 h", "0X17"}, {"0o17 h", "0o17"},
	} {
		q, slips := Parse(c.text, Hours)
		if q.Valid() || len(slips) != 1 || slips[0].Name != SlipNumberForm || slips[0].Found != c.found {
			t.Errorf("%s: read as %q, %+v, want %s refused", c.text, q, slips, c.found)
		}
	}
	const want = "a pressure of nought or more, or one stated from opening or closing"
	if _, slips := ParseRelative("-5 bar", Pressure, "opening", "closing"); len(slips) != 1 || slips[0].Expected != want {
		t.Errorf("-5 bar: %+v, want %s", slips, want)
	}
}
