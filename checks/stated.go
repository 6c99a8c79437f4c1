package checks

import "needlebook/logbook"

// What somebody has stated in the file of a part or an instrument ends what no work on a valve can: a receipt, a stamp
// that was read, both entries in a book of the engine, the result of a laboratory. Each is complete or ends nothing.

// scrappedSince is the line that says that the part is scrapped.
func scrappedSince(h *histories, f *Finding) (Fact, bool) {
	p := h.c.Book.Part(f.Subject.Kind.String(), f.Subject.Name)
	if p == nil || !p.Scrapped.Stated() {
		return Fact{}, false
	}
	return h.stated(f, p.Scrapped.Date, f.Subject.String())
}

// landedSince is the line that says that the part was sent ashore, and what was signed for it there.
func landedSince(h *histories, f *Finding) (Fact, bool) {
	p := h.c.Book.Part(f.Subject.Kind.String(), f.Subject.Name)
	if p != nil && says(p.Landed.Receipt) {
		return h.stated(f, p.Landed.Date, "receipt "+p.Landed.Receipt.Written)
	}
	for _, o := range h.c.Book.Overhauls {
		landed := f.Subject.Kind == OfHolder && o.Holder.Written == f.Subject.Name ||
			f.Subject.Kind == OfNozzle && o.NozzleOut() == f.Subject.Name
		if !landed || !o.Landed.Stated() || !says(o.Landed.Receipt) {
			continue
		}
		if fact, ok := h.stated(f, o.Landed.Date, "receipt "+o.Landed.Receipt.Written); ok {
			return fact, true
		}
	}
	return Fact{}, false
}

// claimDecided is the line that says how a claim for the part ended.
func claimDecided(h *histories, f *Finding) (Fact, bool) {
	p := h.c.Book.Part(f.Subject.Kind.String(), f.Subject.Name)
	if p == nil || !says(p.Claim.Why) {
		return Fact{}, false
	}
	return h.stated(f, p.Claim.Date, p.Claim.Why.Written)
}

// stated is a fact of a day on which a finding held already, and that has come.
func (h *histories) stated(f *Finding, d logbook.Date, words string) (Fact, bool) {
	return Fact{d.Day, d.Place, words}, d.Day != 0 && d.Day >= f.Since && d.Day <= h.c.Today
}

// stampRead is the reading of a stamp by somebody, of the serial that the book has in two places.
func stampRead(h *histories, f *Finding) (Fact, bool) {
	kind, serial := OfHolder, f.About.Holder
	if serial == "" {
		kind, serial = OfNozzle, f.About.Nozzle
	}
	p := h.c.Book.Part(kind.String(), serial)
	if p == nil {
		return Fact{}, false
	}
	for i := range p.StampRead {
		s := &p.StampRead[i]
		if fact, ok := h.stated(f, s.Date, "read by "+s.By.Written); ok && s.By.Stated() && s.Reads.Written == serial {
			return fact, true
		}
	}
	return Fact{}, false
}

// bothEntered are both entries in the record book of engine parameters, of the fitting and of the removal, for the time
// that the nozzle of a finding was in an engine.
func bothEntered(h *histories, f *Finding) (Fact, bool) {
	o, left := h.half(f)
	p := h.c.Book.Part(OfNozzle.String(), f.Subject.Name)
	if o == nil || p == nil {
		return Fact{}, false
	}
	period := h.c.Lives.ClosedBy(o)
	if left {
		period = h.c.Lives.OpenedBy(o)
	}
	if period == nil || period.To == 0 || period.To > h.c.Today {
		return Fact{}, false
	}
	for i := range p.RecordBook {
		e := &p.RecordBook[i]
		if e.Fitted.Day == period.From && e.Removed.Day == period.To && says(e.Page) {
			return Fact{e.Removed.Day, e.Place, "page " + e.Page.Written}, true
		}
	}
	return Fact{}, false
}

// withinAsFound is the certificate of a later calibration that found the instrument within its error as it came in.
func withinAsFound(h *histories, f *Finding) (Fact, bool) {
	i := h.c.Book.Instruments[f.Subject.Name]
	if i == nil || f.Since == 0 {
		return Fact{}, false
	}
	for k := range i.AsFound {
		r := &i.AsFound[k]
		fact, ok := h.stated(f, r.Date, "certificate "+r.Certificate.Written)
		if ok && r.Result.Is("within") && says(r.Certificate) {
			return fact, true
		}
	}
	return Fact{}, false
}
