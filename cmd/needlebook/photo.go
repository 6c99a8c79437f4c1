package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/edit"
	"needlebook/logbook/photo"
)

// largestPhoto is the size of a file that a telephone gives, in bytes.
const largestPhoto = 64 << 20

// comparedPhotos is how many pictures of the book a new one is held against: the newest.
const comparedPhotos = 200

// photoKinds are the kinds of things whose record a picture belongs to.
var photoKinds = []logbook.ThingKind{logbook.ThingRecord, logbook.ThingPosition, logbook.ThingHolder,
	logbook.ThingNozzle}

func (p *program) photo() *cobra.Command {
	return &cobra.Command{
		Use:   "photo FILE… RECORD",
		Short: "Take photos into a record: upright, small, without place and device",
		Long: `Takes pictures from a telephone or a camera into the book: turned upright, what
they tell of the place and the device taken out, shrunk under the size that the
book allows (photo_size), with a fit name under photos/, and entered in the
record. RECORD is a record; of a position, a holder or a nozzle the newest.

JPEG and PNG are read. The files themselves stay as they are.

A picture that is in another record already is told and left out, also where it
was made smaller or brighter since: a new one is held against the 200 newest of
the book. Where one picture belongs to two records, add its name under photos of
the second in an editor.`,
		Example: `  needlebook photo IMG_0412.jpg 2024-06-11-h-119
  needlebook photo tip.jpg seat.png ME1-3`,
		Args: cobra.MinimumNArgs(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.takePhotos(args[:len(args)-1], args[len(args)-1])
		},
	}
}

func (p *program) takePhotos(files []string, what string) error {
	o, _, err := p.openAt("")
	if err != nil {
		return err
	}
	defer o.close()
	t, err := p.one(o, what, photoKinds...)
	if err != nil {
		return err
	}
	records := o.newest(t)
	if len(records) == 0 {
		return use("no record of %s has begun; needlebook enter %s begins one", t.Name, t.Name)
	}
	rec := records[len(records)-1]
	book := o.album()
	var names []string
	for _, file := range files {
		src, err := budget.Read(file, largestPhoto)
		if errors.Is(err, fs.ErrNotExist) {
			return use("there is no file %q", file)
		}
		if err != nil {
			return err
		}
		name, err := p.keepPhoto(o, rec.Stem, file, src, book)
		if err != nil {
			return err
		}
		names = append(names, name)
	}
	return p.enterPhotos(o, rec.Path, names)
}

// album are the newest pictures of a book with what they look like.
type album struct {
	names []string
	looks []photo.Digest
}

// album looks at the newest pictures that records name. One that cannot be read is left out: check tells it.
func (o *opened) album() *album {
	a := &album{}
	for _, rec := range slices.Backward(o.book.Overhauls) {
		for _, named := range rec.Photos.Each {
			if len(a.names) == comparedPhotos {
				return a
			}
			if slices.Contains(a.names, named.Written) {
				continue
			}
			src, err := budget.ReadFile(o.files, named.Written, largestPhoto)
			if err != nil {
				continue
			}
			if look, err := photo.Look(src); err == nil {
				a.names, a.looks = append(a.names, named.Written), append(a.looks, look)
			}
		}
	}
	return a
}

// keepPhoto writes a picture under a name that the record gives it, and says what became of it. The same bytes are
// written once.
func (p *program) keepPhoto(o *opened, stem, file string, src []byte, book *album) (name string, err error) {
	fit, err := photo.Fit(src, int(o.book.Settings().PhotoSize.Value))
	if err != nil {
		return "", use("%s %v", file, err)
	}
	look, err := photo.Look(fit.Data)
	if err != nil {
		return "", err
	}
	if i := slices.IndexFunc(book.looks, func(other photo.Digest) bool { return photo.Same(look, other) }); i >= 0 &&
		!strings.HasPrefix(book.names[i], "photos/"+stem+"-") {
		fmt.Fprintf(p.out, "%s: left out, it is the same picture as %s\n", file, book.names[i])
		p.status = exitFindings
		return "", nil
	}
	name, there, err := p.putPhoto(o, stem, fit.Ext, fit.Data)
	if err != nil {
		return "", err
	}
	if there {
		fmt.Fprintf(p.out, "%s: there already, from %s\n", name, file)
		return name, nil
	}
	fmt.Fprintf(p.out, "%s: from %s, %d kB of %d\n", name, file, (len(fit.Data)+999)/1000, (len(src)+999)/1000)
	book.names, book.looks = append(book.names, name), append(book.looks, look)
	return name, nil
}

// putPhoto writes a picture under the first free name of a record. The same bytes are written once.
func (p *program) putPhoto(o *opened, stem, ext string, data []byte) (name string, there bool, err error) {
	for n := 1; ; n++ {
		name = fmt.Sprintf("photos/%s-%d%s", stem, n, ext)
		full := filepath.Join(o.dir, filepath.FromSlash(name))
		err := edit.Create(full, data)
		if errors.Is(err, fs.ErrExist) {
			if old, err := budget.Read(full, largestPhoto); err == nil && bytes.Equal(old, data) {
				return name, true, nil
			}
			continue
		}
		if err != nil {
			return "", false, fmt.Errorf("could not write %q: %w", name, err)
		}
		return name, false, nil
	}
}

// enterPhotos enters pictures in a record that it does not name yet.
func (p *program) enterPhotos(o *opened, record string, names []string) error {
	full := filepath.Join(o.dir, filepath.FromSlash(record))
	src, err := budget.Read(full, budget.MaxFile)
	if err != nil {
		return err
	}
	text, entered, there := src, 0, logbook.EvidenceIn(src)
	var order []string
	for _, f := range logbook.KindNamed("overhaul").Fields {
		order = append(order, f.Key)
	}
	for _, name := range names {
		if name == "" || slices.Contains(there, name) {
			continue
		}
		if text, err = edit.AddItem(text, "photos", name, order); err != nil {
			return use("%s: %v", record, err)
		}
		entered++
	}
	if entered == 0 {
		return nil
	}
	if err := edit.Replace(full, src, text); err != nil {
		return fmt.Errorf("could not write %q: %w", record, err)
	}
	fmt.Fprintf(p.out, "%s: %s entered\n", record, logbook.Counted(entered, "photo"))
	return nil
}
