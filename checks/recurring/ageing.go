package recurring

import "math"

// ageing is the chance of each visit to fail by the hours that it ran, over that of the mean visit, as this ship's own
// records show it: a position whose valves always run longer has no other fault than that. Chances grow with a power of
// the hours, which is none where the ship shows none; it is estimated by logistic regression with a normal prior of
// deviation 1, as a constant chance per hour makes a power of 1 (ridge regression; le Cessie & van Houwelingen 1992,
// Appl. Stat. 41, 191). What was pulled for its signs, or ran for hours that are not known, counts as the mean.
func ageing(visits []Visit, judged []int) []float64 {
	worn := make([]float64, len(visits))
	for _, i := range judged {
		worn[i] = 1
	}
	var at []int
	var logs []float64
	for _, i := range judged {
		if v := &visits[i]; v.Hours > 0 && !v.Pulled {
			at, logs = append(at, i), append(logs, math.Log(v.Hours))
		}
	}
	if len(at) == 0 {
		return worn
	}
	center := mean(logs)
	for j := range logs {
		logs[j] -= center
	}
	power := powerOf(visits, at, logs)
	if power <= 0 { // that valves fail less the longer they run is chance, or their first hours
		return worn
	}
	sum := 0.0
	for j, i := range at {
		worn[i] = min(wornMost, max(1/wornMost, math.Exp(power*logs[j])))
		sum += worn[i]
	}
	for _, i := range at {
		worn[i] *= float64(len(at)) / sum
	}
	return worn
}

// wornMost is the most that a visit counts by its hours.
const wornMost = 4.0

// powerOf is the power of the hours that chances of failing grow with.
func powerOf(visits []Visit, at []int, logs []float64) float64 {
	level, power := 0.0, 0.0
	for range 25 {
		var s0, s1, i00, i01, i11 float64
		for j, i := range at {
			p := 1 / (1 + math.Exp(-level-power*logs[j]))
			d := -p
			if visits[i].Failed {
				d++
			}
			v := p * (1 - p)
			s0, s1 = s0+d, s1+d*logs[j]
			i00, i01, i11 = i00+v, i01+v*logs[j], i11+v*logs[j]*logs[j]
		}
		s0, s1, i00, i11 = s0-level/100, s1-power, i00+0.01, i11+1
		det := i00*i11 - i01*i01
		a, b := (i11*s0-i01*s1)/det, (i00*s1-i01*s0)/det
		level, power = level+max(-2, min(2, a)), power+max(-2, min(2, b))
		if math.Abs(a)+math.Abs(b) < 1e-9 {
			break
		}
	}
	return power
}
