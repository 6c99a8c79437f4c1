package main

import (
	"encoding/xml"
	"fmt"
	"net/url"
	"strings"

	"needlebook/checks"
)

// The JUnit report form that build servers read: one suite a file of the book, one case a finding; notes pass, and are
// in what the suite has printed. The order and the keys are those that both schemas in use take, that of the Ant tasks
// and that of the xunit plugin: neither host nor hour is known, so that the same book gives the same bytes.
type (
	junitSuites struct {
		XMLName xml.Name     `xml:"testsuites"`
		Suites  []junitSuite `xml:"testsuite"`
	}
	junitSuite struct {
		Name       string          `xml:"name,attr"`
		Package    string          `xml:"package,attr"`
		ID         int             `xml:"id,attr"`
		Timestamp  string          `xml:"timestamp,attr"` // the day of the book
		Host       string          `xml:"hostname,attr"`
		Tests      int             `xml:"tests,attr"`
		Failures   int             `xml:"failures,attr"`
		Errors     int             `xml:"errors,attr"`
		Time       int             `xml:"time,attr"`
		Properties []junitProperty `xml:"properties>property"`
		Cases      []junitCase     `xml:"testcase"`
		Out        string          `xml:"system-out"`
		Err        string          `xml:"system-err"`
	}
	junitProperty struct {
		Name  string `xml:"name,attr"`
		Value string `xml:"value,attr"`
	}
	junitCase struct {
		Name    string        `xml:"name,attr"`
		Class   string        `xml:"classname,attr"`
		Time    int           `xml:"time,attr"`
		Failure *junitFailure `xml:"failure"`
	}
	junitFailure struct {
		Message string `xml:"message,attr"`
		Type    string `xml:"type,attr"`
		Text    string `xml:",chardata"`
	}
)

// findingsJUnit counts findings of at least the threshold as failures. A file without findings is one case that passes.
func (p *program) findingsJUnit(o *opened, fs []checks.Finding, threshold checks.Grade) error {
	var all junitSuites
	about := []junitProperty{{"program", programName()}, {"vessel", o.book.Vessel.Name.Written},
		{"history", o.trail.Headline}}
	at := map[string]int{}
	suite := func(path string) *junitSuite {
		i, ok := at[path]
		if !ok {
			i = len(all.Suites)
			at[path] = i
			all.Suites = append(all.Suites, junitSuite{Name: path, Package: "needlebook.check", ID: i, Host: "localhost",
				Timestamp: o.report.Today.String() + "T00:00:00", Properties: about})
		}
		return &all.Suites[i]
	}
	for _, f := range fs {
		s := suite(f.Place.Path)
		c := junitCase{Name: fmt.Sprintf("%s line %d", f.Check, f.Place.Line), Class: f.Place.Path}
		text := fmt.Sprintf("%s: %s: %s", f.Place, f.Grade, f.Message)
		for _, line := range f.Evidence {
			text += "\n" + line
		}
		if f.Next != "" {
			text += "\n" + f.Next
		}
		if f.Grade >= threshold {
			c.Failure = &junitFailure{f.Message, f.Grade.String(), text}
			s.Failures++
		} else {
			s.Out += text + "\n"
		}
		s.Cases = append(s.Cases, c)
	}
	for _, rec := range o.book.Overhauls {
		if _, ok := at[rec.Path]; !ok {
			s := suite(rec.Path)
			s.Cases = append(s.Cases, junitCase{Name: "no finding", Class: rec.Path})
		}
	}
	for i := range all.Suites {
		all.Suites[i].Tests = len(all.Suites[i].Cases)
	}
	text, err := xml.MarshalIndent(all, "", "  ")
	if err == nil {
		_, err = fmt.Fprintf(p.data, "%s%s\n", xml.Header, text)
	}
	if err != nil {
		return fmt.Errorf("could not write the output: %w", err)
	}
	return nil
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

func firstSentence(s string) string {
	if i := strings.Index(s, ". "); i > 0 {
		return s[:i+1]
	}
	return s
}

// uriPath is a path of the book as a relative URI reference.
func uriPath(p string) string { return (&url.URL{Path: p}).EscapedPath() }
