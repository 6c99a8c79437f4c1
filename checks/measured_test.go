package checks

import (
	"fmt"
	"os"
	"strings"
	"testing"
)

// measuredRows are the scenarios of the battery that the documentation of each check quotes.
var measuredRows = map[*Check][]string{
	nozzlesRejectedInHolder:  {"a cracked holder that moves"},
	valvesRejectedInPosition: {"a position ruins every valve", "a position ruins 45 %"},
	roundWithCommonCause:     {"a bad bunker, every other valve", "a bad bunker, one valve in four"},
	gaugeInDoubt: {"a gauge 7 % high, on the day", "a gauge 7 % high, after the next round", "a gauge 4 % high, on the day",
		"a gauge 4 % high, after the next round"},
	positionLosesPressure: nil,
}

// What the documentation of a check says was measured is what the battery has on file. The long run of the battery holds the file to what it
// shows. No outside source: these are our own figures.
func TestMeasuredWords(t *testing.T) {
	src, err := os.ReadFile("internal/battery/testdata/measured.txt")
	if err != nil {
		t.Fatal(err)
	}
	names := map[*Check]string{nozzlesRejectedInHolder: "holder", valvesRejectedInPosition: "position", roundWithCommonCause: "round",
		gaugeInDoubt: "gauge", positionLosesPressure: "pressure"}
	for check, rows := range measuredRows {
		want := "Measured on simulated ships: "
		for line := range strings.Lines(string(src)) {
			if alarms, ok := strings.CutPrefix(line, "false alarms, "+names[check]+": "); ok {
				want += "false alarms on " + strings.TrimSpace(alarms)
			}
		}
		for _, row := range rows {
			for line := range strings.Lines(string(src)) {
				rest, ok := strings.CutPrefix(line, row+" ")
				if !ok || !strings.HasPrefix(rest, " ") {
					continue
				}
				var ships, visits, named, cannot, innocent, oracle int
				var bound float64
				if _, err := fmt.Sscanf(rest, "%d %d %d %d %d %f %% %d", &ships, &visits, &named, &cannot, &innocent, &bound, &oracle); err != nil {
					t.Fatalf("%q: %v", line, err)
				}
				want += fmt.Sprintf("; %s: named in %d of %d, by an oracle in %d", row, named, ships, oracle)
			}
		}
		if want += "."; !strings.HasSuffix(check.Doc, want) {
			t.Errorf("%s: the documentation must end with\n%s", check.Name, want)
		}
	}
}
