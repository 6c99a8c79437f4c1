package intake_test

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/intake"
)

// The sheets here are made of what was true and of the habits of people, by code that knows nothing of how they are read:
// it has its own words for everything.

// visit is one overhaul as it was: by key, as a record says it.
type visit map[string]string

// clerk is how somebody keeps a sheet.
type clerk struct {
	titles    []string
	name      map[string][]string // of the columns: of one line, or of two
	order     []string
	decimal   string
	thousand  string // sign of thousands
	date      func(y, m, d int) string
	words     map[string]string
	nothing   string
	ditto     string // for a date as above
	blanks    bool   // the same, left blank
	units     string // "head", "cell", "row" below the heading
	merged    bool   // two lines
	cylinder  func(n string) string
	separator string
	slips     bool // some cells are mistyped
	pages     bool // the heading comes again
	unitOf    map[string]string
}

const (
	vHolder  = "holder"
	vDate    = "removed.date"
	vCyl     = "removed.cylinder"
	vCounter = "removed.counter"
	vPopIn   = "as_found.opening_pressure"
	vPopOut  = "as_left.opening_pressure"
	vLeak    = "as_left.leak_down.time"
	vLift    = "measured.lift.value"
	vTip     = "inspected.tip"
	vRing    = "assembled.seals.pocket"
	vNote    = "remarks"
)

func dmy(sep string, short bool) func(y, m, d int) string {
	return func(y, m, d int) string {
		if short {
			return fmt.Sprintf("%02d%s%02d%s%02d", d, sep, m, sep, y%100)
		}
		return fmt.Sprintf("%02d%s%02d%s%d", d, sep, m, sep, y)
	}
}

func named(months ...string) func(y, m, d int) string {
	return func(y, m, d int) string { return fmt.Sprintf("%d-%s-%d", d, months[m-1], y) }
}

var clerks = map[string]clerk{
	"English": {
		titles: []string{"M/V Anyone", "Fuel valve overhauls, main engine ME1"},
		name: map[string][]string{vHolder: {"Valve No."}, vDate: {"Date removed"}, vCyl: {"Cyl."}, vCounter: {"Engine hours"}, vPopIn: {"Opening pressure", "found"},
			vPopOut: {"Opening pressure", "left"}, vLeak: {"Leak-down", "left"}, vLift: {"Needle lift"}, vTip: {"Nozzle tip"}, vRing: {"Sealing ring"}, vNote: {"Remarks"}},
		order:   []string{vDate, vCyl, vHolder, vCounter, vPopIn, vPopOut, vLeak, vLift, vTip, vRing, vNote},
		decimal: ".", thousand: ",", date: dmy("/", false), nothing: "n/a", ditto: `""`, units: "row", merged: true, separator: ",", slips: true, pages: true,
		words:    map[string]string{"good": "OK", "marked": "scratched", "damaged": "damaged", "renewed": "New", "reused": "Reused"},
		cylinder: func(n string) string { return "No." + n },
		unitOf:   map[string]string{vPopIn: "bar", vPopOut: "bar", vLeak: "sec", vLift: "mm"},
	},
	"German": {
		titles: []string{"Einspritzventile Hauptmaschine ME1"},
		name: map[string][]string{vHolder: {"Ventil-Nr."}, vDate: {"Ausbaudatum"}, vCyl: {"Zyl."}, vCounter: {"Zählerstand"}, vPopIn: {"Öffnungsdruck vorher [bar]"},
			vPopOut: {"Öffnungsdruck nachher [bar]"}, vLeak: {"Druckabfallzeit nachher [s]"}, vLift: {"Nadelhub [mm]"}, vTip: {"Düsenspitze"}, vRing: {"Kupferring"}, vNote: {"Bemerkung"}},
		order:   []string{vHolder, vCyl, vDate, vCounter, vPopIn, vLift, vTip, vRing, vPopOut, vLeak, vNote},
		decimal: ",", thousand: ".", date: dmy(".", true), nothing: "-", blanks: true, units: "head", separator: ";", slips: true,
		words:    map[string]string{"good": "i. O.", "marked": "Riefen", "damaged": "beschädigt", "renewed": "neu", "reused": "wiederverwendet"},
		cylinder: func(n string) string { return n },
	},
	"Spanish": {
		titles: []string{"", "Inyectores del motor ME1;;2014 - 2019"},
		name: map[string][]string{vHolder: {"Nº serie"}, vDate: {"Fecha desmontaje"}, vCyl: {"Cilindro"}, vCounter: {"Contador"}, vPopIn: {"Presión de apertura antes"},
			vPopOut: {"Presión de apertura después"}, vLeak: {"Tiempo de caída después"}, vLift: {"Alzada de aguja"}, vTip: {"Punta"}, vRing: {"Anillo de cobre"}, vNote: {"Observaciones"}},
		order:   []string{vCyl, vHolder, vDate, vCounter, vPopIn, vPopOut, vLeak, vLift, vTip, vRing, vNote},
		decimal: ",", thousand: " ", date: named("ene", "feb", "mar", "abr", "may", "jun", "jul", "ago", "sep", "oct", "nov", "dic"), nothing: "s/d", units: "cell", separator: "\t",
		words:    map[string]string{"good": "bueno", "marked": "rayado", "damaged": "dañado", "renewed": "nuevo", "reused": "reutilizado"},
		cylinder: func(n string) string { return "Cil. " + n },
		unitOf:   map[string]string{vPopIn: "kg/cm2", vPopOut: "kg/cm2", vLeak: "s", vLift: "mm"},
	},
	"Indonesian": {
		titles: []string{"Overhaul pengabut ME1"},
		name: map[string][]string{vHolder: {"No. seri"}, vDate: {"Tgl dilepas"}, vCyl: {"Silinder"}, vCounter: {"Jam mesin"}, vPopIn: {"Tekanan buka", "sebelum"},
			vPopOut: {"Tekanan buka", "sesudah"}, vLeak: {"Waktu bocor", "sesudah"}, vLift: {"Angkatan jarum"}, vTip: {"Ujung nosel"}, vRing: {"Cincin tembaga"}, vNote: {"Keterangan"}},
		order:   []string{vHolder, vDate, vCyl, vCounter, vTip, vPopIn, vPopOut, vLeak, vLift, vRing, vNote},
		decimal: ",", thousand: ".", date: dmy("-", false), nothing: "tidak diukur", ditto: "sda", units: "", merged: true, separator: ";", slips: true,
		words:    map[string]string{"good": "baik", "marked": "tergores", "damaged": "rusak", "renewed": "baru", "reused": "dipakai lagi"},
		cylinder: func(n string) string { return "#" + n },
	},
}

// lives makes overhauls of an engine of six cylinders, as rounds of three.
func lives(r *rand.Rand, rows int) (all []visit) {
	y, m, d, hours := 2014, 1, 20, 18_000
	for i := range rows {
		if i%3 == 0 {
			if m += 5; m > 12 {
				y, m = y+1, m-12
			}
			d, hours = 1+r.IntN(28), hours+2300+r.IntN(900)
		}
		v := visit{vHolder: fmt.Sprintf("H-%d", 101+i%8), vDate: fmt.Sprintf("%d-%02d-%02d", y, m, d), vCyl: fmt.Sprint(1 + i%6), vCounter: fmt.Sprintf("%d h", hours),
			vPopOut: fmt.Sprintf("%d", 318+r.IntN(10)), vLeak: fmt.Sprintf("%d.%d", 6+r.IntN(20), r.IntN(10)), vTip: draw(r, "good", "good", "marked", "damaged"), vRing: draw(r, "renewed", "renewed", "reused")}
		if r.IntN(6) > 0 {
			v[vPopIn] = fmt.Sprintf("%d", 250+r.IntN(80))
		}
		if r.IntN(5) > 0 {
			v[vLift] = fmt.Sprintf("0.%d", 71+r.IntN(25))
		}
		if r.IntN(3) == 0 {
			v[vNote] = draw(r, "needle stiff", "Düse getauscht", "tip blue", "ring broken - renewed", "see photo 3")
		}
		all = append(all, v)
	}
	return all
}

func draw(r *rand.Rand, from ...string) string { return from[r.IntN(len(from))] }

// sheet writes the visits as the clerk does. asIs are the cells that were mistyped, which nobody can read for sure.
func (c clerk) sheet(r *rand.Rand, all []visit) (table [][]string, slips map[string]bool) {
	for _, t := range c.titles {
		table = append(table, strings.Split(t, ";"))
	}
	var heading [][]string
	top, below, unit, last := []string{}, []string{}, []string{}, ""
	for _, k := range c.order {
		n := c.name[k]
		switch {
		case !c.merged:
			top = append(top, strings.Join(n, " "))
		case n[0] == last:
			top = append(top, "") // shown as one with the cell to the left
		default:
			top = append(top, n[0])
		}
		last = n[0]
		below = append(below, strings.Join(n[1:], " "))
		unit = append(unit, c.unitOf[k])
	}
	heading = append(heading, top)
	if c.merged {
		heading = append(heading, below)
	}
	if c.units == "row" {
		heading = append(heading, unit)
	}
	table = append(table, heading...)
	slips = map[string]bool{}
	for i, v := range all {
		if c.pages && i > 0 && i%15 == 0 {
			table = append(table, heading...)
		}
		var row []string
		for _, k := range c.order {
			text := c.cell(k, v)
			if k == vDate && i > 0 && i%15 != 0 && v[vDate] == all[i-1][vDate] {
				if c.blanks {
					text = ""
				} else if c.ditto != "" {
					text = c.ditto
				}
			}
			if c.slips && r.IntN(40) == 0 && strings.ContainsAny(text, "0123456789") && k != vNote && k != vDate {
				text = slip(r, text)
				slips[fmt.Sprint(i, " ", k)] = true
			}
			row = append(row, text)
		}
		table = append(table, row)
	}
	return table, slips
}

// slip is what a tired finger makes of a number: nobody can say what it was.
func slip(r *rand.Rand, text string) string {
	at := strings.IndexAny(text, "0123456789")
	switch r.IntN(3) {
	case 0:
		return text[:at] + "O" + text[at+1:] + "?"
	case 1:
		return text + "?"
	}
	return text[:at+1] + "l" + text[at+1:] + "??"
}

func (c clerk) cell(k string, v visit) string {
	text, ok := v[k]
	switch {
	case !ok && k == vNote:
		return ""
	case !ok:
		return c.nothing
	case k == vDate:
		var y, m, d int
		fmt.Sscanf(text, "%d-%d-%d", &y, &m, &d)
		return c.date(y, m, d)
	case k == vCyl:
		return c.cylinder(text)
	case k == vCounter:
		n := strings.TrimSuffix(text, " h")
		return n[:len(n)-3] + c.thousand + n[len(n)-3:]
	case k == vHolder, k == vNote:
		return text
	case c.words[text] != "":
		return c.words[text]
	}
	text = strings.Replace(text, ".", c.decimal, 1)
	if c.units == "cell" {
		text += " " + c.unitOf[k]
	}
	return text
}

// units are those in which the clerks mean their numbers, as a record writes them.
func (c clerk) means(k, text string) string {
	unit := map[string]string{vPopIn: "bar", vPopOut: "bar", vLeak: "s", vLift: "mm"}[k]
	if c.unitOf[k] == "kg/cm2" {
		unit = "kgf/cm²"
	}
	return strings.TrimSpace(text + " " + unit)
}

func (c clerk) text(table [][]string) []byte {
	var b strings.Builder
	width := len(c.order)
	for _, row := range table {
		row = append(slices.Clone(row), make([]string, max(0, width-len(row)))...)
		for i, x := range row {
			if i > 0 {
				b.WriteString(c.separator)
			}
			if strings.ContainsAny(x, c.separator+`"`) {
				x = `"` + strings.ReplaceAll(x, `"`, `""`) + `"`
			}
			b.WriteString(x)
		}
		b.WriteString("\r\n")
	}
	return []byte(b.String())
}

func ship(t testing.TB) *logbook.Book {
	t.Helper()
	b, _ := logbook.Read(os.DirFS("testdata/ship"))
	return b
}

// tally is what became of the cells that held something.
type tally struct{ right, wrong, asked, lost, records int }

func (t tally) String() string {
	all := max(1, t.right+t.wrong+t.asked+t.lost)
	return fmt.Sprintf("%d cells: %.1f %% right, %d wrong, %.1f %% asked, %d lost; %d records", all, 100*float64(t.right)/float64(all), t.wrong,
		100*float64(t.asked)/float64(all), t.lost, t.records)
}

// hold holds the records against what was true.
func (c clerk) hold(t *testing.T, all []visit, r intake.Result, slips map[string]bool) (sum tally) {
	t.Helper()
	made := map[string]map[string]string{}
	sum.records = len(r.Records)
	for _, rec := range r.Records {
		if _, problems := logbook.ReadOverhaul("overhauls/x.md", rec.Text); len(problems) > 0 {
			t.Errorf("%s: %+v", rec.Path, problems)
		}
		got := map[string]string{}
		for _, v := range logbook.Values(rec.Text) {
			got[v.Path] = strings.TrimSpace(v.Written)
		}
		made[got[vDate]+" "+got[vHolder]] = got
	}
	asked := map[string]bool{}
	for _, q := range r.Questions {
		asked[q.At] = true
	}
	seen := map[string]bool{}
	for i, v := range all {
		id := v[vDate] + " " + v[vHolder]
		got := made[id]
		seen[id] = true
		for _, k := range c.order {
			want, ok := v[k]
			has := cmp.Or(got[k], got[k+"[0]"])
			switch {
			case !ok && has != "":
				sum.wrong++
				t.Errorf("%s: %s is %q, and nothing was written", id, k, has)
			case !ok:
			case has == c.means(k, want):
				sum.right++
			case has != "":
				sum.wrong++
				t.Errorf("%s: %s is %q, want %q", id, k, has, c.means(k, want))
			case len(asked) > 0:
				sum.asked++
			default:
				sum.lost++
				t.Errorf("%s: %s is gone, %v", id, k, slips[fmt.Sprint(i, " ", k)])
			}
		}
	}
	for id := range made {
		if !seen[id] {
			sum.wrong++
			t.Errorf("%s was no overhaul", id)
		}
	}
	return sum
}

// answer answers every question as one who knows.
func (c clerk) answer(t *testing.T, r intake.Result, table [][]string, all []visit) []byte {
	t.Helper()
	var text strings.Builder
	row := map[string]visit{} // by number in the sheet
	i := 0
	for n, cells := range table {
		if i < len(all) && n >= len(table)-len(all)-strings.Count(fmt.Sprint(c.pages), "true")*3*((len(all)-1)/15) && len(cells) == len(c.order) && cells[slices.Index(c.order, vCyl)] != c.name[vCyl][0] && !headingRow(cells, c) {
			row[fmt.Sprint(n+1)] = all[i]
			i++
		}
	}
	for _, q := range r.Questions {
		answer := ""
		column, number := strings.TrimRight(q.At, "0123456789"), strings.TrimLeft(q.At, "ABCDEFGHIJKLMNOPQRSTUVWXYZ")
		switch {
		case q.At == "dates, years":
			answer = "2000"
		case q.At == "dates, order":
			answer = "d.m.y"
		case strings.HasSuffix(q.At, " unit"):
			k := c.order[q.At[0]-'A']
			answer = strings.TrimSpace(c.means(k, ""))
		case len(column) == 1 && row[number] != nil:
			k := c.order[column[0]-'A']
			answer = cmp.Or(row[number][k], "-")
			if slices.Contains([]string{vPopIn, vPopOut, vLeak, vLift}, k) {
				answer = c.means(k, answer)
			}
		default:
			t.Errorf("a question that nobody expects: %s", q)
		}
		fmt.Fprintf(&text, "%s\nanswer: %s\n\n", q, answer)
	}
	return []byte(text.String())
}

func headingRow(cells []string, c clerk) bool {
	return !strings.ContainsAny(cells[slices.Index(c.order, vHolder)], "0123456789")
}

// Sheets in four languages, in the habits of their clerks: no cell is read wrong, none is lost, and what is asked is right
// once it is answered.
func TestSheetsOfStrangers(t *testing.T) {
	for _, language := range []string{"English", "German", "Indonesian", "Spanish"} {
		c := clerks[language]
		var first, last tally
		for seed := range uint64(cmp.Or(seeds(), 3)) {
			r := rand.New(rand.NewPCG(seed, 7))
			all := lives(r, 12+r.IntN(30))
			table, slips := c.sheet(r, all)
			src := source(t, "old.csv", c.text(table))
			m, err := intake.Propose(ship(t), src)
			if err != nil {
				t.Fatalf("%s: %v", language, err)
			}
			if m, err = intake.ReadMap(m.Text()); err != nil {
				t.Fatalf("%s: %v", language, err)
			}
			got, err := intake.Convert(ship(t), m, src, intake.Answers{})
			if err != nil {
				t.Fatalf("%s: %v", language, err)
			}
			first.add(c.hold(t, all, got, slips))
			for round := 0; len(got.Questions) > 0 && round < 4; round++ { // an answer may lead to the next question
				a, err := intake.ReadAnswers(append(c.answer(t, got, table, all), got.Sheet("old.csv")...))
				if err != nil {
					t.Fatal(err)
				}
				if got, err = intake.Convert(ship(t), m, src, a); err != nil {
					t.Fatal(err)
				}
			}
			last.add(c.hold(t, all, got, slips))
			for _, q := range got.Questions {
				t.Errorf("%s, seed %d: still asked: %s", language, seed, q)
			}
			if t.Failed() {
				t.Fatalf("%s, seed %d\n%s\n%s", language, seed, m.Text(), c.text(table)[:1500])
			}
		}
		t.Logf("%s at first: %s", language, first)
		t.Logf("%s answered: %s", language, last)
	}
}

func seeds() int {
	if os.Getenv("NEEDLEBOOK_LONG") == "1" {
		return 400
	}
	return 0
}

func (t *tally) add(x tally) {
	t.right, t.wrong, t.asked, t.lost, t.records = t.right+x.right, t.wrong+x.wrong, t.asked+x.asked, t.lost+x.lost, t.records+x.records
}
