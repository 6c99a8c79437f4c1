package main

import (
	"bytes"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/spf13/pflag"
)

// The help of every verb can be read by who learned English at sea: a line fits the narrowest terminal, a paragraph has at
// most 60 words, a signer is no he, and every verb has an example. Breaking a text over lines is part of writing it.
func TestHelpIsPlain(t *testing.T) {
	he := regexp.MustCompile(`(?i)\b(he|his|him|himself|hand|hands)\b`)
	pumped := regexp.MustCompile(`(?i)hand pump|hand over|handed over`)
	root := (&program{}).root()
	seen := 0
	for _, c := range pages(root) {
		if c.Parent() != nil && c.Parent().Name() == "completion" {
			continue // the library's own text
		}
		seen++
		for text := range strings.SplitSeq(c.Long, "\n\n") {
			if n := len(strings.Fields(text)); n > 60 && !strings.HasPrefix(text, "  ") {
				t.Errorf("%s: a paragraph of %d words: %.60q", c.CommandPath(), n, text)
			}
		}
		for line := range strings.SplitSeq(c.Long, "\n") {
			if n := utf8.RuneCountInString(line); n > 80 {
				t.Errorf("%s: a line of %d characters: %q", c.CommandPath(), n, line)
			}
		}
		if c.Example == "" && c.Runnable() && c.HasParent() && c.Name() != "completion" {
			t.Errorf("%s has no example", c.CommandPath())
		}
		said := c.Short + "\n" + c.Long + "\n" + c.Example
		c.Flags().VisitAll(func(f *pflag.Flag) { said += "\n" + f.Usage })
		if word := he.FindString(pumped.ReplaceAllString(said, "")); word != "" {
			t.Errorf("%s: the help says %q", c.CommandPath(), word)
		}
	}
	if seen < 35 {
		t.Errorf("only %d helps were read", seen)
	}
}

// What comes before this logbook is at the end of the program's help, and in that of no verb.
func TestHelpEndsWithWhatComesBefore(t *testing.T) {
	for _, c := range pages((&program{}).root()) {
		var out bytes.Buffer
		args := append(strings.Fields(c.CommandPath())[1:], "--help")
		run(args, strings.NewReader(""), &out, &out)
		if got := strings.HasSuffix(out.String(), "\n\n"+deferralLine+"\n"); got != !c.HasParent() {
			t.Errorf("%v: what comes before it is at the end: %v\n%s", args, got, out.String())
		}
		if strings.Count(out.String(), "not an instruction") > 1 || strings.Contains(out.String(), "[command]") {
			t.Errorf("%v\n%s", args, out.String())
		}
	}
}
