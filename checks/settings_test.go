package checks

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// settingsFile says for each setting which value changes the findings of which case of which check. It is made anew with -update.
const settingsFile = "testdata/settings.golden"

// elsewhere are the settings that no check reads, each with the package that does and whose own test shows its effect.
var elsewhere = map[string]string{
	"evidence_level": "checks/evidence", "weibull_shape": "checks/evidence", "ages_young": "checks/evidence",
	"ages_old": "checks/evidence", "ages_share": "checks/evidence", "ages_bad": "checks/evidence",
	"trial_step": "checks/evidence", "full_age": "checks/evidence", "review_over": "checks/evidence",
	"low_load": "checks/evidence", "oil_bulk_modulus": "checks/implied",
	"oil_softens": "checks/judging", "oil_viscosity_40": "checks/judging", "oil_viscosity_100": "checks/judging",
	"oil_density": "checks/judging", "oil_slope": "checks/judging", "reaction": "checks/judging",
	"thermometer_error": "checks/judging", "body_within": "checks/judging", "fast_pumping": "checks/judging",
	"second_hold": "checks/judging",
	"like_age":    "checks/evidence", "set_floor": "checks/recurring",
}

// settingKeys are the keys of the settings, with the unit of each.
func settingKeys() map[string]string {
	units := map[string]string{}
	for f := range fieldsOf(reflect.TypeFor[logbook.Settings]()) {
		if key := f.Tag.Get("key"); key != "" {
			units[key] = f.Tag.Get("unit")
		}
	}
	return units
}

func fieldsOf(t reflect.Type) func(func(reflect.StructField) bool) {
	return func(yield func(reflect.StructField) bool) {
		for i := range t.NumField() {
			if !yield(t.Field(i)) {
				return
			}
		}
	}
}

// findingsWith are the findings of a check on a book, in which a setting is stated.
func findingsWith(k *Check, book fstest.MapFS, trail *logbook.Trail, setting string) (all string, ok bool) {
	book = maps.Clone(book)
	if setting != "" {
		text := string(book["book.md"].Data)
		if strings.Contains(text, "settings:") || !strings.HasPrefix(text, "---\n") {
			return "", false
		}
		book["book.md"] = &fstest.MapFile{Data: []byte("---\nsettings: {" + setting + "}\n" + text[4:])}
	}
	b, err := logbook.Read(book)
	if err != nil {
		return "", false
	}
	for _, f := range Run(b, Options{Only: []*Check{k}, Trail: trail}).Findings {
		all += fmt.Sprintln(f.Place.Path, f.inFull())
		for _, r := range f.Related {
			all += fmt.Sprintln(r)
		}
	}
	return all, true
}

// Each setting has effect: with another value a case of some check has other findings.
func TestEachSettingHasEffect(t *testing.T) {
	if *update {
		updateSettings(t)
	}
	src, err := os.ReadFile(settingsFile)
	if err != nil {
		t.Fatal(err)
	}
	units := settingKeys()
	if len(units) < 90 {
		t.Fatalf("%d settings are known", len(units))
	}
	shown, base := map[string]bool{}, folder(t, "testdata/base")
	for line := range strings.Lines(string(src)) {
		setting, at, _ := strings.Cut(strings.TrimSpace(line), " | ")
		key, _, _ := strings.Cut(setting, ":")
		k := Named(filepath.Dir(at))
		if k == nil {
			t.Fatalf("%s: no check of that name", line)
		}
		book, trail := caseFiles(t, base, filepath.Join("testdata", at))
		was, ok := findingsWith(k, book, trail, "")
		is, also := findingsWith(k, book, trail, setting)
		if shown[key] = ok && also && was != is; !shown[key] {
			t.Errorf("%s: the findings of %s stay as they are", setting, at)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(units)) {
		if !shown[key] && elsewhere[key] == "" {
			t.Errorf("nothing shows what the setting %s does: add a case to the check that reads it, then -update", key)
		}
	}
}

// updateSettings looks for a value of each setting, far below or above any, that changes the findings of some case.
func updateSettings(t *testing.T) {
	old, _ := os.ReadFile(settingsFile)
	lines := map[string]string{}
	for line := range strings.Lines(string(old)) {
		key, _, _ := strings.Cut(line, ":")
		lines[key] = line
	}
	type tried struct {
		k     *Check
		name  string
		book  fstest.MapFS
		trail *logbook.Trail
		was   string
	}
	var cases []tried
	base := folder(t, "testdata/base")
	for _, k := range All() {
		entries, _ := os.ReadDir(filepath.Join("testdata", k.Name))
		for _, e := range entries {
			name := filepath.Join(k.Name, e.Name())
			book, trail := caseFiles(t, base, filepath.Join("testdata", name))
			if was, ok := findingsWith(k, book, trail, ""); ok {
				cases = append(cases, tried{k, name, book, trail, was})
			}
		}
	}
	units := settingKeys()
	for _, key := range slices.Sorted(maps.Keys(units)) {
		if lines[key] != "" || elsewhere[key] != "" {
			continue
		}
	search:
		for _, c := range cases {
			for _, value := range []string{"0.001", "100000", "1", "90"} {
				setting := strings.TrimSpace(key + ": " + value + " " + units[key])
				if key == "oil_range" {
					setting = key + ": 0 .. " + value + " °C"
				}
				if is, ok := findingsWith(c.k, c.book, c.trail, setting); ok && is != c.was && !strings.Contains(is, "settings.") {
					lines[key] = setting + " | " + c.name + "\n"
					break search
				}
			}
		}
	}
	var out strings.Builder
	for _, key := range slices.Sorted(maps.Keys(units)) {
		out.WriteString(lines[key])
	}
	if err := os.WriteFile(settingsFile, []byte(out.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}
