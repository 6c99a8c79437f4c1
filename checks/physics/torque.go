package physics

import "fmt"

// Span is the lowest and the highest a quantity may truly be.
type Span struct{ Low, High float64 }

// TrueTorque returns, in N·m, between which torques a nut has truly been pulled when the wrench showed torqueNM and its class is in
// percent of the reading. ISO 6789 refers the deviation to the true torque; on the reading, as here, the ends differ by less than
// 0.2 % of the torque at a class of 4 %.
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
	NutFactor  float64 // K: about 0.2 dry, 0.15 lubricated; it changes with the lubricant more than with anything the wrench does
}

// Preload returns the pull in kN that a torque in N·m puts on the thread.
//
// Source: T = K·F·d, the short form found in every bolt table. It is good to a third at best: the nut factor is an average.
func (t Thread) Preload(torqueNM float64) (float64, error) {
	if err := t.check(); err != nil {
		return 0, err
	}
	if err := positive(given{"torque", torqueNM, "N·m"}); err != nil {
		return 0, err
	}
	return torqueNM / (t.NutFactor * t.DiameterMM), nil
}

// Torque returns the torque in N·m for a pull in kN: the inverse of [Thread.Preload].
func (t Thread) Torque(preloadKN float64) (float64, error) {
	if err := t.check(); err != nil {
		return 0, err
	}
	if err := positive(given{"preload", preloadKN, "kN"}); err != nil {
		return 0, err
	}
	return preloadKN * t.NutFactor * t.DiameterMM, nil
}

// PreloadSpan returns between which pulls, in kN, a torque may have landed: the wrench's class in percent at both ends, and a nut
// factor somewhere between that of the thread and otherFactor, such as dry and greased.
func (t Thread) PreloadSpan(torqueNM, classPercent, otherFactor float64) (Span, error) {
	torque, err := TrueTorque(torqueNM, classPercent)
	if err != nil {
		return Span{}, err
	}
	other := Thread{t.DiameterMM, otherFactor}
	for _, x := range []Thread{t, other} {
		if err := x.check(); err != nil {
			return Span{}, err
		}
	}
	d, low, high := t.DiameterMM, min(t.NutFactor, otherFactor), max(t.NutFactor, otherFactor)
	return Span{torque.Low / (high * d), torque.High / (low * d)}, nil
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
