package physics

import "fmt"

// Span is the lowest and the highest a quantity may truly be.
type Span struct{ Low, High float64 }

// TrueTorque returns, in N·m, between which torques a nut has truly been pulled when the wrench showed torqueNM and its
// class is in percent of the reading. ISO 6789 refers the deviation to the true torque; on the reading, as here, the
// ends differ by less than 0.2 % of the torque at a class of 4 %.
func TrueTorque(torqueNM, classPercent float64) (Span, error) {
	if err := positive(given{"torque", torqueNM, "N·m"}); err != nil {
		return Span{}, err
	}
	if err := within(given{"class of the wrench", classPercent, "%"}, 0, 50); err != nil {
		return Span{}, err
	}
	d := torqueNM * classPercent / 100
	return Span{torqueNM - d, torqueNM + d}, nil
}

// Thread is what turns a torque into a pull.
type Thread struct {
	DiameterMM float64 // nominal diameter
	// K: about 0.2 dry, 0.15 lubricated; it changes with the lubricant more than with anything the wrench does
	NutFactor float64
}

// Preload returns the pull in kN that a torque in N·m puts on the thread.
//
// Source: T = K·F·d, the short form found in every bolt table. It is good to a third at best: the nut factor is an
// average.
func (t Thread) Preload(torqueNM float64) (float64, error) {
	if err := t.check(); err != nil {
		return 0, err
	}
	if err := positive(given{"torque", torqueNM, "N·m"}); err != nil {
		return 0, err
	}
	return torqueNM / (t.NutFactor * t.DiameterMM), nil
}

func (t Thread) check() error {
	if err := positive(given{"thread diameter", t.DiameterMM, "mm"}, given{"nut factor", t.NutFactor, ""}); err != nil {
		return err
	}
	if t.NutFactor > 1 {
		return fmt.Errorf("nut factor %v: between 0.1 and 0.4 is usual, is it a percentage?", t.NutFactor)
	}
	return nil
}
