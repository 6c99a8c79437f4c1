package physics

import "math"

// heatJ is the specific heat of a mineral oil in J/(kg K) near 20 °C. Source: heat tables of mineral oils give 1.8 to
// 2.1 kJ/(kg K), from memory.
const heatJ = 2000

// Settling returns by how much the pressure of the oil shut in falls without any leak, in bar, once oil that was pumped
// up fast by so many bar has given its heat to the valve and the bench: oil that is compressed fast gets warmer by
// α T Δp / (ρ c), and by α times the modulus for each kelvin the pressure falls as it cools again.
//
// Source: thermodynamics of a fluid (the isentropic rise of temperature with pressure, and the rise of pressure with
// temperature at constant volume); α and ρ by ASTM D1250.
func (o Oil) Settling(fastBar, bulkGPa, atC float64) (bar float64, err error) {
	k, err := o.warming(fastBar, atC)
	if err != nil {
		return 0, err
	}
	alpha, err := expansion(o.density15)
	return alpha * bulkGPa * 1e4 * k, err
}

// warming returns by how many kelvin oil gets warmer that is pumped up fast by so many bar.
func (o Oil) warming(bar, atC float64) (kelvin float64, err error) {
	density, err := o.DensityKGM3(atC)
	if err != nil {
		return 0, err
	}
	alpha, err := expansion(o.density15)
	return alpha * (atC + zeroC) * math.Abs(bar) * 1e5 / (density * heatJ), err
}
