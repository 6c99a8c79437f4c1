//go:build unix

package budget

import "syscall"

// NeverWait is added to the flags with which a file is opened: nobody waits for the other end of a pipe.
const NeverWait = syscall.O_NONBLOCK
