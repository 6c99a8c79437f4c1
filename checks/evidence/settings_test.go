package evidence_test

import (
	"io/fs"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/checks/evidence"
	"needlebook/checks/judging"
	vessel "needlebook/example-vessel"
	"needlebook/logbook"
)

// reviewed reads the example vessel with one setting of her book at another value, and gives the parts of its review by their names: the
// lines before the tables, and each table in full.
func reviewed(t *testing.T, files fstest.MapFS, reader *logbook.Reader, setting string) map[string]any {
	t.Helper()
	was := files["book.md"]
	defer func() { files["book.md"] = was }()
	key, _, _ := strings.Cut(setting, ":")
	var lines []string
	for line := range strings.Lines(string(was.Data)) {
		if setting != "" && strings.HasPrefix(strings.TrimSpace(line), key+":") {
			continue
		}
		if lines = append(lines, line); setting != "" && strings.HasPrefix(line, "settings:") {
			lines = append(lines, "  "+setting+"\n")
		}
	}
	files["book.md"] = &fstest.MapFile{Data: []byte(strings.Join(lines, ""))}
	b, err := reader.Read()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range b.Problems {
		if p.Place.Path == "book.md" {
			t.Fatalf("%s: %v", setting, p)
		}
	}
	parts := map[string]any{}
	p := evidence.New(b, b.Rounds(), judging.Judge(b), b.Today()).Paper(evidence.Ask{})
	for _, line := range p.Lead {
		name, text, _ := strings.Cut(line, ": ")
		parts[name] = text
	}
	for _, table := range p.Tables {
		parts[table.Name] = table
	}
	return parts
}

// Each setting of the review has its effect on the example vessel: with another value, the part of the paper that its documentation
// names says something else.
func TestEachSettingOfTheReviewHasEffect(t *testing.T) {
	files := fstest.MapFS{}
	err := fs.WalkDir(vessel.Files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := fs.ReadFile(vessel.Files, name)
		files[name] = &fstest.MapFile{Data: text}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	reader := logbook.NewReader(files)
	was := reviewed(t, files, reader, "")
	for _, x := range []struct{ setting, part string }{
		{"evidence_level: 80 %", "proof"},
		{"weibull_shape: 1", "survival"},
		{"ages_young: 0.01", "survival"},
		{"ages_old: 9", "survival"},
		{"ages_share: 49 %", "survival"},
		{"ages_bad: 500", "survival"},
		{"full_age: 20 %", "overhauls"},
		{"review_over: 90 d", "window"},
		{"low_load: 90 %", "running"},
	} {
		is := reviewed(t, files, reader, x.setting)
		if was[x.part] == nil || reflect.DeepEqual(was[x.part], is[x.part]) {
			var others []string
			for name := range was {
				if !reflect.DeepEqual(was[name], is[name]) {
					others = append(others, name)
				}
			}
			t.Errorf("%s: %s stays as it is; changed are %q", x.setting, x.part, others)
		}
	}
}

// A trial goes as far as the step of the book, from the interval of 2000 h: 5 % of it is 100 h.
func TestStepOfTheTrial(t *testing.T) {
	for step, want := range map[string]float64{"5 %": 2100, "20 %": 2400} {
		book := ship(accepts+"settings: {trial_step: "+step+"}\n", engineOf{id: "A",
			limits: "    interval: 2000 h\n    interval_max: 4000 h\n", interval: "2000 h", opened: 60, age: 2000})
		if r := evidenceOf(t, book).Reviews(evidence.Ask{})[0]; r.Proposed != want {
			t.Errorf("trial_step %s: %v h, want %v h", step, r.Proposed, want)
		}
	}
}
