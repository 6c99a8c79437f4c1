package main

import (
	"slices"
	"strings"

	"needlebook/checks"
	"needlebook/logbook"
)

// The parts of SARIF 2.1.0 (OASIS Standard, errata 01) that findings need.
type (
	sarifLog struct {
		Schema  string     `json:"$schema"`
		Version string     `json:"version"`
		Runs    []sarifRun `json:"runs"`
	}
	sarifRun struct {
		Tool       sarifTool     `json:"tool"`
		ColumnKind string        `json:"columnKind"`
		Results    []sarifResult `json:"results"`
	}
	sarifTool struct {
		Driver sarifDriver `json:"driver"`
	}
	sarifDriver struct {
		Name  string      `json:"name"`
		Is    string      `json:"version"`
		Full  sarifText   `json:"shortDescription"`
		Rules []sarifRule `json:"rules"`
	}
	sarifRule struct {
		ID      string      `json:"id"`
		Short   sarifText   `json:"shortDescription"`
		Full    sarifText   `json:"fullDescription"`
		Help    sarifText   `json:"help"`
		Default sarifConfig `json:"defaultConfiguration"`
	}
	sarifConfig struct {
		Level string `json:"level"`
	}
	sarifText struct {
		Text string `json:"text"`
	}
	sarifResult struct {
		Rule       string             `json:"ruleId"`
		Index      int                `json:"ruleIndex"`
		Level      string             `json:"level"`
		Baseline   string             `json:"baselineState,omitempty"` // with --since: new, updated or absent
		Message    sarifText          `json:"message"`
		Locations  []sarifLocation    `json:"locations"`
		Related    []sarifLocation    `json:"relatedLocations,omitempty"`
		Prints     map[string]string  `json:"partialFingerprints,omitempty"`
		Suppressed []sarifSuppression `json:"suppressions,omitempty"` // with --all: what is not open
		Properties sarifProperties    `json:"properties"`
	}
	sarifSuppression struct {
		Kind   string `json:"kind"`
		Status string `json:"status"`
		Why    string `json:"justification"`
	}
	sarifProperties struct {
		Grade string `json:"grade"`
		Next  string `json:"next,omitempty"`
		Limit string `json:"limit,omitempty"`
	}
	sarifLocation struct {
		Physical sarifPhysical `json:"physicalLocation"`
		Message  *sarifText    `json:"message,omitempty"`
	}
	sarifPhysical struct {
		Artifact sarifArtifact `json:"artifactLocation"`
		Region   *sarifRegion  `json:"region,omitempty"`
	}
	sarifArtifact struct {
		URI  string `json:"uri"`
		Base string `json:"uriBaseId"`
	}
	sarifRegion struct {
		Line   int `json:"startLine"`
		Column int `json:"startColumn"`
	}
)

// sarifLevels are the levels of SARIF for our grades.
var sarifLevels = map[checks.Grade]string{checks.Stop: "error", checks.Action: "error", checks.Advice: "warning",
	checks.Note: "note"}

func (p *program) findingsSARIF(fs []checks.Finding, since *compared) error {
	name, number, _ := strings.Cut(programName(), " ")
	run := sarifRun{ColumnKind: "unicodeCodePoints", Results: []sarifResult{},
		Tool: sarifTool{sarifDriver{Name: name, Is: number,
			Full: sarifText{"Checks of a logbook of fuel injection valve overhauls. " + oneLine(deferralLine)}}}}
	index := map[string]int{}
	rules := checks.All()
	for i, k := range rules {
		index[k.Name] = i
		run.Tool.Driver.Rules = append(run.Tool.Driver.Rules, sarifRule{ID: k.Name, Short: sarifText{firstSentence(k.Doc)},
			Full: sarifText{k.Doc},
			Help: sarifText{k.Doc + "\n\nSource: " + k.Source}, Default: sarifConfig{sarifLevels[k.Grade]}})
	}
	for i, f := range slices.Concat(fs, since.left()) {
		r := sarifResult{Rule: f.Check, Index: -1, Level: sarifLevels[f.Grade],
			Message:    sarifText{strings.Join(append([]string{f.Message}, f.Evidence...), "\n")},
			Locations:  []sarifLocation{sarifAt(f.Place, "")},
			Properties: sarifProperties{Grade: f.Grade.String(), Next: f.Next}}
		if f.Text != "" {
			r.Prints = map[string]string{"needlebook/v1": f.Text}
		}
		if f.State != checks.Open {
			r.Suppressed = []sarifSuppression{{"external", "accepted", f.State.String() + ": " + f.Ended.Words}}
		}
		if at, ok := index[f.Check]; ok {
			r.Index = at
		}
		if _, changed := since.before(f); i >= len(fs) {
			r.Baseline = "absent"
		} else if changed {
			r.Baseline = "updated"
		} else if since != nil {
			r.Baseline = "new"
		}
		if f.Limit != nil {
			r.Properties.Limit = f.Limit.Text + ", " + f.Limit.Source
			r.Related = append(r.Related, sarifAt(f.Limit.Place, "limit "+f.Limit.Text))
		}
		for _, x := range f.Related {
			r.Related = append(r.Related, sarifAt(x.Place, x.Words))
		}
		run.Results = append(run.Results, r)
	}
	return p.json(sarifLog{"https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
		"2.1.0", []sarifRun{run}})
}

func sarifAt(at logbook.Place, words string) sarifLocation {
	l := sarifLocation{Physical: sarifPhysical{Artifact: sarifArtifact{URI: uriPath(at.Path), Base: "BOOK"}}}
	if at.Line > 0 {
		l.Physical.Region = &sarifRegion{at.Line, max(at.Column, 1)}
	}
	if words != "" {
		l.Message = &sarifText{words}
	}
	return l
}
