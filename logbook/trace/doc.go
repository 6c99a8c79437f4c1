// Package trace reads the history of a book and says who set what: every commit up to the tip, its
// signature read from the raw bytes and judged against the register that was in force, and for every
// record the commits that made it. It gives plain facts (logbook.Trail), writes nothing, runs no
// program, and leaves to others what a good value is.
//
// Begin with Read, and with FS for the texts of one commit.
package trace
