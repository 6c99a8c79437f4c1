//go:build !unix

package budget

// NeverWait is added to the flags with which a file is opened: nobody waits for the other end of a pipe. Here none has
// a place in a folder.
const NeverWait = 0
