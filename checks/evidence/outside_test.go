package evidence

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// outside is the register of values from outside the project that the evidence is held to: regression and time to a limit, lives and their
// bounds, replacement and inspection, and the tests of recurring findings. Seen means read in the source; recomputed with R 4.2, its
// package survival 3.5, or SciPy 1.10; from memory means that the citation is unproven. A row without a test is a computation that the
// product does not need, with the reason.
var outside = []struct{ computation, source, status, test, reason string }{
	{"straight line with its sums", "NIST StRD, Norris, certified values", "seen, recomputed", "drift TestNorris", ""},
	{"bands for the line and for one more reading", "R predict.lm on Norris", "recomputed", "drift TestNorris", ""},
	{"quadratic", "NIST StRD, Pontius, certified values", "seen, recomputed", "", "wear is drawn as a straight line; a curve through a handful of readings promises more than they hold"},
	{"straight line through many digits", "R lm on Pontius", "recomputed", "drift TestLineThroughPontius", ""},
	{"line through the origin", "NIST StRD, NoInt1 and NoInt2, certified values", "seen, recomputed", "", "no line is forced through the origin: a new part has a first reading, and it is not nil"},
	{"multiple regression", "NIST StRD, Longley, certified values", "seen, recomputed", "", "one cause at a time is asked, by exact tests"},
	{"inference on a slope", "Moore and McCabe, example 10.3, as other libraries test it", "seen, recomputed", "drift TestSlopeInferenceOfMooreMcCabe", ""},
	{"textbook bands", "R datasets, cars", "recomputed", "drift TestCars", ""},
	{"thermometer line", "GUM H.3", "seen, recomputed", "drift TestThermometerOfGUM", ""},
	{"inverse prediction", "Graybill and Iyer, Regression Analysis, p. 431", "seen, recomputed", "drift TestThermostatOfGraybillIyer", ""},
	{"wear line and its bands", "constructed, R lm", "recomputed", "drift TestWearLine", ""},
	{"hours to a limit with their interval (Fieller)", "constructed, the roots of R's bands", "recomputed", "drift TestHoursToLimit", ""},
	{"no finite interval", "constructed: g at 1 and above", "recomputed", "drift TestNoFiniteInterval", ""},
	{"median line (Theil and Sen)", "SciPy theilslopes", "recomputed", "drift TestMedianLineOnWear", ""},
	{"median line with one reading misread", "SciPy theilslopes", "recomputed", "drift TestMedianLineShrugsOffAMisreading", ""},
	{"repeated medians (Siegel), rank correlation (Kendall)", "SciPy", "recomputed", "", "one line that a misreading cannot move is enough, and a trend is told by its interval"},
	{"lines, bands and median lines on random readings", "R and SciPy, live", "recomputed on every wider run", "drift TestAgainstR", ""},
	{"Weibull by maximum likelihood, right-censored; the exponential", "Nelson 1982, diesel generator fans", "data seen, recomputed", "survival TestDieselGeneratorFans", ""},
	{"Weibull by maximum likelihood, interval-censored, with profile limits", "Nelson 1982, p. 415, part cracking", "data seen, recomputed", "survival TestPartCracking", ""},
	{"the same on nozzles looked at now and then", "constructed, R survreg and SciPy", "recomputed", "survival TestNozzlesLookedAtNowAndThen", ""},
	{"fixed shape on interval-censored lives", "constructed, R survreg with a fixed scale", "recomputed", "survival TestNozzlesWithAssumedShape", ""},
	{"small right-censored set; closed form with a fixed shape", "constructed; New Weibull Handbook", "recomputed; formula from memory", "survival TestSmallRightCensoredSet", ""},
	{"bound where none was bad", "closed form", "recomputed", "survival TestNoneBadGivesABound", ""},
	{"median ranks, regression on ranks, adjusted ranks", "Kececioglu; Benard; Johnson 1964", "from memory, recomputed", "", "likelihood uses every life as it is known, ranks need ends that are seen"},
	{"mean cumulative function", "Nelson, valve seats of 41 diesel engines", "data seen, recomputed", "", "a nozzle is renewed and not repaired: its lives are lives, not recurrences"},
	{"belief in a share (beta), belief in a scale (gamma)", "conjugate distributions", "recomputed", "", "the bound assumes nothing beforehand; a stated belief would have to be defended at every survey"},
	{"share of bad with its interval", "Clopper and Pearson, SciPy", "recomputed", "survival TestShareOfBad", ""},
	{"interval of a share by Wilson", "SciPy", "recomputed", "", "the exact interval never covers less than it says"},
	{"overhauls that prove a share", "success run; the published integers", "from memory, recomputed", "survival TestOpeningsNeeded", ""},
	{"ratio of intervals at an assumed shape", "constructed, SciPy", "recomputed", "survival TestPermittedRatio", ""},
	{"Weibull functions", "SciPy", "recomputed", "survival TestWeibullFunctions", ""},
	{"regression of lives on covariates", "R survreg, ovarian", "recomputed", "", "load and fuel stand beside each life; a ship's few overhauls carry no regression"},
	{"product-limit curve", "Miller 1981, remissions in leukaemia, in any text on survival", "from memory, recomputed", "survival TestKaplanMeierOnRemissions", ""},
	{"fits and curves on random censored lives", "R survreg and survfit, live", "recomputed on every wider run", "survival TestFitAgainstR", ""},
	{"curve of interval-censored lives", "R survfit, live", "recomputed on every wider run", "survival TestCurvesAgainstR", ""},
	{"shares and bounds on random counts", "SciPy, live", "recomputed on every wider run", "survival TestCountsAgainstSciPy", ""},
	{"age replacement", "an open reference on system analysis, optimum replacement time", "problem seen, answer from memory, recomputed", "survival TestAgeReplacementOfReference", ""},
	{"age replacement in days", "a public page on reliability basics", "problem seen, recomputed", "survival TestAgeReplacementInDays", ""},
	{"no age to replace at", "theory: shape at or below 1", "recomputed", "survival TestNoAgeToReplaceAt", ""},
	{"overhaul interval with minimal repair", "Barlow and Hunter 1960", "from memory, recomputed", "", "a valve is overhauled, not patched back to the age it had"},
	{"share of time run bad unseen", "closed form at a constant rate", "recomputed", "survival TestBadUnseen", ""},
	{"time between looks that costs least", "closed form at a constant rate", "recomputed", "survival TestLookEvery", ""},
}

// Every row has a test that exists, or a reason why there is none.
func TestOutsideChecksExist(t *testing.T) {
	text := map[string]string{}
	for _, folder := range []string{"drift", "survival", "evidence"} {
		files, err := filepath.Glob(filepath.Join("..", folder, "*_test.go"))
		if err != nil || len(files) == 0 {
			t.Fatalf("no tests in %s: %v", folder, err)
		}
		for _, f := range files {
			src, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			text[folder] += string(src)
		}
	}
	for _, row := range outside {
		folder, name, _ := strings.Cut(row.test, " ")
		switch {
		case row.source == "" || row.status == "":
			t.Errorf("%s: no source or no status", row.computation)
		case (row.test == "") == (row.reason == ""):
			t.Errorf("%s: either a test or a reason", row.computation)
		case row.test != "" && !strings.Contains(text[folder], "func "+name+"("):
			t.Errorf("%s: there is no test %s in %s", row.computation, name, folder)
		}
	}
}
