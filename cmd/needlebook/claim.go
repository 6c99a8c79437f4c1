package main

import (
	"archive/zip"
	"bytes"
	"cmp"
	"crypto/sha256"
	_ "embed"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/logbook/edit"
	"needlebook/logbook/trace"
)

func (p *program) claim() *cobra.Command {
	var at, out string
	c := &cobra.Command{
		Use:   "claim PART|BUNKER",
		Short: "Pack the evidence about a part or a bunker: one zip, with the way to check it",
		Long: `Packs into one zip what the book holds about a holder, a nozzle or a bunker:
its records, photos and logs, the file of the part, hours, running data,
limits, instruments and certificates, fuel, and the signatures under them. A
bunker brings the records of every valve that ran on it.

claim.txt in it says what the book knows, and how anybody checks the files
with sha256sum and git alone; digests.txt lists the SHA-256 of each. The
digest of the zip itself is printed: send it by another way than the file.

Only what is committed goes in. The same commit gives the same bytes.`,
		Example: `  needlebook claim N-2024
  needlebook claim H-109 -o /media/stick/h-109.zip
  needlebook claim "Corrin Roads"`,
		Args:              cobra.MinimumNArgs(1),
		ValidArgsFunction: p.complete(claimKinds...),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.packClaim(strings.Join(args, " "), at, out)
		},
	}
	c.Flags().StringVarP(&out, "output", "o", "", "file to write (default: named after the part, in this folder)")
	c.Flags().StringVar(&at, "at", "", "as of this commit (default: the last one)")
	return c
}

// claimKinds are the kinds of things that a claim is made for.
var claimKinds = []logbook.ThingKind{logbook.ThingHolder, logbook.ThingNozzle, logbook.ThingBunker}

// claimed is what a claim holds.
type claimed struct {
	Name, Title, Vessel, Day, Commit, Headline string
	Facts, Periods, Records, Seen, Findings    []string
	files                                      map[string]bool
	named                                      map[string]bool // those of them that a record or the file of a part names
}

func (p *program) packClaim(what, at, out string) error {
	dir, err := p.findBook()
	if err != nil {
		return err
	}
	o, err := p.openBook(at, "", provenBy())
	if err != nil {
		return err
	}
	defer o.close()
	t, err := p.one(o, what, claimKinds...)
	if err != nil {
		return err
	}
	e, err := o.evidenceOf(t)
	if err != nil {
		return err
	}
	if o.trail.UnderGit { // what is committed, whatever line ends the folder has
		for _, w := range o.trail.WorkTree {
			if e.files[w.Path] {
				return use("%s is %s: sign it first, or name an earlier commit with --at", w.Path, w.What)
			}
		}
		tip, err := trace.FS(dir, o.trail.Head)
		if err != nil {
			return err
		}
		defer tip.Close()
		o.files = tip
	}
	text, err := o.zipped(e)
	if err != nil {
		return err
	}
	out = cmp.Or(out, e.Name+".zip")
	if inside, err := within(dir, out); err != nil {
		return err
	} else if inside {
		return use("%s would lie inside the book: name a file outside of it with -o", out)
	}
	if err := edit.Create(out, text); errors.Is(err, fs.ErrExist) {
		return use("%s is there already: name another file with -o", out)
	} else if err != nil {
		return fmt.Errorf("could not write %q: %w", out, err)
	}
	fmt.Fprintf(p.out, `%s: %s about %s, %s
SHA-256 %x
claim.txt in it says how to check it, with sha256sum and git alone
`, out, logbook.Counted(len(e.files), "file"), t, inBytes(int64(len(text))), sha256.Sum256(text))
	return nil
}

// evidenceOf gathers what the book holds about a thing.
func (o *opened) evidenceOf(t logbook.Thing) (*claimed, error) {
	e := &claimed{Name: "claim-" + logbook.FileName(t.Name), Title: "Evidence about " + t.String(),
		Vessel: o.book.Vessel.Called(), Day: o.report.Today.String(), files: map[string]bool{}, named: map[string]bool{}}
	if o.trail.UnderGit {
		e.Commit, e.Headline = o.trail.Head, o.trail.Headline
	}
	periods, records := o.periodsOf(t), o.book.RecordsOf(t)
	for _, s := range periods {
		hours := hoursText(s.Hours, s.HoursKnown)
		to := "in place"
		if s.To != 0 {
			to = s.To.String()
		}
		e.Periods = append(e.Periods, fmt.Sprintf("%s: %s / %s, %s to %s, %s", s.Position, s.Holder, s.Nozzle, s.From, to,
			hours))
		for _, rec := range []*logbook.Overhaul{s.Opened, s.Closed} {
			if rec != nil && !slices.Contains(records, rec) {
				records = append(records, rec)
			}
		}
		e.engine(o, s.Engine)
	}
	slices.SortFunc(records, func(a, b *logbook.Overhaul) int { return strings.Compare(a.Stem, b.Stem) })
	for _, rec := range records {
		e.record(o, rec)
		if seen := o.seenIn(rec); seen != "" {
			e.Seen = append(e.Seen, rec.Stem+": "+seen)
		}
	}
	e.part(o, t)
	for i := range o.report.Findings {
		if f := &o.report.Findings[i]; f.Grade >= checks.Advice && concerns(*f, t) {
			e.Findings = append(e.Findings, fmt.Sprintf("%s: %s (%s; %s)", f.Grade, f.Message, o.report.Standing(f), f.Place))
		}
	}
	e.add("book.md", "crew.csv", logbook.HeadsFile, "answers.csv", "fuel/bunkers.csv", "signers/allowed_signers",
		"signers/withdrawn", "signers/adopted")
	return e, o.onlyThere(e)
}

// seenIn is what a record says of the fault: values beyond their limits, what was cracked or damaged, the decision.
func (o *opened) seenIn(rec *logbook.Overhaul) string {
	var all []string
	for _, v := range o.report.Judgement.Of(rec) {
		if v.Result.Out() {
			all = append(all, v.Name+" "+v.Shown()+", limit "+v.LimitText)
		}
	}
	for _, place := range rec.Inspected.Places() {
		if place.Word.Is("cracked", "damaged") {
			all = append(all, place.Name+" "+place.Word.Written)
		}
	}
	if rec.Decided.Nozzle.Stated() {
		all = append(all, "nozzle decided "+rec.Decided.Nozzle.Written)
	}
	if rec.Decided.Holder.Stated() {
		all = append(all, "holder decided "+rec.Decided.Holder.Written)
	}
	if rec.Decided.Why.Stated() {
		all = append(all, "why: "+rec.Decided.Why.Written)
	}
	return strings.Join(all, "; ")
}

// hoursSaid are the hours of a part; where those before the book are not known, those in it.
func hoursSaid(hours float64, known bool) string {
	if !known && hours > 0 {
		return fmt.Sprintf("%.0f h in this book, before it not known", hours)
	}
	return hoursText(hours, known)
}

// periodsOf are the service periods of a part, or of every valve that ran on a bunker.
func (o *opened) periodsOf(t logbook.Thing) (periods []*logbook.ServicePeriod) {
	lives := o.book.Lives()
	switch t.Kind {
	case logbook.ThingHolder:
		return lives.OfHolder(t.Name)
	case logbook.ThingNozzle:
		return lives.OfNozzle(t.Name)
	}
	for _, b := range o.book.Bunkers {
		if b.Place != t.Row {
			continue
		}
		for _, pos := range o.book.Positions() {
			for _, s := range lives.InPosition(pos) {
				if (b.To.Day == 0 || s.From <= b.To.Day) && (s.To == 0 || s.To >= b.From.Day) {
					periods = append(periods, s)
				}
			}
		}
	}
	return periods
}

func (e *claimed) add(names ...string) {
	for _, n := range names {
		e.files[n] = true
	}
}

// attached adds the pictures and scans that are named somewhere.
func (e *claimed) attached(files []logbook.Text) {
	for _, f := range files {
		name := path.Clean(f.Written)
		e.add(name)
		e.named[name] = true
	}
}

// engine adds what is written of an engine: its hours, running data and limits.
func (e *claimed) engine(o *opened, id string) {
	file := logbook.FileName(id)
	e.add("hours/"+file+".csv", "running/"+file+".csv")
	if engine := o.book.Engine(id); engine != nil {
		e.add("limits/" + logbook.FileName(engine.Limits.Written) + ".md")
	}
}

// record adds an overhaul with what it names, and who answers for it.
func (e *claimed) record(o *opened, rec *logbook.Overhaul) {
	e.Records = append(e.Records, rec.Path+": "+o.trail.Standing(rec.Path).String())
	e.add(rec.Path)
	e.attached(rec.Attached())
	for t := range rec.Taken() {
		e.instrument(o, t.With.Written)
	}
	for _, id := range []logbook.Serial{rec.AsFound.Bench, rec.AsLeft.Bench} {
		e.instrument(o, id.Written)
	}
	for _, d := range o.book.DeferralsOf(rec) {
		e.add(d.Path)
	}
	for _, name := range o.book.Files {
		folder, file := path.Split(name)
		if (folder == "countersigned/" || folder == "reviews/") && strings.HasPrefix(file, rec.Stem+".") {
			e.add(name)
		}
	}
}

func (e *claimed) instrument(o *opened, id string) {
	if i := o.book.Instruments[id]; i != nil {
		e.add(i.Path)
	}
}

// part adds the file of a part and what it names; of a bunker its line.
func (e *claimed) part(o *opened, t logbook.Thing) {
	fact := func(name, value string) {
		if value != "" {
			e.Facts = append(e.Facts, name+": "+value)
		}
	}
	if part := o.book.Part(string(t.Kind), t.Name); part != nil {
		e.add(part.Path)
		e.attached(part.Photos.Each)
		fact("part number", part.PartNo.Written)
		fact("marking", part.Marking.Written)
		fact("received", part.Received.Written)
		fact("from", part.From.Written)
		fact("batch or order", part.Batch.Written)
		fact("certificate", part.Certificate.Written)
		fact("scrapped", strings.TrimSpace(part.Scrapped.Date.Written+" "+part.Scrapped.Why.Written))
		fact("condemned", strings.TrimSpace(part.Condemned.Date.Written+" "+part.Condemned.Why.Written))
	}
	lives, day := o.book.Lives(), o.report.Today
	switch t.Kind {
	case logbook.ThingHolder:
		fact("hours", hoursSaid(lives.HolderHours(t.Name, day)))
	case logbook.ThingNozzle:
		fact("hours", hoursSaid(lives.NozzleHours(t.Name, day)))
	}
	for _, b := range o.book.Bunkers {
		if t.Kind == logbook.ThingBunker && b.Place == t.Row {
			fact("received", b.Received.Written)
			fact("in use", strings.TrimSpace(b.From.Written+" to "+b.To.Written))
			fact("grade", b.Grade.Written)
			fact("aluminium and silicon, mg/kg", b.AlSi.Written)
			fact("viscosity at 50 °C, mm²/s", b.Viscosity.Written)
			fact("note", b.Note.Written)
		}
	}
}

// onlyThere keeps the files that the book has; what a record names and the book has not is said.
func (o *opened) onlyThere(e *claimed) error {
	for name := range e.files {
		var info fs.FileInfo
		err := fs.ErrNotExist
		if fs.ValidPath(name) {
			info, err = fs.Stat(o.files, name)
		}
		switch {
		case errors.Is(err, fs.ErrNotExist) || err == nil && !info.Mode().IsRegular():
			delete(e.files, name)
			if e.named[name] {
				e.Records = append(e.Records, name+": named, and not in the book")
			}
		case err != nil:
			return err
		}
	}
	slices.Sort(e.Records)
	return nil
}

// claimCheck is the end of a claim's text: what is in the file, and how to check it. What only a book under git has is
// between its folder git/ and the end.
//
//go:embed claim_check.txt
var claimCheck string

// text is what the book knows, for whoever has no needlebook.
func (e *claimed) text() []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s\n%s, as of %s\n", e.Title, e.Vessel, e.Day)
	answers := ""
	if e.Commit != "" {
		fmt.Fprintf(&b, "commit %s\n%s\n", e.Commit, e.Headline)
		answers = ", and who answers for each"
	}
	b.WriteString("\n")
	for _, f := range e.Facts {
		b.WriteString(f + "\n")
	}
	for _, list := range []struct {
		title, none string
		lines       []string
	}{
		{"Service periods, oldest first", "none in this book", e.Periods}, {"Records" + answers, "none", e.Records},
		{"What the records say of it", "nothing beyond a limit, nothing cracked or damaged, no decision", e.Seen},
		{"Findings", "none", e.Findings},
	} {
		if len(list.lines) == 0 {
			list.lines = []string{list.none}
		}
		fmt.Fprintf(&b, "\n%s\n  %s\n", list.title, strings.Join(list.lines, "\n  "))
	}
	check := strings.ReplaceAll(claimCheck, "COMMIT", e.Commit)
	if e.Commit == "" {
		files, rest, _ := strings.Cut(claimCheck, "  git/")
		_, rest, _ = strings.Cut(rest, "\n\n")
		rest, _, _ = strings.Cut(rest, "3. ")
		check = files + "\n" + rest + "This book is not under git: nothing says who wrote it.\n"
	}
	b.WriteString("\n" + check)
	return b.Bytes()
}

// zipped is the zip: nothing in it is packed smaller, so that the same files give the same bytes whoever zips them.
func (o *opened) zipped(e *claimed) ([]byte, error) {
	files := map[string][]byte{}
	var names []string
	for name := range e.files {
		text, err := fs.ReadFile(o.files, name)
		if err != nil {
			return nil, fmt.Errorf("could not read %q: %w", name, err)
		}
		files["book/"+name] = text
		names = append(names, name)
	}
	if e.Commit != "" {
		shows, err := trace.Shows(o.dir, e.Commit, names)
		if err != nil {
			return nil, err
		}
		for _, s := range shows {
			files["git/"+s.ID+"."+s.Kind] = s.Raw
		}
	}
	files["claim.txt"] = logbook.Visible(e.text())
	names = names[:0]
	for name := range files {
		names = append(names, name)
	}
	slices.Sort(names)
	var digests strings.Builder
	for _, name := range names {
		fmt.Fprintf(&digests, "%x  %s\n", sha256.Sum256(files[name]), name)
	}
	files["digests.txt"] = []byte(digests.String())
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for _, name := range append(names, "digests.txt") {
		w, err := z.CreateHeader(&zip.FileHeader{Name: filepath.ToSlash(name), Method: zip.Store,
			Modified: time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)})
		if err == nil {
			_, err = w.Write(files[name])
		}
		if err != nil {
			return nil, err
		}
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}
