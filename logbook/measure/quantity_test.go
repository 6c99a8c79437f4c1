package measure

import "testing"

// Common practice, no source: a difference is read beside the values it stands between, so it has no more digits than they bear.
func TestApartReadsLikeItsValues(t *testing.T) {
	for _, c := range []struct {
		q, p Quantity
		want string
	}{
		{Of("320", Bar), Of("314.5", Bar), "5.5 bar"},
		{Of("314.5", Bar), Of("320", Bar), "5.5 bar"},
		{Of("0.70", Millimetre), Of("0.0280", Inch), "0.01 mm"},
		{Of("300", Bar), Of("30.0", Megapascal), "0 bar"},
		{Of("300", Bar), Of("306", KgfPerCM2), "0.1 bar"},
		{Of("4300", PSI), Of("300", Bar), "51 psi"},
		{Of("7.5", KgfMetre), Of("84", NewtonMetre), "1.1 kgf·m"},
	} {
		if got := c.q.Apart(c.p).String(); got != c.want {
			t.Errorf("%s apart from %s: %s, want %s", c.q, c.p, got, c.want)
		}
	}
}

// Arithmetic, exact: five per cent of forty pound-feet are two.
func TestPercent(t *testing.T) {
	percent := byKind[Share][0]
	for _, c := range []struct {
		q    Quantity
		p    string
		want string
	}{{Of("40", PoundFoot), "5", "2 lbf·ft"}, {Of("145", PoundFoot), "6", "8.7 lbf·ft"}, {Of("7.5", KgfMetre), "6", "0.45 kgf·m"}} {
		if got := c.q.Percent(Of(c.p, percent)).String(); got != c.want {
			t.Errorf("%s %% of %s: %s, want %s", c.p, c.q, got, c.want)
		}
	}
}

// A limit without a unit is one slip, with the whole limit to type.
func TestLimitWithoutUnitIsOneSlip(t *testing.T) {
	for text, typed := range map[string]string{"300 +10/-0": "300 +10/-0 bar", "300 ±5": "300 ±5 bar", "6.0 .. 40": "6.0 .. 40 bar"} {
		if s, slips := ParseSpan(text, Pressure); s.Valid() || len(slips) != 1 || slips[0].Name != SlipUnitMissing || slips[0].Type != typed {
			t.Errorf("%q: %v %+v, want one slip and %q to type", text, s, slips, typed)
		}
	}
}

// The trade's wish, no source: what was worked out is shown in the unit of what it stands beside. Factors of NIST SP 811, appendix B.
func TestWorkedOutReadsLikeItsNeighbour(t *testing.T) {
	for _, r := range []struct {
		beside string
		kind   Kind
		v      float64
		want   string
	}{
		{"4500 psi", Pressure, 6.67, "+97 psi"}, {"320 bar", Pressure, -10.4, "-10 bar"}, {"31.5 MPa", Pressure, 15.2, "+1.5 MPa"},
		{"0.0305 inch", Length, 0.0102, "+0.0004 inch"}, {"294 K", Temperature, 5, "+5 K"},
		{"72 °F", Temperature, 5, "+9 °F"},
	} {
		beside, _ := Parse(r.beside, r.kind)
		if got := beside.Like(r.v).Signed(); got != r.want {
			t.Errorf("%v beside %s reads %q, want %q", r.v, r.beside, got, r.want)
		}
	}
}
