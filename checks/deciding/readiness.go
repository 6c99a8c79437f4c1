package deciding

import (
	"strings"

	"needlebook/logbook"
)

// Readiness says whether the valve may go in the spares rack or into an engine, by what its record holds.
type Readiness struct {
	Tested  bool     // the record has come to a test as left, or says why there is none
	Because []Reason // why it is not ready, in the order of the work; none for one that is
	Under   string   // the deferral under which it is ready; empty where none is needed
	Again   string   // why it is tested again before fitting; empty where the test is young enough
	AgainAt logbook.Place
}

// Reason is one thing that keeps a valve from being ready.
type Reason struct {
	Text  string
	Place logbook.Place
}

// Yes says that the valve is ready.
func (r Readiness) Yes() bool { return r.Tested && len(r.Because) == 0 && r.Again == "" }

// Word says in a word how a valve in the spares rack stands: "ready", "not ready" or "test again".
func (r Readiness) Word() string {
	switch {
	case r.Yes():
		return "ready"
	case r.Tested && len(r.Because) == 0:
		return "test again"
	}
	return "not ready"
}

// String is what stands behind "ready:": "yes", "no, because …", "not yet: no as-left test", or "test again before
// fitting".
func (r Readiness) String() string {
	switch {
	case len(r.Because) > 0:
		var why []string
		for _, b := range r.Because {
			why = append(why, b.Text)
		}
		return "no, because " + strings.Join(why, "; ")
	case !r.Tested:
		return "not yet: no as-left test"
	case r.Again != "":
		return "test again before fitting: " + r.Again
	case r.Under != "":
		return "yes, under " + r.Under
	}
	return "yes"
}

// Add adds a reason that was found elsewhere, unless one already stands at its place.
func (r *Readiness) Add(text string, place logbook.Place) {
	for _, b := range r.Because {
		if b.Place == place {
			return
		}
	}
	r.Because = append(r.Because, Reason{text, place})
}
