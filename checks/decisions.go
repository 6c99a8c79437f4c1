package checks

import (
	"maps"

	"needlebook/checks/deciding"
)

// decisions are the outcomes of every overhaul, with what the checks found to stop a valve added to what the bench shows: a value that
// stands twice, say, is no value. What was left undone at the engine does not undo the work on the bench.
func decisions(c *Case, found []Finding) map[string]deciding.Outcome {
	all := maps.Clone(c.Outcomes())
	for _, f := range found {
		k := Named(f.Check)
		out, known := all[f.About.Record]
		if k == nil || k == tightening || k == leakCheck || k.Level > Record || f.Grade != Stop || !known {
			continue
		}
		if out.Ready.Tested || len(out.Ready.Because) > 0 {
			out.Ready.Add(f.Message, f.Place)
			all[f.About.Record] = out
		}
	}
	return all
}
