package checks

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
	"needlebook/logbook/edit"
)

// tryProposals holds that what a check proposes, typed or renamed as fix and editors do, ends its finding and opens no stop;
// it says how many were tried. A value that was not read before may be one to stop for.
func tryProposals(t *testing.T, k *Check, files fstest.MapFS, trail *logbook.Trail, findings []Finding) (made int) {
	t.Helper()
	var stops []string
	for _, f := range findings {
		if f.Proposal == nil || f.State != Open {
			continue
		}
		if f.Proposal.Place != f.Place || f.Proposal.Was == "" {
			t.Errorf("%s: the proposal %+v is for another place", f.Place, f.Proposal)
		}
		for _, is := range proposedFiles(files, f) {
			if made++; stops == nil {
				stops = stopsOf(t, files, trail, nil)
			}
			if left := findingsOf(t, is, Options{Only: []*Check{k}, Trail: trail}); openAt(left, f) >= openAt(findings, f) {
				t.Errorf("%s: %s: %q does not end it", f.Place, f.Message, f.Proposal)
			}
			for _, s := range stopsOf(t, is, trail, &f) {
				if !slices.Contains(stops, s) {
					t.Errorf("%s: %s: %q opens a stop: %s", f.Place, f.Message, f.Proposal, s)
				}
			}
		}
	}
	return made
}

// TestProposing names the checks that propose something in a case of theirs.
func TestProposing(t *testing.T) {
	base := folder(t, "testdata/base")
	for _, k := range []*Check{nameUnknown, fileName, recordName, instrumentNotProven, cellInWrongColumn, serialLetters,
		spellingDiffers, decimalsTooCoarse, instrumentForm, unknownKey, wordNotKnown, dateForm} {
		dir := filepath.Join("testdata", k.Name)
		cases, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.ContainsFunc(cases, func(c os.DirEntry) bool {
			files, trail := caseFiles(t, base, filepath.Join(dir, c.Name()))
			return slices.ContainsFunc(findingsOf(t, files, Options{Only: []*Check{k}, Trail: trail}), func(f Finding) bool {
				return f.Proposal != nil && len(proposedFiles(files, f)) > 0
			})
		}) {
			t.Errorf("nothing that %s finds has a proposal that can be made", k.Name)
		}
	}
}

func findingsOf(t *testing.T, files fstest.MapFS, o Options) []Finding {
	t.Helper()
	b, err := logbook.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	return Run(b, o).Findings
}

// openAt counts what is found at a finding's place, under whichever name the file has now.
func openAt(all []Finding, f Finding) (n int) {
	for _, x := range all {
		path := x.Place.Path == f.Place.Path || x.Place.Path == f.Proposal.Path
		if path && x.Place.Line == f.Place.Line && x.Place.Column == f.Place.Column && x.State == Open {
			n++
		}
	}
	return n
}

// stopsOf are the open stops of a book, each by what it says; without those at a value that was not read before.
func stopsOf(t *testing.T, files fstest.MapFS, trail *logbook.Trail, typed *Finding) []string {
	all := []string{}
	for _, f := range findingsOf(t, files, Options{Trail: trail}) {
		unread := typed != nil && typed.origin != nil && !typed.origin.Read && f.Place.Line == typed.Place.Line
		if f.Grade == Stop && f.State == Open && !unread {
			all = append(all, f.Check+": "+f.Message)
		}
	}
	return all
}

// proposedFiles are the files of a book with what a finding proposes, once for each text that may be typed.
func proposedFiles(files fstest.MapFS, f Finding) (all []fstest.MapFS) {
	name := f.Place.Path
	if p := f.Proposal.Path; p != "" {
		is := maps.Clone(files)
		is[p] = files[name]
		delete(is, name)
		return []fstest.MapFS{is}
	}
	src := files[name].Data
	typed := edit.Typed(name, src, f.Proposal)
	for _, p := range logbook.Problems(name, src) {
		if p.Place == f.Place && f.origin != nil && p.Slip == f.origin.Slip {
			typed = append(typed, edit.Choices(name, src, p)...)
		}
	}
	for _, c := range typed {
		if c.Type != "" {
			is := maps.Clone(files)
			is[name] = &fstest.MapFile{Data: c.Text}
			all = append(all, is)
		}
	}
	return all
}
