package facts

// FileAt finds what was read from a file.
func (k *Facts) FileAt(f string) (file any, remarks string, ok bool) {
	b := k.Book
	if f == b.Vessel.Path {
		return &b.Vessel, b.Vessel.Remarks, true
	}
	for _, l := range b.Limits {
		if l.Path == f {
			return l, l.Remarks, true
		}
	}
	for _, p := range b.Parts {
		if p.Path == f {
			return p, p.Remarks, true
		}
	}
	for _, i := range b.Instruments {
		if i.Path == f {
			return i, i.Remarks, true
		}
	}
	for _, d := range b.Deferrals {
		if d.Path == f {
			return d, d.Remarks, true
		}
	}
	for _, d := range b.Decisions {
		if d.Path == f {
			return d, d.Remarks, true
		}
	}
	for _, h := range b.Handovers {
		if h.Path == f {
			return h, h.Remarks, true
		}
	}
	return nil, "", false
}
