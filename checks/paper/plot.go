package paper

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"
)

// Plot is readings over hours with the line drawn through them, the band in which one more reading may fall, and the limit.
type Plot struct {
	Name, Title     string
	X, Y            string // what the axes carry: "h of the nozzle", "mm"
	Log             bool   // Y is drawn on the log scale
	Points          []Point
	Line, Low, High [][2]float64 // the line and the edges of its band, by rising X
	Limit           float64
	HasLimit, Upper bool   // Upper: values above the limit are bad
	LimitText       string // where the limit comes from
}

// Point is one reading.
type Point struct {
	X, Y  float64
	Words string
	About About
}

// The size of a plot in the terminal, in characters.
const (
	plotColumns = 64
	plotRows    = 14
)

// text draws a plot with characters: o a reading, 8 several in one place, - the line, . the edges of the band, = the limit.
func (p Plot) text(b *strings.Builder) {
	left, right, low, high := 0.0, 0.0, math.Inf(1), math.Inf(-1)
	see := func(x, y float64) {
		if y = p.height(y); !math.IsNaN(y) && !math.IsInf(y, 0) {
			right, low, high = math.Max(right, x), math.Min(low, y), math.Max(high, y)
		}
	}
	for _, d := range p.Points {
		see(d.X, d.Y)
	}
	for _, curve := range [][][2]float64{p.Line, p.Low, p.High} {
		for _, at := range curve {
			see(at[0], at[1])
		}
	}
	if p.HasLimit {
		see(0, p.Limit)
	}
	if !(high > low) || !(right > left) {
		return
	}
	var grid [plotRows][plotColumns]rune
	put := func(x, y float64, r rune) {
		row := int(math.Round((high - p.height(y)) / (high - low) * (plotRows - 1)))
		column := int(math.Round(x / right * (plotColumns - 1)))
		if row < 0 || row >= plotRows || column < 0 || column >= plotColumns {
			return
		}
		if r == 'o' && (grid[row][column] == 'o' || grid[row][column] == '8') {
			r = '8'
		}
		grid[row][column] = r
	}
	if p.HasLimit {
		for c := range plotColumns {
			put(right*float64(c)/(plotColumns-1), p.Limit, '=')
		}
	}
	for _, curve := range []struct {
		through [][2]float64
		mark    rune
	}{{p.Low, '.'}, {p.High, '.'}, {p.Line, '-'}} {
		for i := 1; i < len(curve.through); i++ {
			from, to := curve.through[i-1], curve.through[i]
			const fine = 8
			for k := range fine + 1 {
				f := float64(k) / fine
				put(from[0]+f*(to[0]-from[0]), from[1]+f*(to[1]-from[1]), curve.mark)
			}
		}
	}
	for _, d := range p.Points {
		put(d.X, d.Y, 'o')
	}
	b.WriteString("\n" + p.Title + ", " + p.Y + "\n")
	for r := range grid {
		label := ""
		if r == 0 || r == plotRows-1 || r == plotRows/2 {
			v := high - (high-low)*float64(r)/(plotRows-1)
			if p.Log {
				v = math.Pow(10, v)
			}
			label = fmt.Sprintf("%.3g", v)
		}
		b.WriteString(fmt.Sprintf("%8s |", label))
		line := make([]rune, 0, plotColumns)
		for _, c := range grid[r] {
			if c == 0 {
				c = ' '
			}
			line = append(line, c)
		}
		b.WriteString(strings.TrimRight(string(line), " ") + "\n")
	}
	end := fmt.Sprintf("%.0f %s", right, p.X)
	b.WriteString(strings.Repeat(" ", 9) + "+" + strings.Repeat("-", plotColumns) + "\n")
	b.WriteString(strings.Repeat(" ", 10) + "0" + strings.Repeat(" ", max(1, plotColumns-1-utf8.RuneCountInString(end))) + end + "\n")
	b.WriteString("          o a reading, 8 several, - the line, . where one more may fall\n")
	if p.HasLimit {
		b.WriteString("          = the limit: " + oneLine(p.LimitText) + "\n")
	}
}

// height is a value on the scale it is drawn on.
func (p Plot) height(y float64) float64 {
	if p.Log {
		return math.Log10(y)
	}
	return y
}
