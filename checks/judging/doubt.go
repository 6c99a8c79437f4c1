package judging

// doubt completes a verdict with the uncertainty of its instrument. An instrument that the book does not know, or whose
// calibration had run out, proves nothing good: the value is kept, the verdict is not.
func (j *judge) doubt(v *Verdict) {
	if v.Instrument == "" {
		return
	}
	day := j.o.Day()
	i := j.b.Instruments[v.Instrument]
	why := ""
	switch {
	case i == nil:
		why = "instrument " + v.Instrument + " is not in the book"
	case i.Until.Day != 0 && i.Until.Day < day:
		why = "calibration of " + v.Instrument + " ran out on " + i.Until.Written
	}
	if why != "" {
		v.Why = why
		if v.Result == Within {
			v.Result = NotProven
		}
	}
}
