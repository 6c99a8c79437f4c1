package facts

import "needlebook/logbook"

// bookFile is what was read from a file of the book.
type bookFile struct {
	read    any // a pointer to one of the book's types
	remarks string
}

// readFiles are the files of the book by their paths, records and tables not counted.
func (k *Facts) readFiles() map[string]bookFile {
	b, all := k.Book, map[string]bookFile{}
	all[b.Vessel.Path] = bookFile{&b.Vessel, b.Vessel.Remarks}
	for _, l := range b.Limits {
		all[l.Path] = bookFile{l, l.Remarks}
	}
	for _, i := range b.Instruments {
		all[i.Path] = bookFile{i, i.Remarks}
	}
	gather(all, b.Parts, func(p *logbook.Part) (string, string) { return p.Path, p.Remarks })
	gather(all, b.Deferrals, func(d *logbook.Deferral) (string, string) { return d.Path, d.Remarks })
	gather(all, b.Decisions, func(d *logbook.Decision) (string, string) { return d.Path, d.Remarks })
	gather(all, b.Handovers, func(h *logbook.Handover) (string, string) { return h.Path, h.Remarks })
	return all
}

func gather[T any](all map[string]bookFile, list []T, of func(T) (path, remarks string)) {
	for _, one := range list {
		path, remarks := of(one)
		all[path] = bookFile{one, remarks}
	}
}

// FileAt finds what was read from a file: a pointer to one of the book's types, and its remarks.
func (k *Facts) FileAt(path string) (file any, remarks string, ok bool) {
	one, ok := k.files[path]
	return one.read, one.remarks, ok
}
