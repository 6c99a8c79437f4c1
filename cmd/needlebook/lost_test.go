package main

import (
	"strings"
	"testing"
)

// A file that has lost what was committed is not signed, whatever is read in its place. No outside source.
func TestLostIsNotSigned(t *testing.T) {
	o := &opened{dir: t.TempDir(), lost: map[string]bool{"hours/me1.csv": true}}
	if text, err := o.text("hours/me1.csv"); err == nil || !strings.Contains(err.Error(), "git checkout -- hours/me1.csv") {
		t.Errorf("%q, %v", text, err)
	}
}
