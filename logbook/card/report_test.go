package card_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"needlebook/logbook/card"
)

// reported is a round of so many valves whose every text is as long, and as much markup, as it may come.
func reported(valves int) *card.Report {
	long := strings.Repeat("<b>long</b> ", 12)
	r := &card.Report{Vessel: long, Round: long, Engine: long, When: fmt.Sprint(valves, " valves, removed 2024-06-11 at 123456.7 h"), Limits: long, State: "As of 2024-06-24, commit 0123456789ab: " + long}
	for i := range valves {
		v := card.Valve{Cylinder: fmt.Sprintf("B%d", i+1), Ran: "12345 h, nozzle 12345 h", Decided: "nozzle condemn, holder reuse, now N-12345678901234", To: "fitted ME1-B12 2024-06-13",
			Out: []string{"H-12345678901234", "N-12345678901234"}, In: []string{"H-12345678901234", "N-12345678901234", "2024-06-13"}}
		for range card.FoundNames {
			v.Found = append(v.Found, card.Value{Text: "12.7 s (13.6 s at 20 °C)", Brief: "12.7 s", Limit: "320 +10/-0 bar (used)", Verdict: "beyond, in doubt"})
		}
		for range card.LeftNames {
			v.Left = append(v.Left, card.Value{Text: "9 holes open, 3 weak, uneven", Limit: fmt.Sprint(i), Verdict: "not proven"})
		}
		r.Valves = append(r.Valves, v)
	}
	for range 30 {
		r.Parts, r.Deviations = append(r.Parts, "2 × nozzle N-12345678901234 (6QZ-1680)"), append(r.Deviations, "cyl. B12: action: "+strings.Repeat("long ", 18)+"(open for 285 days)")
		r.Calibrations, r.Signatures = append(r.Calibrations, "PG-01 (gauge) calibrated 2021-08-16, until 2024-08-15"), append(r.Signatures, "cyl. 1, 2, 3: signed by m.oyelaran · countersigned by i.tamm, added to since · countersigned by o.lindqvist")
	}
	return r
}

// Whatever the round, the text fits the field of another program: the job first, every valve in it, and what was left out is counted.
func TestReportIsTwentyLines(t *testing.T) {
	for _, n := range []int{0, 1, 6, 8, 9, 10, 20, 48} {
		for _, job := range []string{"", "job 24-77"} {
			r := reported(n)
			r.Job = job
			text := r.Text()
			if lines := strings.Count(text, "\n"); lines > 20 {
				t.Errorf("%d valves, job %q: %d lines", n, job, lines)
			}
			if job != "" && !strings.HasPrefix(text, "job 24-77\n") {
				t.Errorf("the job is not first: %.40q", text)
			}
			if got := strings.Count(text, "cyl. B") - strings.Count(text, "Deviation: cyl. B"); got != n {
				t.Errorf("%d of %d valves are in the text", got, n)
			}
			if !strings.Contains(text, "Deviation: 28 more\n") || !strings.Contains(text, "; 22 more\n") {
				t.Errorf("what was left out is not counted:\n%s", text)
			}
		}
	}
	none := (&card.Report{Round: "R", When: "1 valve", Limits: "no limits in force", Valves: []card.Valve{{Cylinder: "1", Found: make([]card.Value, len(card.FoundNames)), Left: make([]card.Value, len(card.LeftNames))}}}).Text()
	for _, want := range []string{"Limits: none in force", "Parts used: none stated", "Deviation: none", "Signatures: none"} {
		if !strings.Contains(none, want) {
			t.Errorf("it does not say %q:\n%s", want, none)
		}
	}
}

// A limit that all valves share is in the head, one that differs beside each value; a verdict is said unless it is within.
func TestReportPage(t *testing.T) {
	r := reported(2)
	r.Valves[1].Found[0] = card.Value{Text: "300 bar", Limit: "320 +10/-0 bar (used)"}
	var page bytes.Buffer
	if err := card.WriteReport(&page, r); err != nil {
		t.Fatal(err)
	}
	text := page.String()
	for want, n := range map[string]int{"<small>320 +10/-0 bar (used)</small>": len(card.FoundNames), "<small>0</small>": len(card.LeftNames), "<td>300 bar</td>": 1, "<b>beyond, in doubt</b>": 2*len(card.FoundNames) - 1, "<b>long": 0, "22 more": 1, "This report is a record and a helper": 1} {
		if got := strings.Count(text, want); got != n {
			t.Errorf("%q is there %d times, want %d", want, got, n)
		}
	}
}

// One A4 page, as the browser prints it, whatever the round.
func TestReportIsOneA4Page(t *testing.T) {
	for _, n := range []int{1, 8, 24} {
		var page bytes.Buffer
		if err := card.WriteReport(&page, reported(n)); err != nil {
			t.Fatal(err)
		}
		// What the sheet has no room for would be cut off: the page says here whether all of it is on the sheet.
		fits := strings.Replace(page.String(), "</body>", `<script>const s=document.querySelector(".side"),c=document.querySelector(".columns");
document.title=s.scrollHeight<=s.clientHeight&&[...c.children].every(d=>d.scrollHeight<=d.clientHeight)?"fits":"cut off: "+s.scrollHeight+" of "+s.clientHeight+", "+[...c.children].map(d=>d.scrollHeight+" of "+d.clientHeight)</script></body>`, 1)
		p := inBrowser(t, fits)
		if title := p.title(); title != "fits" {
			t.Errorf("%d valves: %s", n, title)
		}
		if n != 24 {
			continue
		}
		if other := p.printsOn(1); other != "" {
			t.Errorf("%d valves are printed as\n%s", n, other)
		}
	}
}
