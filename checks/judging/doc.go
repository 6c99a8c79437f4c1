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
// Leak-down is always judged by the time of the valve alone, referred to the oil temperature that the limits hold for
// (viscosity by ASTM D341 and D1250 over the bulk modulus, both at the temperature of the oil), and both times are
// shown; where the limits state none it is judged as read, with a note. A rule that refers it outside a range of
// temperatures alone flips at the edge: 5.0 s was beyond at 30 °C and within at 31 °C. What watch, pressures,
// thermometer, oil and its cooling after fast pumping leave open is in the uncertainty; oil that the book does not know
// widens it, and only a time within whose limit lies inside it is "not proven".
//
// A difference of two readings, and a sum, has a budget of its own: the error of one instrument is the same in both
// ([Between]; GUM 5.2.4). What comparisons with a better gauge or a certificate's points show of an instrument is used
// in place of its class, and a correction decides where it is clear of the uncertainty.
//
// An instrument that is unknown, out of calibration or found out of tolerance proves nothing good: a value beyond its
// limit stays beyond, a value within becomes "not proven". Of the time before it a certificate proves how the
// instrument came in, where it states that, and nothing else: how it went out, and its points, hold from its day on.
//
// How a received valve was left is judged by its certificate: the workshop's instruments are not in this book, and to
// ask for them would make every exchange unit "not ready". Its uncertainty is what the certificate states; where it
// states none, that is said. The limits are those in force on the day it came on board, not on that of the workshop's
// test, and its time of leak-down is not referred to another temperature: the bench is not known. What is read on board
// (one opening, the lift) is judged by the ship's own instruments.
//
// A verdict that is missing says why: not measured, not applicable, no limit then, not proven.
package judging
