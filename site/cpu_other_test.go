//go:build !unix

package site

import "time"

// cpuTime is not told on this system.
func cpuTime() time.Duration { return 0 }
