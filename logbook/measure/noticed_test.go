package measure

import (
	"slices"
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
		{Pressure, "bar", "bars barg bar(g) Bar BAR"},
		{Pressure, "bara", "bar(a) BARA"},
		{Time, "min", "mins minute minutes"},
		{Time, "h", "hr hour hours"},
		{Time, "s", "sec secs second seconds"},
		{Hours, "h", "hr hrs hour hours"},
		{Days, "d", "day days"},
		{Temperature, "°C", "c C degc degC ºc ˚c ℃"},
		{Difference, "°C", "c degc"},
		{Temperature, "°F", "f F degf degF ºF ˚f ℉"},
		{Difference, "°F", "f degf"},
		{Share, "%", "percent pct"},
		{Volume, "cm³", "cm3 ml cc"},
		{Volume, "mm³", "mm3"},
		{Volume, "l", "litre liter"},
		{Viscosity, "mm²/s", "mm2/s cst cSt"},
		{Density, "kg/m³", "kg/m3"},
		{Density, "g/cm³", "g/cm3 g/ml kg/l"},
		{Length, "inch", "in \" inches"},
		{Length, "thou", "mil mils"},
		{Torque, "N·m", "nm Nm n.m n*m n-m"},
		{Torque, "daN·m", "danm dan.m dan*m dan-m"},
		{Torque, "lbf·ft", "lbfft lbf.ft ft.lb ft·lb ft.lbf ft·lbf ft-lb ft-lbf lbf-ft ftlbf foot-pounds ft.lbs ft-lbs " +
			"ftlbs lb.ft lb·ft lb-ft ftlb lbft"},
		{Torque, "lbf·in", "lbfin lbf.in lbf-in lb.in lb·in lb-in lbin in.lb in·lb in-lb inlb in.lbf in·lbf in-lbf inlbf"},
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

// A time with a colon may be minutes and seconds, or seconds and tenths: both are offered, and neither is read. What is
// no such time has no offer.
func TestTimesWithAColon(t *testing.T) {
	for in, want := range map[string][]string{"3:20 s": {"3.20", "200"}, "3:2:0 s": nil} {
		q, slips := Parse(in, Time)
		if q.Valid() || len(slips) != 1 || slips[0].Name != SlipColon || !slices.Equal(slips[0].Or, want) {
			t.Errorf("%s: %s, %+v, want %s to be offered", in, q, slips, want)
		}
	}
}

// A tolerance in another unit than its value is not worked out: 320 bar ±1 MPa is asked about, and so is one in a unit
// of another kind, once.
func TestToleranceInAnotherUnit(t *testing.T) {
	for in, want := range map[string]string{"320 bar ±1 MPa": SlipSpanForm, "320 bar ±6 s": SlipUnitUnknown} {
		if span, slips := ParseSpan(in, Pressure); span.Valid() || len(slips) != 1 || slips[0].Name != want {
			t.Errorf("%s: %v, %+v, want %s once", in, span, slips, want)
		}
	}
}
