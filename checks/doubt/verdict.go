package doubt

// Verdict is what a measurement shows against its limit, or why it shows nothing. The zero value is no verdict yet.
type Verdict int

// The four verdicts, from best to worst, and the three reasons why there is none.
const (
	Within        Verdict = iota + 1 // clears the limit by the expanded uncertainty or more
	WithinInDoubt                    // on the good side by less than the expanded uncertainty, the limit itself included
	BeyondInDoubt                    // past the limit by no more than the expanded uncertainty
	Beyond                           // past the limit by more than the expanded uncertainty
	NotMeasured                      // no value
	NotApplicable                    // the limit does not concern this part
	NoLimitThen                      // no limit was in force on the day of the work
)

// String returns the verdict in the book's words.
func (v Verdict) String() string {
	switch v {
	case Within:
		return "within"
	case WithinInDoubt:
		return "within, in doubt"
	case BeyondInDoubt:
		return "beyond, in doubt"
	case Beyond:
		return "beyond"
	case NotMeasured:
		return "not measured"
	case NotApplicable:
		return "not applicable"
	case NoLimitThen:
		return "no limit then"
	}
	return "no verdict"
}

// Judged reports whether a value was compared with a limit.
func (v Verdict) Judged() bool { return v >= Within && v <= Beyond }

// InDoubt reports whether the instrument leaves open on which side of the limit the true value lies.
func (v Verdict) InDoubt() bool { return v == WithinInDoubt || v == BeyondInDoubt }
