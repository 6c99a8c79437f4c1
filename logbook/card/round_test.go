package card_test

import (
	"bytes"
	"strings"
	"testing"

	"needlebook/logbook/card"
	"needlebook/logbook/draft"
)

func roundOf(sheets []*draft.Sheet, n int) card.Round {
	r := card.Round{Vessel: "Ostrevane", Engine: "ME1", Day: "2024-06-24"}
	for i := range n {
		r.Seats = append(r.Seats, card.RoundSeat{Sheet: sheets[i%len(sheets)], In: "H-120", Nozzle: "N-2020"})
	}
	return r
}

func roundText(t *testing.T, r card.Round) string {
	t.Helper()
	var page bytes.Buffer
	if err := card.WriteRound(&page, r); err != nil {
		t.Fatal(err)
	}
	return page.String()
}

// The sheet asks for what the bench shows, with the limit and the last value beside it, and stops where somebody signs. No outside source.
func TestRoundSheetSaysWhatTheBenchNeeds(t *testing.T) {
	text := roundText(t, roundOf(vessel(t), 6))
	for want, n := range map[string]int{"HOLD: as found": 1, "HOLD: second engineer": 1, "HOLD: as left": 1, "HOLD: fitted": 1, "used 320 +10/-0 bar, new 345 +10/-0 bar": 1, "at most 0.05 mm": 1,
		"high-pressure injection of oil": 1, "not an instruction": 1, "H-120 N-2020": 6, "· H-115": 2, "<s>14.8</s>": 2} {
		if got := strings.Count(text, want); got != n {
			t.Errorf("%q is there %d times, want %d", want, got, n)
		}
	}
	if text := roundText(t, roundOf(spiteful(t), 2)); strings.Contains(text, "<b>1") || strings.Contains(text, "onload=x\"") {
		t.Error("markup of a serial is markup on the sheet")
	}
}

// One landscape sheet of two sides, nothing cut off and nothing under nine points, for as many cylinders as it has columns. A pencil has
// at least four millimetres: from memory.
func TestRoundIsOneSheet(t *testing.T) {
	long := roundOf(spiteful(t), 2)
	long.Vessel = strings.Repeat("long ", 20)
	for name, c := range map[string]struct {
		card.Round
		pages int
	}{"six": {roundOf(vessel(t), 6), 2}, "nine": {roundOf(vessel(t), 9), 2}, "ten": {roundOf(vessel(t), 10), 4}, "spiteful": {long, 2}, "es": {card.Round{Vessel: "V", Engine: "ME1", Day: "2024-06-24", Language: "es", Seats: roundOf(vessel(t), 7).Seats}, 2}} {
		measure := `<script>document.title=[...document.querySelectorAll(".side")].map(s=>s.scrollHeight>s.clientHeight?"cut off "+s.scrollHeight+" of "+s.clientHeight:"").join("")+` +
			`[...document.querySelectorAll("td.box div, td.limit")].map(d=>d.scrollWidth>d.clientWidth+1||d.classList.length==0&&d.clientHeight<15?"cell "+d.textContent+" "+d.scrollWidth+" of "+d.clientWidth+" "+d.clientHeight:"").join("")+` +
			`[...document.querySelectorAll("*")].map(e=>parseFloat(getComputedStyle(e).fontSize)<11.99?"small "+e.tagName:"").join("")||"fits"</script></body>`
		p := inBrowser(t, strings.Replace(roundText(t, c.Round), "</body>", measure, 1))
		if title := p.title(); title != "fits" {
			t.Errorf("%s: %s", name, title)
		}
		if other := p.printsOn(c.pages); other != "" {
			t.Errorf("%s: printed as\n%s", name, other)
		}
	}
}
