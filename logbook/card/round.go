package card

import (
	"io"
	"strings"

	"needlebook/logbook/draft"
	"needlebook/logbook/keys"
	"needlebook/logbook/language"
)

// Round is a round on one landscape sheet: the cylinders are its columns.
type Round struct {
	Vessel, Engine, Day string
	Seats               []RoundSeat // in the order of the engine
	Language            string      // as that of a Card
}

// RoundSeat is one cylinder of a round: the sheet of the valve that comes out, and what is to go in.
type RoundSeat struct {
	Sheet      *draft.Sheet
	In, Nozzle string
	Again      *draft.Sheet // of what is to go in, where it is tested again first; nil where it is not
}

// mostSeats is how many columns a sheet has room for at nine points; an engine of more has another sheet.
const mostSeats = 9

// WriteRound writes the sheet of a round as one HTML file: its front is the work as far as the decision, its back the
// build, the test as left and the fitting.
func WriteRound(w io.Writer, r Round) error {
	data := roundPrinted{Round: r, Cautions: cautions, Standing: standing, Words: language.Of(r.Language),
		Lang: language.Standard}
	if data.Words != nil {
		data.Lang = r.Language
	}
	for at := 0; at < len(r.Seats); at += mostSeats {
		seats := r.Seats[at:min(at+mostSeats, len(r.Seats))]
		l := layout{seats[0].Sheet, words(), data.Words}
		source := ""
		if s := seats[0].Sheet; s.Revision != 0 {
			source = s.Source + ", in force from " + s.Revision.String()
		}
		data.Sheets = append(data.Sheets, roundSheet{seats, source, [2][]roundRow{front(l, seats), back(l, seats)}})
	}
	return data.write(w)
}

type roundPrinted struct {
	Round
	Cautions       []string
	Standing, Lang string
	Sheets         []roundSheet
	language.Words
}

// roundSheet is a sheet of two sides.
type roundSheet struct {
	Seats  []RoundSeat
	Source string
	Sides  [2][]roundRow
}

// roundRow is one line of a side: a heading, a hold point, or a value with a box for each cylinder.
type roundRow struct {
	Heading string
	Hold    string
	Label   string
	Beside  string   // the limit, or the words to choose from
	Boxes   int      // how many stand in each cell; 0 for one
	Ticks   int      // boxes to tick in each cell
	Cells   []string // what is in a cell beforehand: the last value
	Tall    bool
	shut    []bool // cells in which nothing is asked for; nil for none
}

// value is a row of one key: its limit, its unit and in each cell the last value.
func (l layout) value(label string, seats []RoundSeat, unit, key string, more ...string) roundRow {
	r := roundRow{Label: label}
	if unit != "" {
		r.Label += " [" + unit + "]"
	}
	var limits []string
	for _, k := range append([]string{key}, more...) {
		if t := l.s.Limit[k]; t != "" {
			limits = append(limits, t)
		}
	}
	r.Beside = strings.Join(limits, "; ")
	for _, s := range seats {
		last, _, _ := strings.Cut(s.Sheet.Last[key], " on ")
		r.Cells = append(r.Cells, strings.TrimSuffix(last, " "+unit))
	}
	return r
}

// choice is a row of words, which are written into the cells.
func (l layout) choice(label, key string, seats []RoundSeat) roundRow {
	r := l.value(label, seats, "", key)
	var said []string
	for _, standard := range l.words[key] {
		word := wordOf(l.Words, key, standard)
		if word.Record != "" {
			word.Said += " (" + word.Record + ")"
		}
		said = append(said, word.Said)
	}
	r.Beside = strings.TrimPrefix(strings.Join(said, " | ")+"; "+r.Beside, "; ")
	r.Beside = strings.TrimSuffix(r.Beside, "; ")
	return r
}

// ticked is a row of boxes to tick, whose names stand beside it in their order.
func (l layout) ticked(label string, ticks ...string) roundRow {
	r := roundRow{Label: label, Ticks: len(ticks)}
	for i, t := range ticks {
		ticks[i] = l.Say(t)
	}
	r.Beside = strings.Join(ticks, ", ")
	return r
}

func (r roundRow) boxes(n int) roundRow { r.Boxes = n; return r }
func (r roundRow) tall() roundRow       { r.Tall = true; return r }

// tests are the rows of the test on the pump, as found or as left.
func (l layout) tests(block string, seats []RoundSeat) []roundRow {
	k := func(key string) string { return block + "." + key }
	bar := l.s.Pressure()
	rows := []roundRow{
		l.value("opening", seats, bar, k("opening_pressure")).boxes(3),
		l.value("seat at, for", seats, "", k("seat.at")).boxes(2),
		l.choice("seat", k("seat.state"), seats),
		l.value("leak-down from, to, time", seats, "s", k("leak_down.time"), k("leak_down.from"), k("leak_down.to")).boxes(3),
		l.value("holes open, weak", seats, "", k("spray.open")).boxes(2),
		l.choice("spray", k("spray.pattern"), seats),
		l.choice("chatter", k("chatter"), seats),
		l.choice("joint, inlet", k("leaks.inlet"), seats).boxes(2),
	}
	if held := l.s.Known[k("seat.for")]; held != "" {
		rows[1].Beside = strings.TrimPrefix(rows[1].Beside+"; "+held, "; ")
	}
	rows[1].Cells = nil
	if l.s.Limit[k("cooling")] != "" {
		rows = append(rows, l.choice("cooling", k("cooling.state"), seats))
	}
	return rows
}

// front is the side as far as the decision.
func front(l layout, seats []RoundSeat) []roundRow {
	rows := []roundRow{l.ticked("stamps read", "holder", "nozzle"),
		l.value("rings out", seats, "", keys.RemovedRingsOut),
		{Heading: "As found, before cleaning", Hold: "as found"},
		l.value("first opening", seats, l.s.Pressure(), keys.AsFoundFirstOpening)}
	rows = append(rows, l.tests("as_found", seats)...)
	return append(rows, roundRow{Heading: "Stripped, cleaned, looked at, measured"},
		l.choice("needle", keys.StrippedNeedle, seats),
		roundRow{Label: "not good", Beside: "place and M marked, D damaged, C cracked"}.tall(),
		l.value("lift", seats, "mm", keys.MeasuredLiftValue),
		l.value("holder wear", seats, "mm", keys.MeasuredHolderWearValue),
		l.value("seat diameter", seats, "mm", keys.MeasuredSeatDiameterValue),
		l.choice("no-go wire", keys.MeasuredNoGoResult, seats),
		l.value("spring", seats, "mm", keys.MeasuredSpringLengthValue),
		roundRow{Heading: "Decision", Hold: "second engineer"},
		l.choice("nozzle", keys.DecidedNozzle, seats), l.choice("holder", keys.DecidedHolder, seats),
		l.choice("spring", keys.DecidedSpring, seats), roundRow{Label: "why"})
}

// again are the rows of the test of the spares that go in and are tested again first; none where no spare is.
func (l layout) again(seats []RoundSeat) []roundRow {
	tested := make([]RoundSeat, len(seats))
	any := false
	for i, s := range seats {
		tested[i].Sheet = &draft.Sheet{}
		if s.Again != nil {
			tested[i].Sheet, any = s.Again, true
		}
	}
	if !any {
		return nil
	}
	all := l.tests("as_left", tested)
	rows := []roundRow{{Heading: "Spare that goes in, tested again", Hold: "as left"}, all[0], all[2], all[3], all[4]}
	for n := 1; n < len(rows); n++ {
		for _, s := range seats {
			rows[n].shut = append(rows[n].shut, s.Again == nil)
		}
	}
	return rows
}

// back is the side of the build, the test as left and the fitting.
func back(l layout, seats []RoundSeat) []roundRow {
	torque := func(key string) string { return l.s.Torque(key) }
	rows := []roundRow{{Heading: "Built"},
		{Label: "nozzle left"},
		l.value("marking", seats, "", keys.NozzleMarking),
		l.ticked("new seals", "screw", "body", "pocket"),
		l.value("nozzle nut", seats, torque(keys.AssembledNozzleNutTorque), keys.AssembledNozzleNutTorque),
		{Heading: "As left", Hold: "as left"}}
	rows = append(rows, l.tests("as_left", seats)...)
	rows = append(rows,
		l.value("end cap", seats, torque(keys.AsLeftEndCapTorque), keys.AsLeftEndCapTorque),
		l.ticked("stored", "caps on", "tag"))
	rows = append(append(rows, l.again(seats)...), roundRow{Heading: "Fitted", Hold: "fitted"})
	in := roundRow{Label: "goes in", Beside: "as planned; read the stamps"}
	for _, s := range seats {
		in.Cells = append(in.Cells, strings.TrimSpace(s.In+" "+s.Nozzle))
	}
	return append(rows, in,
		l.value("rings in", seats, "", keys.FittedRingsIn),
		l.ticked("done", "stamps read", "pocket faced", "shields back"),
		l.value("clamp nuts", seats, torque(keys.FittedClampNutsTorque), keys.FittedClampNutsTorque),
		l.value("protrusion", seats, "mm", keys.FittedProtrusion),
		l.value("pipe nut", seats, torque(keys.FittedPipeNutTorque), keys.FittedPipeNutTorque),
		l.ticked("leak check", "cold", "warm", "loaded"),
		roundRow{Label: "exh. [K], pmax", Boxes: 2, Beside: l.s.Limit[keys.RunningAfterExhaustDeviation]})
}
