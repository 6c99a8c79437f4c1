package logbook

import "needlebook/logbook/measure"

// Limits states limits and settings for one type of valve, by revision. Numbers come from the owner's copy of the
// maker's manual: none is known to the program.
type Limits struct {
	File
	Name      string     // file name without .md: what book.md refers to
	Type      Text       `key:"type" doc:"type of engine or valve"`
	Revisions []Revision `key:"revisions" same:"from" doc:"revisions, the oldest first; each states only what changed"`
	Remarks   string
	Text      string     // the file, as it was read
	laid      []Revision // from each revision's day on: it and those before it laid over one another, the oldest first
}

// Revision is what was in force from one date on. A later revision states only what changed; [Limits.On] lays them over
// one another.
type Revision struct {
	Block
	From        Date          `key:"from" doc:"first day in force"`
	Source      Text          `key:"source" doc:"document, section and revision the limits were copied from"`
	Rule        Word          `key:"rule" words:"simple|guarded" doc:"decision rule: the reading itself, or the reading with its uncertainty"`
	Probability Amount        `key:"conformance" unit:"%" doc:"probability of conformance asked for by the guarded rule; where it is not stated, the guard band is the whole expanded uncertainty"`
	Opening     OpeningLimits `key:"opening_pressure" doc:"setting by the state of the parts, and what to think of it as found"`
	Closing     Band          `key:"closing_share" unit:"%" doc:"closing pressure as a share of opening pressure"`
	Seat        SeatLimits    `key:"seat" doc:"seat test"`
	Cooling     CoolingLimits `key:"cooling" doc:"test of the cooling space of a cooled nozzle; empty where it is not cooled"`
	LeakDown    LeakLimits    `key:"leak_down" doc:"leak-down test"`
	Lift        LiftLimits    `key:"lift" doc:"needle lift of the nozzle alone"`
	Effective   LiftLimits    `key:"effective_lift" doc:"lift with the wear of the holder's face"`
	HolderWear  WearLimits    `key:"holder_wear" doc:"wear of the holder's face"`
	SeatDia     SeatDiaLimits `key:"seat_diameter" doc:"uppermost contact on the needle"`
	Holes       HoleLimits    `key:"holes" doc:"spray holes"`
	Markings    Texts         `key:"markings" doc:"nozzle markings permitted on this engine"`
	NozzleLife  LifeLimits    `key:"nozzle_life" doc:"running hours of a nozzle"`
	Interval    Amount        `key:"interval" unit:"h" doc:"running hours between overhauls"`
	IntervalMax Amount        `key:"interval_max" unit:"h" doc:"longest interval that maker or class allow, where they state one"`
	NozzleNut   TorqueLimits  `key:"nozzle_nut" doc:"nozzle nut"`
	ClampNuts   TorqueLimits  `key:"clamp_nuts" doc:"clamp nuts"`
	EndCap      TorqueLimits  `key:"end_cap" doc:"end cap"`
	PipeNut     TorqueLimits  `key:"pipe_nut" doc:"nut of the high-pressure pipe"`
	Protrusion  Band          `key:"protrusion" unit:"mm" doc:"nozzle out of the head"`
	RingHeight  Amount        `key:"ring_height" unit:"mm" doc:"thickness of one sealing ring"`
	Spring      SpringLimits  `key:"spring" doc:"spring"`
	Laps        Number        `key:"laps" count:"yes" doc:"most laps of one seat"`
	Grind       GrindLimits   `key:"grind" doc:"regrinding, where the maker allows it"`
	Exhaust     ExhaustLimits `key:"exhaust_deviation" doc:"exhaust temperature against the cylinder's own reference"`
	Bath        Band          `key:"bath" unit:"°C" doc:"oil bath for a stuck needle"`
	Oil         Band          `key:"test_oil" unit:"°C" doc:"temperature of the test oil"`
	Geometry    Geometry      `key:"geometry" doc:"dimensions that the physics needs"`
}

// OpeningLimits are the settings by state, and the as-found thresholds.
type OpeningLimits struct {
	Block
	Used     Band          `key:"used" unit:"bar" doc:"setting of a used valve"`
	New      Band          `key:"new" unit:"bar" doc:"setting when nozzle, holder or spring is new"`
	Reground Band          `key:"reground" unit:"bar" doc:"setting of a reground nozzle, where it differs"`
	AsFound  AsFoundLimits `key:"as_found" doc:"thresholds as found"`
}

// AsFoundLimits are thresholds of the as-found opening pressure.
type AsFoundLimits struct {
	Block
	Look  Amount `key:"look" unit:"bar" doc:"below it: take note"`
	Cause Amount `key:"cause" unit:"bar" doc:"below it: find the cause before resetting"`
}

// CoolingLimits say how the cooling space of a cooled nozzle is tested.
type CoolingLimits struct {
	Block
	At  Amount `key:"at" unit:"bar" doc:"least pressure held"`
	For Amount `key:"for" unit:"min" doc:"how long it is watched"`
}

// SeatLimits say how the seat is tested and what is allowed.
type SeatLimits struct {
	Block
	At    Relation `key:"at" unit:"bar" doc:"pressure held"`
	For   Amount   `key:"for" unit:"s" doc:"how long it is watched"`
	Allow Word     `key:"allow" words:"dry|damp" doc:"worst state allowed"`
}

// LeakLimits say how leak-down is tested and what is allowed. The times hold for the stated oil temperature.
type LeakLimits struct {
	Block
	From    Relation `key:"from" unit:"bar" doc:"start of the watch"`
	To      Relation `key:"to" unit:"bar" doc:"end of the watch, where it is stated instead of the fall"`
	Fall    Amount   `key:"fall" unit:"bar" doc:"fall of pressure that is timed"`
	Oil     Amount   `key:"oil" unit:"°C" doc:"oil temperature the times hold for"`
	Bench   Serial   `key:"bench" doc:"bench the times hold for" as:"instrument"`
	AsLeft  Band     `key:"as_left" unit:"s" doc:"time as left"`
	New     Band     `key:"new" unit:"s" doc:"time of a new nozzle as left, where it differs"`
	AsFound Band     `key:"as_found" unit:"s" doc:"time as found"`
}

// LiftLimits are limits of a lift.
type LiftLimits struct {
	Block
	New    Band   `key:"new" unit:"mm" doc:"band of a new nozzle"`
	Max    Amount `key:"max" unit:"mm" doc:"wear limit"`
	Safety Word   `key:"safety" words:"yes|no" doc:"a safety limit: uncertainty counts against the part"`
}

// WearLimits are limits of a wear.
type WearLimits struct {
	Block
	Max    Amount `key:"max" unit:"mm" doc:"most allowed"`
	Safety Word   `key:"safety" words:"yes|no" doc:"a safety limit: uncertainty counts against the part"`
}

// SeatDiaLimits are limits of the seat diameter.
type SeatDiaLimits struct {
	Block
	Nominal   Amount `key:"nominal" unit:"mm" doc:"diameter of a new seat"`
	Allowance Amount `key:"allowance" unit:"mm" doc:"most above nominal"`
	Max       Amount `key:"max" unit:"mm" doc:"largest diameter, where it is stated instead of the allowance"`
	Safety    Word   `key:"safety" words:"yes|no" doc:"a safety limit: uncertainty counts against the part"`
}

// Largest is the largest diameter allowed: stated, or the nominal with its allowance. It has no valid quantity where
// neither is stated, or the allowance is asked about.
func (l SeatDiaLimits) Largest() Amount {
	most := l.Allowance
	switch {
	case l.Max.Present() || !most.Present():
		return l.Max
	case most.Quantity.Valid() && l.Nominal.Quantity.Valid():
		most.Quantity = l.Nominal.Plus(most.Quantity)
	default:
		most.Quantity = measure.Quantity{}
	}
	return most
}

// HoleLimits are the spray holes of the nozzle.
type HoleLimits struct {
	Block
	Count Number `key:"count" count:"yes" doc:"number of spray holes"`
	Size  Amount `key:"size" unit:"mm" doc:"nominal diameter"`
	NoGo  Amount `key:"no_go" unit:"mm" doc:"wire that must not enter"`
}

// LifeLimits are the running hours of a nozzle.
type LifeLimits struct {
	Block
	Renew Amount `key:"renew" unit:"h" doc:"renew at the first overhaul after these hours"`
	Never Amount `key:"never" unit:"h" doc:"never run beyond these hours"`
}

// TorqueLimits are the torque of one thread.
type TorqueLimits struct {
	Block
	Torque    Band   `key:"torque" unit:"N·m" lone:"value" doc:"final torque"`
	Tolerance Amount `key:"tolerance" unit:"%" doc:"tolerance of the torque, where it is stated as a share"`
	Steps     Number `key:"steps" count:"yes" doc:"number of steps"`
	Thread    Amount `key:"thread" unit:"mm" doc:"nominal diameter of the thread, for the pull that a torque puts on it"`
	NutFactor Number `key:"nut_factor" doc:"torque over pull and diameter with that lubricant, as its maker states it"`
	Lubricant Text   `key:"lubricant" doc:"lubricant the torque holds for"`
}

// SpringLimits are the spring's.
type SpringLimits struct {
	Block
	Length Amount `key:"length" unit:"mm" doc:"free length when new"`
	Min    Amount `key:"min" unit:"mm" doc:"least free length"`
	Rate   Amount `key:"rate" unit:"N/mm" doc:"spring rate"`
	Wire   Amount `key:"wire" unit:"mm" doc:"diameter of the wire; with coil, turns and shear_modulus it gives the rate where none is stated"`
	Coil   Amount `key:"coil" unit:"mm" doc:"mean diameter of the coil"`
	Turns  Number `key:"turns" doc:"coils that move"`
	Shear  Amount `key:"shear_modulus" unit:"MPa" doc:"shear modulus of the wire"`
}

// GrindLimits say what may be ground off.
type GrindLimits struct {
	Block
	Allowed Word   `key:"allowed" words:"yes|no" doc:"whether the maker allows regrinding"`
	Max     Amount `key:"max" unit:"mm" doc:"most that may be ground off in all"`
	Times   Number `key:"times" count:"yes" doc:"most regrinds of one nozzle"`
}

// ExhaustLimits are thresholds of the exhaust deviation.
type ExhaustLimits struct {
	Block
	Look Amount `key:"look" unit:"K" doc:"above it: look"`
	Act  Amount `key:"act" unit:"K" doc:"above it: act"`
	Load Amount `key:"load" unit:"%" doc:"least load at which it counts"`
}

// Geometry is what the physics needs of the valve.
type Geometry struct {
	Block
	Guide Amount `key:"guide" unit:"mm" doc:"diameter of the needle guide"`
	Seat  Amount `key:"seat" unit:"mm" doc:"diameter of the seat contact when new"`
	Land  Amount `key:"land" unit:"mm" doc:"length of the guide"`
}
