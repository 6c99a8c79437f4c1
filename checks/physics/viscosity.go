package physics

import (
	"errors"
	"fmt"
	"math"
)

// zeroC is 0 °C in kelvin. Some published worked examples use 273, which moves the constants in the third decimal and
// the viscosity by 0.0001 mm²/s.
const zeroC = 273.15

// thinnest is the lowest viscosity, in mm²/s, for which ASTM D341 gives its equations.
const thinnest = 0.21

// Viscosity is a kinematic viscosity from an oil's data sheet.
type Viscosity struct {
	AtC  float64 // oil temperature, °C
	MM2S float64 // kinematic viscosity, mm²/s (the same number as centistokes)
}

// Oil gives viscosity and density of a test oil at any bench temperature. Make one with [NewOil].
type Oil struct {
	walther
	density15 float64 // kg/m³ at 15 °C
}

// walther holds the constants of log log Z = a - b log T, logarithms to base 10, T in kelvin.
type walther struct{ a, b float64 }

// NewOil describes an oil by two viscosities at temperatures at least 10 °C apart and its density at 15 °C in kg/m³, as
// data sheets give them. It returns an error when a number is outside what ASTM D341 or D1250 covers, or when the
// hotter oil is not the thinner one.
func NewOil(one, other Viscosity, density15KGM3 float64) (Oil, error) {
	cold, hot := one, other
	if cold.AtC > hot.AtC {
		cold, hot = hot, cold
	}
	for _, v := range []Viscosity{cold, hot} {
		if err := within(given{"oil temperature", v.AtC, "°C"}, -70, 370); err != nil {
			return Oil{}, err
		}
		if err := within(given{"viscosity", v.MM2S, "mm²/s"}, thinnest, 2e7); err != nil {
			return Oil{}, err
		}
	}
	switch {
	case hot.AtC-cold.AtC < 10:
		return Oil{}, fmt.Errorf("viscosities at %v and %v °C: two temperatures at least 10 °C apart are needed", cold.AtC,
			hot.AtC)
	case cold.MM2S <= hot.MM2S:
		return Oil{}, fmt.Errorf("viscosity is %v mm²/s at %v °C and %v mm²/s at %v °C: oil gets thinner when hot, are "+
			"they exchanged?",
			cold.MM2S, cold.AtC, hot.MM2S, hot.AtC)
	}
	if _, err := expansion(density15KGM3); err != nil {
		return Oil{}, err
	}
	line := lineThrough(zOf(cold.MM2S), cold.AtC+zeroC, zOf(hot.MM2S), hot.AtC+zeroC)
	return Oil{walther: line, density15: density15KGM3}, nil
}

// KinematicMM2S returns the kinematic viscosity in mm²/s at a temperature in °C, by ASTM D341 with its exponential
// terms for oils thinner than 2 mm²/s. The standard's inverse is a fitted polynomial: the viscosities that made the oil
// come back within 0.0002 mm²/s.
func (o Oil) KinematicMM2S(atC float64) (float64, error) {
	if o.b == 0 {
		return 0, errors.New("the oil has no viscosities: none were given")
	}
	if err := within(given{"oil temperature", atC, "°C"}, -70, 370); err != nil {
		return 0, err
	}
	z := o.zAt(atC + zeroC)
	v := viscosityOf(z)
	if !(v >= thinnest) || math.IsInf(v, 1) {
		return 0, fmt.Errorf("viscosity at %v °C is outside what ASTM D341 covers (from %v mm²/s)", atC, thinnest)
	}
	return v, nil
}

// DynamicMPaS returns the dynamic viscosity in mPa·s at a temperature in °C: kinematic viscosity times density.
func (o Oil) DynamicMPaS(atC float64) (float64, error) {
	kinematic, err := o.KinematicMM2S(atC)
	if err != nil {
		return 0, err
	}
	density, err := o.DensityKGM3(atC)
	if err != nil {
		return 0, err
	}
	return kinematic * density / 1000, nil
}

// lineThrough returns the line through two points of Z and kelvin.
func lineThrough(z1, kelvin1, z2, kelvin2 float64) walther {
	y1, y2 := math.Log10(math.Log10(z1)), math.Log10(math.Log10(z2))
	x1, x2 := math.Log10(kelvin1), math.Log10(kelvin2)
	b := (y1 - y2) / (x2 - x1)
	return walther{a: y1 + b*x1, b: b}
}

func (w walther) zAt(kelvin float64) float64 {
	return math.Pow(10, math.Pow(10, w.a-w.b*math.Log10(kelvin)))
}

// zOf is Z of ASTM D341 for a viscosity in mm²/s. Above 2 mm²/s the exponential term fades and Z is the viscosity plus
// 0.7.
func zOf(v float64) float64 {
	return v + 0.7 + math.Exp(-1.47-1.84*v-0.51*v*v)
}

// viscosityOf is the inverse of zOf as ASTM D341 prints it.
func viscosityOf(z float64) float64 {
	s := z - 0.7
	return s - math.Exp(-0.7487-3.295*s+0.6119*s*s-0.3193*s*s*s)
}
