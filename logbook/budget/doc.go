// Package budget bounds a walk through a tree of folders, whoever made it: a commit's, or one on the disk. A bundle of
// a thousand bytes can name a folder of a thousand million files, because equal folders are stored once. What goes
// beyond the bounds is an answer, the same on every machine; a walk that somebody stopped, or whose time was up, has
// none. It also opens each file of a book, of its .git folder, and each that somebody names.
//
// Begin with New, and for a file with Open, Read or In.
//
// # Why a bound, and not a time
//
// A walk has two million paths, sixteen folders of depth and 1 GiB of what lists the files. What comes from elsewhere
// is held against it before anything is let in, each folder counted once; a tree that git brought all the same is
// broken, named by its folder, for every reader. Time is no bound: a walk that is stopped, or whose time is up, says
// "not finished", status 3, and never a verdict, which would depend on the machine. A verb that does not come back
// within a second of SIGINT, SIGTERM or its time limit is ended between two steps, its locks taken away
// (durable.Halt).
//
// # Reading a folder ends, whatever is in it
//
// Only plain files are opened ([Open], [In], and trace.OpenPlain for what go-git opens), and of each only as much as
// its kind may have: nobody may ever write into a pipe in the place of a record, a link can lead to a device, a file
// can grow while it is read, and 64 GiB of nothing take no room on a disk. Each is looked at before it is opened and
// again when it is open, and [NeverWait] is among the flags, because another may come to its place in between. What
// goes beyond is a finding at its path, never a wait. A test of the command goes over the source: nothing else opens a
// file. git alone reads a book's settings in its own way, and is given 20 seconds for it.
package budget
