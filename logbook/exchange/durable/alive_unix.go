//go:build unix

package durable

import (
	"errors"
	"syscall"
)

// Alive reports whether a process of that number runs.
func Alive(pid int) bool {
	err := syscall.Kill(pid, 0)
	return err == nil || errors.Is(err, syscall.EPERM)
}
