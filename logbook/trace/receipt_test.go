package trace

import (
	"bytes"
	"strings"
	"testing"
	"time"
)

// A receipt has one form: what is read is written again byte for byte, and nothing else is read.
func FuzzReceipt(f *testing.F) {
	c := Receipt{Book: strings.Repeat("a", 40), Tip: strings.Repeat("b", 40), Commits: 12, Records: 0, Content: strings.Repeat("c", 64),
		Time: time.Date(2024, 2, 29, 23, 59, 59, 0, time.UTC)}
	text := string(c.Text())
	f.Add([]byte(text))
	f.Add([]byte(strings.Replace(text, "none", strings.Repeat("d", 64), 1)))
	for _, wrong := range []string{
		strings.TrimSuffix(text, "\n"), text + "\n", strings.ReplaceAll(text, "\n", "\r\n"), strings.Replace(text, "12", "012", 1),
		strings.Replace(text, "12", "0", 1), strings.Replace(text, "02-29", "02-30", 1), strings.Replace(text, "1\n", "2\n", 1),
		strings.Replace(text, "Z", "+01:00", 1), "",
	} {
		if _, err := ParseReceipt([]byte(wrong)); err == nil {
			f.Errorf("%q is read", wrong)
		}
		f.Add([]byte(wrong))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		c, err := ParseReceipt(text)
		if err == nil && !bytes.Equal(c.Text(), text) {
			t.Errorf("%q is written again as %q", text, c.Text())
		}
	})
}
