package trace_test

import (
	"os"
	"slices"
	"strings"
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/exchange"
)

// unlike are the linear histories on which prove-again.sh and Read must differ, each with what the script says of itself that it
// cannot see.
var unlike = map[string]string{
	"B11 one key under two names":                                     "lines of a register that git takes and a book does not",
	"B27 an engineer edits the limits":                                "who may change which file beside the register",
	"B28 an engineer countersigns":                                    "who may change which file beside the register",
	"B30 an engineer writes a review":                                 "who may change which file beside the register",
	"B31 a chief edits the limits":                                    "who may change which file beside the register",
	"B32 an engineer changes a dot file":                              "who may change which file beside the register",
	"a superintendent writes an overhaul":                             "who may change which file beside the register",
	"a role taken away, and a last day set for later, and acts in it": "who may change which file beside the register",
	"an answer in another's name":                                     "who may change which file beside the register",
	"an answer changed":                                               "who may change which file beside the register",
	"an answer taken out":                                             "who may change which file beside the register",
	"a record given another name":                                     "records that a merge or a commit left out",
	"a record taken out":                                              "records that a merge or a commit left out",
}

// The script that the pages carry gives the verdict of Read on every history without merges, but for those that are named. Some of
// them in an ordinary run, all in the long one: each asks git and ssh-keygen for every commit.
func TestProveAgainOnEveryLinearHistory(t *testing.T) {
	oracle(t, t.TempDir(), nil, "ssh-keygen", "-?")
	ran, known := 0, map[string]bool{}
	for _, c := range histories() {
		s := c.tell()
		known[c.name] = true
		if slices.ContainsFunc(s.steps, func(x exchange.Step) bool { return x.Parents != nil }) {
			continue
		}
		ran++
		if ran%12 != 1 && os.Getenv("NEEDLEBOOK_LONG") == "" {
			continue
		}
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			dir, ids := s.book(t)
			trail := read(t, dir, ids)
			said, proven := oracle(t, dir, []byte(logbook.ProofScript(proof(ids))), "sh", "-s")
			why, differs := unlike[c.name]
			switch {
			case proven == trail.Proved && differs:
				t.Errorf("both say proved %v, though they are said to differ: %s", proven, why)
			case differs && !strings.Contains(strings.Join(strings.Fields(said), " "), why):
				t.Errorf("the script does not say that it cannot see %q", why)
			case proven != trail.Proved && !differs:
				t.Errorf("the script says proved %v, Read %v: %s\n%s", proven, trail.Proved, trail.Headline, said)
			}
			r := trail.Records[record]
			if r == nil {
				return
			}
			// The commands for one record: git takes what is signed, finds no signature where there is none, and of the rest the
			// commands say themselves that it is more than git can tell.
			said, _ = oracle(t, dir, []byte(trail.ProofCommands(record)), "sh", "-s")
			for _, v := range r.Versions {
				k := trail.At(v.Commit)
				if k.State == logbook.Signed && !strings.Contains(said, k.ID+" G "+k.Key) || k.Key == "" && !strings.Contains(said, k.ID+" N") {
					t.Errorf("commit %s is %s, git says otherwise:\n%s", k.ID, k.State, said)
				}
			}
		})
	}
	for name := range unlike {
		if !known[name] {
			t.Errorf("no history is named %q", name)
		}
	}
	if ran < 30 {
		t.Errorf("only %d histories are linear", ran)
	}
}
