package logbook

import (
	"strings"
	"testing"
)

// What other programs save between cells, and how they change the first line: RFC 4180 knows the comma alone; the others are common
// practice, no source.
func TestTablesOfOtherPrograms(t *testing.T) {
	const table = "date,counter_h,note\n2024-01-01,18100,\n2024-01-08,,lost\n"
	for _, c := range []struct{ name, text, slips string }{
		{"semicolons", strings.ReplaceAll(table, ",", ";"), "1:1 table-header"},
		{"tabs", strings.ReplaceAll(table, ",", "\t"), "1:1 table-header"},
		{"bars", strings.ReplaceAll(table, ",", "|"), "1:1 table-header"},
		{"capitals", strings.Replace(table, "date,counter_h", "Date,COUNTER-H", 1), "1:1 table-header; 1:6 table-header"},
	} {
		rows, problems := readTable[Reading]("hours/me1.csv", []byte(c.text))
		var got []string
		for _, p := range problems {
			_, at, _ := strings.Cut(p.Place.String(), ":")
			if got = append(got, at+" "+p.Slip); !p.Read {
				t.Errorf("%s: %v was not read", c.name, p)
			}
		}
		if strings.Join(got, "; ") != c.slips || len(rows) != 2 || rows[0].Counter.Written != "18100" || rows[1].Note.Written != "lost" {
			t.Errorf("%s: %v, rows %+v", c.name, problems, rows)
		}
	}
	for text, want := range map[string]string{
		"2024-01-01,18100,\n2024-01-08,18220,\n":                      "the names of the columns: date,counter_h,note",
		"2024-01-01,18100,\ndate,counter_h,note\n2024-01-08,18220,\n": "the names of the columns, which are on line 2",
	} {
		_, problems := readTable[Reading]("hours/me1.csv", []byte(text))
		if len(problems) != 1 || problems[0].Expected != want || problems[0].Type != "" {
			t.Errorf("%q: %v", text, problems)
		}
	}
}

// A proposal is the whole of what belongs there, or there is none: typed, it ends its finding.
func TestProposalsEndTheirFinding(t *testing.T) {
	for _, c := range []struct{ front, slip, typed string }{
		{"measured: {lift: {value: #REF!, with: DG-1}}", SlipYAML, ""},
		{"measured: {lift: {value: ####, with: DG-1}}", SlipYAML, ""},
		{"as_left: {gauge: #1, oil: 20 °C}", SlipYAML, `as_left: {gauge: "#1", oil: 20 °C}`},
		{"as_left: date: 2024-04-02\n  bench: B-01", SlipYAML, ""},
		{"round: smoke: pulled", SlipYAML, `round: "smoke: pulled"`},
		{"inspected:\n  leaks: good", SlipUnknownKey, ""},
		{"inspected:\n  tipp: good", SlipUnknownKey, "tip"},
		{"inspected:\n  oil: 21 °C", SlipUnknownKey, ""},
		{"mesured: 300 bar", SlipUnknownKey, ""},
		{"removed:\n  counter: 018.340 h", "leading-zero", ""},
		{"removed:\n  counter: 018340 h", "leading-zero", "18340 h"},
		{"removed:\n\t\tcounter: 18340 h", SlipTab, "    "},
	} {
		_, problems := ReadOverhaul(goodPath, []byte("---\n"+c.front+"\n---\n"))
		if len(problems) == 0 || problems[0].Slip != c.slip || problems[0].Type != c.typed {
			t.Errorf("%q: %q proposed, want %q: %v", c.front, problems[0].Type, c.typed, problems)
		}
	}
}

// A first cell of hashes alone is what a spreadsheet shows where its column is too narrow; a remark may begin with hashes, and a line of
// them may part a table. Outside source: what spreadsheets show, from memory.
func TestHashesOfASpreadsheet(t *testing.T) {
	for line, want := range map[string]int{
		"####,100,": 1, "###;100": 1, "#######\t100": 1, "### ,100": 1, "#REF!,100": 1,
		"### the counter was replaced, see the log": 0, "#": 0, "##########": 0, "## 3, 4": 0,
	} {
		_, problems := readTable[Reading]("hours/me1.csv", []byte("date,counter_h,note\n2020-01-01,100,\n"+line+"\n"))
		n := 0
		for _, p := range problems {
			if p.Slip == SlipRow && p.Place.Line == 3 {
				n++
			}
		}
		if n != want {
			t.Errorf("%q gives %d problems of the whole line, want %d: %v", line, n, want, problems)
		}
	}
}
