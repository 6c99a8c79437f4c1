package main

import (
	"os"

	"golang.org/x/sys/windows"
)

// takesColour has the console read colour codes; an old one that cannot shows none.
func takesColour(f *os.File) bool {
	var mode uint32
	h := windows.Handle(f.Fd())
	return windows.GetConsoleMode(h, &mode) == nil &&
		windows.SetConsoleMode(h, mode|windows.ENABLE_VIRTUAL_TERMINAL_PROCESSING) == nil
}
