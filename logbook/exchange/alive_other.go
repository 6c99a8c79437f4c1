//go:build !unix

package exchange

import "os"

// alive reports whether a process of that number runs.
func alive(pid int) bool {
	p, err := os.FindProcess(pid)
	if err == nil {
		p.Release()
	}
	return err == nil
}
