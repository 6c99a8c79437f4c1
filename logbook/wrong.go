package logbook

import "needlebook/logbook/measure"

// FoundWrong is the time, on record for an instrument, during which it read wrong and in which the day falls; nil where there is none.
func (b *Book) FoundWrong(instrument string, day Day) *FoundWrong {
	i := b.Instruments[instrument]
	if i == nil || day == 0 {
		return nil
	}
	for k := range i.FoundWrong {
		w := &i.FoundWrong[k]
		if w.From.Day != 0 && w.From.Day <= day && (w.To.Day == 0 || day <= w.To.Day) {
			return w
		}
	}
	return nil
}

// True is the probable true value, in the base unit, behind one that the instrument showed in that time; ok is false where neither a
// factor nor an offset of the same kind is on record.
func (w *FoundWrong) True(shown measure.Quantity) (value float64, ok bool) {
	switch {
	case !shown.Valid():
		return 0, false
	case w.Factor.Valid && w.Factor.Value > 0:
		return shown.Float() / w.Factor.Value, true
	case w.Off.Quantity.Valid() && w.Off.Kind() == shown.Kind():
		return shown.Float() - w.Off.Float(), true
	}
	return 0, false
}
