package main

import (
	"fmt"
	"slices"

	"needlebook/checks"
	"needlebook/logbook"
)

// edited are the files asked about that are not as they were committed; none where files are not what is asked about,
// or where the list is wanted in another form.
func (o *opened) edited(k *checking, asked *askedFor) (names []string) {
	if k.format != "text" || k.all || k.propose || k.since+k.at+k.limitsOf != "" || len(asked.things) == 0 {
		return nil
	}
	for _, w := range o.trail.WorkTree {
		if asked.file(w.Path) {
			names = append(names, w.Path)
		}
	}
	return names
}

// fileNames asks about some files by their paths.
func fileNames(names []string) *askedFor {
	return &askedFor{things: make([]logbook.Thing, 1),
		holds: []func(string) bool{func(name string) bool { return slices.Contains(names, name) }}}
}

// editText says what an edit of some files has opened and ended against the last commit, and what is open in them
// still. What it opened or ended elsewhere counts where a finding there rests on the files, and where nothing else was
// edited.
func (p *program) editText(o *opened, k *checking, asked *askedFor, names []string) error {
	since := *k
	since.since = "HEAD"
	alone, knew := len(names) == len(o.trail.WorkTree), false
	if since.then == nil {
		since.then, since.openThen = p.atTip(o, k)
		knew = since.then != nil
	}
	was, err := o.compare(&since, &askedFor{})
	if err != nil {
		return err
	}
	if !knew {
		p.keepTip(o, k, since.then, since.openThen)
	}
	k.then, k.openThen, k.thenAt = since.then, since.openThen, o.trail.Head
	touches := func(f checks.Finding) bool {
		return alone || asked.of(f) || slices.ContainsFunc(f.Related, func(r checks.Related) bool {
			return asked.file(r.Place.Path)
		})
	}
	did, fresh := *was, map[saying]bool{}
	did.fresh = slices.DeleteFunc(was.fresh, func(f checks.Finding) bool { return !touches(f) })
	did.gone = slices.DeleteFunc(was.gone, func(f checks.Finding) bool { return !touches(f) })
	for _, f := range did.fresh {
		fresh[sayingOf(f)] = true
	}
	var still []checks.Finding
	for _, f := range o.report.Open() {
		if asked.of(f) && !fresh[sayingOf(f)] {
			still = append(still, f)
		}
	}
	p.status = exitClean
	for _, f := range slices.Concat(did.fresh, still) {
		if f.Grade >= k.threshold {
			p.status = exitFindings
		}
	}
	fmt.Fprintf(p.out, "%s, against the last commit\n", few(names, 5))
	p.editPart("opened by this edit", did.fresh, func(f *checks.Finding) { p.findingText(o, f, &did) })
	if ended := o.saidAndEnded(k.then, asked); len(ended) > 0 {
		p.editPart("said of this edit, and ended by later work", ended, func(f *checks.Finding) { p.findingText(o, f, nil) })
	}
	p.editPart("ended by this edit", did.gone, func(f *checks.Finding) {
		fmt.Fprintf(p.out, "%s: %s: %s [%s]\n    %s\n", f.Place, f.Grade, f.Message, f.Check, o.report.Standing(f))
	})
	p.editPart("still open", still, func(f *checks.Finding) { p.findingText(o, f, nil) })
	if len(did.fresh)+len(still) == 0 {
		fmt.Fprintln(p.out, o.nothingOpen(asked))
	}
	fmt.Fprintln(p.out, o.trail.Headline)
	return nil
}

// saidAndEnded are the findings in the edited files that were not there before the edit and that later work has ended
// already: what is wrong with the line that was typed is to be seen all the same.
func (o *opened) saidAndEnded(before []checks.Finding, asked *askedFor) (ended []checks.Finding) {
	had := map[saying]bool{}
	for _, f := range before {
		had[sayingOf(f)] = true
	}
	for _, f := range o.report.Findings {
		if asked.file(f.Place.Path) && !o.report.IsOpen(&f) && !had[sayingOf(f)] {
			ended = append(ended, f)
		}
	}
	return ended
}

func (p *program) editPart(title string, fs []checks.Finding, say func(f *checks.Finding)) {
	if len(fs) == 0 {
		fmt.Fprintf(p.out, "%s: nothing\n", title)
		return
	}
	fmt.Fprintf(p.out, "%s: %d\n", title, len(fs))
	for i := range fs {
		say(&fs[i])
	}
}

// nothingOpen says that nothing is open, and in what: how many records, parts and instruments were looked at, by how
// many checks, and how many of all have nothing there to look at.
func (o *opened) nothingOpen(asked *askedFor) string {
	records, parts, instruments := 0, 0, 0
	for _, r := range o.book.Overhauls {
		records += one(asked.file(r.Path))
	}
	for _, p := range o.book.Parts {
		parts += one(asked.file(p.Path))
	}
	for _, i := range o.book.Instruments {
		instruments += one(asked.file(i.Path))
	}
	did, not := o.report.Looked()
	return fmt.Sprintf("nothing is open: %s, %s and %s looked at by %s, %d not applicable",
		logbook.Counted(records, "overhaul"), logbook.Counted(parts, "part"), logbook.Counted(instruments, "instrument"),
		logbook.Counted(did, "check"), not)
}

func one(yes bool) int {
	if yes {
		return 1
	}
	return 0
}
