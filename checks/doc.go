// Package checks holds all that can be said of a book: one file a check, with its documentation, the source of its rule
// and its test data, and the one list of them in the order of the manual. A check reads no file and knows no git:
// logbook hands it records, lives and the trail as plain facts.
//
// Begin with [Run].
//
// # What checks rest on
//
// A finding is about the ship's data, an error about our program not doing its work; they have different types and
// never turn into one another. Checks do not call one another: what two of them need is computed in logbook, judging
// or recurring. No limit and no threshold is a constant in code: limits come from the book's limits file with
// revision and source, thresholds from the book's settings, whose defaults are in the tags of logbook.Settings with
// their source.
//
// Of two readings at odds the neighbours on both sides tell which is wrong (outlier); only where they do not is it
// the later one.
//
// What a crew list, a table of bunkers or stores must hold is asked only of ships whose own lines hold it. A line
// that is lost leaves nothing at its place, so that only the other lines show it: a chief and a second engineer are
// always aboard (STCW), a stay of over a year is odd among short ones, an id among ids made from names, a serial
// among serials that have files, running data among bunkers that follow one another. Of other ranks a ship may have
// several or none; a table that was begun later than the running data lacks nothing.
//
// What no limit judges is held against the rest of the book. The check figure-unlike-others asks about a figure that
// is further from all others of its key than these are from one another (unlike_times, unlike_least),
// entry-incomplete about a line that all other records have, both over the schema (logbook.Says), so that a new field
// is looked at from its first day. Test pressures are compared as shares of the opening pressure of their test or as
// what they are below it, those with one gauge. Such a check yields ([Check]): where another one speaks of the same
// value it is silent, so that one slip is one finding. Rejected: robust spreads (half of a ship's torques are equal,
// and their spread is nought); limits of our own for each key.
//
// A part that was only renewed is asked for when a crack is recorded. Out of this valve is not out of use: nothing
// but a mark keeps somebody from fitting it again.
//
// Whether a part is ready is answered in one place, Decisions and Spares of a [Report]: by its last record, by the
// end of its holder or nozzle (logbook.Book.EndOf), by the stops that are open about them, and by the age of its test.
// Terminal, pages, papers and counts ask there.
//
// What ends a finding is shown by cases: lives_test.go opens a finding of every check, ends it in each way that the
// check names and tries what comes near; testdata/corrected.txt corrects its line. futures_test.go lets random things
// happen later in books with findings that no later work ends (on 2026-11-30, 2,000 futures: none ended);
// years_test.go follows invented ships for ten years, at ends of months by the book as it was then, and ships with
// five planted faults each (on 2026-11-30, 488 of them: of 234 findings that work ends, 10 were open, about holders
// that nobody had done anything about; of 958 that it does not end, all).
//
// # Recall and precision
//
// go test ./checks -run 'TestHonest|TestPlanted' -v makes up vessels that nobody has seen (engines in line and vee,
// other limits, units, intervals, gauges, languages of remarks, writing styles; package example-vessel/invent),
// honest ones and ones with planted faults, and prints these tables; thousands of seeds under NEEDLEBOOK_LONG=1.
// Honest vessels: at most one false finding of grade action or worse per 100 overhauls is asserted. Of 137 checks,
// 112 have a planted fault; the others judge the history, which these plain folders have not, or a round, or are met
// by the slips of strangers, and are held by their own tests (trail_test.go, testdata). On 2026-11-28, on 122 vessels
// with two faults each, all 244 were found, and 263 of the 267 findings of grade action or worse were of a planted
// fault. What each check has to reach is in least, in invented_test.go. Recurring findings are tried on ships that are
// made otherwise, beside an oracle: checks/internal/battery.
//
// # Measured
//
// On 2026-11-30, two cores that others used too (load over 20), go run ./.ci/bench -records 1000 -rounds 3: 1,000
// overhauls, 1,171 commits, 3.1 MB. Read the ratios, not the seconds; those by the clock are the worst there. Before is
// what was measured some hours earlier. In capitals is what was missed.
//
//	                                                 ratio  before must   goal
//	check, one record saved ÷ reading the bytes      62     92     15     3     MISSED
//	check, nothing changed ÷ the same                3.0    4.1    15     3
//	check FILE, one record saved ÷ and hashing them  53     71     5      2     MISSED
//	show, due, stores, recurring, handover, nothing  2.0-   2.8-   6      3
//	changed ÷ the same                               2.7    4.1
//	due, one record saved ÷ the same                 56     63     6      3     MISSED
//	sign one record ÷ git add, commit -S, clock      7.0    38     3      1.2   MISSED
//	the same, of a record that was checked           12     9.6    3      1.2   MISSED
//	sync, nothing to do ÷ git fetch, push            6.4    9.8    4      1.5   MISSED
//	mailbag pack of all ÷ git bundle create          23     26     10     3     MISSED
//	git log %G? ÷ verify, nothing remembered, clock  25     23     50           MISSED
//	the same, processor                              47     41            90    MISSED
//	git log %G? ÷ verify again                       158    127    150    300
//	verify after one commit ÷ git status             15     18     4      1     MISSED
//	pages after one record ÷ all pages               0.81    0.67   0.1    0.02  MISSED
//
// At 8,000 overhauls a verb took 52 s of a processor and takes 8 to 15, the second time 0.19 s: the explanations of
// opening pressures were worked out in the cube of their number, and a bound on all memory had the book swept without
// end. It holds 60 to 90 kB for each overhaul (12 kB must be: MISSED), and pages take 58 kB each (25 kB: MISSED).
//
// What is behind the misses. After one record was saved all is judged again, as no check says what it reads. Reading
// takes an eighth, the checks of one record an eighth, the verdicts a tenth, collecting memory too, and the rest are
// checks of all records, of which none takes more than a tenth. An index of records and verdicts would save a third at
// most (see package answered); a must of 15 asks for checks that keep sums, which a record more changes. A run takes
// 290 MB in all, an eighth of it records of 34 kB each. Sign runs the 20 checks that may stop, and all only where one
// speaks of what is signed; the half of what it takes is reading the book. The program itself is there after 10 ms of a
// processor, twice what git status takes in all, and each file is opened and hashed, a quarter of verify, since nobody
// believes its time. A bag of the whole history makes its deltas anew, four fifths of its time, where git copies those
// it has: parts that are made once more must have the same bytes, however the book is packed by then. Tried and left:
// digests of the values of pages, for making the values costs three times what writing them as HTML does, and judging
// comes before both; sweeping by a bound on memory alone, which takes a fifth more; letting the heap grow to twice as
// much, which saves a tenth of the processor for twice the memory.
//
// A keystroke in one of 10,000 records (-bench Keystroke; on 2026-11-25) takes 0.13 to 0.2 s of a processor, 0.2 s
// may be. The checks of history and batch follow it when typing pauses, after a run over the whole.
package checks
