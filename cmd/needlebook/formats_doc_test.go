package main

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"

	"needlebook/site/fleet"
)

// The manual's chapter for other programs names every key of every format.
func TestFormatsAreDocumented(t *testing.T) {
	text := documents(t)["site/manual/formats.md"]
	section := func(title string) string {
		_, rest, found := strings.Cut(text, "\n## "+title+"\n")
		if !found {
			t.Fatalf("the manual has no section on %s", title)
		}
		part, _, _ := strings.Cut(rest, "\n## ")
		return part
	}
	named := func(title string, keys map[string]bool) {
		if len(keys) < 8 {
			t.Errorf("%s: only %d keys", title, len(keys))
		}
		part := section(title)
		for key := range keys {
			if !strings.Contains(part, "`"+key+"`") {
				t.Errorf("%s: the manual does not name the key %s", title, key)
			}
		}
	}
	named("check --format json", tagsOf(reflect.TypeFor[checkJSON](), map[string]bool{}))
	named("verify --format json", tagsOf(reflect.TypeFor[verifyJSON](), map[string]bool{}))
	show := tagsOf(reflect.TypeFor[showJSON](), map[string]bool{})
	for key := range tagsOf(reflect.TypeFor[findingJSON](), map[string]bool{}) {
		delete(show, key) // as of check
	}
	named("show --format json", show)
	named("card --format json", tagsOf(reflect.TypeFor[cardJSON](), map[string]bool{}))
	named("summary.json", tagsOf(reflect.TypeFor[fleet.Summary](), map[string]bool{}))

	var due map[string]any
	if err := json.Unmarshal(printed(t, "due", "--format", "json"), &due); err != nil {
		t.Fatal(err)
	}
	keys := map[string]bool{}
	for key := range due {
		keys[key] = key != "format"
	}
	for key := range due["tables"].([]any)[0].(map[string]any) {
		keys[key] = true
	}
	delete(keys, "format")
	named("Papers", keys)
}

// tagsOf are the JSON keys of a type and of all within it, but the name of the format.
func tagsOf(t reflect.Type, all map[string]bool) map[string]bool {
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice || t.Kind() == reflect.Map {
		t = t.Elem()
	}
	if t.Kind() != reflect.Struct {
		return all
	}
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name != "" && name != "-" && name != "format" {
			all[name] = true
		}
		tagsOf(f.Type, all)
	}
	return all
}
