package edit_test

import (
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/edit"
)

// What a check proposes is typed where it is to stand, and nothing else of the file changes; what would not be read is not offered.
func TestTyped(t *testing.T) {
	const record, table = "overhauls/me1/c3/2024-06-11-h-119.md", "stores/stock.csv"
	for _, c := range []struct {
		what, name, src string
		line, column    int
		was             string
		types           []string
		want            []string
	}{
		{"plain", record, "---\nas_left: {gauge: PG1} # so\n---\n", 2, 18, "PG1", []string{"PG-1"}, []string{"---\nas_left: {gauge: PG-1} # so\n---\n"}},
		{"quoted", record, "---\nholder: 'H 1'\n---\n", 2, 9, "H 1", []string{"H-1"}, []string{"---\nholder: 'H-1'\n---\n"}},
		{"in quotes where plain is wrong", record, "---\nholder: H-1\n---\n", 2, 9, "H-1", []string{"0119"}, []string{"---\nholder: \"0119\"\n---\n"}},
		{"one of two", record, "---\nas_left: {gauge: PG1}\n---\n", 2, 18, "PG1", []string{"PG-1", "PG-2"},
			[]string{"---\nas_left: {gauge: PG-1}\n---\n", "---\nas_left: {gauge: PG-2}\n---\n"}},
		{"a cell", table, "date,item,part_no\n2024-01-01,nozzle,77 1\n", 2, 19, "77 1", []string{"77-1"}, []string{"date,item,part_no\n2024-01-01,nozzle,77-1\n"}},
		{"a cell with a comma", table, "date,item,part_no\n2024-01-01,nozzle,77\n", 2, 19, "77", []string{"7,7"}, []string{"date,item,part_no\n2024-01-01,nozzle,\"7,7\"\n"}},
		{"another text by now", record, "---\nas_left: {gauge: PG2}\n---\n", 2, 18, "PG1", []string{"PG-1"}, nil},
		{"only the beginning", record, "---\nas_left: {gauge: PG1x}\n---\n", 2, 18, "PG1", []string{"PG-1"}, nil},
		{"no such line", record, "---\nas_left: {gauge: PG1}\n---\n", 9, 18, "PG1", []string{"PG-1"}, nil},
		{"not read by its field", record, "---\nremoved: {counter: 5 h}\n---\n", 2, 20, "5 h", []string{"5 kg"}, nil},
		{"a slip that has its choices", record, "---\nremoved: {counter: \"5,000 h\"}\n---\n", 2, 20, "5,000 h", []string{"5000 h"}, nil},
	} {
		all := edit.Typed(c.name, []byte(c.src), &logbook.Proposal{Place: logbook.Place{Path: c.name, Line: c.line, Column: c.column}, Was: c.was, Types: c.types})
		var got []string
		for i, choice := range all {
			if got = append(got, string(choice.Text)); choice.String() != "type "+c.types[i] {
				t.Errorf("%s: %q", c.what, choice)
			}
		}
		if len(got) != len(c.want) {
			t.Errorf("%s: %q, want %q", c.what, got, c.want)
			continue
		}
		for i := range got {
			if got[i] != c.want[i] {
				t.Errorf("%s: %q, want %q", c.what, got[i], c.want[i])
			}
		}
	}
}

// A proposal in words.
func TestProposalInWords(t *testing.T) {
	at := logbook.Place{Path: "parts/h1.md", Line: 2}
	for _, c := range []struct {
		p    *logbook.Proposal
		want string
	}{
		{nil, ""}, {&logbook.Proposal{Place: at}, ""},
		{&logbook.Proposal{Place: at, Types: []string{"5 h"}}, "type 5 h"},
		{&logbook.Proposal{Place: at, Types: []string{"5 h", "6 h", "7 h"}}, "type 5 h or 6 h or 7 h, whichever is meant"},
		{&logbook.Proposal{Place: at, Types: []string{"5 h", "6 h", "7 h", "8 h"}}, ""},
		{&logbook.Proposal{Place: at, Path: "parts/h-1.md"}, "rename the file to h-1.md"},
		{&logbook.Proposal{Place: at, Path: "instruments/h1.md"}, "move it to instruments/h1.md"},
	} {
		if got := c.p.String(); got != c.want {
			t.Errorf("%+v: %q, want %q", c.p, got, c.want)
		}
	}
	for _, c := range []struct {
		p    logbook.Problem
		want string
	}{
		{logbook.Problem{Place: at}, ""}, {logbook.Problem{Place: at, Type: "a"}, "type a"},
		{logbook.Problem{Place: at, Meant: []string{"a", "b"}}, "type a or b, whichever is meant"},
		{logbook.Problem{Place: at, Type: "b", Meant: []string{"a", "b"}}, "type b"},
		{logbook.Problem{Place: at, Slip: logbook.SlipStem, Type: "h-1.md"}, "rename the file to h-1.md"},
		{logbook.Problem{Place: at, Slip: logbook.SlipFolder, Type: "parts/x/h1.md"}, "move it to parts/x/h1.md"},
	} {
		if got := c.p.Proposal().String(); got != c.want {
			t.Errorf("%+v: %q, want %q", c.p, got, c.want)
		}
	}
}
