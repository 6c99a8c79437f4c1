//go:build unix

package checks

import (
	"syscall"
	"time"
)

// cpuTime is the processor time that the program has used so far: on a shared machine it says more than the clock.
func cpuTime() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
