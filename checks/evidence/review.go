package evidence

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"needlebook/checks/paper"
	"needlebook/logbook"
)

// Ask says what a review of the interval is asked to look at.
type Ask struct {
	// first day of the overhauls looked at; 0 for the time that the book's settings name
	Since logbook.Day
	// stated costs of a planned opening, of one after going bad, and of an hour run bad; 0 where not stated
	Planned, Failed, BadHour float64
	Parts                    bool   // the drift of each part too
	Plots                    bool   // drawings of the drift too
	Type                     string // a type of valve by its limits file, or an engine; empty for all
}

// tally counts overhauls.
type tally struct{ n, bad, unknown int }

// Bad is how many were bad.
func (t tally) Bad() int { return t.bad }

func (t *tally) take(o Opening) {
	switch o.State {
	case Unknown:
		t.unknown++
	case Bad:
		t.bad++
		t.n++
	default:
		t.n++
	}
}

// Review is the evidence for the interval between overhauls of one type of valve, and what it carries.
type Review struct {
	e                 *Evidence
	t                 valveType
	ask               Ask
	Type              string  // the limits file; empty for engines without one
	Present           float64 // hours in force on most positions; the shortest of these where several are on as many
	Allowed           float64 // the longest that maker or class allow by the book; 0 where it states nothing
	AllowedBy         string
	Target            float64 // share of bad that the owner accepts; 0 where not stated
	Full, FullSpecial tally   // at full age: without special causes, and with
	// upper bound of the share of bad at full age, without special causes; 1 where none was opened
	Bound    float64
	Ratio    float64 // interval carried over present interval at the assumed shape; 0 where not known
	Proposed float64 // hours
	Proposal string
	Word     string // keep, shorten or try longer
	Needed   int    // overhauls at full age, none bad, that would prove the target; 0 where no target is stated
	all      []Opening
	inWindow []Opening
	ageless  []Opening // in the window, of no known age
	early    int       // in the window, pulled for a symptom within the interval and bad, without a special cause
	from     logbook.Day
}

// Reviews weighs the overhauls asked for, one type of valve after the other. None proposes more than the stated bounds
// in the book allow.
func (e *Evidence) Reviews(ask Ask) []Review {
	var all []Review
	for _, t := range e.types() {
		if ask.Type == "" || t.named(ask.Type) {
			all = append(all, e.review(t, ask))
		}
	}
	return all
}

func (e *Evidence) review(t valveType, ask Ask) Review {
	r := Review{e: e, t: t, ask: ask, Type: t.name, from: ask.Since, Bound: 1,
		Target: e.Book.Vessel.Accepts.FailedAsFound.Float() / 100}
	if r.from == 0 {
		r.from = e.today - logbook.Day(e.settings.ReviewOver.Float())
	}
	r.present()
	r.bounds()
	for _, o := range e.Openings {
		if !t.has(o.ServicePeriod.Engine) {
			continue
		}
		r.all = append(r.all, o)
		if o.Day < r.from {
			continue
		}
		r.inWindow = append(r.inWindow, o)
		if r.atFullAge(o) {
			r.FullSpecial.take(o)
			if o.Special == "" {
				r.Full.take(o)
			}
		}
		if o.Why == ForSymptom && o.State == Bad && o.Special == "" && o.Hours <= r.Present {
			r.early++
		}
	}
	for _, o := range e.ageless {
		if t.has(o.ServicePeriod.Engine) && o.Day >= r.from {
			r.ageless = append(r.ageless, o)
		}
	}
	r.propose()
	return r
}

// present finds the interval in force on most positions of the type.
func (r *Review) present() {
	on := map[float64]int{}
	for _, p := range r.positions() {
		if i, ok := r.e.Book.IntervalOn(p, r.e.today); ok {
			h := i.Hours.Float()
			on[h]++
			if n := on[h]; n > on[r.Present] || n == on[r.Present] && h < r.Present || r.Present == 0 {
				r.Present = h
			}
		}
	}
}

func (r *Review) positions() []logbook.Position {
	var all []logbook.Position
	for _, p := range r.e.Book.Positions() {
		if r.t.has(p.Engine) {
			all = append(all, p)
		}
	}
	return all
}

func (r *Review) fullAge() float64 { return r.e.settings.FullAge.Float() / 100 * r.Present }

// ages says of which age the overhauls are that are counted as at full age.
func (r *Review) ages() string {
	if r.Present == 0 {
		return "at any age, since no interval is stated"
	}
	return "at full age"
}

func (r *Review) atFullAge(o Opening) bool { return o.Why == ForHours && o.Hours >= r.fullAge() }

// Paper is the answer to the question of the interval: each type of valve with everything that belongs beside a
// proposal. Where the ship has several types, the tables carry the type in their names.
func (e *Evidence) Paper(ask Ask) paper.Paper {
	out := paper.Paper{Name: "interval", Title: "Interval review: " + logbook.Listed(e.Book.Vessel.Called(),
		knownDay(e.today))}
	reviews := e.Reviews(ask)
	for _, r := range reviews {
		if len(reviews) > 1 || ask.Type != "" {
			out.Lead = append(out.Lead, "valves "+r.t.String())
		}
		out.Lead = append(out.Lead, r.lead()...)
		trends := e.trends(r.t, ask.Parts)
		for _, t := range r.tables(trends) {
			if len(reviews) > 1 {
				t.Name += "-" + strings.ToLower(r.Type)
				t.Title = r.t.String() + ": " + t.Title
			}
			out.Tables = append(out.Tables, t)
		}
		if ask.Plots {
			for _, p := range e.plots(trends) {
				if len(reviews) > 1 {
					p.Title = r.t.String() + ": " + p.Title
				}
				out.Plots = append(out.Plots, p)
			}
		}
	}
	if len(reviews) == 0 {
		out.Lead = append(out.Lead, "nothing to review: the book names no engine")
	}
	out.Notes = append(out.Notes,
		"failed as found: seat, leak-down, spray, opening pressure or effective lift beyond the limit of its day, or a crack",
		"valves pulled for a symptom and for other work are kept apart: they do not say what an age does",
		"an age beyond the oldest reading of a drift is the line drawn on, not what was seen",
		"this is a count of what was opened, no promise: the maker's manual, class and the owner come before it")
	return out
}

// lead is what is said of a type before its tables.
func (r Review) lead() []string {
	window := "window: the book holds no opening yet"
	if r.e.today != 0 {
		window = fmt.Sprintf("window: overhauls from %s to %s, %d of them", r.from, r.e.today, len(r.inWindow))
		if n := len(r.ageless); n > 0 {
			window += fmt.Sprintf("; %d more say nothing of an age: their hours are not known, or they had not run", n)
		}
	}
	all := []string{"proposal: " + r.Proposal, window,
		"interval in force: " + r.inForce(), "allowed: " + r.allowedText(), "accepted: " + r.acceptedText(),
		"fuel outlook: " + r.outlook()}
	return append(all, r.trialPlan()...)
}

func (r Review) tables(trends []Trend) []paper.Table {
	return []paper.Table{r.counts(), r.proves(), r.survival(), r.excluded(), r.e.driftTable(trends), r.byEngine(),
		r.shares(), r.fuelCost(), r.bands(), r.nozzles()}
}

func (r Review) inForce() string {
	if r.Present == 0 {
		return "none is stated"
	}
	var order []string
	odd := map[string][]string{}
	for _, p := range r.positions() {
		i, ok := r.e.Book.IntervalOn(p, r.e.today)
		if !ok || i.Hours.Float() == r.Present {
			continue
		}
		other := i.Hours.String()
		if i.Decision != nil {
			other += " by " + i.Decision.ID.Written
		}
		if r.Allowed > 0 && i.Hours.Float() > r.Allowed {
			other += ", more than the book allows"
		}
		if odd[other] == nil {
			order = append(order, other)
		}
		odd[other] = append(odd[other], p.String())
	}
	s := fmt.Sprintf("%.0f h", r.Present)
	for _, other := range order {
		s += "; " + strings.Join(odd[other], ", ") + " " + other
	}
	return s
}

func (r Review) allowedText() string {
	if r.Allowed == 0 {
		return "the book states no bound of maker or class; ask them before anything longer, and write it down " +
			"(interval_max in the limits file)"
	}
	return fmt.Sprintf("%.0f h (%s)", r.Allowed, r.AllowedBy)
}

func (r Review) acceptedText() string {
	switch accepts := r.e.Book.Vessel.Accepts.FailedAsFound; {
	case !accepts.Quantity.Valid():
		return "the book does not state what chance of a bad valve the owner accepts"
	case r.Target <= 0 || r.Target >= 1:
		return accepts.Written + ", which no number of overhauls can prove or contradict"
	default:
		return accepts.Written + " bad at full interval"
	}
}

func num(n int) paper.Cell { return paper.Text(fmt.Sprint(n)) }

// percent writes a share in whole per cent; one that is little is not written as nothing.
func percent(share float64) string {
	switch {
	case share > 0 && share < 0.0001:
		return "under 0.01 %"
	case share > 0 && share < 0.005:
		return fmt.Sprintf("%.1g %%", 100*share)
	}
	return fmt.Sprintf("%.0f %%", 100*share)
}

// against writes a share that is held against another with as many decimals as show which is the larger.
func against(share, other float64) string {
	for decimals := range 4 {
		text := fmt.Sprintf("%.*f", decimals, 100*share)
		if shown, err := strconv.ParseFloat(text, 64); err == nil &&
			cmp.Compare(shown, 100*other) == cmp.Compare(share, other) {
			return text + " %"
		}
	}
	return percent(share)
}
