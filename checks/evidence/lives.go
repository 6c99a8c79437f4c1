package evidence

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"needlebook/checks/paper"
	"needlebook/checks/survival"
	"needlebook/logbook"
)

// survival fits what the ages allow, with and without the special causes, and with symptom pulls.
func (r Review) survival() paper.Table {
	t := paper.Table{Name: "survival", Title: "lives: age by which the accepted share is bad, in hours",
		Columns: []string{"from", "n", "bad", "assumed shape", "at least", "fitted shape", "shape between", "age",
			"age between", "why no fit", "replace at"}}
	st := r.e.settings
	spread := survival.Spread{Share: st.AgesShare.Float() / 100, Young: st.AgesYoung.Value, Old: st.AgesOld.Value,
		Ended: st.AgesBad.Int()}
	for _, g := range r.groups() {
		row := []string{g.name, fmt.Sprint(len(g.lives)), fmt.Sprint(g.bad), fmt.Sprintf("%g", st.WearShape.Value), "–", "–",
			"–", "–", "–", "", "–"}
		fixed, err := survival.FitFixedShape(g.lives, st.WearShape.Value)
		if err == nil && r.Target > 0 {
			if age, err := fixed.PermittedAge(r.Target, r.e.level()); err == nil {
				row[4] = fmt.Sprintf("%.0f", age)
			}
		}
		fit, err := spread.Fit(g.lives)
		if err == nil {
			row[5] = fmt.Sprintf("%.2f", fit.Shape)
			if p, err := fit.ShapeProfile(r.e.level()); err == nil {
				row[6] = fmt.Sprintf("%.2f to %.2f", p.Low, p.High)
			}
			if r.Target > 0 {
				row[7] = fmt.Sprintf("%.0f", fit.Age(r.Target))
				if p, err := fit.AgeProfile(r.Target, r.e.level()); err == nil {
					row[8] = fmt.Sprintf("%.0f to %.0f", p.Low, p.High)
				}
			}
			row[10] = r.replaceAt(fit.Weibull)
		} else {
			row[9] = err.Error()
			var no *survival.Refusal
			if fixed.Ended > 0 && errors.As(err, &no) {
				row[10] = r.replaceAt(survival.Weibull{Shape: fixed.Shape, Scale: fixed.Scale})
			}
		}
		cells := make([]paper.Cell, len(row))
		for i, s := range row {
			cells[i] = paper.Text(s)
		}
		t.Add(cells...)
	}
	return t
}

// replaceAt is the age at which opening costs least for the stated costs, or that valves are run on condition. A cost
// is no permission: beyond what the book allows no age is given.
func (r Review) replaceAt(w survival.Weibull) string {
	var all []string
	if r.ask.Planned > 0 && r.ask.Failed > 0 {
		switch x, err := survival.AgeReplacement(w, r.ask.Planned, r.ask.Failed); {
		case err != nil:
			all = append(all, err.Error())
		case math.IsInf(x.Age, 1):
			all = append(all, "run on condition: "+x.Why)
		default:
			all = append(all, r.capped("%.0f h", x.Age))
		}
	}
	if r.ask.Planned > 0 && r.ask.BadHour > 0 {
		if at, ok := w.LookEvery(r.ask.Planned, r.ask.BadHour); ok {
			text := r.capped("look every %.0f h", at)
			if r.Allowed == 0 || at <= r.Allowed {
				text += fmt.Sprintf(" (%s of the time run bad unseen)", percent(w.BadUnseen(at)))
			}
			all = append(all, text)
		} else {
			all = append(all, "run on condition: no time between looks costs least")
		}
	}
	if len(all) == 0 {
		return "no costs stated"
	}
	return strings.Join(all, "; ")
}

// capped writes an age, or that it lies beyond what the book allows.
func (r Review) capped(format string, age float64) string {
	if r.Allowed > 0 && age > r.Allowed {
		return fmt.Sprintf(format, r.Allowed) + ", which the book allows; cost alone would go further"
	}
	return fmt.Sprintf(format, age)
}

type group struct {
	name  string
	lives []survival.Life
	bad   int
}

func (r Review) groups() []group {
	of := func(name string, in func(Opening) bool) group {
		g := group{name: name}
		for _, o := range r.inWindow {
			if o.State == Unknown || o.Why == ForOther || !in(o) {
				continue
			}
			g.lives = append(g.lives, o.life())
			if o.State == Bad {
				g.bad++
			}
		}
		return g
	}
	return []group{
		of("for hours, without special causes", func(o Opening) bool { return o.Why == ForHours && o.Special == "" }),
		of("for hours", func(o Opening) bool { return o.Why == ForHours }),
		of("with those pulled for a symptom", func(o Opening) bool { return true }),
	}
}

// nozzles is how many nozzles last to which age: each was taken out of use before its life at an hour that is known, or
// was still good when it was last counted, went at its life, or left with a cause of its own.
//
// Source: product-limit estimate, Kaplan and Meier 1958, Journal of the American Statistical Association 53, 457.
func (r Review) nozzles() paper.Table {
	t := paper.Table{Name: "nozzles",
		Title: "how many nozzles last to which age before they are rejected; those renewed at their life, in use, or gone " +
			"for a cause of their own count as still good", Columns: []string{"hours of the nozzle", "watched so far",
			"rejected by then", "share lasting", "between"}}
	t.Empty = "not known: of no nozzle that ran on this type are all hours on record"
	var lives []survival.Life
	oldest := 0.0
	for _, n := range r.e.lives.Nozzles() {
		if l, ok := r.nozzle(n); ok {
			lives, oldest = append(lives, l), math.Max(oldest, l.After)
		}
	}
	if len(lives) > 0 {
		t.Empty = fmt.Sprintf("of %s whose hours are all on record none was rejected before its life without a "+
			"cause of its own", logbook.Counted(len(lives), "nozzle"))
	}
	steps, err := survival.KaplanMeier(lives, r.e.level())
	if err != nil || len(steps) == 0 {
		return t
	}
	const every = 1000 // hours
	for age := float64(every); age-every < oldest; age += every {
		watched, rejected := 0, 0
		for _, l := range lives {
			if l.After >= math.Min(age, oldest) {
				watched++
			}
		}
		share, between := "100 %", "–"
		for _, s := range steps {
			if s.Age > age {
				break
			}
			rejected += s.Ended
			share, between = percent(s.Survives), percent(s.Interval.Low)+" to "+percent(s.Interval.High)
		}
		t.Add(paper.Text(fmt.Sprintf("%.0f", math.Min(age, oldest))), num(watched), num(rejected), paper.Text(share),
			paper.Text(between))
	}
	return t
}

// nozzle is the life of one nozzle of the type; ok is false where its hours are not known, or it never ran on the type.
func (r Review) nozzle(serial string) (l survival.Life, ok bool) {
	for _, s := range r.e.lives.OfNozzle(serial) {
		ok = ok || r.t.has(s.Engine) && s.From <= r.e.today
		o := s.Closed
		if o == nil || o.Day() > r.e.today || o.Nozzle.Found.Written != serial || !o.Decided.Nozzle.Is("renew", "condemn") {
			continue
		}
		hours, known := r.e.lives.NozzleHours(serial, o.Day())
		if !known || hours <= 0 {
			return l, false
		}
		var life logbook.Amount
		if r.t.limits != nil {
			in, _ := r.t.limits.On(o.Day())
			life = in.NozzleLife.Renew
		}
		if r.e.special(o) != "" || life.Quantity.Valid() && hours >= life.Float() {
			return survival.LongerThan(hours), ok
		}
		return survival.EndedAt(hours), ok
	}
	hours, known := r.e.lives.NozzleHours(serial, r.e.today)
	return survival.LongerThan(hours), ok && known && hours > 0
}
