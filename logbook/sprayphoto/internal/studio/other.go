package studio

import (
	"math"
	"math/rand/v2"
)

// Kinds are how many kinds of pictures there are that are no spray paper.
const Kinds = 20

// Other is a picture that is no spray paper.
func Other(kind int, seed uint64) []byte {
	r := rand.New(rand.NewPCG(seed, uint64(kind)+900)) //nolint:gosec // a simulation
	s, p := blank(), Shot{Askew: 30, Dim: 0.4, Roll: 20, Wide: 1000, Quality: 60 + r.IntN(35)}
	circle := func(n int, radius, size, dark float64) {
		for h := range n {
			a := float64(h) * 2 * math.Pi / float64(n)
			s.ring(105+radius*math.Sin(a), 147-radius*math.Cos(a), size, size, dark)
		}
	}
	switch kind % Kinds {
	case 0: // an empty sheet
	case 1: // a letter
		s.text(r, 20, 30, 170, 3.5, 40)
	case 2: // a table
		for i := range 12 {
			s.box(20, 30+float64(i)*20, 170, 0.5, 2)
			s.box(20+float64(i)*15.4, 30, 0.5, 220, 2)
		}
		s.text(r, 24, 34, 150, 3, 30)
	case 3: // a chessboard
		for i := range 64 {
			if (i%8+i/8)%2 == 0 {
				s.box(15+float64(i%8)*22, 50+float64(i/8)*22, 22, 22, 2.2)
			}
		}
	case 4: // a square code with three corner squares
		for _, m := range [3][2]float64{{20, 60}, {140, 60}, {20, 180}} {
			s.box(m[0], m[1], 49, 49, 2.5)
			s.box(m[0]+7, m[1]+7, 35, 35, -2.5)
			s.box(m[0]+14, m[1]+14, 21, 21, 2.5)
		}
		for range 300 {
			s.box(20+7*float64(r.IntN(24)), 60+7*float64(r.IntN(24)), 7, 7, 1)
		}
	case 5: // another form with four full squares, and a ring of dots
		for _, m := range [4][2]float64{{10, 10}, {190, 10}, {10, 275}, {190, 275}} {
			s.box(m[0], m[1], 10, 10, 2.5)
		}
		circle(9, 45, 6, 1.2)
	case 6: // a bolted flange
		s.ring(105, 147, 95, 95, 0.5)
		s.ring(105, 147, 35, 35, 1.5)
		circle(8, 70, 8, 1.5)
	case 7: // a clock
		s.ring(105, 147, 95, 4, 2)
		circle(12, 80, 4, 2)
		s.box(104, 80, 2, 68, 2)
	case 8: // a nozzle from below
		s.ring(105, 147, 60, 60, 0.9)
		circle(9, 22, 2.5, 1.6)
	case 9: // windows
		for i := range 4 {
			s.box(15+float64(i%2)*95, 30+float64(i/2)*125, 85, 115, 1.6)
		}
	case 10: // tiles
		for i := range 7 {
			s.box(0, float64(i)*45, wide, 3, 1)
			s.box(float64(i)*35, 0, 3, high, 1)
		}
	case 11: // blots
		for range 30 {
			s.ringOil(wide*r.Float64(), high*r.Float64(), 3+12*r.Float64(), 1.5)
		}
	case 12: // a spray on a sheet without marks
		q := Shot{Holes: 9}
		s.spray(r, &q)
	case 13: // the target with one corner torn off
		s = printed(r, 15&^(1<<r.IntN(4)))
		q := Shot{Holes: 9}
		s.spray(r, &q)
	case 14: // the target, nothing sprayed
		s = printed(r, 15)
	case 15: // night
		s.box(0, 0, wide, high, 4)
	case 16: // a die
		for _, m := range [5][2]float64{{50, 90}, {160, 90}, {105, 147}, {50, 205}, {160, 205}} {
			s.ring(m[0], m[1], 14, 14, 2.2)
		}
	case 17: // a keyboard
		for i := range 60 {
			s.box(12+float64(i%10)*19, 80+float64(i/10)*19, 15, 15, 1.8)
		}
	case 18: // cups
		for range 4 {
			s.ring(40+130*r.Float64(), 40+200*r.Float64(), 36, 3, 0.7)
		}
	case 19: // a thumb over a mark
		q := Shot{Holes: 9}
		s = printed(r, 15)
		s.spray(r, &q)
		p.Covered = true
	}
	return s.photograph(r, &p)
}
