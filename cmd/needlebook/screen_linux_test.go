package main

import (
	"fmt"
	"os"
	"testing"

	"golang.org/x/sys/unix"
)

// On a pseudo terminal lines are as wide as it is and grades have colour, but where it is dumb or NO_COLOR is set.
func TestScreenOfAPseudoTerminal(t *testing.T) {
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		t.Skip("no pseudo terminal here")
	}
	defer master.Close()
	if err := unix.IoctlSetPointerInt(int(master.Fd()), unix.TIOCSPTLCK, 0); err != nil {
		t.Skip("no pseudo terminal here")
	}
	n, err := unix.IoctlGetInt(int(master.Fd()), unix.TIOCGPTN)
	if err != nil {
		t.Skip("no pseudo terminal here")
	}
	tty, err := os.OpenFile(fmt.Sprintf("/dev/pts/%d", n), os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Skip("no pseudo terminal here")
	}
	defer tty.Close()
	if err := unix.IoctlSetWinsize(int(tty.Fd()), unix.TIOCSWINSZ, &unix.Winsize{Row: 24, Col: 66}); err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		name, value string
		width       int
		colour      bool
	}{{"TERM", "xterm", 66, true}, {"TERM", "dumb", 0, false}, {"NO_COLOR", "1", 66, false}} {
		s := screen(tty, func(name string) string {
			if name == x.name {
				return x.value
			}
			return ""
		})
		if s.width != x.width || s.colour != x.colour {
			t.Errorf("%s=%s: width %d, colour %t", x.name, x.value, s.width, s.colour)
		}
	}
}
