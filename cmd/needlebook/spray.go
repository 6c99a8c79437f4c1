package main

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"io/fs"
	"path"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/checks/paper"
	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/edit"
	"needlebook/logbook/sprayphoto"
)

// sprayed is a photo of a spray paper that somebody asks about.
type sprayed struct {
	holes        int
	found, enter bool
	out          string

	file string
	rec  *logbook.Overhaul
	read *sprayphoto.Reading
}

func (p *program) sprayVerb() *cobra.Command {
	var a asking
	var s sprayed
	c := &cobra.Command{
		Use:   "spray PHOTO [RECORD]",
		Short: "Read a photo of a spray paper",
		Long: `Reads a photo, JPEG or PNG, of the paper that needlebook card --spray prints:
all four corner marks in the picture, from straight above, in even light.

It says of each hole, by clock number from the dowel, whether its mark is
missing, weak, bent, merged or hard-edged, whether it dripped, and which holes
it could not judge and why. What it reads is a suggestion: the word that was
booked is the word.

The number of holes is that of the limits of the record; without one it is
given. --enter puts the squared picture with rings and numbers under photos/,
names it in the record with what was read, and fills what is still blank of the
spray there.`,
		Example: `  needlebook spray IMG_0411.jpg --holes 9
  needlebook spray IMG_0411.jpg 2024-06-11-h-119 -o squared.jpg
  needlebook spray IMG_0411.jpg 2024-06-11-h-119 --found --enter`,
		Args:              cobra.MinimumNArgs(1),
		ValidArgsFunction: p.complete(logbook.ThingRecord),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.answer(&a, func(o *opened) (paper.Paper, error) {
				if err := s.open(p, o, args[0], strings.Join(args[1:], " ")); err != nil {
					return paper.Paper{}, err
				}
				out := s.answer()
				done, err := s.write(o)
				out.Notes = append(done, out.Notes...)
				return out, err
			})
		},
	}
	p.asks(c, &a)
	f := c.Flags()
	f.IntVar(&s.holes, "holes", 0, "number of holes (default: that of the record's limits)")
	f.BoolVar(&s.found, "found", false, "the test is as found, before dismantling (default: as left)")
	f.BoolVar(&s.enter, "enter", false, "put picture and reading into the record, and fill what is blank there")
	f.StringVarP(&s.out, "output", "o", "", "JPEG file to write: the squared picture with rings and numbers")
	return c
}

// open finds photo and record, and reads the picture.
func (s *sprayed) open(p *program, o *opened, file, record string) error {
	s.file = file
	if record != "" {
		t, err := p.one(o, record, logbook.ThingRecord)
		if err != nil {
			return err
		}
		s.rec = o.book.Overhaul(t.Name)
	}
	if s.enter && s.rec == nil {
		return use("--enter takes a record: needlebook spray %s RECORD --enter", file)
	}
	if s.holes == 0 && s.rec != nil {
		s.holes = int(o.book.LimitsFor(s.rec).OnFirst(s.test().Date.Day, s.rec.Day()).Holes.Count.Value)
	}
	_, src, err := o.fileOrBook(file, "photos/", sprayphoto.MaxBytes)
	if err != nil {
		return err
	}
	var picture image.Image
	if picture, err = sprayphoto.Decode(src); err == nil {
		s.read, err = sprayphoto.Read(picture, s.holes)
	}
	var why *sprayphoto.Refused
	if errors.As(err, &why) {
		return use("%s: %v; %s", file, why, why.Reason.Next())
	}
	return err
}

func (s *sprayed) test() *logbook.Test {
	if s.found {
		return &s.rec.AsFound
	}
	return &s.rec.AsLeft
}

// answer is what the picture shows.
func (s *sprayed) answer() paper.Paper {
	r := s.read
	out := paper.Paper{Name: "spray", Title: fmt.Sprintf("Spray paper %s: %d of %s, %s",
		path.Base(filepath.ToSlash(s.file)), r.Open(), logbook.Counted(len(r.Holes), "hole")+" open", r.Pattern)}
	t := paper.Table{Name: "holes", Columns: []string{"hole", "says", "share of the usual", "off, °", "distance, mm",
		"area, mm²", "darkness"}}
	for _, h := range r.Holes {
		if h.NotJudged != nil {
			out.Lead = append(out.Lead, fmt.Sprintf("hole %d was not judged: %v", h.Number, h.NotJudged),
				"  "+h.NotJudged.Reason.Next())
		}
		off := fmt.Sprintf("%+.1f", h.Off)
		if h.Missing {
			off = "–"
		}
		t.Add(paper.Text(strconv.Itoa(h.Number)), paper.Text(saysHole(h)),
			paper.Text(fmt.Sprintf("%.0f %% ± %.0f %%", 100*h.Share, 100*h.ShareU)), paper.Text(off),
			paper.Text(fmt.Sprintf("%.0f", h.Distance)), paper.Text(fmt.Sprintf("%.0f", h.Area)),
			paper.Text(fmt.Sprintf("%.2f", h.Darkness)))
	}
	if r.Drip {
		out.Lead = append(out.Lead, "a drip is in the middle")
	}
	out.Tables = []paper.Table{t}
	if off := fmt.Sprintf("the ring is %.0f mm to the right and %.0f mm below the cross", r.OffX, r.OffY); r.OffX*r.OffX+
		r.OffY*r.OffY > 16 {
		out.Notes = append(out.Notes, off+": the valve was not square, no fault of it")
	}
	if s.rec != nil && s.test().Spray.Stated() {
		out.Notes = append(out.Notes, "booked: "+bookedSpray(&s.test().Spray))
	}
	out.Notes = append(out.Notes, "read is a suggestion: the word that was booked is the word")
	return out
}

func saysHole(h sprayphoto.Hole) string {
	if h.NotJudged != nil {
		return "not judged"
	}
	var words []string
	for _, x := range []struct {
		is   bool
		word string
	}{{h.Missing, "missing"}, {h.Weak, "weak"}, {h.Bent, "bent"}, {h.Merged, "merged with the next"},
		{h.HardEdged, "hard-edged"}} {
		if x.is {
			words = append(words, x.word)
		}
	}
	if words == nil {
		return "good"
	}
	return strings.Join(words, ", ")
}

func bookedSpray(s *logbook.Spray) string {
	text := dash(s.Open.Written) + " open, " + dash(s.Form.Written)
	if n := len(s.Weak.Each); n > 0 {
		text += ", " + logbook.Counted(n, "weak hole")
	}
	return text
}

// write writes the squared picture where it was asked for, and enters what was read.
func (s *sprayed) write(o *opened) (done []string, err error) {
	var picture bytes.Buffer
	if err := jpeg.Encode(&picture, s.read.Shown(), &jpeg.Options{Quality: 80}); err != nil {
		return nil, err
	}
	if s.out != "" {
		if err := edit.Create(s.out, picture.Bytes()); err != nil {
			return nil, fmt.Errorf("could not write %q: %w", s.out, err)
		}
		done = append(done, s.out+": written")
	}
	if !s.enter {
		return done, nil
	}
	full := filepath.Join(o.dir, filepath.FromSlash(s.rec.Path))
	src, err := budget.Read(full, budget.MaxFile)
	if err != nil {
		return nil, err
	}
	word, block := "as left", "as_left"
	if s.found {
		word, block = "as found", "as_found"
	}
	name := "photos/" + s.rec.Stem + "-" + strings.TrimPrefix(block, "as_") + "-spray.jpg"
	text, err := edit.AddItem(src, "papers", s.item(word, name), keysOf("overhaul"))
	if err != nil {
		return nil, use("%s: %v", s.rec.Path, err)
	}
	done = append(done, name+": written", s.rec.Path+": paper named")
	text, filled := s.fill(text, block)
	if filled {
		done = append(done, s.rec.Path+": spray "+word+" filled in")
	}
	err = edit.Create(filepath.Join(o.dir, filepath.FromSlash(name)), picture.Bytes())
	if errors.Is(err, fs.ErrExist) {
		return nil, use("%s is in the book already: its paper was entered before", name)
	}
	if err != nil {
		return nil, err
	}
	return done, edit.Replace(full, src, text)
}

// item is the paper as the record has it.
func (s *sprayed) item(word, name string) string {
	list := func(is func(h sprayphoto.Hole) bool) string {
		var all []string
		for _, h := range s.read.Holes {
			if is(h) {
				all = append(all, strconv.Itoa(h.Number))
			}
		}
		return "[" + strings.Join(all, ", ") + "]"
	}
	item := fmt.Sprintf("{test: %s, photo: %s, open: %d", word, quoted(name), s.read.Open())
	for _, x := range []struct {
		key string
		is  func(h sprayphoto.Hole) bool
	}{{"missing", func(h sprayphoto.Hole) bool { return h.Missing }}, {"weak", weakHole},
		{"bent", func(h sprayphoto.Hole) bool { return h.Bent }},
		{"not_judged", func(h sprayphoto.Hole) bool { return h.NotJudged != nil }}} {
		if holes := list(x.is); holes != "[]" {
			item += ", " + x.key + ": " + holes
		}
	}
	return item + ", pattern: " + s.read.Pattern + "}"
}

func weakHole(h sprayphoto.Hole) bool { return h.Weak }

// fill writes the spray where nothing of it is booked; a hole that was not judged leaves the word to the engineer.
func (s *sprayed) fill(text []byte, block string) ([]byte, bool) {
	t := s.test()
	for _, h := range s.read.Holes {
		if h.NotJudged != nil || t.Spray.Stated() && (t.Spray.Open.Stated() || t.Spray.Form.Stated()) {
			return text, false
		}
	}
	var weak []string
	for _, h := range s.read.Holes {
		if h.Weak {
			weak = append(weak, strconv.Itoa(h.Number))
		}
	}
	for _, x := range [][2]string{{"open", strconv.Itoa(s.read.Open())}, {"weak", "[" + strings.Join(weak, ", ") + "]"},
		{"pattern", s.read.Pattern}} {
		out, err := edit.Fill(s.rec.Path, text, block+".spray."+x[0], x[1], keysOf("overhaul"))
		if err != nil {
			return text, false
		}
		text = out
	}
	return text, true
}
