package measure

import (
	"math"
	"math/big"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	_ "needlebook/example-vessel/invent/draw"
)

// Conversion factors. Source: NIST SP 811 appendix B (pound-force 4.4482216152605 N, inch 25.4 mm, foot 0.3048 m), values
// computed with GNU units 2.22.
func TestConversionFactors(t *testing.T) {
	for _, c := range []struct {
		unit *Unit
		base float64 // base units in one
		tol  float64
	}{
		{PSI, 0.0689475729316836, 1e-14},
		{KgfPerCM2, 0.980665, 0},
		{PoundFoot, 1.3558179483314004, 1e-14},
		{KgfMetre, 9.80665, 0},
		{Megapascal, 10, 0},
		{Inch, 25.4, 0},
		{Micrometre, 0.001, 0},
		{Find(Pressure, "kPa"), 0.01, 0},
		{Find(Torque, "lbf·in"), 0.1129848290276167, 1e-15},
		{Find(Torque, "daN·m"), 10, 0},
		{Find(Length, "thou"), 0.0254, 0},
		{Find(Time, "min"), 60, 0},
	} {
		if got := Of("1", c.unit).Float(); math.Abs(got-c.base) > c.tol*c.base {
			t.Errorf("1 %s = %.16g base units, want %.16g", c.unit.Name, got, c.base)
		}
	}
	// NIST SP 811: bar to psi 14.503773773.
	if got := Of("1", Bar).In(PSI).Float() / PSI.floatFactor(); math.Abs(got-14.503773773) > 1e-8 {
		t.Errorf("1 bar = %.10g psi, want 14.503773773", got)
	}
	// An absolute pressure is stated from the vacuum: the standard atmosphere is 101 325 Pa (ISO 2533:1975).
	if got := Of("1.01325", Find(Pressure, "bara")).In(Bar).String(); got != "0 bar" {
		t.Errorf("1.01325 bara = %s, want 0 bar", got)
	}
	// The Fahrenheit scale by the Celsius one: NIST SP 811, B.8.
	for fahrenheit, celsius := range map[string]string{"72 °F": "22.222222222 °C", "32 °F": "0 °C", "212 °F": "100 °C", "-40 °F": "-40 °C"} {
		q, _ := Parse(fahrenheit, Temperature)
		if got := q.In(Celsius).String(); got != celsius || q.String() != fahrenheit {
			t.Errorf("%s is %s (%s), want %s", fahrenheit, got, q, celsius)
		}
		if back, _ := Parse(celsius, Temperature); fahrenheit != "72 °F" && q.Compare(back) != 0 {
			t.Errorf("%s is not %s", fahrenheit, celsius)
		}
	}
	// 20 °C is 293.15 K, exactly (ITS-90 definition of the Celsius scale).
	if got := Of("293.15", Find(Temperature, "K")).In(Celsius).String(); got != "20 °C" {
		t.Errorf("293.15 K = %s, want 20 °C", got)
	}
}

func (u *Unit) floatFactor() float64 { f, _ := u.factor.Float64(); return f }

func TestParse(t *testing.T) {
	for _, c := range []struct {
		in    string
		kind  Kind
		want  string // "" when not read
		slip  string
		typed string
	}{
		{"312 bar", Pressure, "312 bar", "", ""},
		{"312bar", Pressure, "312 bar", "", ""},
		{"0.70 mm", Length, "0.70 mm", "", ""},
		{"320\u00a0bar", Pressure, "320 bar", "", ""},
		{"400 N·m", Torque, "400 N·m", "", ""},
		{"400 Nm", Torque, "400 N·m", SlipUnitSpelling, "400 N·m"},
		{"326 kgf/cm2", Pressure, "326 kgf/cm²", SlipUnitSpelling, "326 kgf/cm²"},
		{"0,72 mm", Length, "0.72 mm", SlipDecimalComma, "0.72 mm"},
		{"320,5 bar", Pressure, "320.5 bar", SlipDecimalComma, "320.5 bar"},
		{"1,250 h", Hours, "", SlipThousands, ""},
		{"1.250 h", Hours, "", SlipThousands, ""},
		{"18.340 h", Hours, "", SlipThousands, ""},
		{"18.345 H", Hours, "", SlipThousands, ""},
		{"18.34 h", Hours, "18.34 h", "", ""},
		{"18340.500 h", Hours, "18340.500 h", "", ""}, // no group of thousands has five digits
		{"0.500 h", Hours, "0.500 h", "", ""},
		{"1.250 mm", Length, "1.250 mm", "", ""},
		{"1.250,5 h", Hours, "", SlipThousands, "1250.5 h"},
		{"19.120,5 h", Hours, "", SlipThousands, "19120.5 h"},
		{"1,250.5 h", Hours, "", SlipThousands, "1250.5 h"},
		{"1.250.000 h", Hours, "", SlipThousands, "1250000 h"},
		{"18'340 h", Hours, "", SlipThousands, "18340 h"},
		{"18’340 h", Hours, "", SlipThousands, "18340 h"},
		{"1,250 bar", Pressure, "", SlipThousands, ""},
		{"1 250 bar", Pressure, "", SlipThousands, "1250 bar"},
		{"1,250,5 h", Hours, "", SlipThousands, ""},
		// ISO 80000-1, 7.3.1: a small space parts groups of three digits, and is never a decimal sign.
		{"18\u202f340 h", Hours, "18340 h", "", ""},
		{"1\u00a0250 bar", Pressure, "1250 bar", "", ""},
		{"1\u2009234\u2009567.5 Pa", Pressure, "1234567.5 Pa", "", ""},
		{"18 340 h", Hours, "18340 h", "", ""},
		{"18 340,5 h", Hours, "18340.5 h", SlipDecimalComma, "18340.5 h"},
		{"18 340.500 h", Hours, "18340.500 h", "", ""},
		{"18 34 h", Hours, "", SlipNumberForm, ""},
		{"300 305 310 bar", Pressure, "", SlipThousands, ""},
		{"320 bar.", Pressure, "320 bar", SlipUnitSpelling, "320 bar"},
		{"60 ft-lb", Torque, "60 lbf·ft", SlipUnitSpelling, "60 lbf·ft"},
		{"60 lbf·in", Torque, "60 lbf·in", "", ""},
		{"8 daNm", Torque, "8 daN·m", SlipUnitSpelling, "8 daN·m"},
		{"30 thou", Length, "30 thou", "", ""},
		{"321 bara", Pressure, "321 bara", "", ""},
		{"326 kg/cm2", Pressure, "326 kgf/cm²", SlipUnitSpelling, "326 kgf/cm²"},
		{"326 kp/cm2", Pressure, "326 kgf/cm²", SlipUnitSpelling, "326 kgf/cm²"},
		{"31C", Temperature, "31 °C", SlipUnitSpelling, "31 °C"},
		{"300,5Bar", Pressure, "300.5 bar", SlipDecimalComma, "300.5 bar"},
		{"1234567890123456 h", Hours, "", SlipNumberForm, ""},
		{"0.1234567890123456 mm", Length, "", SlipNumberForm, ""},
		{"-123456789012345 K", Difference, "-123456789012345 K", "", ""},
		{"3:20 s", Time, "", SlipColon, ""},
		{"3:20", Time, "", SlipColon, ""},
		{"0340 bar", Pressure, "", SlipLeadingZero, "340 bar"},
		{"1_000 h", Hours, "", SlipNumberForm, "1000 h"},
		{"12E4 bar", Pressure, "", SlipNumberForm, ""},
		{"3e2 bar", Pressure, "", SlipNumberForm, ""},
		{"1e400 bar", Pressure, "", SlipNumberForm, ""},
		{"0x10 bar", Pressure, "", SlipNumberForm, ""},
		{".5 mm", Length, "", SlipNumberForm, "0.5 mm"},
		{"5. mm", Length, "", SlipNumberForm, "5 mm"},
		{".nan", Pressure, "", SlipNumberForm, ""},
		{".inf bar", Pressure, "", SlipNumberForm, ""},
		{"+37 K", Difference, "+37 K", "", ""},
		{"-8 K", Difference, "-8 K", "", ""},
		{"−8 K", Difference, "-8 K", SlipForeignDigits, "-8 K"},
		{"３１２ bar", Pressure, "312 bar", SlipForeignDigits, "312 bar"},
		{"٣١٢ bar", Pressure, "312 bar", SlipForeignDigits, "312 bar"},
		{"320", Pressure, "", SlipUnitMissing, "320 bar"},
		{"320 mm", Pressure, "", SlipUnitUnknown, ""},
		{"320 parsec", Pressure, "", SlipUnitUnknown, ""},
		// more of the number, or another number, is never taken for a unit: its digits would be lost with it
		{"31·5 MPa", Pressure, "31.5 MPa", SlipForeignDigits, "31.5 MPa"},
		{"31.5/31.0/31.5", Pressure, "", SlipNumberForm, ""},
		{"31.5 MPa, 31.0 MPa", Pressure, "", SlipNumberForm, ""},
		{"31.5 31.0 MPa", Pressure, "", SlipNumberForm, ""},
		{"1O210 h", Hours, "", SlipNumberForm, ""},
		{"about 320 bar", Pressure, "", SlipNotANumber, ""},
		{"", Pressure, "", SlipNotANumber, ""},
		{"12345678901234567890 h", Hours, "", SlipNumberForm, ""},
	} {
		q, slips := Parse(c.in, c.kind)
		if q.String() != c.want {
			t.Errorf("Parse(%q) = %q, want %q", c.in, q, c.want)
		}
		var names []string
		found := c.slip == ""
		for _, s := range slips {
			names = append(names, s.Name)
			if s.Name == c.slip {
				found = true
				if c.typed != "" && s.Type != c.typed {
					t.Errorf("Parse(%q): to type %q, want %q", c.in, s.Type, c.typed)
				}
				if s.Read != q.Valid() {
					t.Errorf("Parse(%q): slip says read %v, value valid %v", c.in, s.Read, q.Valid())
				}
			}
		}
		if !found || c.slip == "" && len(slips) > 0 {
			t.Errorf("Parse(%q): slips %v, want %q", c.in, names, c.slip)
		}
	}
}

func TestSpan(t *testing.T) {
	for _, c := range []struct {
		in                 string
		kind               Kind
		low, high, nominal string
	}{
		{"320 +10/-0 bar", Pressure, "320 bar", "330 bar", "320 bar"},
		{"0.70 .. 0.78 mm", Length, "0.70 mm", "0.78 mm", ""},
		{"2.5 s ..", Time, "2.5 s", "", ""},
		{".. 40 s", Time, "", "40 s", ""},
		{"6.0 .. 40 s", Time, "6.0 s", "40 s", ""},
		{"18.0 ±0.3 mm", Length, "17.7 mm", "18.3 mm", "18.0 mm"},
		{"18.0 +-0.3 mm", Length, "17.7 mm", "18.3 mm", "18.0 mm"},
		{"18.0 +0.3/-0.1 mm", Length, "17.9 mm", "18.3 mm", "18.0 mm"},
		{"400 N·m", Torque, "400 N·m", "400 N·m", "400 N·m"},
		{"140 .. 190 °C", Temperature, "140 °C", "190 °C", ""},
		{"320 -0/+10 bar", Pressure, "320 bar", "330 bar", "320 bar"},
		{"320 bar +10/-0", Pressure, "320 bar", "330 bar", "320 bar"},
		{"320 bar +10/-0 bar", Pressure, "320 bar", "330 bar", "320 bar"},
		{"326 +10/-0 kgf/cm²", Pressure, "326 kgf/cm²", "336 kgf/cm²", "326 kgf/cm²"},
		{"6.0 to 40 s", Time, "6.0 s", "40 s", ""},
		{"6.0 s to 40 s", Time, "6.0 s", "40 s", ""},
		{"0 - 600 bar", Pressure, "0 bar", "600 bar", ""},
		{"0–600 bar", Pressure, "0 bar", "600 bar", ""},
		{"-10 - 5 °C", Temperature, "-10 °C", "5 °C", ""},
		{"0.70 mm .. 0.78", Length, "0.70 mm", "0.78 mm", ""},
		{"6.0 … 40 s", Time, "6.0 s", "40 s", ""},
		{"2.5 s ...", Time, "2.5 s", "", ""},
		{"at least 2.5 s", Time, "2.5 s", "", ""},
		{"at most 40 s", Time, "", "40 s", ""},
	} {
		s, slips := ParseSpan(c.in, c.kind)
		if len(slips) > 0 || s.Low.String() != c.low || s.High.String() != c.high || s.Nominal.String() != c.nominal {
			t.Errorf("ParseSpan(%q) = %q .. %q nominal %q, slips %v", c.in, s.Low, s.High, s.Nominal, slips)
		}
	}
	for _, bad := range []string{"0.78 .. 0.70 mm", "0.70 .. 0.78", "..", "6,0 .. 1,000 s", "wide", "0...5 mm", "400 mm ±6 %", "18.0 ±0.3 mm ±0.1 mm"} {
		if s, slips := ParseSpan(bad, Length); len(slips) == 0 {
			t.Errorf("ParseSpan(%q) = %v without a slip", bad, s)
		}
	}
}

func TestRelative(t *testing.T) {
	r, slips := ParseRelative("opening - 25 bar", Pressure, "opening")
	if len(slips) > 0 || r.From(Of("300", Bar)).String() != "275 bar" || r.String() != "opening - 25 bar" {
		t.Errorf("ParseRelative = %v %v", r, slips)
	}
	if r, _ := ParseRelative("295 bar", Pressure, "opening"); r.From(Of("300", Bar)).String() != "295 bar" {
		t.Errorf("absolute value = %v", r)
	}
	for _, bad := range []string{"closing - 25 bar", "-20 bar", "opening - -25 bar", "opening", "opening -"} {
		if r, slips := ParseRelative(bad, Pressure, "opening"); len(slips) == 0 || r.Valid() {
			t.Errorf("ParseRelative(%q) = %v without a slip", bad, r)
		}
	}
}

// A difference that stands exactly on the limit must compare as equal, in any unit and with any number of decimals.
func TestExactlyOnTheLimit(t *testing.T) {
	if sum := Of("0.68", Millimetre).Plus(Of("0.02", Millimetre)); sum.Compare(Of("0.7", Millimetre)) != 0 || sum.String() != "0.70 mm" {
		t.Errorf("0.68 + 0.02 mm = %s", sum)
	}
	if Of("700", Micrometre).Compare(Of("0.70", Millimetre)) != 0 {
		t.Error("700 µm is not 0.70 mm")
	}
	if Of("32.0", Megapascal).Compare(Of("320", Bar)) != 0 {
		t.Error("32.0 MPa is not 320 bar")
	}
}

// Any quantity printed and read again is the same.
func TestPrintedAndReadAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := drawQuantity(t, "q")
		r, slips := Parse(q.String(), q.Kind())
		if len(slips) > 0 || r.String() != q.String() || r.Compare(q) != 0 {
			t.Fatalf("%q read again as %q, slips %v", q, r, slips)
		}
	})
}

// Compare is what exact fractions say.
func TestCompareIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawQuantity(t, "a"), drawQuantity(t, "b")
		if a.Kind() != b.Kind() {
			return
		}
		if got, want := a.Compare(b), a.exact().Cmp(b.exact()); got != want {
			t.Fatalf("%s against %s = %d, want %d", a, b, got, want)
		}
		sum := new(big.Rat).Add(a.exact(), b.exact())
		if a.unit == b.unit && a.unit.offset == nil && a.Plus(b).exact().Cmp(sum) != 0 {
			t.Fatalf("%s + %s = %s", a, b, a.Plus(b))
		}
	})
}

// Float is the exact fraction rounded once, and a worked-out quantity is written with the digits it has, whichever way they are come by.
func TestFloatIsTheFractionRounded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := drawQuantity(t, "q")
		if want, _ := q.exact().Float64(); q.Float() != want {
			t.Fatalf("%s is %v base units, want %v", q, q.Float(), want)
		}
		n, d := rapid.Int64().Draw(t, "digits"), rapid.IntRange(0, 12).Draw(t, "decimals")
		if want := new(big.Rat).SetFrac(big.NewInt(n), pow10(d)).FloatString(d); decimalText(n, d) != want {
			t.Fatalf("decimalText(%d, %d) = %s, want %s", n, d, decimalText(n, d), want)
		}
	})
}

func drawQuantity(t *rapid.T, label string) Quantity {
	u := units[rapid.IntRange(0, len(units)-1).Draw(t, label+" unit")]
	s := rapid.StringMatching(`-?(0|[1-9][0-9]{0,6})(\.[0-9]{1,4})?`).Draw(t, label)
	return Of(s, u)
}

// Whatever is typed, reading never panics, and what is read prints as digits that stood in the text, grouped there or not.
func FuzzParse(f *testing.F) {
	ungrouped := strings.NewReplacer(" ", "", "\u00a0", "", "\u2009", "", "\u202f", "")
	for _, s := range []string{"312 bar", "1 250 h", "18\u202f340 h", "0,72 mm", "3:20", "1,250 h", ".nan", "١٢ bar", "12E4", "+-3 K", "320 +10/-0 bar", "2.5 s .."} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for k := Pressure; k <= SpringRate; k++ {
			if q, slips := Parse(s, k); q.Valid() && len(slips) == 0 && !strings.Contains(ungrouped.Replace(s), q.Number()) {
				t.Errorf("Parse(%q) = %q: digits that were not written", s, q)
			}
			ParseSpan(s, k)
			ParseRelative(s, k, "opening")
		}
	})
}

// What is to be typed for a slip is the whole text, and no more of it changes than the slip.
func TestTypedIsTheWholeText(t *testing.T) {
	span := func(s string, k Kind) (bool, []Slip) { x, slips := ParseSpan(s, k); return x.Valid(), slips }
	relation := func(s string, k Kind) (bool, []Slip) {
		x, slips := ParseRelative(s, k, "opening")
		return x.Valid(), slips
	}
	for _, c := range []struct {
		in    string
		kind  Kind
		parse func(string, Kind) (bool, []Slip)
		typed string // of each slip
		n     int
	}{
		{"2,5 s ..", Time, span, "2.5 s ..", 1},
		{".. 40 sec", Time, span, ".. 40 s", 1},
		{"90,0 Nm ..", Torque, span, "90.0 N·m ..", 2},
		{"0,70 .. 0,78 MM", Length, span, "0.70 .. 0.78 mm", 3},
		{"18,0 ±0,3 mm", Length, span, "18.0 ±0.3 mm", 2},
		{"320 +10/-0Bar", Pressure, span, "320 +10/-0 bar", 1},
		{"320 Bar +10/-0", Pressure, span, "320 bar +10/-0", 1},
		{"6.0 .. 40", Time, span, "6.0 .. 40 s", 1},
		{"6,0 .. 40", Time, span, "6.0 .. 40 s", 2},
		{"opening - 20 Bar", Pressure, relation, "opening - 20 bar", 1},
		{"Opening – 20,5Bar", Pressure, relation, "opening – 20.5 bar", 3},
	} {
		ok, slips := c.parse(c.in, c.kind)
		if len(slips) != c.n || !ok && slips[len(slips)-1].Name != SlipUnitMissing {
			t.Errorf("%q: read %v with %+v, want %d slips", c.in, ok, slips, c.n)
		}
		for _, s := range slips {
			if s.Type != c.typed || len(s.Meant) == 0 || s.Meant[0] != c.typed {
				t.Errorf("%q, %s: to type %q, meant %q, want %q", c.in, s.Name, s.Type, s.Meant, c.typed)
			}
		}
		if _, left := c.parse(c.typed, c.kind); len(left) > 0 {
			t.Errorf("%q: what is to be typed, %q, has %+v", c.in, c.typed, left)
		}
	}
	// The German and the English habit; neither is guessed, and either can be typed.
	for in, meant := range map[string][]string{"18.340 h": {"18340 h", "18.34 h"}, "18,345 H": {"18345 h", "18.3450 h"}, "2.000 h": {"2000 h", "2 h"}} {
		_, slips := Parse(in, Hours)
		if !slices.Equal(slips[0].Meant, meant) || slips[0].Type != "" {
			t.Errorf("%q: meant %q, typed %q, want %q", in, slips[0].Meant, slips[0].Type, meant)
		}
		for _, m := range meant {
			if q, left := Parse(m, Hours); !q.Valid() || len(left) > 0 {
				t.Errorf("%q, to be typed for %q, has %+v", m, in, left)
			}
		}
	}
}

// Of two readings beside each other no number is made, and a word is typed in digits, none as well. Outside source:
// none.
func TestReadingsBesideEachOther(t *testing.T) {
	for in, typed := range map[string]string{"300 305 bar": "", "300 305 310 bar": "", "1 250 bar": "1250 bar"} {
		q, slips := Parse(in, Pressure)
		if q.Valid() && typed == "" || len(slips) != 1 || slips[0].Type != typed {
			t.Errorf("Parse(%q) = %v with %+v, to type %q", in, q, slips, typed)
		}
	}
	for in, typed := range map[string]string{"zero": "0", "Twelve": "12"} {
		if _, slips := ParseNumber(in, Hours); len(slips) != 1 || slips[0].Type != typed {
			t.Errorf("ParseNumber(%q) with %+v, to type %q", in, slips, typed)
		}
	}
}

// A sum and a difference of numbers that are too far apart for their digits to be counted together. Outside source:
// none.
func TestFarApart(t *testing.T) {
	a, _ := Parse("2000000000 h", Hours)
	b, _ := Parse("0.5 h", Hours)
	if plus, minus := a.Plus(b), a.Minus(b); plus.Compare(a) != 1 || minus.Compare(a) != -1 || plus.Minus(b).Compare(a) != 0 {
		t.Errorf("%v and %v: sum %v, difference %v", a, b, plus, minus)
	}
}
