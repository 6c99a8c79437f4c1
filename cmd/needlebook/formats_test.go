package main

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"os"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// printed runs the program on the example vessel's files, a plain folder.
func printed(t *testing.T, args ...string) []byte {
	t.Helper()
	var out, errs bytes.Buffer
	if status := run(append(args, "--book", "../../example-vessel"), strings.NewReader(""), &out, &errs); status > exitFindings {
		t.Fatalf("needlebook %v: exit status %d, %s", args, status, errs.String())
	}
	return out.Bytes()
}

// The SARIF output meets the schema of the standard: OASIS SARIF 2.1.0, errata 01, sarif-schema-2.1.0.json, kept in testdata.
func TestSARIFMeetsItsSchema(t *testing.T) {
	src, err := os.ReadFile("testdata/sarif-schema-2.1.0.json")
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(src))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("sarif.json", doc); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("sarif.json")
	if err != nil {
		t.Fatal(err)
	}
	out, err := jsonschema.UnmarshalJSON(bytes.NewReader(printed(t, "check", "--format", "sarif")))
	if err != nil {
		t.Fatal(err)
	}
	if err := schema.Validate(out); err != nil {
		t.Errorf("%v", err)
	}
	var log sarifLog
	json.Unmarshal(printed(t, "check", "--format", "sarif"), &log)
	if len(log.Runs) != 1 || len(log.Runs[0].Results) == 0 || len(log.Runs[0].Tool.Driver.Rules) < 30 {
		t.Errorf("SARIF log without results or rules")
	}
	for _, r := range log.Runs[0].Results {
		if r.Index < 0 || log.Runs[0].Tool.Driver.Rules[r.Index].ID != r.Rule {
			t.Errorf("result of %s points at rule %d", r.Rule, r.Index)
		}
	}
	// The schema refuses what is not SARIF: the test can fail.
	if err := schema.Validate(map[string]any{"version": "2.1.0"}); err == nil {
		t.Error("the schema accepts a log without runs")
	}
}

// JSON, SARIF and JUnit carry the same findings.
func TestFormatsAgree(t *testing.T) {
	var j checkJSON
	if err := json.Unmarshal(printed(t, "check", "--format", "json"), &j); err != nil {
		t.Fatal(err)
	}
	var s sarifLog
	if err := json.Unmarshal(printed(t, "check", "--format", "sarif"), &s); err != nil {
		t.Fatal(err)
	}
	var u junitSuites
	if err := xml.Unmarshal(printed(t, "check", "--format", "junit"), &u); err != nil {
		t.Fatal(err)
	}
	severe, failures := j.Grades["stop"]+j.Grades["action"], 0
	for _, suite := range u.Suites {
		failures += suite.Failures
	}
	if len(j.Findings) != len(s.Runs[0].Results) || failures != severe || severe == 0 {
		t.Errorf("json has %d findings (%d of them severe), SARIF %d, JUnit %d failures", len(j.Findings), severe, len(s.Runs[0].Results), failures)
	}
	if j.Format != "needlebook check 1" || j.Deferral == "" || !strings.HasSuffix(j.History, ": nothing is proved") {
		t.Errorf("head of the JSON: %+v", j)
	}
	lines := strings.Count(string(printed(t, "check")), " [")
	if lines < len(j.Findings) {
		t.Errorf("text shows %d findings, JSON %d", lines, len(j.Findings))
	}
}
