package schema_test

import (
	"bytes"
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"go.yaml.in/yaml/v4"

	"needlebook/logbook"
	"needlebook/logbook/schema"
)

// compiled is the schema of a kind as an independent validator of JSON Schema 2020-12 understands it.
func compiled(t *testing.T, k logbook.FileKind) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(schema.Of(k)))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("mem:///"+k.Name, doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("mem:///" + k.Name)
	if err != nil {
		t.Fatalf("schema of %s: %v", k.Name, err)
	}
	return s
}

// value turns nodes into what a validator reads, by the core schema of YAML 1.2.
func value(t *testing.T, n *yaml.Node) any {
	t.Helper()
	switch n.Kind {
	case yaml.DocumentNode:
		return value(t, n.Content[0])
	case yaml.MappingNode:
		m := map[string]any{}
		for i := 0; i+1 < len(n.Content); i += 2 {
			m[n.Content[i].Value] = value(t, n.Content[i+1])
		}
		return m
	case yaml.SequenceNode:
		list := []any{}
		for _, item := range n.Content {
			list = append(list, value(t, item))
		}
		return list
	}
	if n.Tag == "!!int" || n.Tag == "!!float" || n.Tag == "!!bool" || n.Tag == "!!null" {
		v, err := jsonschema.UnmarshalJSON(strings.NewReader(strings.TrimPrefix(n.Value, "+")))
		if n.Tag == "!!null" {
			return nil
		}
		if err == nil {
			return v
		}
	}
	return n.Value
}

func front(t *testing.T, src string) any {
	t.Helper()
	parts := strings.SplitN(strings.ReplaceAll(src, "\r\n", "\n"), "---\n", 3)
	if len(parts) < 3 {
		t.Fatalf("no front matter in %q", src)
	}
	var n yaml.Node
	if err := yaml.Load([]byte(parts[1]), &n); err != nil {
		t.Fatal(err)
	}
	return value(t, &n)
}

// Every file of the example vessel that the reader takes without a word is taken by the schema of its kind.
func TestSchemaTakesTheExampleVessel(t *testing.T) {
	root := filepath.Join("..", "..", "example-vessel")
	book, err := logbook.Read(os.DirFS(root))
	if err != nil {
		t.Fatal(err)
	}
	amiss := map[string]bool{}
	for _, p := range book.Problems {
		amiss[p.Place.Path] = true
	}
	folders := map[string]string{"overhauls": "overhaul", "limits": "limits", "parts": "part", "instruments": "instrument", "hours": "hours", "running": "running",
		"fuel": "bunkers", "stores": "stock", "deferrals": "deferral", "decisions": "decision", "handovers": "handover", "book.md": "book", "crew.csv": "crew", "answers.csv": "answers"}
	kinds, count := map[string]*jsonschema.Schema{}, map[string]int{}
	for _, k := range logbook.Kinds() {
		kinds[k.Name] = compiled(t, k)
	}
	for _, name := range book.Files {
		top, _, _ := strings.Cut(name, "/")
		kind := folders[top]
		if kind == "" || amiss[name] || filepath.Ext(name) != ".md" && filepath.Ext(name) != ".csv" {
			continue
		}
		src, err := os.ReadFile(filepath.Join(root, name))
		if err != nil {
			t.Fatal(err)
		}
		count[kind]++
		if filepath.Ext(name) == ".csv" {
			rows, err := csv.NewReader(bytes.NewReader(src)).ReadAll()
			if err != nil {
				t.Fatal(err)
			}
			for i, row := range rows[1:] {
				cells := map[string]any{}
				for j, c := range row {
					cells[rows[0][j]] = c
				}
				if err := kinds[kind].Validate(cells); err != nil {
					t.Errorf("%s row %d: %v", name, i+2, err)
				}
			}
			continue
		}
		if err := kinds[kind].Validate(front(t, string(src))); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	heads := map[string]any{"engine": "ME1", "cylinder": "2", "date": "2024-03-12", "counter": "9100 h", "head": "CH-22", "off": ""}
	count["heads"]++ // no head was exchanged on her
	if err := kinds["heads"].Validate(heads); err != nil {
		t.Errorf("a line of heads.csv: %v", err)
	}
	for kind := range kinds {
		if count[kind] == 0 && kind != "countersignature" && kind != "review" {
			t.Errorf("no file of kind %s was tried", kind)
		}
	}
}

func TestSchemaRefuses(t *testing.T) {
	var overhaul *jsonschema.Schema
	for _, k := range logbook.Kinds() {
		if k.Name == "overhaul" {
			overhaul = compiled(t, k)
		}
	}
	for _, c := range []struct {
		name, text string
		ok         bool
	}{
		{"nothing yet", "as_found:\n", true},
		{"blank value", "as_found:\n  gauge:\n", true},
		{"reason", `measured: {lift: "not measured (no gauge, lost)"}`, true},
		{"whole block", "stripped: not done (left closed)", true},
		{"value alone", "measured: {lift: 0.76 mm}", true},
		{"one reading", "as_found: {opening_pressure: 300 bar}", true},
		{"other unit", "as_found: {opening_pressure: 30.0 MPa}", true},
		{"cylinder of a vee", "removed: {cylinder: B4}", true},
		{"unknown key", "as_fuond: {}", false},
		{"decimal comma", `as_found: {opening_pressure: "300,5 bar"}`, false},
		{"no unit", "as_found: {opening_pressure: 300}", false},
		{"unit of another kind", "as_found: {opening_pressure: 300 mm}", false},
		{"other word", "as_found: {connection: cleanish}", false},
		{"day first", "removed: {date: 02.04.2024}", false},
		{"holder as a number", "holder: 113", false},
		{"list for a value", "removed: {date: [2024-04-02]}", false},
	} {
		err := overhaul.Validate(front(t, "---\n"+c.text+"\n---\n"))
		if (err == nil) != c.ok {
			t.Errorf("%s: Validate(%s) = %v, want ok %v", c.name, c.text, err, c.ok)
		}
	}
}
