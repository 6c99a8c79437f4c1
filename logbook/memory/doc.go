// Package memory is what a reader remembers of a book between two looks at it: the last tip he verified, the
// last receipt, the register. It lies outside the book, so that whoever rewrites the book cannot rewrite
// it. It reads no history; what is remembered is held against a logbook.Trail.
//
// Begin with Recall.
//
// # Why outside every book
//
// What a reader remembers is in NEEDLEBOOK_MEMORY or the system's place for what programs remember, by founding
// commit and by folder, mode 0600, replaced whole. Only verify (and what takes in another copy) holds a history
// against it: check, show and pages give the same bytes on every machine. A history that does not go on from the tip
// verified last is rewritten; what is remembered then stays until the reader lets it go. A memory that is damaged,
// another book's or unreadable is said, and is never taken for a first look. A copy is its folder, links followed,
// and has a memory of its own; one seen for the first time is held against all that are remembered: a backup is
// behind, a clone ahead or aside, and rewritten is one that had a verified commit and dropped it, or made it again
// with its author and date.
package memory
