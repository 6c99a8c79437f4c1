// Package refusal is the one vocabulary in which readers of evidence, pressure logs and spray papers, say why they gave
// no value, or believe one less, each with what to do next time. The verb, the pages and the checks say the same words.
package refusal

// Reason is why something was not read.
type Reason string

// The reasons, each with its words in the table below.
const (
	NoHeading     Reason = "no heading"
	NoSignal      Reason = "signal not known"
	NoUnit        Reason = "no unit"
	TooShort      Reason = "too short"
	NotReadable   Reason = "not readable"
	TimeBackwards Reason = "time backwards"
	ZeroOff       Reason = "zero off"
	ZeroNotSeen   Reason = "zero not seen"
	ZeroDrift     Reason = "zero drift"
	Clipped       Reason = "clipped"
	BeyondSensor  Reason = "beyond the sensor"
	SlowSampling  Reason = "sampling too slow"
	FastRamp      Reason = "ramp too fast"
	FewOpenings   Reason = "opened too few times"
	NoOpening     Reason = "no opening"
	NoHold        Reason = "no hold"
	NoSeat        Reason = "seat test not held"
	HoldCut       Reason = "hold ended early"
	HoldDisturbed Reason = "hold disturbed"
	Gap           Reason = "gap"
	Air           Reason = "air"
	Uncertain     Reason = "too uncertain"

	NoMarks     Reason = "no corner marks"
	Blurred     Reason = "blurred"
	TooPale     Reason = "too pale"
	TooDark     Reason = "too dark"
	TwoStrokes  Reason = "two strokes"
	Shadow      Reason = "hard shadow"
	NoPicture   Reason = "no picture"
	TooTilted   Reason = "too tilted"
	NoSprays    Reason = "no sprays"
	HolesNotSet Reason = "holes not stated"
)

// words are what a reason says, and what to do next time.
var words = map[Reason][2]string{
	NoHeading:     {"no line names a column of time and one of pressure", "export the log with its headings and units"},
	NoSignal:      {"the sensor's two points are missing", "enter the sensor's signal, such as 4 mA = 0 bar"},
	NoUnit:        {"the pressure column is without a unit", "name the unit in the heading, such as pressure [bar]"},
	TooShort:      {"there are too few samples", "let the logger run from rest to rest"},
	NotReadable:   {"too many lines are no numbers", "export the log again, as plain CSV"},
	TimeBackwards: {"the times run backwards", "export one run of the logger at a time"},
	ZeroOff:       {"the sensor is more than 1 % of its span off zero at rest", "vent it, zero it and test again"},
	ZeroNotSeen:   {"the log begins under pressure", "start the logger a second before the first stroke"},
	ZeroDrift:     {"the zero moved between start and end", "let the sensor warm up, keep it still, test again"},
	Clipped:       {"the sensor or the logger was at the end of its range", "take a sensor or range that reaches further"},
	BeyondSensor:  {"its pressures are far beyond its sensor's range", "correct the unit in its heading, or the sensor"},
	SlowSampling:  {"the sampling is too slow for the opening pressure", "log 100 times a second"},
	FastRamp:      {"the ramp is too fast for the sampling", "pump slower, or log faster"},
	FewOpenings:   {"the valve opened fewer than three times", "let it open at least five times"},
	NoOpening:     {"no opening is in the log", "pump until the valve opens"},
	NoHold:        {"the pressure is not held between the two limits", "pump up, stop, and wait for the lower limit"},
	NoSeat:        {"the pressure of the seat test is not held for its time", "pump up, stop, and wait its time"},
	HoldCut:       {"the hold ended before the lower limit", "wait for the lower limit before venting"},
	HoldDisturbed: {"the pressure jumped during the hold", "touch neither pump nor pipe during the hold"},
	Gap:           {"samples are missing where they are needed", "check the logger's cable and memory"},
	Air:           {"air is in the bench", "bleed the bench and test again"},
	Uncertain:     {"the uncertainty is too large for a value", "see the largest part of its uncertainty"},

	NoMarks:     {"the four corner marks were not found", "photograph the whole paper, all four marks in the picture"},
	Blurred:     {"the picture is blurred", "hold still, more light, focus on the paper"},
	TooPale:     {"the marks of the sprays are too pale", "photograph sooner after the spray, or one full stroke"},
	TooDark:     {"the picture is too dark or too bright", "photograph in even daylight, no flash"},
	TwoStrokes:  {"the paper shows more than one stroke", "one full stroke a paper"},
	Shadow:      {"a hard shadow lies across it", "let no shadow fall on the paper"},
	NoPicture:   {"the file is no picture that can be read", "take a JPEG or PNG of at most 64 million pixels"},
	TooTilted:   {"the picture was taken too much from the side", "photograph from straight above"},
	NoSprays:    {"no mark of a spray is on the paper", "spray once onto the paper, then photograph"},
	HolesNotSet: {"the number of holes is not known", "name the record or the number of holes"},
}

// Says is what the reason says in words.
func (r Reason) Says() string { return words[r][0] }

// Next is what to do next time.
func (r Reason) Next() string { return words[r][1] }

// Unwhole says that a log with this reason is not the whole and right log of a test: cut, without its heading, in
// another unit. The others are those of a test or a logger that could have been better.
func (r Reason) Unwhole() bool {
	switch r {
	case NoHeading, NoSignal, NoUnit, TooShort, NotReadable, TimeBackwards, BeyondSensor, ZeroNotSeen, NoOpening, NoHold,
		HoldCut, Gap:
		return true
	}
	return false
}
