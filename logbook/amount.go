package logbook

import (
	"sort"

	"needlebook/logbook/measure"
)

// Amount is a quantity as written at one key; its embedded Quantity is invalid where nothing could be read.
type Amount struct {
	Leaf
	measure.Quantity
}

// String is the amount as it was written, or the reason why there is none.
func (a Amount) String() string {
	if a.Not != "" {
		return a.Written
	}
	if a.Quantity.Valid() {
		return a.Quantity.String()
	}
	return a.Written
}

// Amounts is a list of readings of one quantity, in the order of the readings.
type Amounts struct {
	Leaf
	Each []Amount
}

// Valid lists the readings that could be read.
func (a Amounts) Valid() []Amount {
	ok := make([]Amount, 0, len(a.Each))
	for _, r := range a.Each {
		if r.Quantity.Valid() {
			ok = append(ok, r)
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
	sort.SliceStable(ok, func(i, j int) bool { return ok[i].Compare(ok[j].Quantity) < 0 })
	return ok[(len(ok)-1)/2]
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

// String is the band as written.
func (b Band) String() string { return b.Written }

// Relation is a value stated from another: "opening - 25 bar".
type Relation struct {
	Leaf
	measure.Relative
}

// String is the relation as written.
func (r Relation) String() string { return r.Written }
