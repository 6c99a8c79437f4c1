package recurring

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
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
	core    *mat.Dense
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
	if factors.InverseTo(all) != nil {
		return false
	}
	m.core = mat.DenseCopyOf(all)
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

// group is a set of visits that an explanation moves together, by +1 or -1 each; several make an explanation. It
// touches few visits and few columns, and a book has thousands of groups: what is not zero is all that is kept of both.
type group struct {
	sign []signed
	sum  []entry   // of its visits, by column
	core []float64 // the model's core times sum
}

// signed is a visit, and which way it is moved.
type signed struct{ visit, by int }

// group is made of signed visits, in their order.
func (m *mixed) group(sign []signed) group {
	g := group{sign: sign, core: make([]float64, m.columns)}
	for _, s := range sign {
		for _, e := range m.rows[s.visit] {
			g.sum = append(g.sum, entry{e.column, float64(s.by) * e.times})
		}
	}
	slices.SortStableFunc(g.sum, func(a, b entry) int { return a.column - b.column })
	g.sum = joined(g.sum)
	for _, e := range g.sum {
		floats.AddScaled(g.core, e.times, m.core.RawRowView(e.column))
	}
	return g
}

// joined adds up what stands in one column, of entries in their order, and leaves out what comes to nothing.
func joined(all []entry) []entry {
	kept := all[:0]
	for i := 0; i < len(all); {
		e := all[i]
		for i++; i < len(all) && all[i].column == e.column; i++ {
			e.times += all[i].times
		}
		if e.times != 0 {
			kept = append(kept, e)
		}
	}
	return kept
}

// score is what speaks for a group having moved: its estimate times its information. whole takes readings as they are,
// also what is apart in them.
func (m *mixed) score(g *group, whole bool) float64 {
	s := 0.0
	for _, v := range g.sign {
		s += float64(v.by) * m.left[v.visit]
		if whole {
			s += float64(v.by) * m.apart[v.visit]
		}
	}
	return s / m.valve2
}

// together is the information that two groups have in common; of one with itself, its own.
func (m *mixed) together(a, b *group) float64 {
	s := a.shared(b)
	for _, e := range a.sum {
		s -= e.times * b.core[e.column]
	}
	return s / m.valve2
}

// shared is the product of the signs of the visits that two groups share.
func (a *group) shared(b *group) float64 {
	s, j := 0, 0
	for _, v := range a.sign {
		for j < len(b.sign) && b.sign[j].visit < v.visit {
			j++
		}
		if j < len(b.sign) && b.sign[j].visit == v.visit {
			s += v.by * b.sign[j].by
		}
	}
	return float64(s)
}

// beside is the product of what two groups add to the columns from one to before another.
func (a *group) beside(b *group, from, before int) (s float64) {
	j := 0
	for _, e := range a.sum {
		for j < len(b.sum) && b.sum[j].column < e.column {
			j++
		}
		if j < len(b.sum) && b.sum[j].column == e.column && e.column >= from && e.column < before {
			s += e.times * b.sum[j].times
		}
	}
	return s
}
