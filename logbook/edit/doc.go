// Package edit changes the bytes of a book's files and leaves every byte alone that it was not asked about: comments,
// order, spelling, spaces and line ends of the human stay. It corrects slips of the keyboard that leave no choice, adds
// keys to front matter, and writes files so that a power cut leaves the old text or the new one. What a good value is,
// and what a signature covers, is left to others.
//
// Begin with Correct and Insert; Create and Replace put a text on the disk.
//
// A correction is only written where every value of the file says what it was read as before (logbook.Meanings). Only
// the fragment at fault is replaced.
package edit
