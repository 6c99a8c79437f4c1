package recurring

import (
	"math"
	"testing"
)

// balanced is a model of rounds of so many valves each, with their readings row by row; the first column is the mean, the others the
// rounds.
func balanced(valve2, round2 float64, rounds ...[]float64) *mixed {
	m := &mixed{valve2: valve2}
	mean := m.column(-1)
	for _, readings := range rounds {
		r := m.column(round2)
		for _, y := range readings {
			m.rows, m.y, m.apart = append(m.rows, nil), append(m.y, y), append(m.apart, 0)
			m.add(len(m.rows)-1, mean, 1)
			m.add(len(m.rows)-1, r, 1)
		}
	}
	if !m.solve() {
		panic("not solved")
	}
	return m
}

// In a balanced layout the mean is the mean of all, and what a round has in common is its distance from that, shrunk by nτ²/(nτ²+σ²).
// Source: Searle, Casella & McCulloch, Variance Components, 1992, section 3.4. Here n = 4, σ² = 9 and τ² = 4: 16/25.
func TestRoundsAreShrunk(t *testing.T) {
	m := balanced(9, 4, []float64{1, 3, 5, 7}, []float64{-3, 0, 1, -2}, []float64{10, 12, 8, 10})
	want := []float64{13.0 / 3, (4 - 13.0/3) * 0.64, (-1 - 13.0/3) * 0.64, (10 - 13.0/3) * 0.64}
	for i, is := range m.effects() {
		if math.Abs(is-want[i]) > 1e-4 {
			t.Errorf("effect %d is %.5f, want %.5f", i, is, want[i])
		}
	}
}

// The difference of some valves from the others of their round has the variance σ²(1/a + 1/b), whatever rounds differ by; that of one
// whole round from k others τ²(1 + 1/k) more. Source: any text on analysis of variance.
func TestInformationIsOfWhatIsCompared(t *testing.T) {
	m := balanced(9, 100, []float64{20, 20, 2, 1, 0, 1}, []float64{5, 6, 4, 5, 5, 5}, []float64{0, 1, 0, 0, -1, 0})
	within := m.group([]signed{{0, 1}, {1, 1}})
	if is, want := 1/m.together(&within, &within), 9*(1.0/2+1.0/4); math.Abs(is-want) > 0.1 {
		t.Errorf("variance %.3f of two valves against four, want %.3f", is, want)
	}
	if bar := m.score(&within, false) / m.together(&within, &within); math.Abs(bar-19) > 0.5 {
		t.Errorf("two valves are %.2f bar off, want 19", bar)
	}
	round := m.group([]signed{{0, 1}, {1, 1}, {2, 1}, {3, 1}, {4, 1}, {5, 1}})
	if is, want := 1/m.together(&round, &round), (9.0/6+100)*(1+1.0/2); math.Abs(is-want) > 0.1 {
		t.Errorf("variance %.2f of a round against two, want %.2f", is, want)
	}
	none := m.group([]signed{{12, 1}, {13, 1}})
	if both := m.together(&within, &none); math.Abs(both) > 1e-3 {
		t.Errorf("two valves of one round and two of another have %.4f in common, want none", both)
	}
}

// A row that names an effect twice has both: a valve that was set in the round in which it is tested keeps nothing of it.
func TestAnEffectAddsUp(t *testing.T) {
	m := &mixed{rows: make([][]entry, 1), valve2: 1}
	c := m.column(1)
	m.add(0, c, 1)
	m.add(0, c, -1)
	if len(m.rows[0]) != 1 || m.rows[0][0].times != 0 {
		t.Errorf("entries %+v, want one of 0", m.rows[0])
	}
}

// An extent that grew group by group, forward or back, has what the one group of all its visits has; groups overlap, as those of a gauge
// do that sets a valve in one round and tests it in the next.
func TestAnExtentIsTheGroupOfItsVisits(t *testing.T) {
	m := balanced(9, 100, []float64{20, 20, 2, 1, 0, 1}, []float64{5, 6, 4, 5, 5, 5}, []float64{0, 1, 0, 0, -1, 0})
	m.apart[3] = 2
	q := &pressing{model: m, fixed: 1, tested: make([][]int, 3)}
	signs := [][]signed{{{0, 1}, {1, 1}, {7, -1}}, {{7, 1}, {8, 1}}, {{1, -1}, {9, 1}, {12, 1}}, {{14, 1}}}
	f := q.family(signs)
	like := func(from, to int, is extent) {
		t.Helper()
		by := map[int]int{}
		for _, group := range signs[from : to+1] {
			for _, s := range group {
				by[s.visit] += s.by
			}
		}
		var all []signed
		for _, i := range sortedKeys(by) {
			all = append(all, signed{i, by[i]})
		}
		g := m.group(all)
		both := q.common(&g, &g)
		want := extent{m.score(&g, false), m.score(&g, true), both.info, both.n, 0, both.rounds}
		for _, s := range all {
			want.net += float64(s.by)
		}
		for name, x := range map[string][2]float64{"score": {is.score, want.score}, "whole": {is.whole, want.whole},
			"information": {is.info, want.info}, "signs": {is.n, want.n}, "net": {is.net, want.net}, "rounds": {is.rounds, want.rounds}} {
			if math.Abs(x[0]-x[1]) > 1e-9 {
				t.Errorf("groups %d to %d: %s %g, want %g", from, to, name, x[0], x[1])
			}
		}
	}
	for a := range signs {
		var x extent
		for b := a; b < len(signs); b++ {
			f.grow(&x, b, a)
			like(a, b, x)
		}
	}
	var x extent
	for a := len(signs) - 1; a >= 0; a-- {
		f.growBack(&x, a)
		like(a, len(signs)-1, x)
	}
}
