// Package logbook is the book: the records of one vessel as an engineer writes them, read with the place of every
// value, and the service lives of every part worked out from removals and fittings. The struct types of the records are
// the schema: keys, types, units, allowed words and documentation stand in their tags and nowhere else.
//
// It leaves judging to package checks, git to packages trace and exchange, and HTML to package site. Begin with [Read].
//
// # How a file is read
//
// Nothing but the files of a book counts: there is no database, and every cache can be deleted. [Read] walks the
// files of a folder or of one commit; a [Reader] reads the same book again and decodes only what has changed, on the
// disk or in an editor. Bytes are brought to plain text (byte-order mark, UTF-16, line ends, a bound on the size) and
// package tree has the front matter split off and turns it into nodes. The
// decoder fills the struct of that kind of file from the nodes; every value keeps its [Place], everything amiss
// becomes a [Problem], and reading goes on.
//
// The struct tags are the schema: one place for keys, types, units, words and documentation, read by reflection once
// per type. Rejected: a schema file beside the code (two truths), code generation (a build step to forget).
//
// YAML is read as nodes, and scalars are read by us. The library turns 012 into ten and "no" into false; numbers are
// read from the text by one strict grammar in package measure. A broken block is left out and reported, and the rest
// of the record is still read.
//
// A place is path, line and column from 1; the column counts characters.
//
// # Corrections and proposals
//
// A correction is the fragment at fault and what belongs in its place. The reader that finds a slip says both, with
// the whole value to type; check, fix and the editor take them from there. A text is only written where every value
// of the file says what it was read as before ([Meanings]), a date that could not be read the one day that it can be.
// Rejected: holding digits against digits, which lets a lower limit become a band of no width and a relation an
// absolute value.
//
// A proposal is read again before it is made: a value by its field, a line of YAML with the whole front matter, a key
// with what is under it (cleanScalar, document.proved, decoder.fits). What would be wrong again is not proposed.
// Rejected: rules for each slip, which were right for one and left the next.
//
// A check that knows what belongs in a place says so in the same shape ([Proposal]): a text to type, or a name for the
// file. The words "type …" of its finding are made of it, and fix and the editor offer it; nobody makes it unasked.
// Rejected: reading the text to type out of the message.
//
// In hours and counters a point or comma with three digits behind it is never read. Half the world writes 18 340 as
// 18.340, no hour counter shows seconds, and read as a fraction a whole book stays silent. The other readings of the
// counter, the bounds of an interval and the habit of the file say what to type ([Book.ResolveParted]); only the
// writer types it. A thin or no-break space between groups of three can only part thousands (ISO 80000-1), a plain
// one only in hours: 300 305 310 bar are three readings.
//
// One value where a limit has two ends judges nothing. 6.0 s as a band of no width accused every valve. A torque may
// be alone, its tolerance has a key of its own; who means exactly one value writes ±0. A pressure gauge's scale
// begins at nought, a wrench's does not.
//
// # What a file is
//
// It is told by what the file says, never by its name alone. A file at a wrong place is known by the keys of its
// kind, or a record's name, and is told where it belongs; a copy by being the same overhaul (day, holder, cylinder)
// with most values alike, because programs and people name copies in every language. The original is the one that has
// the name and the place that it states itself; a copy is not read, so that one slip does not count as two valves in
// one pocket. What a computer drops beside people's files ([Passing], [PassingFolder]) is passed over, unless it is
// all that is left of a record. The verb sign signs nothing of all this: a signature vouches for what was read.
//
// A record is in the folder of the cylinder it came out of, [FolderOf], and nowhere else: the folder is the second
// place that says which cylinder, and finds the slip in the first. The verb enter wrote beside the last record
// before, and so went on with any mistake.
//
// # Lives, hours and days
//
// The removal is believed before the fitting. When a removal names another holder than the fitting did, the holder
// that came out is what was fitted there; the contradiction stays a finding.
//
// Of the starting state, since counts the hours since the valve's overhaul on the day the book begins, nozzle_hours
// those of the nozzle in all.
//
// No clock is asked. One line does not move the day of the book ([Book.Today]). Days of readings, overhauls and the
// starting state fall into stretches, parted where a gap is longer than four times the median gap between readings
// and reading_gap; a stretch of one or two days is a wrong year, and its readings are taken out with a finding at
// their lines. Three days make a stretch of their own, so that a laid-up ship is believed again soon; both engines
// are looked at together, so that one that stood still is. A counter reading that cannot be is passed over for hours
// and day, two in a row at most: more are a counter that was replaced and not entered. The flag --today is not --on:
// --on asks what was known and due on a day, --today says what day it is, so that what is dated later is wrong. The
// program never asks the clock; a caller that has one gives it.
//
// Whether a part is out of use is said by [Book.EndOf]: a decision or the part's own file, whichever came first. The
// verbs enter and card refuse to build up what is out of use, and have no flag to go on: where the condemnation was
// the mistake, that entry is put right first, or the two would contradict one another for good. A valve that is still
// fitted is begun with a word, because its removal has to be written.
//
// A limit that is asked about keeps its text with a word on it ([Book.Without]), so that whatever shows a limit as
// written shows that it is asked about, and nothing judges by it.
package logbook
