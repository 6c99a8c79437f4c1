package slip_test

import (
	"fmt"
	"io/fs"
	"os"
	"strings"
	"testing"

	"needlebook/checks"
	"needlebook/example-vessel/slip"
	"needlebook/logbook"
)

// A slip in one file hides nothing that was open about another: what stood there before it stands beside the slip, and is
// not told under it, unless it is about the record with the slip. The book is the example vessel, with all that is open
// on her. Outside source: none.
func TestSlipsHideNothing(t *testing.T) {
	slips := 30
	if long {
		slips = number("NEEDLEBOOK_COUNT", 1500)
	}
	s := &ship{files: map[string][]byte{}}
	err := fs.WalkDir(os.DirFS(".."), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasSuffix(name, ".go") || strings.HasPrefix(name, "countersigned/") {
			return err
		}
		s.files[name], err = os.ReadFile("../" + name)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	s.fsys = fsOf(s.files)
	s.reader = logbook.NewReader(s.fsys)
	b, err := s.reader.Read()
	if err != nil {
		t.Fatal(err)
	}
	before, facts := checks.Run(b, checks.Options{}).Open(), slip.Gather(b)
	if len(before) < 10 {
		t.Fatalf("only %d findings are open on the example vessel", len(before))
	}
	tried := 0
	for n := uint64(number("NEEDLEBOOK_SEED", 1)); tried < slips; n++ {
		x, ok := slip.Make(n, s.files, facts)
		if !ok {
			continue
		}
		with, err := s.with(x.Files)
		if err != nil {
			continue
		}
		tried++
		for _, hidden := range hidden(x, before, checks.Run(with, checks.Options{}).Findings) {
			t.Errorf("slip %d, %s in %s: %q is %q\nhides %s", n, x.Class, x.Path, cut(x.Was), cut(x.Is), hidden)
		}
	}
}

// hidden lists the findings of before, about other files than those of the slip, that are told under one at the slip.
func hidden(x slip.Slip, before, after []checks.Finding) (all []string) {
	told := map[string]checks.Finding{}
	for _, f := range after {
		for _, r := range f.Related {
			if message, follows := r.Follows(); follows && f.Place.Path == x.Path {
				told[r.Place.Path+message] = f
			}
		}
	}
	stem := strings.TrimSuffix(x.Path[strings.LastIndexByte(x.Path, '/')+1:], ".md")
	for _, f := range before {
		by, ok := told[f.Place.Path+f.Message]
		if ok && f.Place.Path != x.Path && f.About.Record != stem {
			all = append(all, fmt.Sprintf("%s %s: %s\nunder %s: %s", f.Check, f.Place, f.Message, by.Check, by.Message))
		}
	}
	return all
}
