package physics

import (
	"errors"
	"math"
)

// DensityKGM3 returns the density in kg/m³ at a temperature in °C, from -20 to 150 °C.
//
// Source: ASTM D1250-80 table 54B (products, base 15 °C): density at 15 °C times exp(-αΔt(1+0.8αΔt)). The coefficients
// circulate with slips; these are the ones on which independent published codes agree, and a printed page of the table
// was not at hand.
func (o Oil) DensityKGM3(atC float64) (float64, error) {
	if o.density15 == 0 {
		return 0, errors.New("the oil has no density: none was given")
	}
	if err := within(given{"oil temperature", atC, "°C"}, -20, 150); err != nil {
		return 0, err
	}
	alpha, err := expansion(o.density15)
	if err != nil {
		return 0, err
	}
	return o.density15 * volumeFactor(alpha, atC), nil
}

// volumeFactor is the volume at 15 °C over the volume at temperature t.
func volumeFactor(alpha, atC float64) float64 {
	x := alpha * (atC - 15)
	return math.Exp(-x * (1 + 0.8*x))
}

// expansion returns the coefficient α at 15 °C, per K, of table 54B for a density at 15 °C in kg/m³. The edges between
// the product groups are those of the 1980 revision as used here: gasolines to 770, transition below 788, jet fuels
// below 839, then fuel oils. Later printings put the edges up to 1 kg/m³ elsewhere; only there do the results differ.
func expansion(density15 float64) (float64, error) {
	if err := within(given{"density at 15 °C", density15, "kg/m³"}, 653, 1075); err != nil {
		return 0, err
	}
	r := density15
	switch {
	case r <= 770:
		return 346.4228/(r*r) + 0.4388/r, nil
	case r < 788:
		return 2680.3206/(r*r) - 0.00336312, nil
	case r < 839:
		return 594.5418 / (r * r), nil
	default:
		return 186.9696/(r*r) + 0.4862/r, nil
	}
}
