package checks

import (
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// Which class could prove the band of 10 bar is worked out from the scale alone where comparisons stand in place of the class: 5-bar marks
// are ±2.9 bar (5/√12, twice), so that class 0.25 of 600 bar, ±1.7 bar, leaves them within 5 bar together, and class 0.6, ±4.2 bar, does not.
func TestClassBesideComparisons(t *testing.T) {
	base := folder(t, "testdata/base")
	files, _ := caseFiles(t, base, "testdata/gauge-too-coarse/class-1.txtar")
	ref := "---\nid: REF\nkind: gauge\nmeasures: pressure\nrange: 0 to 600 bar\ndivision: 2 bar\nclass: 0.6\n---\n"
	compared := "class: 1.0\ncomparisons:\n"
	for _, day := range []string{"2020-02-01", "2020-03-01", "2020-04-01", "2020-05-01"} {
		compared += "  - {date: " + day + ", against: REF, true: 300 bar, shows: 301 bar}\n"
	}
	files["instruments/ref.md"] = &fstest.MapFile{Data: []byte(ref)}
	gauge := string(files["instruments/pg-1.md"].Data)
	gauge = strings.Replace(gauge, "class: 1.0", compared+"x", 1)
	gauge = gauge[:strings.Index(gauge, "x #")] + gauge[strings.Index(gauge, "calibrated:"):]
	files["instruments/pg-1.md"] = &fstest.MapFile{Data: []byte(gauge)}
	b, err := logbook.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	found := Run(b, Options{Only: []*Check{gaugeTooCoarse}}).Findings
	if len(found) != 1 || !strings.HasPrefix(found[0].Next, "a gauge of class 0.25 with such a scale could") {
		t.Errorf("%+v", found)
	}
}
