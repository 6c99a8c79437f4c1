package logbook

import (
	"fmt"
	"testing"
	"testing/fstest"
)

// What is condemned must not be fitted, whether its record or its own file says so; what was scrapped or landed since is
// gone, and a part is named once. No outside source.
func TestCondemned(t *testing.T) {
	file := func(text string) *fstest.MapFile { return &fstest.MapFile{Data: []byte("---\n" + text + "\n---\n")} }
	record := func(holder, nozzle, decided string) *fstest.MapFile {
		return file(fmt.Sprintf("holder: %s\nnozzle: {found: %s}\nremoved: {engine: ME1, cylinder: 1, date: 2020-07-01}\ndecided: {%s}", holder,
			nozzle, decided))
	}
	b, err := Read(fstest.MapFS{
		"book.md":                            file("vessel: X"),
		"overhauls/me1/c1/2020-07-01-h-1.md": record("H-1", "N-1", "holder: condemn, why: cracked"),
		"overhauls/me1/c1/2020-07-02-h-2.md": record("H-2", "N-2", "holder: condemn, nozzle: condemn, why: blow-by"),
		"overhauls/me1/c1/2020-07-03-h-3.md": record("H-3", "N-3", "holder: reuse, nozzle: renew"),
		"parts/h-2.md":                       file("serial: H-2\nkind: holder\nscrapped: {date: 2020-08-01}"),
		"parts/h-1.md":                       file("serial: H-1\nkind: holder\ncondemned: {date: 2020-07-01, why: cracked}"),
		"parts/n-9.md":                       file("serial: N-9\nkind: nozzle\ncondemned: {date: 2020-09-01, why: dropped}"),
		"parts/n-8.md":                       file("serial: N-8\nkind: nozzle\ncondemned: {date: 2020-09-01, why: dropped}\nlanded: {date: 2020-10-01, receipt: R-1}"),
		"parts/s-1.md":                       file("serial: S-1\nkind: spring\ncondemned: {date: 2020-09-01, why: broken}"),
	})
	if err != nil {
		t.Fatal(err)
	}
	got := ""
	for _, c := range b.Condemned() {
		got += fmt.Sprintf("%s %s %s: %s at %s\n", c.Kind, c.Serial, c.End, c.Why, c.Place.Path)
	}
	const want = "holder H-1 condemned on 2020-07-01: cracked at overhauls/me1/c1/2020-07-01-h-1.md\n" +
		"nozzle N-2 condemned on 2020-07-01: blow-by at overhauls/me1/c1/2020-07-02-h-2.md\n" +
		"nozzle N-9 condemned on 2020-09-01: dropped at parts/n-9.md\n" +
		"spring S-1 condemned on 2020-09-01: broken at parts/s-1.md\n"
	if got != want {
		t.Errorf("condemned are\n%swant\n%s", got, want)
	}
}
