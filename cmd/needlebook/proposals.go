package main

import (
	"fmt"
	"strings"

	"needlebook/checks/deciding"
)

// proposed prints what one overhaul leads to: the proposal for each part beside what was decided, both sides of regrind
// or renew, the setting, and whether the valve is ready; with the questions it went through where the working is asked
// for.
func (p *program) proposed(out deciding.Outcome, working bool) {
	for _, part := range out.Proposals() {
		name := strings.TrimSpace(part.Part + " " + part.Serial)
		if part.Word == "" {
			fmt.Fprintf(p.out, "  %s: %s\n", name, part)
		} else {
			fmt.Fprintf(p.out, "  %s: proposed %s\n", name, part)
		}
		if text := part.Compared(); text != "" {
			fmt.Fprintf(p.out, "      %s\n", text)
		}
		if !working {
			continue
		}
		for _, s := range part.Steps {
			fmt.Fprintf(p.out, "      %s\n", s)
		}
	}
	for _, c := range out.Choices {
		for _, line := range c.Lines() {
			fmt.Fprintf(p.out, "  %s\n", line)
		}
	}
	switch {
	case out.SettingDecided != "":
		fmt.Fprintf(p.out, "  set to %s when built as decided\n", out.SettingDecided)
	case out.Setting != "":
		fmt.Fprintf(p.out, "  set to %s when built as proposed\n", out.Setting)
	}
	fmt.Fprintf(p.out, "  ready: %s\n", out.Ready)
}

// readyLine counts the valves that are ready among the overhauls asked for; of a single one it says why not, and who
// answers for it.
func readyLine(o *opened, asked func(path string) bool) string {
	var yes, no, notYet, again int
	last, state := "", ""
	for _, rec := range o.book.Overhauls {
		if !asked(rec.Path) {
			continue
		}
		ready := o.report.Decisions[rec.Stem].Ready
		last, state = ready.String(), o.trail.Standing(rec.Path).String()
		switch {
		case ready.Yes():
			yes++
		case len(ready.Because) > 0:
			no++
		case ready.Again != "":
			again++
		default:
			notYet++
		}
	}
	switch yes + no + notYet + again {
	case 0:
		return ""
	case 1:
		return "state: " + state + "\nready: " + last
	}
	return fmt.Sprintf("ready: %d yes, %d no, %d not yet, %d test again; --propose says why", yes, no, notYet, again)
}

// recordJSON is what one overhaul leads to, for check --format json.
type recordJSON struct {
	Record   string                  `json:"record"`
	Path     string                  `json:"path"`
	State    string                  `json:"state"` // who answers for the text, in the words of logbook.Standing
	Ready    string                  `json:"ready"` // "yes", "no, because …" or "not yet: …"
	Proposed map[string]proposedJSON `json:"proposed"`
	Decided  map[string]decidedJSON  `json:"decided"`
	Setting  string                  `json:"setting,omitempty"`
	Choices  []choiceJSON            `json:"choices,omitempty"`
}

type proposedJSON struct {
	Word   string   `json:"word,omitempty"`
	Why    string   `json:"why,omitempty"`
	Open   []string `json:"open,omitempty"`
	Cannot string   `json:"cannot,omitempty"`
}

type decidedJSON struct {
	Word      string `json:"word"`
	Implied   bool   `json:"implied,omitempty"`
	Agreement string `json:"agreement"`
	Answer    string `json:"answer,omitempty"`
}

type choiceJSON struct {
	Part    string `json:"part"`
	Serial  string `json:"serial"`
	Regrind string `json:"regrind"`
	Renew   string `json:"renew"`
}

// recordsJSON lists the overhauls among the files asked for, in the order of the book.
func recordsJSON(o *opened, asked func(path string) bool) []recordJSON {
	all := []recordJSON{}
	for _, rec := range o.book.Overhauls {
		out, known := o.report.Decisions[rec.Stem]
		if !known || !asked(rec.Path) {
			continue
		}
		j := recordJSON{Record: rec.Stem, Path: rec.Path, State: o.trail.Standing(rec.Path).String(),
			Ready: out.Ready.String(), Setting: out.Setting, Proposed: map[string]proposedJSON{},
			Decided: map[string]decidedJSON{}}
		for _, part := range out.Proposals() {
			said := proposedJSON{Word: part.Word, Open: part.Provided(), Cannot: part.Cannot}
			if part.Word != "" {
				said.Why = part.Why()
			}
			j.Proposed[part.Part] = said
			if part.Decided != "" {
				j.Decided[part.Part] = decidedJSON{part.Decided, part.Implied, part.Agreement.String(), part.Answer}
			}
		}
		for _, c := range out.Choices {
			lines := c.Lines()
			j.Choices = append(j.Choices, choiceJSON{c.Part, c.Serial, lines[0], lines[1]})
		}
		all = append(all, j)
	}
	return all
}
