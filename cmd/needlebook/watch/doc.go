// Package watch waits for changes in the folder of a book: by whichever editor, git, or another machine on the same
// share.
//
// What counts of a change is what the files look like, not what the system tells: size, time and, for a file that
// changed a moment ago, the bytes, every tenth of a second; a notification only wakes it sooner. A share on another
// machine notifies nobody, and every editor saves in its own way.
package watch
