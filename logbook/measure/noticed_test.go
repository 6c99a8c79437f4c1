package measure

import (
	"strings"
	"testing"
)

// Other ways to write a unit are each read as the one; the ways are common practice, no source.
func TestOtherWaysToWriteUnits(t *testing.T) {
	for _, c := range []struct {
		kind       Kind
		want, ways string
	}{
		{Pressure, "kgf/cm²", "kgf/cm2 kg/cm2 kg/cm² kp/cm2 kp/cm² kgf/cm^2 kg/cm^2 kgf/sqcm kg/sqcm"},
		{Pressure, "psi", "psig lbf/in2 lbf/in² lb/in2"},
		{Time, "min", "mins minute minutes"},
		{Time, "h", "hr hour hours"},
		{Length, "µm", "um μm micron microns"},
		{Torque, "kgf·m", "kgfm kgf.m kgf-m mkgf m.kgf kgm kg-m kp.m kp·m kg.m kg·m kpm m.kg"},
	} {
		for _, way := range strings.Fields(c.ways) {
			if q, _ := Parse("3 "+way, c.kind); q.String() != "3 "+c.want {
				t.Errorf("3 %s is %q, want 3 %s", way, q, c.want)
			}
		}
	}
}

// Numbers too far apart for the scaled integer are compared all the same, and what is of two kinds is not.
func TestCompareFarApart(t *testing.T) {
	far, _ := Parse("20000000000 bar", Pressure)
	near, _ := Parse("0.0000000001 bar", Pressure)
	if !far.Valid() || !near.Valid() || far.Compare(near) != 1 || near.Compare(far) != -1 {
		t.Errorf("%s against %s: %d, %d", far, near, far.Compare(near), near.Compare(far))
	}
	for _, c := range [][2]Quantity{{far, {}}, {{}, far}} {
		func() {
			defer func() {
				if said, ok := recover().(string); !ok || !strings.Contains(said, "not of one kind") {
					t.Errorf("nothing against something says %q", said)
				}
			}()
			c[0].Compare(c[1])
		}()
	}
}

func TestTrimmed(t *testing.T) {
	for in, want := range map[string]string{"1.0 bar": "1 bar", "10 bar": "10 bar", "0.50 bar": "0.5 bar", "100.00 bar": "100 bar", "1.05 bar": "1.05 bar"} {
		q, _ := Parse(in, Pressure)
		if got := q.Trimmed().String(); got != want {
			t.Errorf("%s trimmed is %s, want %s", in, got, want)
		}
	}
}

// What is said of a text that is no quantity names what belongs there.
func TestWhatBelongsThere(t *testing.T) {
	for _, c := range []struct {
		in, slip, expected string
		kind               Kind
	}{
		{"3 parsec", SlipUnitUnknown, "a unit of pressure: " + strings.Join(UnitsOf(Pressure), ", "), Pressure},
		{"3 20 bar", SlipNumberForm, "one number, without spaces", Pressure},
	} {
		if _, slips := Parse(c.in, c.kind); len(slips) != 1 || slips[0].Name != c.slip || slips[0].Expected != c.expected {
			t.Errorf("%s: %+v, want %s: %s", c.in, slips, c.slip, c.expected)
		}
	}
	if SlipSpanReversed != "limit-reversed" {
		t.Errorf("the check is called %q", SlipSpanReversed)
	}
}

// What is stated from another value lies above it or below it as its sign says.
func TestStatedFrom(t *testing.T) {
	for in, want := range map[string]string{"opening + 5 bar": "305 bar", "opening - 5 bar": "295 bar", "opening +5 bar": "305 bar"} {
		if r, slips := ParseRelative(in, Pressure, "opening"); len(slips) > 0 || r.From(Of("300", Bar)).String() != want {
			t.Errorf("%s of 300 bar is %s, want %s (%v)", in, r.From(Of("300", Bar)), want, slips)
		}
	}
}

// Below nought nothing of these kinds can be; a difference of temperatures can.
func TestNeverBelowNought(t *testing.T) {
	for kind, want := range map[Kind]bool{Pressure: true, Length: true, Torque: true, Time: true, Hours: true, Days: true, Temperature: false, Difference: false} {
		if neverBelow(kind) != want {
			t.Errorf("%s below nought: %t", kind, !want)
		}
	}
}
