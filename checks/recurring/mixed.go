package recurring

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// mixed is a linear model of opening pressures with effects of three kinds: what a whole round has in common, of which
// the scatter is known; what is usual after so many hours, and what is named already, of which nothing is known
// beforehand, so that they are given any size; and a valve's own scatter. All are estimated together, so that what an
// explanation says of a few visits allows for how well the rest is known.
//
// Sources: Henderson 1975, Biometrics 31, 423 (best linear unbiased prediction; the same solution as generalised least
// squares); Woodbury's identity for the inverse.
type mixed struct {
	rows    [][]entry // by visit; nil where it takes no part
	y       []float64 // by visit, bar
	apart   []float64 // by visit, how far one that is alone with it lies beyond what is believed of a valve, bar
	valve2  float64   // variance of a valve's own scatter
	columns int
	known   []float64 // by column, variance of its effect over valve2
	core    *mat.SymDense
	left    []float64 // by visit, what the effects leave of y without what is apart: V⁻¹y times valve2
}

// entry is what one effect adds to one visit, in units of the effect.
type entry struct {
	column int
	times  float64
}

// anySize is the variance, over that of a valve, of an effect of which nothing is known beforehand.
const anySize = 1e6

// column makes an effect of a variance, bar squared, and gives its number. A negative variance is any size.
func (m *mixed) column(variance float64) int {
	d := anySize
	if variance >= 0 {
		d = math.Max(variance/m.valve2, 1e-9)
	}
	m.known = append(m.known, d)
	m.columns++
	return m.columns - 1
}

func (m *mixed) add(i, column int, times float64) {
	for j := range m.rows[i] {
		if e := &m.rows[i][j]; e.column == column {
			e.times += times
			return
		}
	}
	m.rows[i] = append(m.rows[i], entry{column, times})
}

// solve prepares the model for scores. ok is false where numbers fail.
func (m *mixed) solve() bool {
	all := mat.NewSymDense(m.columns, nil)
	for i, d := range m.known {
		all.SetSym(i, i, 1/d)
	}
	for _, row := range m.rows {
		for a, x := range row {
			for _, y := range row[a:] {
				all.SetSym(x.column, y.column, all.At(x.column, y.column)+x.times*y.times)
			}
		}
	}
	var factors mat.Cholesky
	if !factors.Factorize(all) {
		return false
	}
	m.core = mat.NewSymDense(m.columns, nil)
	if factors.InverseTo(m.core) != nil {
		return false
	}
	effects := m.effects()
	m.left = make([]float64, len(m.rows))
	for i, row := range m.rows {
		if row != nil {
			m.left[i] = m.y[i] - m.apart[i] - sumOf(row, effects)
		}
	}
	return true
}

func sumOf(row []entry, effects []float64) float64 {
	s := 0.0
	for _, e := range row {
		s += e.times * effects[e.column]
	}
	return s
}

// effects are the estimates, by column.
func (m *mixed) effects() []float64 {
	sum := make([]float64, m.columns)
	for i, row := range m.rows {
		for _, e := range row {
			sum[e.column] += e.times * (m.y[i] - m.apart[i])
		}
	}
	out := mat.NewVecDense(m.columns, nil)
	out.MulVec(m.core, mat.NewVecDense(m.columns, sum))
	return out.RawVector().Data
}

// group is a set of visits that an explanation moves together, by +1 or -1 each; several make an explanation.
type group struct {
	sign map[int]int // by visit
	sum  []float64   // by column, of its visits
	core []float64   // the model's core times sum
}

func (m *mixed) group(sign map[int]int) group {
	g := group{sign, make([]float64, m.columns), make([]float64, m.columns)}
	for _, i := range sortedKeys(sign) {
		for _, e := range m.rows[i] {
			g.sum[e.column] += float64(sign[i]) * e.times
		}
	}
	out := mat.NewVecDense(m.columns, g.core)
	out.MulVec(m.core, mat.NewVecDense(m.columns, g.sum))
	return g
}

// score is what speaks for a group having moved: its estimate times its information. whole takes readings as they are,
// also what is apart in them.
func (m *mixed) score(g *group, whole bool) float64 {
	s := 0.0
	for _, i := range sortedKeys(g.sign) {
		s += float64(g.sign[i]) * m.left[i]
		if whole {
			s += float64(g.sign[i]) * m.apart[i]
		}
	}
	return s / m.valve2
}

// together is the information that two groups have in common; of one with itself, its own.
func (m *mixed) together(a, b *group) float64 {
	s := 0.0
	for i, n := range a.sign {
		s += float64(n * b.sign[i])
	}
	for c, v := range a.sum {
		s -= v * b.core[c]
	}
	return s / m.valve2
}
