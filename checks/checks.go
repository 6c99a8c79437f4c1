package checks

// All lists the checks in the order of the manual. A new check is its file, its testdata folder, and one line here.
func All() []*Check { return all }

var all = []*Check{
	// Field: how a value is written.
	repeatedKey, frontMatter, yamlForm, textEncoding, byteOrderMark, tableForm, fileNotRead,
	unknownKey, wordNotKnown, dateForm, serialNotQuoted, reasonMissing, reasonCut,
	decimalComma, thousandsSeparator, colonInNumber, numberForm, unitMissing, unitUnknown, unitSpelling, limitForm,
	unitMistaken, kilogramForce, decimalsTooFine, decimalsTooCoarse, gaugeRange, serialUnreadable,

	// Record: one overhaul, in the order of the bench.
	recordName, attachment, dateOrder, lateEntry, stepMissing, instrumentNotProven,
	rings, hoursDiffer, exhaustAndPeak,
	asFoundMissing, asFoundAfterAsLeft, connectionNotClean, readingsSpread, closingAboveOpening, closingShare,
	testNotAsStated, leakDownNotComparable, oilTemperature, leakDownSlowAsFound, lossWithoutSpring,
	stuckNeedle, forcedNozzle, cleaning, placesNotInspected, crackNotCondemned,
	effectiveStrokeOver, effectiveStrokeSum, seatDiameterOver, wornPartReturns, springWorn,
	decisionWithoutReason, reuseAgainstFindings, rejectedWithoutFinding, keepForClaim, lapsAndGrinds, nozzleLife, markingNotPermitted,
	sealNotRenewed, buildUnsound, nutTorque, tryWithoutAction,
	settingOutOfBand, settingForOtherState, seatLeaksAsLeft, leakDownShort, leakDownSlow, sprayAsLeft, leakOutside,
	tightening, protrusion, leakCheck, signsAfterFitting, signsNotComparable, sameHand,

	// History: one part or position through time.
	openingRose, openingLost, leakDownBetter, leakDownLost, strokeShorter, strokeGrew, holderWearLess,
	holderEatsNozzles, positionEatsValves, positionLosesPressure, exhaustUnanswered, readingsAlwaysEqual,
	deferralRunOut, overdue, rackTooLong, counterBackwards, counterTooFast, counterUnusual,

	// Batch: one round, or what was set with one gauge.
	gaugeInDoubt, setWithWrongGauge, roundFouled, roundIncomplete, figuresOnLimit, recordAlike,

	// Vessel: the book as a whole.
	partInTwoPlaces, fitAndRemoval, serialUnknown, sparesNotBooked, stockLow, handoverMissing,
	changedAfterCountersigning, writerUnknown, countersignerNotAboard, notCountersigned, countersignedInARow, earlierLimits, limitsRewritten, clockJump,
}

// Named finds a check by its name; nil where there is none.
func Named(name string) *Check {
	for _, k := range all {
		if k.Name == name {
			return k
		}
	}
	return nil
}
