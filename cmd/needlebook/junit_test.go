package main

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// element is what a schema says of an element: its keys by the form of their values, those that it must have, and what
// is in it, each with its order; with order -1 any order is right.
type element struct {
	attributes map[string]string
	required   []string
	inside     map[string]int
	single     []string // of these at most one
	whole      []string // of these one each
}

const (
	aToken    = `^\S(.*\S)?$`
	anInteger = `^[+-]?[0-9]+$`
	aDecimal  = `^[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)$`
	anyText   = `(?s)^.*$`
)

// What the Ant schema says: JUnit.xsd of Windy Road Technology, "JUnit test result schema for the Apache Ant JUnit and
// JUnitReport tasks", Apache License 2.0; read by hand, of what can be in a report without errors and skipped cases.
var antRules = map[string]element{
	"testsuites": {inside: map[string]int{"testsuite": 0}},
	"testsuite": {
		attributes: map[string]string{"name": aToken, "package": aToken, "id": anInteger, "hostname": aToken, "tests": anInteger, "failures": anInteger,
			"errors": anInteger, "skipped": anInteger, "time": aDecimal, "timestamp": `^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}$`},
		required: []string{"name", "package", "id", "timestamp", "hostname", "tests", "failures", "errors", "time"},
		inside:   map[string]int{"properties": 0, "testcase": 1, "system-out": 2, "system-err": 3},
		whole:    []string{"properties", "system-out", "system-err"}},
	"properties": {inside: map[string]int{"property": 0}},
	"property":   {attributes: map[string]string{"name": aToken, "value": anyText}, required: []string{"name", "value"}},
	"testcase": {attributes: map[string]string{"name": aToken, "classname": aToken, "time": aDecimal}, required: []string{"name", "classname", "time"},
		inside: map[string]int{"failure": 0, "error": 0, "skipped": 0}, single: []string{"failure", "error", "skipped"}},
	"failure":    {attributes: map[string]string{"message": anyText, "type": anyText}, required: []string{"type"}},
	"system-out": {}, "system-err": {},
}

// What the schema of the xunit plugin says: junit-10.xsd, Gregory Boissinot, MIT License; read by hand likewise.
var xunitRules = map[string]element{
	"testsuites": {attributes: map[string]string{"name": anyText, "time": surefire, "tests": anyText, "failures": anyText, "errors": anyText}, inside: map[string]int{"testsuite": 0}},
	"testsuite": {attributes: map[string]string{"name": anyText, "tests": anyText, "failures": anyText, "errors": anyText, "group": anyText, "time": surefire, "skipped": anyText,
		"timestamp": anyText, "hostname": anyText, "id": anyText, "package": anyText, "file": anyText, "log": anyText, "url": anyText},
		required: []string{"name", "tests", "failures", "errors"},
		inside:   map[string]int{"testsuite": -1, "properties": -1, "testcase": -1, "system-out": -1, "system-err": -1}},
	"properties": {inside: map[string]int{"property": 0}},
	"property":   {attributes: map[string]string{"name": anyText, "value": anyText}, required: []string{"name", "value"}},
	"testcase": {attributes: map[string]string{"name": anyText, "time": anyText, "classname": anyText, "group": anyText}, required: []string{"name"},
		inside: map[string]int{"failure": -1, "error": -1, "skipped": -1, "system-out": -1, "system-err": -1}},
	"failure":    {attributes: map[string]string{"message": anyText, "type": anyText}},
	"system-out": {}, "system-err": {},
}

const surefire = `^(([0-9]{0,3},)*[0-9]{3}|[0-9]{0,3})*(\.[0-9]*)?$`

// breaks holds a report against rules.
func breaks(rules map[string]element, src string) error {
	d := xml.NewDecoder(strings.NewReader(src))
	type level struct {
		name string
		last int
		had  []string
	}
	open := []level{{}}
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		top := &open[len(open)-1]
		switch x := tok.(type) {
		case xml.StartElement:
			name := x.Name.Local
			rule, known := rules[name]
			order, may := rules[top.name].inside[name]
			if !known || top.name != "" && !may || top.name == "" && name != "testsuites" {
				return fmt.Errorf("%s in %q", name, top.name)
			}
			if order >= 0 && order < top.last {
				return fmt.Errorf("%s comes too late in %s", name, top.name)
			}
			if slices.Contains(rules[top.name].single, name) && len(top.had) > 0 || slices.Contains(rules[top.name].whole, name) && slices.Contains(top.had, name) {
				return fmt.Errorf("two of %s in %s", name, top.name)
			}
			top.last, top.had = max(order, 0), append(top.had, name)
			for _, a := range x.Attr {
				if form, ok := rule.attributes[a.Name.Local]; !ok || !regexp.MustCompile(form).MatchString(a.Value) {
					return fmt.Errorf("%s of %s is %q", a.Name.Local, name, a.Value)
				}
			}
			for _, r := range rule.required {
				if !slices.ContainsFunc(x.Attr, func(a xml.Attr) bool { return a.Name.Local == r }) {
					return fmt.Errorf("%s has no %s", name, r)
				}
			}
			open = append(open, level{name: name})
		case xml.EndElement:
			for _, w := range rules[top.name].whole {
				if !slices.Contains(top.had, w) {
					return fmt.Errorf("%s has no %s", top.name, w)
				}
			}
			open = open[:len(open)-1]
		case xml.CharData:
			if text := strings.TrimSpace(string(x)); text != "" && rules[top.name].inside != nil {
				return fmt.Errorf("text in %s: %.40s", top.name, text)
			}
		}
	}
}

// The report of the example vessel meets both schemas in common use, and so does one of all findings.
func TestJUnitMeetsBothSchemas(t *testing.T) {
	for _, args := range [][]string{{"check", "--format", "junit"}, {"check", "--format", "junit", "--all", "--fail-on", "stop"}} {
		report := string(printed(t, args...))
		for name, rules := range map[string]map[string]element{"Ant": antRules, "xunit": xunitRules} {
			if err := breaks(rules, report); err != nil {
				t.Errorf("%v: %s: %v", args, name, err)
			}
		}
		for _, wrong := range []struct{ is, to string }{{` hostname="localhost"`, ""}, {`timestamp="`, `timestamp="on `}, {"<system-out>", "<system-err></system-err><system-out>"},
			{"</testcase>", "<system-out></system-out></testcase>"}, {"<testsuites>", `<testsuites name="all">`}} {
			if !strings.Contains(report, wrong.is) || breaks(antRules, strings.Replace(report, wrong.is, wrong.to, 1)) == nil {
				t.Errorf("the rules take %q for %q", wrong.to, wrong.is)
			}
		}
		if breaks(xunitRules, strings.Replace(report, ` errors="0"`, "", 1)) == nil || breaks(xunitRules, strings.Replace(report, `time="0"`, `time="-1"`, 1)) == nil {
			t.Error("the rules of xunit take what its schema refuses")
		}
	}
}
