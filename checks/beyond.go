package checks

import (
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// beyond says how far a value lies out of its limit: "lift 0.71 mm is 0.01 mm above the limit 0.70 mm".
func beyond(v *judging.Verdict) string {
	value := v.Name + " " + v.Shown()
	if !v.Span.Valid() || v.Side == 0 {
		return value + ", limit " + v.LimitText
	}
	if v.Side < 0 {
		return value + " is " + v.Span.Low.Apart(v.Value).String() + " below " + edge(v, v.Span.Low)
	}
	return value + " is " + v.Span.High.Apart(v.Value).String() + " above " + edge(v, v.Span.High)
}

// unaccepted makes a finding of a value that lies within its limit by less than the uncertainty that counts against it.
func unaccepted(f *Finding, v *judging.Verdict) {
	end := v.Span.High
	if !end.Valid() {
		end = v.Span.Low
	}
	f.readWith = v.Instrument
	f.Message = v.Name + " " + v.Written + " is within the limit " + end.String() + " by less than the uncertainty"
	f.Next, f.Grade = "measure again, or with a better gauge: by the guarded rule of the limits file the uncertainty "+
		"counts against the part", Action
	if v.Safety {
		f.Next = "measure at three places with a second instrument, and record it: again, again_with"
	}
}

// edge names the limit that was passed; of a band closed on both sides, the band.
func edge(v *judging.Verdict, end measure.Quantity) string {
	if !v.Span.Low.Valid() || !v.Span.High.Valid() {
		return "the limit " + end.String()
	}
	text := "the band " + v.Span.Low.Number() + " to " + v.Span.High.String()
	if i := strings.LastIndex(v.LimitText, " ("); i >= 0 && v.Class.String() == strings.Trim(v.LimitText[i:], " ()") {
		text += v.LimitText[i:]
	}
	return text
}

// onVerdict begins a finding on a value and its limit.
func onVerdict(o *logbook.Overhaul, v *judging.Verdict, message, next string) Finding {
	return Finding{Place: v.Place, Message: message, Next: next, Limit: limit(v), About: about(o)}
}
