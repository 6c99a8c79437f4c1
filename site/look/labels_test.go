package look

import "testing"

// TestLabels places words beside one another: the second of two at one place goes elsewhere, and what has no room is left out. No outside
// source.
func TestLabels(t *testing.T) {
	l := &labels{sheet: box{0, 0, 100, 40}}
	here, there, outside := box{10, 10, 40, 20}, box{50, 10, 80, 20}, box{90, 10, 110, 20}
	for _, x := range []struct {
		places []box
		want   int
	}{{[]box{here, there}, 0}, {[]box{here, there}, 1}, {[]box{here, there}, -1}, {[]box{outside}, -1}} {
		if got := l.take(x.places...); got != x.want {
			t.Errorf("take(%v) = %d, want %d", x.places, got, x.want)
		}
	}
	if got := clippedTo("喷油器第三缸", 4); got != "喷油器…" {
		t.Errorf("a name of six characters cut to four is %q", got)
	}
}
