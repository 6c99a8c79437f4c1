package uncertainty

// Verdict is what a measurement shows against its limit. The zero value is no verdict; why there is none is for those
// to say who know the record.
type Verdict int

// The four verdicts, from best to worst.
const (
	Within        Verdict = iota + 1 // clears the limit by the expanded uncertainty or more
	WithinInDoubt                    // on the good side by less than the expanded uncertainty, the limit itself included
	BeyondInDoubt                    // past the limit by no more than the expanded uncertainty
	Beyond                           // past the limit by more than the expanded uncertainty
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
	}
	return "no verdict"
}

// InDoubt reports whether the instrument leaves open on which side of the limit the true value lies.
func (v Verdict) InDoubt() bool { return v == WithinInDoubt || v == BeyondInDoubt }
