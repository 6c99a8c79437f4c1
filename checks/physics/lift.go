package physics

import (
	"fmt"
	"math"
)

// EffectiveLift returns, in mm, how far the needle really lifts: the nozzle's own lift plus the wear of the holder's
// face it strikes against. The sum is rounded to 0.1 µm, so that 0.91 mm and 0.03 mm give exactly the 0.94 mm that is
// read from a file.
//
// Source: geometry of the stop; the worn face lies deeper by the wear.
func EffectiveLift(liftMM, holderWearMM float64) (float64, error) {
	if err := positive(given{"lift", liftMM, "mm"}); err != nil {
		return 0, err
	}
	if err := within(given{"holder wear", holderWearMM, "mm"}, 0, liftMM); err != nil {
		return 0, err
	}
	return tenthUM(liftMM + holderWearMM), nil
}

// Regrind says how much must come off which face, in mm, to bring an effective lift down, and what lift remains.
// Whether so much may come off, and whether grinding is allowed at all, is in the maker's manual: case depth and dowel
// holes set the end.
type Regrind struct {
	HolderFace float64 // off the holder's face, which takes out its wear
	NozzleFace float64 // off the nozzle body's sealing face, which shortens the nozzle's lift by as much
	NozzleOnly float64 // off the nozzle body's face when the holder is left as it is
	Lift       float64 // effective lift after HolderFace and NozzleFace have come off
}

// RegrindTo returns the grinding that brings an effective lift down to target mm. The holder's face is ground flat
// first, since its wear would imprint the next nozzle too; what is still missing comes off the nozzle body. A lift
// already at or under the target needs nothing off the nozzle, and facing the holder then leaves the nozzle's own lift.
//
// Source: geometry of the stop, as [EffectiveStroke].
func RegrindTo(targetMM, liftMM, holderWearMM float64) (Regrind, error) {
	if err := positive(given{"lift to restore", targetMM, "mm"}); err != nil {
		return Regrind{}, err
	}
	effective, err := EffectiveLift(liftMM, holderWearMM)
	if err != nil {
		return Regrind{}, fmt.Errorf("cannot work out the grinding: %w", err)
	}
	off := math.Max(0, tenthUM(liftMM-targetMM))
	return Regrind{
		HolderFace: holderWearMM,
		NozzleFace: off,
		NozzleOnly: math.Max(0, tenthUM(effective-targetMM)),
		Lift:       tenthUM(liftMM - off),
	}, nil
}

// tenthUM rounds mm to 0.1 µm, ten times finer than any gauge used on a valve.
func tenthUM(mm float64) float64 { return math.Round(mm*1e4) / 1e4 }
