package words

import (
	"regexp"
	"slices"
	"testing"
)

// severals are counts beside a plural that are never one: what stands behind them has been asked to be more, or is one of many.
var severals = []*regexp.Regexp{
	regexp.MustCompile(`of %d [a-z]+s\b`),                                         // one of so many
	regexp.MustCompile(`(more than|at most|larger than|last|merge of) %d [a-z]+`), // a bound that is a constant of the program
	regexp.MustCompile(`(all|the) %d (others|other holders|valves|readings)`),     // more than the book's setting of a baseline
	regexp.MustCompile(`than %d others`),
	regexp.MustCompile(`%d (files of it wait|faults|lines have|records in a row|records countersigned)`), // from a threshold on
	regexp.MustCompile(`rejected %d nozzles|%d valves came out below|had %d early removals|in %d service lives|%d older ones are in|%d %s valves of %s came back`),
	regexp.MustCompile(`(parts|bundle|an object|whole bundle) of %d (bytes)|has %d (bytes|columns)|would make %d parts|%d days until the next look`),
	regexp.MustCompile(`^%d (days|commits|bytes)$|: %d commits begin|both sides changed %d rows`), // one is said in other words there
	regexp.MustCompile(`^%d parents\b|%d (questions were asked|cylinders in one row|cylinders$|parents, at most|deltas refer)`),
	regexp.MustCompile(`the (agent holds|book knows) %d (keys|remotes)|git merges %d tips|%d values of x|cannot fit %d lives|it claims to hold %d objects`),
	regexp.MustCompile(`an invented vessel: %d overhauls, %d commits, %d of them signed by %d signers`), // of the example vessel
	regexp.MustCompile(`stands %d times|^%d overhauls$|it has %d\b|%d bytes$|was given %s for %d books`),
}

var pluralBeside = regexp.MustCompile(`%d (?:%s )?([a-z]+ )?([a-z]+s)\b`)

// countedPlural is the first count in a text that would be told as "1 valves".
func countedPlural(text string) string {
	for _, several := range severals {
		text = several.ReplaceAllString(text, "")
	}
	for _, m := range pluralBeside.FindAllStringSubmatch(text, -1) {
		if !slices.Contains([]string{"is", "was", "has", "as", "yes", "its", "lies", "does", "stands", "points"}, m[2]) {
			return m[0]
		}
	}
	return ""
}

// A count is said with logbook.Counted, so that one is said of one thing.
func TestCountsHaveTheirWord(t *testing.T) {
	said := map[string]string{}
	texts(t, said)
	for at, text := range said {
		if is := countedPlural(text); is != "" {
			t.Errorf("%s: %q would be said of one thing too: say it with logbook.Counted\n\t%q", at, is, text)
		}
	}
}

func TestCountedPluralsAreFound(t *testing.T) {
	for text, want := range map[string]string{
		"%d valves are due":              "%d valves",
		"%s of %d cylinders":             "",
		"last %d days, %d new findings":  "%d new findings",
		"reads %d as it was; %d of them": "",
	} {
		if is := countedPlural(text); is != want {
			t.Errorf("countedPlural(%q) = %q, want %q", text, is, want)
		}
	}
}
