// Package measure holds quantities as types: a value as it was written, with its decimals and its unit, and the exact
// conversions between the units that a workshop meets. It knows nothing of records or limits files; begin with [Parse].
//
// A quantity keeps the text as written. Comparing is exact, on scaled integers, and across units on fractions; Float
// is in the base unit of the kind and only for arithmetic. In floating point more than a third of the differences
// that are exactly on a limit come out beyond it.
package measure
