package page

import "testing"

// TestCut keeps no half of a character. No outside source.
func TestCut(t *testing.T) {
	if got := Cut("喷油", 4); got != "喷" {
		t.Errorf("four bytes of two characters are %q", got)
	}
}
