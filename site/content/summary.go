package content

import (
	"math"

	"needlebook/checks"
	"needlebook/checks/evidence"
	"needlebook/checks/recurring"
	"needlebook/checks/survival"
	"needlebook/logbook"
	"needlebook/site/facts"
	"needlebook/site/fleet"
)

// Summary is the vessel in a few lines, for the front page of several ships.
func (w *Writer) Summary() fleet.Summary {
	grades := func(g checks.Grade) int { return len(w.Open(w.Found.Grade[g])) }
	one := fleet.Summary{Format: fleet.Format, Program: w.Program, Vessel: w.Vessel, Day: w.Today.String(),
		Overhauls: len(w.Book.Overhauls),
		Ready:     w.ReadySpares(),
		History: fleet.History{UnderGit: w.Trail.Lacking != logbook.PlainFolder().Lacking, Proved: w.Trail.Proved,
			Headline: w.ProofLine(),
			Commit:   w.Trail.Head, NotCommitted: len(w.Trail.WorkTree)},
		Grades: fleet.Grades{Stop: grades(checks.Stop), Action: grades(checks.Action), Advice: grades(checks.Advice),
			Note: grades(checks.Note)}}
	if n := len(w.Trail.Commits); n > 0 && w.Trail.Head != "" {
		one.History.Stated = w.Trail.Commits[n-1].Stated.UTC().Format("2006-01-02")
	}
	if f := w.GravestNow(); f != nil {
		line := w.inSummary(f)
		one.Gravest = &line
	}
	past, next := facts.NextDue(w.DueEach())
	if one.Past = past; next != nil {
		one.Next = (*fleet.Due)(next)
	}
	one.ToOrder = facts.ToOrder(w.Stores())
	for _, x := range w.Book.Vessel.Engines {
		row := fleet.Engine{ID: x.ID.Written, Name: x.Name.Written, Type: x.Type.Written, Cylinders: len(x.Cylinders.Each)}
		if h, ok := w.Book.TotalOn(x.ID.Written, w.Today); ok {
			row.Hours = &h
		}
		one.Engines = append(one.Engines, row)
	}
	one.Types = w.byType()
	one.Review = w.review()
	for _, p := range w.recurring() {
		one.Pattern = append(one.Pattern, &fleet.Finding{About: p.what, Message: p.words, Page: string(p.to)})
	}
	return one
}

// review is what changed since the last one; nil where nothing was compared.
func (w *Writer) review() *fleet.Review {
	b := w.Before
	if b == nil {
		return nil
	}
	r := &fleet.Review{Why: b.Why, Day: b.Day.String(), Commit: b.Commit}
	fresh, gone := w.Compared()
	for _, f := range w.Open(fresh) {
		r.New = append(r.New, w.inSummary(f))
	}
	for _, f := range gone {
		r.Gone = append(r.Gone, w.inSummary(f))
	}
	return r
}

// inSummary is a finding in a line.
func (w *Writer) inSummary(f *checks.Finding) fleet.Finding {
	return fleet.Finding{Grade: f.Grade.String(), Check: f.Check, About: w.whose(f).String(), Message: f.Message,
		Page: string(w.whereOf(f))}
}

// rounded leaves the decimals that mean something.
func rounded(v float64) float64 { return math.Round(v*1000) / 1000 }

// yearsCompared is the time over which ships are compared, in days: two years, as the evidence for the interval takes
// it.
const yearsCompared = 730

// byType gathers what the valves of each type of engine showed, in the order of the vessel's engines.
func (w *Writer) byType() []fleet.Type {
	e := w.Evidence()
	var all []fleet.Type
	of := map[string]int{} // engine to its row
	from := max(w.Today-yearsCompared, w.Book.Vessel.Opening.Date.Day)
	rows := map[string]int{}
	for _, x := range w.Book.Vessel.Engines {
		n, known := rows[x.Type.Written]
		if !known {
			n = len(all)
			rows[x.Type.Written] = n
			all = append(all, fleet.Type{Type: x.Type.Written})
		}
		of[x.ID.Written] = n
		end, ok := w.Book.TotalOn(x.ID.Written, w.Today)
		begin, also := w.Book.TotalOn(x.ID.Written, from)
		if ok && also && end > begin {
			all[n].EngineHours += end - begin
		}
	}
	for _, o := range e.Openings {
		n, known := of[o.ServicePeriod.Engine]
		if !known || o.Day < from {
			continue
		}
		if facts.Renewed(o.Overhaul) {
			all[n].Nozzles++
		}
		if o.Why == evidence.ForHours && o.State != evidence.Unknown {
			all[n].Opened++
			if o.State == evidence.Bad {
				all[n].Bad++
			}
		}
	}
	lost := make([][]float64, len(all))
	for _, sh := range e.Recurring.Shifts {
		n, known := of[sh.Overhaul.Removed.Engine.Written]
		if known && sh.Left.Class == logbook.Used && sh.LeftWrong == nil && sh.FoundWrong == nil && !sh.Settled &&
			sh.Overhaul.Day() >= from {
			lost[n] = append(lost[n], -sh.Bar)
		}
	}
	for i := range all {
		if in, err := survival.BadShare(all[i].Bad, all[i].Opened, 0.95); err == nil {
			all[i].Low, all[i].High = rounded(in.Low), rounded(in.High)
		}
		all[i].EngineHours = rounded(all[i].EngineHours)
		n := recurring.Habit(lost[i], 0)
		all[i].Lost, all[i].LostSpread, all[i].LostOf = rounded(n.Median), rounded(n.Spread), n.N
	}
	return all
}
