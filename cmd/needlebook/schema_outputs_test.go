package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// What the program prints for other programs meets the schemas that it prints, by a validator of JSON Schema that is not ours.
func TestOutputsMeetTheirSchemas(t *testing.T) {
	pages := filepath.Join(t.TempDir(), "pages")
	printed(t, "pages", "-o", pages)
	summary, err := os.ReadFile(filepath.Join(pages, "summary.json"))
	if err != nil {
		t.Fatal(err)
	}
	for name, outs := range map[string][][]byte{
		"check.json": {printed(t, "check", "--format", "json", "--all"), printed(t, "check", "ME1-3", "--format", "json")},
		"show.json": {printed(t, "show", "ME1-3", "--format", "json"), printed(t, "show", "2024-06-11-h-119", "--format", "json"),
			printed(t, "show", "H-109", "--format", "json"), printed(t, "show", "PG-02", "--format", "json")},
		"card.json":    {printed(t, "card", "ME1", "--format", "json")},
		"paper.json":   {printed(t, "due", "--format", "json"), printed(t, "round", "ME1", "--on", "2024-06-24", "--format", "json"), printed(t, "interval", "--plots", "--format", "json")},
		"summary.json": {summary},
	} {
		for _, out := range outs {
			meetsItsSchema(t, name, out)
		}
	}
}

// meetsItsSchema holds an output against what schema prints of its format, and sees that without its ship it would not do.
func meetsItsSchema(t *testing.T, name string, out []byte) {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(printed(t, "schema", name)))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource(name, doc); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile(name)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(out))
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	if err := schema.Validate(value); err != nil {
		t.Errorf("%s: %v", name, err)
	}
	for _, key := range []string{"vessel", "commits"} {
		delete(value.(map[string]any), key)
	}
	if schema.Validate(value) == nil {
		t.Errorf("%s takes an output without what must be in it", name)
	}
}

// The JSON of show says of a part and of a record what the text says.
func TestShowAsJSON(t *testing.T) {
	var s showJSON
	if err := json.Unmarshal(printed(t, "show", "ME1-3", "--format", "json"), &s); err != nil {
		t.Fatal(err)
	}
	if len(s.Things) != 1 || s.Things[0].Kind != "position" || len(s.Things[0].Periods) < 3 {
		t.Fatalf("%+v", s)
	}
	in := 0
	for _, p := range s.Things[0].Periods {
		if p.Position != "ME1-3" || p.Holder == "" || p.To != "" && p.Removed == "" {
			t.Errorf("%+v", p)
		}
		if p.To == "" {
			in++
		}
	}
	if in != 1 {
		t.Errorf("%d valves are in one position", in)
	}
	if err := json.Unmarshal(printed(t, "show", "2024-06-11-h-119", "--format", "json"), &s); err != nil || len(s.Things[0].Verdicts) < 10 || s.Things[0].State == "" {
		t.Errorf("%v, %+v", err, s.Things)
	}
}
