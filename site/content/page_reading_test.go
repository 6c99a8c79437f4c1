package content

import (
	"strings"
	"testing"

	"needlebook/logbook"
)

// Every state that a page may show is explained where the reader is told how to read it, with what it does not mean where he might
// think more.
func TestEveryStateIsExplained(t *testing.T) {
	var said []string
	for _, x := range stateTerms {
		said = append(said, x.word, x.means)
	}
	all := strings.Join(said, "\n")
	for _, s := range []logbook.State{logbook.Signed, logbook.MergeEdit, logbook.Adopted, logbook.Unsigned, logbook.OtherSignature, logbook.UnknownKey,
		logbook.BadSignature, logbook.Malformed, logbook.OutsideWindow, logbook.NotInForce, logbook.Unseen, logbook.Compromised, logbook.NotJudged, logbook.SecondRoot} {
		if !strings.Contains(all, string(s)) {
			t.Errorf("%q is not explained", s)
		}
	}
	for _, s := range []logbook.CounterState{logbook.Countersigned, logbook.ChangedSince, logbook.Refused, logbook.NotCounted} {
		if !strings.Contains(all, string(s)) {
			t.Errorf("%q is not explained", s)
		}
	}
	for _, word := range []string{"received", "not yet received ashore", "REWRITTEN", "broken"} {
		if !strings.Contains(all, word) {
			t.Errorf("%q is not explained", word)
		}
	}
}
