package measure

import (
	"math/big"
	"strconv"
	"strings"
)

// Quantity is a value with its unit, kept as it was written. The zero Quantity is no quantity: see [Quantity.Valid].
// Values are scaled integers, so that a difference standing exactly on a limit compares as equal.
type Quantity struct {
	mantissa int64 // the digits as written, without the decimal point
	decimals int8  // digits after the point: the written resolution
	unit     *Unit
	written  string
}

// Of makes a quantity from a decimal text such as "0.72" and a unit; it panics where the text is no plain decimal.
func Of(decimal string, unit *Unit) Quantity {
	q, ok := decimalOf(decimal, unit)
	if !ok {
		panic("measure: " + decimal + " is no plain decimal")
	}
	return q
}

func decimalOf(decimal string, unit *Unit) (Quantity, bool) {
	digits, places := decimal, 0
	if i := strings.IndexByte(decimal, '.'); i >= 0 {
		digits, places = decimal[:i]+decimal[i+1:], len(decimal)-i-1
	}
	n, err := strconv.ParseInt(digits, 10, 64)
	if err != nil || len(digits) > maxDigits+1 {
		return Quantity{}, false
	}
	return Quantity{mantissa: n, decimals: int8(places), unit: unit, written: decimal}, true
}

// Valid is false for the zero Quantity, which stands where nothing could be read.
func (q Quantity) Valid() bool { return q.unit != nil }

// Unit is the unit the value was written in; nil for the zero Quantity.
func (q Quantity) Unit() *Unit { return q.unit }

// Kind is what the quantity measures.
func (q Quantity) Kind() Kind {
	if q.unit == nil {
		return 0
	}
	return q.unit.Kind
}

// Decimals is the number of digits written after the decimal point: the resolution that the writer claims.
func (q Quantity) Decimals() int { return int(q.decimals) }

// Number is the number as written, without its unit.
func (q Quantity) Number() string { return q.written }

// String is the number as written and the unit's printed name: "0.70 mm".
func (q Quantity) String() string {
	if q.unit == nil {
		return ""
	}
	return q.written + " " + q.unit.Name
}

// Float is the value in the base unit of its kind (bar, mm, N·m, s, h, d, °C, K, %, cm³, mm²/s, kg/m³, N/mm).
func (q Quantity) Float() float64 {
	if q.unit == nil {
		return 0
	}
	if q.unit == byKind[q.unit.Kind][0] {
		return float64(q.mantissa) / pow10f(int(q.decimals))
	}
	if f, ok := q.quotient(); ok {
		return f
	}
	f, _ := q.exact().Float64()
	return f
}

// quotient is Float where the value is a quotient of two integers that a float64 holds exactly: their division is then
// rounded once, as the exact fraction's is.
func (q Quantity) quotient() (float64, bool) {
	const most = 1 << 53
	u := q.unit
	if u.offset != nil || u.up == 0 || q.decimals > 15 {
		return 0, false
	}
	down := pow10f(int(q.decimals)) * float64(u.down)
	size := q.mantissa
	if size < 0 {
		size = -size
	}
	if size > most/u.up || u.down > most || down > most {
		return 0, false
	}
	return float64(q.mantissa*u.up) / down, true
}

// Step is one unit of the last written digit, in the base unit: 0.01 for "0.70 mm".
func (q Quantity) Step() float64 {
	if q.unit == nil {
		return 0
	}
	f, _ := q.unit.factor.Float64()
	return f / pow10f(int(q.decimals))
}

// exact is the value in the base unit of its kind.
func (q Quantity) exact() *big.Rat {
	r := new(big.Rat).SetFrac(big.NewInt(q.mantissa), pow10(int(q.decimals)))
	r.Mul(r, q.unit.factor)
	if q.unit.offset != nil {
		r.Add(r, q.unit.offset)
	}
	return r
}

// Base is the exact value in the base unit of its kind, whatever unit and however many decimals it was written in.
func (q Quantity) Base() string {
	if q.unit == nil {
		return ""
	}
	return q.exact().RatString() + " " + byKind[q.unit.Kind][0].Name
}

// Compare is -1, 0 or +1 as q is below, equal to or above p, exactly, across units. It panics across kinds: the caller
// has mixed up two quantities.
func (q Quantity) Compare(p Quantity) int {
	q.mustMatch(p)
	if q.unit == p.unit && !q.tooWide(p) {
		a, b := q.aligned(p)
		switch {
		case a < b:
			return -1
		case a > b:
			return 1
		}
		return 0
	}
	return q.exact().Cmp(p.exact())
}

// Plus is q + p in q's unit, exact within one unit; across units the sum is rounded to nine decimals.
func (q Quantity) Plus(p Quantity) Quantity { return q.combine(p, 1) }

// Minus is q - p in q's unit, exact within one unit; across units the difference is rounded to nine decimals.
func (q Quantity) Minus(p Quantity) Quantity { return q.combine(p, -1) }

// Percent is p per cent of q, in q's unit, exactly. p is a share in %.
func (q Quantity) Percent(p Quantity) Quantity {
	r := new(big.Rat).SetFrac(big.NewInt(q.mantissa), pow10(int(q.decimals)))
	r.Mul(r, p.exact())
	return fromRat(r.Quo(r, big.NewRat(100, 1)), q.unit, 9)
}

// Beside is q for showing beside p: with at most one decimal more than p is written with.
func (q Quantity) Beside(p Quantity) Quantity {
	if q.decimals <= p.decimals+1 {
		return q
	}
	return q.Rounded(int(p.decimals) + 1).Trimmed()
}

// Apart is the distance between q and p in q's unit, without its sign: for showing, never for judging. Within one unit
// it is exact; across units it has the decimals of q, and more only where it would read nothing although the two
// differ.
func (q Quantity) Apart(p Quantity) Quantity {
	d := q.Minus(p)
	if q.Compare(p) < 0 {
		d = newQuantity(-d.mantissa, d.decimals, d.unit)
	}
	if q.unit == p.unit {
		return d
	}
	short := d.Rounded(int(q.decimals))
	for n := int(q.decimals) + 1; short.mantissa == 0 && n <= int(d.decimals); n++ {
		short = d.Rounded(n)
	}
	return short
}

func (q Quantity) combine(p Quantity, sign int64) Quantity {
	q.mustMatch(p)
	if p.unit != q.unit {
		p = p.scaled(q.unit)
	}
	if q.tooWide(p) {
		r := q.exact()
		if sign > 0 {
			r.Add(r, p.exact())
		} else {
			r.Sub(r, p.exact())
		}
		return fromRat(r.Quo(r, q.unit.factor), q.unit, 9)
	}
	a, b := q.aligned(p)
	return newQuantity(a+sign*b, max(q.decimals, p.decimals), q.unit)
}

// In is the same value in another unit of its kind, with at most nine decimals, trailing zeros dropped.
func (q Quantity) In(u *Unit) Quantity {
	if q.unit == u {
		return q
	}
	r := q.exact()
	if u.offset != nil {
		r.Sub(r, u.offset)
	}
	return fromRat(r.Quo(r, u.factor), u, 9)
}

// scaled converts a difference: an offset between the zeros of two scales does not count.
func (q Quantity) scaled(u *Unit) Quantity {
	r := new(big.Rat).SetFrac(big.NewInt(q.mantissa), pow10(int(q.decimals)))
	r.Mul(r, q.unit.factor)
	return fromRat(r.Quo(r, u.factor), u, 9)
}

// Rounded is the value in the same unit with the given number of decimals, half away from zero.
func (q Quantity) Rounded(decimals int) Quantity {
	r := new(big.Rat).SetFrac(big.NewInt(q.mantissa), pow10(int(q.decimals)))
	out, _ := decimalOf(r.FloatString(decimals), q.unit)
	return out
}

// Trimmed is the same value without zeros at the end of its decimals: for what was worked out, never for what was
// written.
func (q Quantity) Trimmed() Quantity {
	for q.decimals > 0 && q.mantissa%10 == 0 {
		q = newQuantity(q.mantissa/10, q.decimals-1, q.unit)
	}
	return q
}

// FromFloat is a computed value in the base unit of the kind, written with the given number of decimals. It is for
// showing what was worked out; judgements compare what was written.
func FromFloat(v float64, decimals int, k Kind) Quantity {
	q, _ := decimalOf(strconv.FormatFloat(v, 'f', decimals, 64), byKind[k][0])
	return q
}

// Like is a value worked out in the base unit of q's kind, shown as q is written: in its unit, with its decimals.
func (q Quantity) Like(v float64) Quantity {
	factor, _ := q.unit.factor.Float64()
	like, _ := decimalOf(strconv.FormatFloat(v/factor, 'f', q.Decimals(), 64), q.unit)
	return like
}

// Signed is the quantity with its sign, also where it is a gain: "+12 bar".
func (q Quantity) Signed() string {
	if q.mantissa >= 0 {
		return "+" + strings.TrimPrefix(q.String(), "+")
	}
	return q.String()
}

func fromRat(r *big.Rat, u *Unit, most int) Quantity {
	s := r.FloatString(most)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	q, ok := decimalOf(s, u)
	if !ok { // more digits than the scaled integer holds: shorten the fraction
		q, _ = decimalOf(r.FloatString(2), u)
	}
	return q
}

func newQuantity(mantissa int64, decimals int8, u *Unit) Quantity {
	return Quantity{mantissa, decimals, u, decimalText(mantissa, int(decimals))}
}

// decimalText writes digits with so many of them behind the point.
func decimalText(mantissa int64, decimals int) string {
	digits, sign := strconv.FormatInt(mantissa, 10), ""
	if mantissa < 0 {
		digits, sign = digits[1:], "-"
	}
	if decimals == 0 {
		return sign + digits
	}
	if lack := decimals + 1 - len(digits); lack > 0 {
		digits = strings.Repeat("0", lack) + digits
	}
	point := len(digits) - decimals
	return sign + digits[:point] + "." + digits[point:]
}

func (q Quantity) aligned(p Quantity) (int64, int64) {
	a, b := q.mantissa, p.mantissa
	for d := q.decimals; d < p.decimals; d++ {
		a *= 10
	}
	for d := p.decimals; d < q.decimals; d++ {
		b *= 10
	}
	return a, b
}

// tooWide says that aligning the two would leave the range of the scaled integer.
func (q Quantity) tooWide(p Quantity) bool {
	const most = 1e9
	shift := func(m int64, by int8) bool { return by > 0 && (m > most || m < -most || by > 8) }
	return shift(q.mantissa, p.decimals-q.decimals) || shift(p.mantissa, q.decimals-p.decimals)
}

func (q Quantity) mustMatch(p Quantity) {
	if q.unit == nil || p.unit == nil || q.unit.Kind != p.unit.Kind {
		panic("measure: " + q.String() + " and " + p.String() + " are not of one kind")
	}
}

func pow10(n int) *big.Int {
	if n < len(tens) {
		return tens[n]
	}
	return new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(n)), nil)
}

// tens are the small powers of ten; nobody changes them.
var tens = func() (t [maxDigits]*big.Int) {
	for n := range t {
		t[n] = new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(n)), nil)
	}
	return t
}()

func pow10f(n int) float64 {
	f := 1.0
	for range n {
		f *= 10
	}
	return f
}
