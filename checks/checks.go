package checks

// All lists the checks in the order of the manual. A new check is its file, its testdata folder, and one line here.
func All() []*Check { return all }

var all = []*Check{
	// Field: one value, how it is written and what else shows it.
	repeatedKey, frontMatter, yamlForm, textEncoding, byteOrderMark, tableForm, fileNotRead, fileName,
	unknownKey, wordNotKnown, dateForm, serialNotQuoted, reasonMissing, reasonCut,
	decimalComma, thousandsSeparator, colonInNumber, numberForm, unitMissing, unitUnknown, unitSpelling, limitForm,
	limitMissed, intervalNotBelieved, instrumentForm,
	unitMistaken, kilogramForce, decimalsTooFine, decimalsTooCoarse, gaugeRange, serialUnreadable,
	bookedUnlikeLog, bookedUnlikePaper,

	// Record: one overhaul, in the order of the bench.
	recordName, attachment, dateOrder, lateEntry, stepMissing, entryIncomplete, instrumentNotProven,
	certificateByOtherLimits, receivedNotLookedAt,
	rings, hoursDiffer, exhaustAndPmax,
	asFoundMissing, asFoundAfterAsLeft, connectionNotClean, readingsSpread, closingAboveOpening, closingShare,
	testNotAsStated, leakDownNotComparable, oilTemperature, leakDownSlowAsFound, pressureLossNotExplained,
	stuckNeedle, forcedNozzle, cleaning, placesNotInspected, crackNotCondemned,
	effectiveLiftOver, effectiveLiftSum, seatDiameterOver, wornPartReturns, springWorn,
	decisionWithoutReason, partsNotAsDecided, reuseAgainstFindings, rejectedWithoutFinding, keepForClaim, lapsAndGrinds,
	nozzleLife, markingNotPermitted,
	sealNotRenewed, assemblyIncorrect, nutTorque, tryWithoutAction,
	settingOutOfBand, settingForOtherState, seatLeaksAsLeft, leakDownShort, leakDownSlow, sprayAsLeft, sprayHoles,
	leakOutside, coolingSpace,
	tightening, protrusion, leakCheck, runningDataAfterFitting, runningDataNotComparable, samePerson,

	// History: one part or position through time.
	openingRose, openingLost, leakDownBetter, leakDownLost, liftShorter, liftGrew, holderWearLess,
	nozzlesRejectedInHolder, otherPockets, valvesRejectedInPosition, positionLosesPressure,
	highExhaustNotFollowedUp,
	readingsAlwaysEqual,
	landedNotBack, condemnedPartReturns, deferralRunOut, overdue, testAsLeftMissing, spareTestTooOld, dateAhead,
	counterBackwards, counterTooFast,
	counterTooSlow, counterUnusual, hoursAboveCounter,

	// Batch: one round, or what was set with one gauge.
	gaugeInDoubt, gaugeTooCoarse, setWithGaugeOutOfTolerance, roundWithCommonCause, roundIncomplete, figuresOnLimit,
	recordAlike,

	// Vessel: the book as a whole.
	rowIncomplete, cellInWrongColumn, serialLetters, dateOutOfPlace, figureNotBelieved, figureUnlike, nameUnknown,
	oldRecordsLack, spellingDiffers, notAboard, partInTwoPlaces, fitAndRemoval, serialUnknown,
	sparesNotBooked, stockLow, handoverMissing, conditionOfClass,
	changedAfterCountersigning, correctionNotAsItWas, takenOut, writerUnknown, notTheirsToChange, approverNotSigned,
	countersignerNotAboard, notCountersigned, countersignedInARow,
	earlierLimits, limitLoosened, limitsRewritten, clockJump, rowRepeated,
}

// Decided against, each with its reason:
//   - a valve soon due: that stands on the list of what is due; a finding only once it is over the interval's
//     tolerance (overdue);
//   - one reading far from the rest of its round: valves scatter; gaugeInDoubt and roundWithCommonCause weigh the
//     whole round;
//   - counting equal figures of two records: common values make honest pairs alike; recordAlike weighs each by how
//     rare it is;
//   - the last digits of a hand's readings: gauges are read in marks of five; figuresOnLimit and readingsAlwaysEqual
//     ask only of what a gauge cannot explain;
//   - findings counted by person: a person who works more finds more; causes asks it of the whole, with the chance
//     beside it;
//   - old records judged anew by today's limits: earlierLimits says it once for a revision, each record keeps its
//     verdict;
//   - the colour or quality of a spray as a number: nobody reads it twice alike; holes, form and what the tip looks
//     like are words.

// Named finds a check by its name; nil where there is none.
func Named(name string) *Check {
	for _, k := range all {
		if k.Name == name {
			return k
		}
	}
	return nil
}
