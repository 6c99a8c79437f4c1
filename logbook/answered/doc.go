// Package answered keeps what was worked out of a book, and gives it again while not a byte of the book has changed. It
// knows no record and no finding: a question is a digest, an answer some bytes.
//
// Begin with Look and Book.Answer.
//
// # Why it cannot tell an old answer
//
// Nothing is asked of file times, of sizes or of the index of git: every byte below the folder of the book is read and
// hashed each time, .git with all of its objects too, with every name and every right. What else an answer depends on
// is part of the question: the program by the id of its bytes, what was typed, where, in which environment, and how
// wide the terminal is. A folder of which that is not all is not remembered: one with links, with pipes or with files
// that cannot be read, one whose .git lies elsewhere or borrows objects from elsewhere, and one so large that hashing
// it costs more than working it out. An answer is kept only where the folder was, byte for byte and by its file times,
// the same after it was worked out as before.
//
// Answers lie outside every book, beside what is known of its history (package trace), in one file for each book, and
// each is sealed with the key that only the reader's account can read. A file that is damaged, cut, another book's or
// another program's is no answer: the work is done again. The file is begun anew with each state of the book, so that
// it holds nothing of any other. Without the file nothing is lost; NEEDLEBOOK_CACHE, set and empty, does without it.
//
// # Rejected
//
// Remembering records, verdicts and findings one by one, and judging what a change touches. Measured on 1,000 records,
// reading them is an eighth of a check, their verdicts are a tenth and the checks that look at one record at a time an
// eighth; the others look at all records, and a record that is new changes what nearly each of them reads. So it would
// save a third at most, less what reading it back takes, and a dependency that somebody forgot would be an old
// judgement told as a new one. What would do it are checks over the book that keep sums, which one record more changes.
package answered
