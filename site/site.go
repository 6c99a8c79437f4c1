package site

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/fault"
	"needlebook/logbook/hypertext"
	"needlebook/site/address"
	"needlebook/site/content"
	"needlebook/site/facts"
	"needlebook/site/fleet"
	"needlebook/site/look"
	"needlebook/site/page"
)

// Input is what pages are made from.
type Input struct {
	Book   *logbook.Book
	Report *checks.Report // what the checks say of the same book
	Trail  *logbook.Trail // what the history shows; nil for a plain folder
	Files  fs.FS          // the book's files, the same that the book was read from: the texts and the pictures
	Before *Before        // an earlier state to compare with; nil for none
	// Program is the release that builds the pages: "needlebook 0.2". Each page and the summary name it.
	Program string
	// Context ends the build when it ends, with an error that is budget.ErrStopped and the former pages as they were;
	// nil never does.
	Context context.Context
}

// Before is what the checks said of the book as it stood at an earlier commit.
type Before = facts.Before

// Result says what a build did to the output folder.
type Result struct {
	Pages     int // files of the site: pages, stylesheet, pictures
	Written   int // of them new or changed
	Unchanged int // of them as a former build left them, and not touched
	Removed   int // files of a former build that no longer belong
	// Failed are the pages that this program could not make, and why. Each says so itself, and all others are as they
	// should be.
	Failed []error
}

// Build writes the site of one book into the folder out, which is made where it does not exist. The same input gives
// the same bytes. Files that stand there unchanged are not touched, and pages of a former build that no longer belong
// are removed.
//
// The error wraps [ErrForeign] for a folder that holds other files than a former build's, and [ErrInsideBook] for one
// inside a book. After an error the former pages stand as they were, unless the disk failed while the new ones were
// moved to their places.
func Build(in Input, out string) (Result, error) {
	if in.Book == nil || in.Report == nil || in.Files == nil {
		return Result{}, errors.New("could not build the pages: book, report and files are needed")
	}
	folder, err := openFolder(out)
	if err != nil {
		return Result{}, err
	}
	defer folder.close()
	failed, err := newSite(in, folder).write()
	if err != nil {
		return Result{}, err
	}
	r, err := folder.result()
	r.Failed = failed
	return r, err
}

// Join writes the front page of several ships into the folder out: one line a ship, exceptions first. It reads no
// book; what it needs stands in the summaries. The folder may hold the ships' own folders of pages, and nothing else
// that is not ours; the errors are those of [Build].
func Join(ships []fleet.Ship, out string) (Result, error) {
	f, err := openFor(out, shipsHead)
	if err != nil {
		return Result{}, err
	}
	defer f.close()
	r := look.New(look.Frame{Name: fleet.Title, First: address.Vessel, Foot: content.FleetFoot()}, nil)
	if err := errors.Join(f.assets(fleet.Title), f.page(r, fleet.Page(ships))); err != nil {
		return Result{}, err
	}
	return f.result()
}

// result moves the new pages to their places, and says what was done.
func (f *folder) result() (Result, error) {
	r := Result{Pages: len(f.now)}
	var err error
	r.Written, r.Removed, err = f.finish()
	r.Unchanged = r.Pages - r.Written
	return r, err
}

// assets takes in the files that every page asks for; printed is what each printed sheet says at its foot.
func (f *folder) assets(printed string) error {
	return errors.Join(f.put(string(look.StyleFile), look.Style), f.put(string(look.ComfortFile), look.Comfort),
		f.put(string(look.PrintFile), look.Printed(printed)))
}

// page takes in a page as it is written. Of one that breaks off nothing is left.
func (f *folder) page(r *look.Renderer, p *page.Page) error {
	return f.write(string(p.Name), func(w io.Writer) error { return r.Write(w, p) })
}

// site is one build of the pages of a book.
type site struct {
	*content.Writer
	ctx      context.Context
	facts    *facts.Facts
	at       *address.Pages
	out      *folder
	pictures pictures
}

func newSite(in Input, out *folder) *site {
	if in.Context == nil {
		in.Context = context.Background()
	}
	k := facts.Of(facts.Input{Book: in.Book, Report: in.Report, Trail: in.Trail, Files: in.Files, Before: in.Before,
		Program: in.Program})
	at := address.Of(k)
	s := &site{Writer: content.New(k, at), ctx: in.Context, facts: k, at: at, out: out}
	s.pictures = pictures{files: in.Files, inBook: in.Book.Files, out: out}
	return s
}

// PageOf, Has and Picture are what a page may show of the book beside its words.

// PageOf is the page of a file of the book; empty for none.
func (s *site) PageOf(path string) page.Ref { return s.at.OfFile(path) }

// Has says that the book holds a file.
func (s *site) Has(path string) bool {
	_, found := slices.BinarySearch(s.facts.Book.Files, path)
	return found
}

// Picture is a picture of the book, or why it is not shown.
func (s *site) Picture(path string) look.Picture { return s.pictures.of(path) }

// job makes one file of the site, or a few that belong together, of which it names the first.
type job struct {
	name page.Ref
	make func(*look.Renderer) error
}

// jobs are those of all pages, and of the files that are none.
func (s *site) jobs() []job {
	jobs := []job{{page.Ref(fleet.File), func(*look.Renderer) error { return s.writeSummary() }},
		{address.Search, func(*look.Renderer) error { return s.writeSearch() }}}
	for _, j := range s.Jobs() {
		jobs = append(jobs, job{j.Page, func(r *look.Renderer) error {
			for _, p := range j.Make() {
				if err := s.out.page(r, p); err != nil {
					return err
				}
			}
			return nil
		}})
	}
	return jobs
}

func (s *site) writeSearch() error {
	text, err := s.Search(hypertext.Visible)
	if err != nil {
		return fmt.Errorf("could not write what the search finds: %w", err)
	}
	return s.out.put(string(address.Search), text)
}

// writeSummary leaves the summary beside the pages.
func (s *site) writeSummary() error {
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetIndent("", "  ")
	one := s.Summary()
	one.Vessel, one.History.Headline = hypertext.Visible(one.Vessel), hypertext.Visible(one.History.Headline)
	if err := enc.Encode(one); err != nil {
		return fmt.Errorf("could not write the summary: %w", err)
	}
	return s.out.put(fleet.File, logbook.Visible(out.Bytes()))
}

// workers are the most pages written at once: rendering is bound by two cores on the machines that ships have.
const workers = 2

// write writes every page, and gives the faults of those that it could not make, in their order. Each page depends on
// the input alone, so the order in which the workers take them does not show.
func (s *site) write() (failed []error, err error) {
	if err := s.out.assets(s.PrintedFoot()); err != nil {
		return nil, err
	}
	if t := s.facts.Trail; t.UnderGit {
		if err := s.out.put(string(address.ProofScript), []byte(logbook.ProofScript(t.FoundingProof))); err != nil {
			return nil, err
		}
	}
	jobs := s.jobs()
	faults := make([]error, len(jobs))
	var next atomic.Int64
	var group fault.Group
	errs := make([]error, min(workers, runtime.GOMAXPROCS(0)))
	frame := s.frame()
	for w := range errs {
		group.Go(func() {
			r := look.New(frame, s)
			take := func() int { return int(next.Add(1)) - 1 }
			for i := take(); i < len(jobs) && errs[w] == nil && s.ctx.Err() == nil; i = take() {
				var broken *fault.Fault
				err := fault.Catch("make the page "+string(jobs[i].name), func() error { return jobs[i].make(r) })
				if errors.As(err, &broken) {
					r, faults[i] = look.New(frame, s), broken // nothing of the broken page goes on
					err = s.instead(r, jobs[i].name, broken)
				}
				errs[w] = err
			}
		})
	}
	group.Wait()
	failed = slices.DeleteFunc(faults, func(err error) bool { return err == nil })
	return failed, errors.Join(budget.Stopped(s.ctx), errors.Join(errs...), s.pictures.failed)
}

// frame is what all pages of the build share.
func (s *site) frame() look.Frame {
	return look.Frame{Name: hypertext.Visible(s.facts.Vessel), First: address.Vessel, Foot: s.Foot(false),
		FullFoot: s.Foot(true)}
}

// instead writes what comes in the place of a page that could not be made.
func (s *site) instead(r *look.Renderer, name page.Ref, broken *fault.Fault) error {
	if !strings.HasSuffix(string(name), ".html") || s.out.has(string(name)) {
		return nil
	}
	return s.out.page(r, content.Instead(name, broken.Error()))
}
