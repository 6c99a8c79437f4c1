package judging

import (
	"iter"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"

	"needlebook/logbook"
	"needlebook/logbook/fault"
	"needlebook/logbook/keys"
	"needlebook/logbook/measure"
)

// Result is what a measurement shows against its limit, or why there is none.
type Result uint8

// The results. The first four are verdicts; the others say why there is none.
const (
	None          Result = iota
	Within               // inside the limit, clear of the uncertainty
	WithinDoubt          // inside the limit by less than the uncertainty
	BeyondDoubt          // outside the limit by less than the uncertainty
	Beyond               // outside the limit, clear of the uncertainty
	NotMeasured          // no value stands there
	NotApplicable        // the limit does not concern this valve
	NoLimitThen          // no limit was in force that day
	NotProven            // the instrument is unknown or out of date: the value is kept, the verdict is not
)

// String is the result in words.
func (r Result) String() string {
	return [...]string{"", "within", "within, in doubt", "beyond, in doubt", "beyond", "not measured", "not applicable",
		"no limit then", "not proven"}[r]
}

// Out says that the value lies outside its limit, in doubt or not.
func (r Result) Out() bool { return r == BeyondDoubt || r == Beyond }

// Verdict is one measurement against its limit.
type Verdict struct {
	Key        string           // the key judged: "as_left.leak_down.time"; for a worked-out value "effective_lift"
	Name       string           // the trade's name: "leak-down as left"
	Value      measure.Quantity // what was judged, as written; invalid where there is none
	Written    string           // the value in words where it is no quantity: "damp"
	Read       measure.Quantity // as written, where Value is worked out from it; invalid elsewhere
	Referred   string           // what was judged where that is another: "9.2 s at 20 °C"; empty elsewhere
	Place      logbook.Place    // where it stands
	Side       int              // -1 below, +1 above the limit, 0 within
	Span       measure.Span     // the limit as applied to this valve; invalid where there is none or it is no band
	LimitText  string           // the limit in words, worked out where it is relative; empty where there is none
	LimitPlace logbook.Place    // where the limit is written
	Source     string           // document and section the limit was copied from
	Revision   logbook.Day      // first day of that revision
	Safety     bool             // uncertainty counts against the part
	Instrument string           // id of the instrument, empty where not stated
	Theirs     string           // "by certificate", where the value is not the ship's own; empty where it is
	U          float64          // expanded uncertainty in the base unit, for about 95 %; 0 where not known
	Chance     float64          // that the true value is within; never beside a safety limit, 0 where U is not known
	Margin     measure.Quantity // distance to the nearer limit, negative when beyond; invalid where there is none
	Accepted   bool             // accepted by the rule the limits file names; only with one of the four verdicts
	// the uncertainty is wider than half the band: this instrument cannot prove any value within
	CannotProve bool
	Result      Result
	Why         string        // why there is no verdict, or what the uncertainty rests on
	Working     []string      // the working, line by line: see [Judgement.Worked]
	Class       logbook.Class // setting class, for what depends on it
}

// Shows is the result in words, marked where the value is not the ship's own: "within, by certificate".
func (v *Verdict) Shows() string {
	if v.Theirs == "" {
		return v.Result.String()
	}
	return strings.TrimPrefix(v.Result.String()+", "+v.Theirs, ", ")
}

// AsRead is the value as it was read, where what is judged was worked out from it.
func (v *Verdict) AsRead() measure.Quantity {
	if v.Read.Valid() {
		return v.Read
	}
	return v.Value
}

// Shown is the value as written, and beside it what was judged where that is worked out from it: "7.4 s (9.2 s at 20
// °C)".
func (v *Verdict) Shown() string {
	text := firstOf(v.Written, v.Value.String())
	if v.Referred != "" {
		text += " (" + v.Referred + ")"
	}
	return text
}

// Unaccepted says that the value lies within its limit by less than the uncertainty that counts against it: at a safety
// limit, or by the guarded rule.
func (v *Verdict) Unaccepted() bool { return v.Result == WithinDoubt && !v.Accepted }

// Judgement is every verdict of a book. It may be asked by several goroutines.
type Judgement struct {
	byRecord map[*logbook.Overhaul][]Verdict
	asked    *sync.Map // of those judged on demand, their verdicts
	judge    func(o *logbook.Overhaul, show bool) []Verdict
	failed   []error // of those judged all at once, why this program could not; by their order
	all      []*logbook.Overhaul
}

// Failed are the overhauls that this program could not judge, and why, in the order of the book. They have no verdicts.
func (j *Judgement) Failed() iter.Seq2[*logbook.Overhaul, error] {
	return func(yield func(*logbook.Overhaul, error) bool) {
		for i, err := range j.failed {
			if err != nil && !yield(j.all[i], err) {
				return
			}
		}
	}
}

// Worked lists the verdicts of a record with their working, which is put into words when it is asked for: of ten
// thousand records a handful are looked at.
func (j *Judgement) Worked(o *logbook.Overhaul) []Verdict {
	if o == nil {
		return nil
	}
	return j.judge(o, true)
}

// Of lists the verdicts of a record in the order of the bench, without their working.
func (j *Judgement) Of(o *logbook.Overhaul) []Verdict {
	if j.asked == nil || o == nil {
		return j.byRecord[o]
	}
	known, ok := j.asked.Load(o)
	if !ok {
		known, _ = j.asked.LoadOrStore(o, j.judge(o, false))
	}
	return known.([]Verdict)
}

// Find is the verdict of a record on one key, without its working. It is never nil and not to be changed; Result is
// None where the record has none.
func (j *Judgement) Find(o *logbook.Overhaul, key string) *Verdict {
	list := j.Of(o)
	for i := range list {
		if v := &list[i]; v.Key == key {
			return v
		}
	}
	return &none
}

// LiftOf is the one verdict that answers for the lift: of the nozzle's own and of that with the wear of the holder's
// face, each by the limit that a manual may state for it, the one beyond its limit, else the one that a limit judges,
// else that of both together.
func (j *Judgement) LiftOf(o *logbook.Overhaul) *Verdict {
	own, sum := j.Find(o, keys.MeasuredLift), j.Find(o, EffectiveLift)
	if own.Result.Out() && !sum.Result.Out() || own.LimitText != "" && sum.LimitText == "" {
		return own
	}
	return sum
}

// EffectiveLift is the key of the verdict on the lift with the wear of the holder's face, which is worked out.
const EffectiveLift = "effective_lift"

// none stands where a record has no verdict.
var none Verdict

// Judge judges every overhaul of a book, on all processors: no verdict rests on another.
func Judge(b *logbook.Book) *Judgement {
	j := &Judgement{byRecord: make(map[*logbook.Overhaul][]Verdict, len(b.Overhauls)), judge: judgeOf(b),
		failed: make([]error, len(b.Overhauls)), all: b.Overhauls}
	verdicts := make([][]Verdict, len(b.Overhauls))
	var next atomic.Int64
	var workers fault.Group
	for range runtime.GOMAXPROCS(0) {
		workers.Go(func() {
			for i := next.Add(1) - 1; i < int64(len(verdicts)); i = next.Add(1) - 1 {
				j.failed[i] = fault.Catch("judge "+b.Overhauls[i].Path, func() error {
					verdicts[i] = j.judge(b.Overhauls[i], false)
					return nil
				})
			}
		})
	}
	workers.Wait()
	for i, o := range b.Overhauls {
		j.byRecord[o] = verdicts[i]
	}
	return j
}

// OnDemand judges each overhaul of a book when it is first asked for: what [Judge] gives, where only a few are looked
// at.
func OnDemand(b *logbook.Book) *Judgement {
	return &Judgement{asked: &sync.Map{}, judge: judgeOf(b)}
}

func judgeOf(b *logbook.Book) func(o *logbook.Overhaul, show bool) []Verdict {
	settings := b.Vessel.Settings.WithDefaults()
	return func(o *logbook.Overhaul, show bool) []Verdict {
		return judgeOne(b, o, b.LimitsFor(o), b.LimitsAsLeft(o), &settings, show)
	}
}

// By judges overhauls one by one by other limits than those of their own day, without their working.
func By(l *logbook.Limits, b *logbook.Book) func(o *logbook.Overhaul) []Verdict {
	settings := b.Vessel.Settings.WithDefaults()
	return func(o *logbook.Overhaul) []Verdict { return judgeOne(b, o, l, l, &settings, false) }
}
