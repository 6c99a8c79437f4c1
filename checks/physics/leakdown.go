package physics

import (
	"fmt"
	"math"
)

// Guide is the narrow gap between needle and guide, through which the test pressure leaks down.
type Guide struct {
	DiameterMM   float64 // needle diameter in the guide
	LengthMM     float64 // length of the gap
	Eccentricity float64 // 0 needle central, 1 needle touching one side
}

// Hold is a leak-down test: the pressures between which it is timed, what is shut in, and with which oil.
type Hold struct {
	FromBar, ToBar float64 // gauge pressures, from the higher to the lower
	TrappedCM3     float64 // oil shut in between pump valve and needle, a property of the bench
	BulkGPa        float64 // bulk modulus of the oil, about 1.4 GPa for a test oil with no air in it
	DynamicMPaS    float64 // dynamic viscosity at the temperature of the test
}

// Clearance returns the radial clearance in µm that a leak-down time in s implies. It is the clearance of a guide that
// leaks only past the needle: a wet seat, a weeping joint or a leaking bench makes it too large. Time goes with the
// inverse cube of the clearance, so a time wrong by 10 % moves the clearance by 3 %.
//
// Source: derived from the laminar flow through a narrow annular gap, Q = π D c³ Δp / (12 μ L), Rabie, Fluid Power
// Engineering, equation 2.19; an eccentric needle leaks 1 + 1.5 ε² as much (the 2.5 of a needle against the wall is
// published; the form of the formula is from memory). The oil shut in expands by V·dp/K for what leaks, and the leakage
// is proportional to the pressure, so that the pressure decays as p = p₀·exp(-t/τ) with τ = 12 μ L V / (π D c³ K (1 +
// 1.5 ε²)), solved here for c. It takes the pressure behind the guide as nil and the oil as free of air.
func (g Guide) Clearance(timeS float64, h Hold) (float64, error) {
	k, err := g.decay(h)
	if err != nil {
		return 0, err
	}
	span, err := h.span()
	if err != nil {
		return 0, err
	}
	if err := positive(given{"leak-down time", timeS, "s"}); err != nil {
		return 0, err
	}
	return math.Cbrt(span/(timeS*k)) * 1e6, nil
}

// ClearanceChange returns the clearance of a guide over that of an earlier test, from the leak-down times of the two in
// s between the same pressures with the same oil on the same bench. Guide, bench and oil need not be known. Source: as
// [Guide.Clearance], the time goes with the inverse cube.
func ClearanceChange(beforeS, nowS float64) (ratio float64, err error) {
	if err := positive(given{"leak-down time before", beforeS, "s"}, given{"leak-down time", nowS, "s"}); err != nil {
		return 0, err
	}
	return math.Cbrt(beforeS / nowS), nil
}

// State is the test oil at one temperature, as far as a leak-down time depends on it.
type State struct {
	DynamicMPaS float64 // dynamic viscosity
	BulkGPa     float64 // bulk modulus
}

// Referred returns the time in s that a test timed with oil in one state would have taken with oil in another.
// Clearance, guide and bench need not be known: the time is proportional to the viscosity, which lets less oil pass,
// over the bulk modulus, which says how much must pass for a fall of pressure. Source: as [Guide.Clearance].
func Referred(timeS float64, done, wanted State) (float64, error) {
	if err := positive(given{"leak-down time", timeS, "s"}, given{"viscosity at the test", done.DynamicMPaS, "mPa·s"},
		given{"viscosity wanted", wanted.DynamicMPaS, "mPa·s"}, given{"bulk modulus at the test", done.BulkGPa, "GPa"},
		given{"bulk modulus wanted", wanted.BulkGPa, "GPa"}); err != nil {
		return 0, err
	}
	return timeS * wanted.DynamicMPaS / done.DynamicMPaS * done.BulkGPa / wanted.BulkGPa, nil
}

// Softened returns the bulk modulus of an oil in GPa that has become warmer by so many kelvin (below zero: colder), at
// a loss in per cent with each. Source: tables of hydraulic fluids give about 0.5 % a kelvin for mineral oils near 20
// °C, from memory.
func Softened(bulkGPa, percentPerK, kelvin float64) float64 {
	return bulkGPa * math.Pow(1-percentPerK/100, kelvin)
}

// OverSpan returns the time in s that the fall timed between the pressures of one hold would have taken between those
// of another, on the same bench with the same oil: the time is proportional to ln(from/to). Source: as
// [Guide.Clearance].
func OverSpan(timeS float64, done, wanted Hold) (float64, error) {
	if err := positive(given{"leak-down time", timeS, "s"}); err != nil {
		return 0, err
	}
	was, err := done.span()
	if err != nil {
		return 0, err
	}
	will, err := wanted.span()
	if err != nil {
		return 0, err
	}
	return timeS * will / was, nil
}

// WithoutBench returns the leak-down time in s of the valve alone, where the same hold on a blank plug shows the
// bench's own time. Leak rates add, so the inverse times subtract. It returns an error when the bench loses pressure as
// fast as the valve did: then nothing can be said of the valve.
func WithoutBench(timeS, blankS float64) (float64, error) {
	if err := positive(given{"leak-down time", timeS, "s"}, given{"time on the blank plug", blankS, "s"}); err != nil {
		return 0, err
	}
	if blankS <= timeS {
		return 0, fmt.Errorf("the blank plug held %v s and the valve %v s: the bench leaks as much, its valve or joint "+
			"must be put right first",
			blankS, timeS)
	}
	return timeS * blankS / (blankS - timeS), nil
}

// cube returns leakage in m³/s per Pa and per cubic metre of clearance.
func (g Guide) cube(dynamicMPaS float64) (float64, error) {
	if err := positive(given{"guide diameter", g.DiameterMM, "mm"}, given{"guide length", g.LengthMM, "mm"},
		given{"dynamic viscosity", dynamicMPaS, "mPa·s"}); err != nil {
		return 0, err
	}
	if err := within(given{"eccentricity", g.Eccentricity, "of the clearance"}, 0, 1); err != nil {
		return 0, err
	}
	e := g.Eccentricity
	return math.Pi * g.DiameterMM / (12 * dynamicMPaS * 1e-3 * g.LengthMM) * (1 + 1.5*e*e), nil
}

// decay returns 1/τ per cubic metre of clearance.
func (g Guide) decay(h Hold) (float64, error) {
	if err := positive(given{"trapped volume", h.TrappedCM3, "cm³"}, given{"bulk modulus", h.BulkGPa, "GPa"}); err != nil {
		return 0, err
	}
	k, err := g.cube(h.DynamicMPaS)
	if err != nil {
		return 0, err
	}
	return k * h.BulkGPa * 1e9 / (h.TrappedCM3 * 1e-6), nil
}

// span returns ln(from/to).
func (h Hold) span() (float64, error) {
	if err := positive(given{"pressure at the start", h.FromBar, "bar"},
		given{"pressure at the end", h.ToBar, "bar"}); err != nil {
		return 0, err
	}
	if h.FromBar <= h.ToBar {
		return 0, fmt.Errorf("leak-down from %v to %v bar: the pressure must fall, are they exchanged?", h.FromBar, h.ToBar)
	}
	return math.Log(h.FromBar / h.ToBar), nil
}
