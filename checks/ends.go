package checks

// What ends the findings of more than one check. One that is a check's own stands in its file.
//
// Never ended by a later overhaul or a removal, at their grade, only by what stands behind each: a record changed after
// signing, history rewritten, copied figures (answered ashore); one serial in two places (somebody has read the stamp);
// nozzle marking not permitted (both entries in the record book of engine parameters are stated); a deferral exceeded
// (its approver answers); leak check or shields not confirmed (confirmed); a cracked or condemned part (scrapped, or
// landed with a receipt); parts held for a claim (settled); a gauge used beyond its calibration (its certificate's
// as-found result is entered, never a new gauge); a condition of class (the surveyor's statement). A removal takes them
// from what is on the engines to the records, no further.
var (
	writing       = &End{By: "the line is corrected"}
	signature     = &End{By: "somebody else countersigns the record, while it can still be looked at", Signature: true}
	figuresAshore = &End{By: "it is answered ashore", Never: true, Answer: Ashore}
	stamp         = &End{By: "somebody has read the stamp, and the wrong entry is corrected", Never: true}
	scrapped      = &End{By: "the part is scrapped, or landed with a receipt", Never: true}

	testedAgain    = &End{By: "the valve is tested again"}
	foundAgain     = &End{By: "the valve is tested as found again"}
	setAgain       = &End{By: "the valve is set and tested again"}
	builtAgain     = &End{By: "the valve is built up again"}
	inspectedAgain = &End{By: "the place is looked at in a later overhaul"}
	holderMeasured = &End{By: "the holder is measured again, condemned or scrapped"}
	causeFound     = &End{By: "the spring is measured or renewed, a cause is named, or the valve is as found within its " +
		"band after at least 80 % of the hours in which it was lost"}

	nozzleTested    = &End{By: "the nozzle is tested again as found, or renewed"}
	nozzleGood      = &End{By: "the nozzle passes a later test, or is renewed"}
	nozzleInspected = &End{By: "guide and tip are looked at in a later overhaul, or the nozzle is renewed"}
	nozzleMeasured  = &End{By: "the lift is measured again, or the nozzle is renewed"}
	wornOut         = &End{By: "the part is renewed, condemned, scrapped, or measured again within its limit"}

	pocketCleared = &End{By: "the pocket is faced, one ring fitted, and the protrusion is within"}
	valveOut      = &End{By: "the valve is taken out of that position"}
	valveChanged  = &End{By: "another valve is fitted in that position, or this one overhauled"}
	valveLasted   = &End{By: "a later valve in that position is pulled as planned"}

	instrumentProved = &End{By: "the instrument is compared with a good one, or its certificate's as-found result is " +
		"entered: never a new instrument", Never: true}
	nextRound = &End{By: "the next round of the engine does not show it"}
)
