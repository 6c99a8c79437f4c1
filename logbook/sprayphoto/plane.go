package sprayphoto

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// plane takes places on the paper in mm to places in the picture: a homography. Source: Hartley and Zisserman, Multiple
// View Geometry, 4.1, the direct linear transformation with the last entry one.
type plane [9]float64

func planeThrough(from, to [4][2]float64) (h plane, ok bool) {
	a, b := mat.NewDense(8, 8, nil), mat.NewVecDense(8, nil)
	for i := range from {
		x, y, u, v := from[i][0], from[i][1], to[i][0], to[i][1]
		a.SetRow(2*i, []float64{x, y, 1, 0, 0, 0, -u * x, -u * y})
		a.SetRow(2*i+1, []float64{0, 0, 0, x, y, 1, -v * x, -v * y})
		b.SetVec(2*i, u)
		b.SetVec(2*i+1, v)
	}
	var s mat.VecDense
	if err := s.SolveVec(a, b); err != nil {
		return h, false
	}
	for i := range 8 {
		h[i] = s.AtVec(i)
	}
	h[8] = 1
	return h, true
}

// to is where a place of the paper is in the picture.
func (h *plane) to(x, y float64) (u, v float64) {
	w := h[6]*x + h[7]*y + h[8]
	return (h[0]*x + h[1]*y + h[2]) / w, (h[3]*x + h[4]*y + h[5]) / w
}

// areaOf is the area in the picture of a square of the paper.
func (h *plane) areaOf(centre [2]float64, side float64) float64 {
	var x, y [4]float64
	for i, c := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		x[i], y[i] = h.to(centre[0]+c[0]*side/2, centre[1]+c[1]*side/2)
	}
	sum := 0.0
	for i := range x {
		k := (i + 1) % 4
		sum += x[i]*y[k] - x[k]*y[i]
	}
	return math.Abs(sum) / 2
}

// tilt is how unequal the picture shows the ends of the paper: the ratio of the scales at its corners.
func (h *plane) tilt() float64 {
	low, high := math.Inf(1), 0.0
	for _, m := range Marks {
		s := math.Sqrt(h.areaOf(m, 1))
		low, high = min(low, s), max(high, s)
	}
	return high / low
}
