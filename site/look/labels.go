package look

import (
	"slices"
	"strings"
)

// The words of a drawing: as many as have room, none on another and none outside the sheet. What finds no room is
// left out; the point itself still says it, and so does the table.

// box is the place of words on a drawing.
type box struct{ left, top, right, bottom float64 }

// labels are the words that stand on one drawing so far.
type labels struct {
	sheet box
	taken []box
}

// onPlot are no words yet, on the sheet of a plot.
func onPlot() *labels { return &labels{sheet: box{plotLeft, 2, plotWidth - 2, plotBottom}} }

// take takes the first of some places that is free, and says which; -1 for none.
func (l *labels) take(places ...box) int {
	for i, b := range places {
		inside := b.left >= l.sheet.left && b.right <= l.sheet.right && b.top >= l.sheet.top && b.bottom <= l.sheet.bottom
		if inside && !slices.ContainsFunc(l.taken, func(t box) bool {
			return b.left < t.right && t.left < b.right && b.top < t.bottom && t.top < b.bottom
		}) {
			l.taken = append(l.taken, b)
			return i
		}
	}
	return -1
}

// keepFree keeps words off a point.
func (l *labels) keepFree(x, y float64) {
	const half = 4.5
	l.taken = append(l.taken, box{x - half, y - half, x + half, y + half})
}

// boxAt is the place of words of a size that begin at x, or end there, on a line at y.
func boxAt(text string, size, x, y float64, end bool) box {
	w := textWidth(text, size)
	if end {
		x -= w
	}
	return box{x, y - 0.8*size, x + w, y + 0.2*size}
}

// textWidth is about how wide words of a size are: faces differ, and a Chinese character is as wide as it is high.
func textWidth(text string, size float64) float64 {
	w := 0.0
	for _, r := range text {
		if r >= 0x1100 {
			w += size
		} else {
			w += 0.6 * size
		}
	}
	return w
}

// clippedTo keeps a name to so many characters. A name that was cut says so: the rest of a serial may be what tells
// it from another.
func clippedTo(name string, most int) string {
	r := []rune(name)
	if len(r) <= most {
		return name
	}
	return string(r[:most-1]) + "…"
}

// inLines breaks words into lines of about so many characters.
func inLines(text string, most int) []string {
	var lines []string
	for word := range strings.FieldsSeq(text) {
		if n := len(lines); n > 0 && len(lines[n-1])+1+len(word) <= most {
			lines[n-1] += " " + word
			continue
		}
		lines = append(lines, word)
	}
	return lines
}
