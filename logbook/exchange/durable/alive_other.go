//go:build !unix

package durable

import "os"

// Alive reports whether a process of that number runs.
func Alive(pid int) bool {
	p, err := os.FindProcess(pid)
	if err == nil {
		p.Release()
	}
	return err == nil
}
