package facts

import (
	"slices"

	"needlebook/checks"
	"needlebook/checks/evidence"
	"needlebook/logbook"
)

// OtherCylinder is what the overhauls and readings of one cylinder show together.
type OtherCylinder struct {
	At                         logbook.Position
	Overhauls, Failed, Judged  int
	Symptom, Renewed, ToAnswer int
	Lost, Exhaust              []float64 // bar and K
	ServiceHours               float64
}

// gatherOthers counts what each cylinder showed, so that one can be seen among the others.
func (k *Facts) gatherOthers() map[logbook.Position]*OtherCylinder {
	all := map[logbook.Position]*OtherCylinder{}
	for _, p := range k.Positions {
		one := &OtherCylinder{At: p}
		for _, f := range k.OpenOn(p) {
			if f.Grade >= checks.Action {
				one.ToAnswer++
			}
		}
		for _, r := range k.Runs[p] {
			if r.Dev.Valid {
				one.Exhaust = append(one.Exhaust, r.Dev.Value)
			}
		}
		all[p] = one
	}
	e := k.Evidence()
	for _, o := range e.Openings {
		one := all[o.ServicePeriod.Position]
		if one == nil {
			continue
		}
		one.Overhauls++
		one.ServiceHours += o.Hours
		if o.State != evidence.Unknown {
			one.Judged++
			if o.State == evidence.Bad {
				one.Failed++
			}
		}
		if o.Why == evidence.ForSymptom {
			one.Symptom++
		}
		if o.Overhaul.Decided.Nozzle.Is("renew", "condemn") {
			one.Renewed++
		}
	}
	for _, sh := range e.Recurring.Shifts {
		if one := all[RemovedFrom(sh.Overhaul)]; one != nil && sh.Left.Class == logbook.Used && sh.LeftWrong == nil &&
			sh.FoundWrong == nil {
			one.Lost = append(one.Lost, -sh.Bar)
		}
	}
	return all
}

// Quantile is the value below which a share of some values lies, between two of them by the straight line; the values
// are at least one. Source: Hyndman & Fan 1996, The American Statistician 50, 361, definition 7.
func Quantile(values []float64, share float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	at := share * float64(len(sorted)-1)
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}
