// Package merge works out one file that both sides of a book changed: what may stand without anybody looking, and what
// a signer has to decide, with a proposal made field by field. It knows texts and the schema of records, and leaves
// commits, the index and the folder to package exchange, which calls File for each such file when two histories meet.
//
// # One record that both sides changed is never merged by machine
//
// [File] takes both texts apart with logbook.TreeOf, which gives every key its bytes, and puts them together key
// by key; what it made is read again and held against the values that went in, else the file is compared by its lines
// and that is said. A person accepts it with resolve or with git: the book is in git's own unfinished merge
// meanwhile. Rejected: git's merge by lines, which joins a pressure from aboard and a nozzle from ashore into a
// record that nobody wrote; re-encoding YAML, which loses the writer's layout.
package merge
