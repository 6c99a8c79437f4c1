package main

import (
	"fmt"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/logbook/export"
)

// placeJSON, limitJSON, findingJSON and checkJSON are the stable form of check --format json; the manual documents it,
// in formats.md.
type placeJSON struct {
	Path   string `json:"path"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
	Words  string `json:"words,omitempty"`
}

type limitJSON struct {
	Text     string    `json:"text"`
	Source   string    `json:"source"`
	Revision string    `json:"revision"`
	Place    placeJSON `json:"place"`
}

type findingJSON struct {
	Check    string      `json:"check"`
	Grade    string      `json:"grade"`
	Place    placeJSON   `json:"place"`
	Message  string      `json:"message"`
	Evidence []string    `json:"evidence,omitempty"` // what proves the message, a line each
	Next     string      `json:"next,omitempty"`
	Limit    *limitJSON  `json:"limit,omitempty"`
	Related  []placeJSON `json:"related,omitempty"`
	Record   string      `json:"record,omitempty"`
	Position string      `json:"position,omitempty"`
	Holder   string      `json:"holder,omitempty"`
	Nozzle   string      `json:"nozzle,omitempty"`
	Subject  string      `json:"subject"`          // what it is about: "pocket ME2-6"
	Where    string      `json:"where,omitempty"`  // where that is now
	Group    string      `json:"group"`            // where it is listed
	State    string      `json:"state"`            // open, deferred, closed by work or answered
	Opened   string      `json:"opened,omitempty"` // the day from which on it held
	Ended    string      `json:"ended,omitempty"`  // what ended it, or covers it
	EndedOn  string      `json:"ended_on,omitempty"`
	Text     string      `json:"text"`           // what an answer to it answers to
	Held     string      `json:"held,omitempty"` // why an answer in the book does not count
	Office   string      `json:"with_office_since,omitempty"`
	Since    string      `json:"since,omitempty"` // with --since: new or changed
	Was      string      `json:"was,omitempty"`   // the message at that commit
}

type checkJSON struct {
	Format    string         `json:"format"` // "needlebook check 1"
	Program   string         `json:"program"`
	Vessel    string         `json:"vessel"`
	Today     string         `json:"judged_from"`
	LimitsOf  string         `json:"limits_of,omitempty"`
	Overhauls int            `json:"overhauls"`
	Grades    map[string]int `json:"grades"`
	History   string         `json:"history"`
	Findings  []findingJSON  `json:"findings"`
	Since     string         `json:"since,omitempty"` // the commit compared with
	Gone      []findingJSON  `json:"gone,omitempty"`  // found at that commit, not any more
	Records   []recordJSON   `json:"records"`
	Deferral  string         `json:"deferral"`
}

func (p *program) findingsJSON(o *opened, fs []checks.Finding, asked func(path string) bool, since *compared) error {
	out := checkJSON{Format: "needlebook check 1", Program: programName(), Vessel: o.book.Vessel.Name.Written,
		Today:     o.report.Today.String(),
		Overhauls: len(o.book.Overhauls),
		Grades:    map[string]int{"stop": 0, "action": 0, "advice": 0, "note": 0}, History: o.trail.Headline,
		Findings: []findingJSON{}, Deferral: oneLine(deferralLine)}
	if o.limitsOf != 0 {
		out.LimitsOf = o.limitsOf.String()
	}
	for _, f := range fs {
		out.Grades[f.Grade.String()]++
		j := jsonFinding(o, f)
		if was, changed := since.before(f); changed {
			j.Since, j.Was = "changed", was.Message
		} else if since != nil {
			j.Since = "new"
		}
		out.Findings = append(out.Findings, j)
	}
	if since != nil {
		out.Since = since.rev
	}
	for _, f := range since.left() {
		out.Gone = append(out.Gone, jsonFinding(o, f))
	}
	out.Records = recordsJSON(o, asked)
	return p.json(out)
}

func jsonFinding(o *opened, f checks.Finding) findingJSON {
	j := findingJSON{Check: f.Check, Grade: f.Grade.String(), Place: jsonPlace(f.Place, ""), Message: f.Message,
		Evidence: f.Evidence, Next: f.Next, Record: f.About.Record, Holder: f.About.Holder, Nozzle: f.About.Nozzle}
	j.Subject, j.Where, j.Group = f.Subject.String(), o.report.Where(&f), o.report.GroupOf(&f).String()
	j.State, j.Ended, j.Text, j.Held = f.State.String(), f.Ended.Words, f.Text, f.Held
	if f.Since != 0 {
		j.Opened = f.Since.String()
	}
	if f.Office != 0 {
		j.Office = f.Office.String()
	}
	if f.Ended.Day != 0 {
		j.EndedOn = f.Ended.Day.String()
	}
	if f.About.Position.Engine != "" {
		j.Position = f.About.Position.String()
	}
	if f.Limit != nil {
		j.Limit = &limitJSON{f.Limit.Text, f.Limit.Source, f.Limit.Revision.String(), jsonPlace(f.Limit.Place, "")}
	}
	for _, r := range f.Related {
		j.Related = append(j.Related, jsonPlace(r.Place, r.Words))
	}
	return j
}

func jsonPlace(p logbook.Place, words string) placeJSON {
	return placeJSON{p.Path, p.Line, p.Column, words}
}

func (p *program) json(v any) error {
	if err := export.JSON(p.data, v); err != nil {
		return fmt.Errorf("could not write the output: %w", err)
	}
	return nil
}
