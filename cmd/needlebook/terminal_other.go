//go:build !windows

package main

import "os"

// takesColour says that a terminal reads colour codes, which every one does here that is not called dumb.
func takesColour(*os.File) bool { return true }
