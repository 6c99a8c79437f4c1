package measure

import (
	"math/big"
	"strings"
)

// Kind is what a quantity measures. Two quantities compare only within one kind.
type Kind uint8

// The kinds a record can state. Hours are running hours of an engine; Time is a span measured with a watch.
const (
	Pressure Kind = iota + 1
	Length
	Torque
	Time
	Hours
	Days
	Temperature
	Difference
	Share
	Volume
	Viscosity
	Density
	SpringRate
)

var kindNames = map[Kind]string{
	Pressure: "pressure", Length: "length", Torque: "torque", Time: "time", Hours: "running hours", Days: "days",
	Temperature: "temperature", Difference: "temperature difference", Share: "share", Volume: "volume",
	Viscosity: "viscosity", Density: "density", SpringRate: "spring rate",
}

// String is the trade's word for the kind.
func (k Kind) String() string { return kindNames[k] }

// Unit is one unit of one kind.
type Unit struct {
	Name   string // as it is printed: "kgf/cm²"
	Kind   Kind
	factor *big.Rat // base units in one of this unit
	offset *big.Rat // base units at this unit's zero; nil for none
	also   []string // other spellings met in records, folded by fold
	up     int64    // the factor as a fraction, up over down; 0 where it takes more than 64 bits
	down   int64
}

// Base units, one a kind: what [Quantity.Float] is stated in.
var (
	Bar         = &Unit{Name: "bar", Kind: Pressure, factor: rat("1"), also: []string{"bars", "barg", "bar(g)"}}
	Millimetre  = &Unit{Name: "mm", Kind: Length, factor: rat("1")}
	NewtonMetre = &Unit{Name: "N·m", Kind: Torque, factor: rat("1"), also: []string{"nm", "n.m", "n*m", "n-m"}}
	Second      = &Unit{Name: "s", Kind: Time, factor: rat("1"), also: []string{"sec", "secs", "second", "seconds"}}
	Hour        = &Unit{Name: "h", Kind: Hours, factor: rat("1"), also: []string{"hr", "hrs", "hour", "hours"}}
	Day         = &Unit{Name: "d", Kind: Days, factor: rat("1"), also: []string{"day", "days"}}
	Celsius     = &Unit{Name: "°C", Kind: Temperature, factor: rat("1"), also: []string{"c", "degc", "ºc", "˚c", "℃"}}
	KelvinStep  = &Unit{Name: "K", Kind: Difference, factor: rat("1")}
	Percent     = &Unit{Name: "%", Kind: Share, factor: rat("1"), also: []string{"percent", "pct"}}
	CubicCM     = &Unit{Name: "cm³", Kind: Volume, factor: rat("1"), also: []string{"cm3", "ml", "cc"}}
	Centistoke  = &Unit{Name: "mm²/s", Kind: Viscosity, factor: rat("1"), also: []string{"mm2/s", "cst"}}
	KgPerM3     = &Unit{Name: "kg/m³", Kind: Density, factor: rat("1"), also: []string{"kg/m3"}}
	NewtonPerMM = &Unit{Name: "N/mm", Kind: SpringRate, factor: rat("1")}
	Megapascal  = &Unit{Name: "MPa", Kind: Pressure, factor: rat("10")}
	PSI         = &Unit{Name: "psi", Kind: Pressure, factor: poundPerSquareInch(),
		also: []string{"psig", "lbf/in2", "lbf/in²", "lb/in2"}}
	KgfPerCM2 = &Unit{Name: "kgf/cm²", Kind: Pressure, factor: rat("0.980665"),
		also: []string{"kgf/cm2", "kg/cm2", "kg/cm²", "kp/cm2", "kp/cm²", "kgf/cm^2", "kg/cm^2", "kgf/sqcm", "kg/sqcm"}}
	Micrometre = &Unit{Name: "µm", Kind: Length, factor: rat("0.001"), also: []string{"um", "μm", "micron", "microns"}}
	Inch       = &Unit{Name: "inch", Kind: Length, factor: rat("25.4"), also: []string{"in", "\"", "inches"}}
	KgfMetre   = &Unit{Name: "kgf·m", Kind: Torque, factor: rat("9.80665"), also: []string{"kgfm", "kgf.m", "kgf-m",
		"mkgf", "m.kgf", "kgm", "kg-m", "kp.m", "kp·m", "kg.m", "kg·m", "kpm", "m.kg"}}
	PoundFoot = &Unit{Name: "lbf·ft", Kind: Torque, factor: poundFoot(), also: []string{"lbfft", "lbf.ft", "ft.lb",
		"ft·lb", "ft.lbf", "ft·lbf", "ft-lb", "ft-lbf", "lbf-ft", "ftlbf", "foot-pounds", "ft.lbs", "ft-lbs", "ftlbs",
		"lb.ft", "lb·ft", "lb-ft", "ftlb", "lbft"}}
	others = []*Unit{
		{Name: "kPa", Kind: Pressure, factor: rat("0.01")},
		{Name: "Pa", Kind: Pressure, factor: rat("0.00001")},
		{Name: "m", Kind: Length, factor: rat("1000")},
		{Name: "bara", Kind: Pressure, factor: rat("1"), offset: rat("-1.01325"),
			also: []string{"bar(a)", "bar abs", "bar a"}},
		{Name: "daN·m", Kind: Torque, factor: rat("10"), also: []string{"danm", "dan.m", "dan*m", "dan-m"}},
		{Name: "lbf·in", Kind: Torque, factor: poundInch(), also: []string{"lbfin", "lbf.in", "lbf-in", "lb.in", "lb·in",
			"lb-in", "lbin", "in.lb", "in·lb", "in-lb", "inlb",
			"in.lbf", "in·lbf", "in-lbf", "inlbf"}},
		{Name: "thou", Kind: Length, factor: rat("0.0254"), also: []string{"mil", "mils"}},
		{Name: "min", Kind: Time, factor: rat("60"), also: []string{"mins", "minute", "minutes"}},
		{Name: "h", Kind: Time, factor: rat("3600"), also: []string{"hr", "hour", "hours"}},
		{Name: "K", Kind: Temperature, factor: rat("1"), offset: rat("-273.15")},
		{Name: "°F", Kind: Temperature, factor: rat("5/9"), offset: rat("-160/9"), // 32 °F is 0 °C: NIST SP 811, B.8
			also: []string{"f", "degf", "ºf", "˚f", "℉"}},
		{Name: "°C", Kind: Difference, factor: rat("1"), also: []string{"c", "degc"}},
		{Name: "°F", Kind: Difference, factor: rat("5/9"), also: []string{"f", "degf"}},
		{Name: "l", Kind: Volume, factor: rat("1000"), also: []string{"litre", "liter"}},
		{Name: "mm³", Kind: Volume, factor: rat("0.001"), also: []string{"mm3"}},
		{Name: "g/cm³", Kind: Density, factor: rat("1000"), also: []string{"g/cm3", "g/ml", "kg/l"}},
	}
	units = append([]*Unit{Bar, Millimetre, NewtonMetre, Second, Hour, Day, Celsius, KelvinStep, Percent, CubicCM,
		Centistoke,
		KgPerM3, NewtonPerMM, Megapascal, PSI, KgfPerCM2, Micrometre, Inch, KgfMetre, PoundFoot}, others...)
	byKind, bySpelling = index(units)
)

// poundPerSquareInch is one psi in bar, exactly: the pound-force is 4.448 221 615 260 5 N and the inch 25.4 mm (NIST SP
// 811, appendix B).
func poundPerSquareInch() *big.Rat {
	inch := rat("0.0254")
	pascal := new(big.Rat).Quo(rat("4.4482216152605"), new(big.Rat).Mul(inch, inch))
	return pascal.Quo(pascal, rat("100000"))
}

// poundInch is one pound-force inch in newton metres, exactly (NIST SP 811, appendix B).
func poundInch() *big.Rat { return new(big.Rat).Mul(rat("4.4482216152605"), rat("0.0254")) }

// poundFoot is one pound-force foot in newton metres, exactly (NIST SP 811, appendix B; the foot is 0.3048 m).
func poundFoot() *big.Rat { return new(big.Rat).Mul(rat("4.4482216152605"), rat("0.3048")) }

func rat(decimal string) *big.Rat {
	r, ok := new(big.Rat).SetString(decimal)
	if !ok {
		panic("measure: " + decimal + " is no number")
	}
	return r
}

type spelling struct {
	kind   Kind
	folded string
}

func index(all []*Unit) (kinds [SpringRate + 1][]*Unit, spellings map[spelling]*Unit) {
	spellings = map[spelling]*Unit{}
	for _, u := range all {
		if f := u.factor; f.Num().IsInt64() && f.Denom().IsInt64() {
			u.up, u.down = f.Num().Int64(), f.Denom().Int64()
		}
		kinds[u.Kind] = append(kinds[u.Kind], u)
		for _, s := range append([]string{u.Name}, u.also...) {
			spellings[spelling{u.Kind, fold(s)}] = u
		}
	}
	return kinds, spellings
}

// fold brings the spellings of one unit together: "N m", "N·m", "N⋅m" and "Nm" are one, and so are "bar" and "bar." at
// the end of a sentence.
func fold(s string) string {
	s = strings.Map(func(r rune) rune {
		switch r {
		case ' ', '\u00a0', '\u202f', '\u2009':
			return -1
		case '⋅', '∙', '•':
			return '·'
		case '\u03bc':
			return 'µ'
		}
		return r
	}, strings.ToLower(s))
	return strings.TrimSuffix(s, ".")
}

// UnitsOf lists the units of a kind by their printed names, the base unit first.
func UnitsOf(k Kind) []string {
	var names []string
	for _, u := range byKind[k] {
		names = append(names, u.Name)
	}
	return names
}

// Find looks a unit up by any known spelling; nil when the kind has none of that spelling.
func Find(k Kind, written string) *Unit {
	for _, u := range byKind[k] {
		if u.Name == written {
			return u
		}
	}
	return bySpelling[spelling{k, fold(written)}]
}

// BaseUnit is the unit that values of the kind are worked in.
func BaseUnit(k Kind) *Unit { return byKind[k][0] }

// KindOf tells which kind a printed unit name stands for; the first kind in the list of units where several share the
// name.
func KindOf(unit string) (Kind, bool) {
	for _, u := range units {
		if u.Name == unit {
			return u.Kind, true
		}
	}
	return 0, false
}
