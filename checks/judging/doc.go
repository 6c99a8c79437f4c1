// Package judging holds every measurement against the limit that applied on the day the work was done, and shows its
// working: value as written, limit, source, doubt, margin. Checks and pages share its verdicts; it reports nothing
// itself.
//
// Begin with [Judge].
//
// # What judges, and what is only asked about
//
// What cannot be right is asked at its source and counts as not stated until then: a limit that most of the ship's
// values miss ([Judgement.Missed], unless its source says that it was tightened), an interval of minutes or
// centuries, hours above the counter. An instrument whose id is not its file's name is filed under what the records
// name. Otherwise one slip in one line is told as hundreds of faults of parts that are right. [Trusted] is the one
// way to a book as it is judged.
//
// Leak-down is judged as written while the oil is inside the book's range, and by the time referred to the limits'
// oil temperature (ASTM D341, D1250) when it is outside. Referring every reading would turn six seconds at 17 °C into
// a failure that no engineer at the bench would accept; ignoring the oil at 38 °C would pass a worn guide.
//
// An instrument that is unknown, out of calibration or found out of tolerance proves nothing good: a value beyond its
// limit stays beyond, a value within becomes "not proven".
//
// A verdict that is missing says why: not measured, not applicable, no limit then, not proven.
package judging
