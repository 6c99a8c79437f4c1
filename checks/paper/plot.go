package paper

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"
)

// Plot is readings over hours with the line drawn through them, the band in which one more reading may fall, and the
// limit.
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

// text draws a plot with characters: o a reading, 8 several in one place, - the line, . the edges of the band, = the
// limit. A plot without a spread in both directions is left out.
func (p Plot) text(b *strings.Builder) {
	g := p.grid()
	if !(g.high > g.low) || !(g.right > 0) {
		return
	}
	const fine = 8
	if p.HasLimit {
		g.draw([][2]float64{{0, p.Limit}, {g.right, p.Limit}}, plotColumns-1, '=')
	}
	g.draw(p.Low, fine, '.')
	g.draw(p.High, fine, '.')
	g.draw(p.Line, fine, '-')
	for _, d := range p.Points {
		g.put(d.X, d.Y, 'o')
	}
	fmt.Fprintf(b, "\n%s, %s\n", p.Title, p.Y)
	for r, cells := range g.cells {
		label := ""
		if r == 0 || r == plotRows-1 || r == plotRows/2 {
			v := g.high - (g.high-g.low)*float64(r)/(plotRows-1)
			if p.Log {
				v = math.Pow(10, v)
			}
			label = fmt.Sprintf("%.3g", v)
		}
		fmt.Fprintf(b, "%8s |%s\n", label, strings.TrimRight(string(cells[:]), " "))
	}
	end := fmt.Sprintf("%.0f %s", g.right, p.X)
	b.WriteString(strings.Repeat(" ", 9) + "+" + strings.Repeat("-", plotColumns) + "\n")
	b.WriteString(strings.Repeat(" ", 10) + "0" + strings.Repeat(" ",
		max(1, plotColumns-1-utf8.RuneCountInString(end))) + end + "\n")
	b.WriteString("          o a reading, 8 several, - the line, . where one more may fall\n")
	if p.HasLimit {
		b.WriteString("          = the limit: " + oneLine(p.LimitText) + "\n")
	}
}

// grid is the characters of a plot, from 0 to right and from low to high.
type grid struct {
	right, low, high float64
	height           func(y float64) float64 // on the scale of low and high
	cells            [plotRows][plotColumns]rune
}

// grid is an empty grid wide and high enough for all that the plot shows.
func (p Plot) grid() *grid {
	g := &grid{low: math.Inf(1), high: math.Inf(-1), height: p.height}
	for r := range g.cells {
		for c := range g.cells[r] {
			g.cells[r][c] = ' '
		}
	}
	see := func(x, y float64) {
		if y = g.height(y); !math.IsNaN(y) && !math.IsInf(y, 0) {
			g.right, g.low, g.high = math.Max(g.right, x), math.Min(g.low, y), math.Max(g.high, y)
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
	return g
}

// put writes a character at a place, and nothing outside the grid.
func (g *grid) put(x, y float64, mark rune) {
	row := int(math.Round((g.high - g.height(y)) / (g.high - g.low) * (plotRows - 1)))
	column := int(math.Round(x / g.right * (plotColumns - 1)))
	if row < 0 || row >= plotRows || column < 0 || column >= plotColumns {
		return
	}
	if was := g.cells[row][column]; mark == 'o' && (was == 'o' || was == '8') {
		mark = '8'
	}
	g.cells[row][column] = mark
}

// draw puts a mark along a curve, in so many steps between two of its places.
func (g *grid) draw(curve [][2]float64, steps int, mark rune) {
	for i := 1; i < len(curve); i++ {
		from, to := curve[i-1], curve[i]
		for k := range steps + 1 {
			f := float64(k) / float64(steps)
			g.put(from[0]+f*(to[0]-from[0]), from[1]+f*(to[1]-from[1]), mark)
		}
	}
}

// height is a value on the scale it is drawn on.
func (p Plot) height(y float64) float64 {
	if p.Log {
		return math.Log10(y)
	}
	return y
}
