package logbook

import (
	"slices"

	"needlebook/logbook/measure"
)

// Amount is a quantity as written at one key; its embedded Quantity is invalid where nothing could be read.
type Amount struct {
	Leaf
	measure.Quantity
	More bool // the reading was cut off there: "more than 60 s"
}

// String is the amount as it was written, or the reason why there is none.
func (a Amount) String() string {
	if a.Not != "" {
		return a.Written
	}
	if a.Quantity.Valid() && a.More {
		return MoreThan + a.Quantity.String()
	}
	if a.Quantity.Valid() {
		return a.Quantity.String()
	}
	return a.Written
}

// MoreThan begins a reading that was cut off.
const MoreThan = "more than "

// Amounts is a list of readings of one quantity, in the order of the readings.
type Amounts struct {
	Leaf
	Each []Amount
}

// Valid lists the readings that could be read. They are not to be changed.
func (a Amounts) Valid() []Amount {
	n := 0
	for i := range a.Each {
		if a.Each[i].Quantity.Valid() {
			n++
		}
	}
	if n == len(a.Each) {
		return a.Each
	}
	ok := make([]Amount, 0, n)
	for i := range a.Each {
		if a.Each[i].Quantity.Valid() {
			ok = append(ok, a.Each[i])
		}
	}
	return ok
}

// Median is the middle reading (of an even number, the lower of the two in the middle): the value that is booked. It is
// invalid where no reading could be read.
func (a Amounts) Median() Amount {
	ok := a.Valid()
	if len(ok) == 0 {
		return Amount{Leaf: a.Leaf}
	}
	const aFew = 5
	if len(ok) > aFew {
		ok = slices.Clone(ok)
		slices.SortStableFunc(ok, func(x, y Amount) int { return x.Compare(y.Quantity) })
		return ok[(len(ok)-1)/2]
	}
	for i := range ok { // the one that half of the others stand before
		before := 0
		for j := range ok {
			if c := ok[j].Compare(ok[i].Quantity); c < 0 || c == 0 && j < i {
				before++
			}
		}
		if before == (len(ok)-1)/2 {
			return ok[i]
		}
	}
	return ok[0]
}

// Number is a bare whole or decimal number: a count, a class.
type Number struct {
	Leaf
	Value float64
	Valid bool // false where nothing could be read
}

// Int is the value as a whole number; what is not whole is cut.
func (n Number) Int() int { return int(n.Value) }

// Numbers is a list of bare numbers in the order written.
type Numbers struct {
	Leaf
	Each []Number
}

// Words is a list of words; Texts and Serials are lists of text and identities, in the order written.
type (
	Words struct {
		Leaf
		Each []Word
	}
	Texts struct {
		Leaf
		Each []Text
	}
	Serials struct {
		Leaf
		Each []Serial
	}
)

// Band is a limit as written at one key.
type Band struct {
	Leaf
	measure.Span
}

// String is the band in the plain form, however it was written: "6.0 to 40 s"; as written where it could not be read,
// or is not believed.
func (b Band) String() string {
	if b.Span.Valid() {
		return b.Span.String()
	}
	return b.Written
}

// Relation is a value stated from another: "opening - 25 bar".
type Relation struct {
	Leaf
	measure.Relative
}

// String is the relation as written.
func (r Relation) String() string { return r.Written }
