package merge

import (
	"strings"
	"testing"

	"needlebook/logbook/events"
)

const stock = "date,item,part_no,serial,change,note\n2024-01-01,nozzle,6QZ,,+4,\n2024-03-01,seal kit,6QS,,+2,\n"

// What becomes of a table that both sides changed: common practice, no source.
func TestTables(t *testing.T) {
	row := func(s string) string { return s + "\n" }
	jan, mar := "2024-01-01,nozzle,6QZ,,+4,\n", "2024-03-01,seal kit,6QS,,+2,\n"
	five, feb := "2024-04-01,nozzle,6QZ,,+5,\n", "2024-02-01,seal kit,6QS,,-1,\n"
	for _, c := range []struct {
		name                     string
		base, ours, theirs, text string
		apart                    string // what waits for a person: ours | theirs
		twice                    int
	}{
		{"by date", stock, stock + five, strings.Replace(stock, mar, feb+mar, 1), strings.Replace(stock, mar, feb+mar, 1) + five, "", 0},
		{"behind what stood before it, where no date orders them", "id,name\na,A\n", "id,name\na,A\nb,B\n", "id,name\na,A\nc,C\n", "id,name\na,A\nb,B\nc,C\n", "", 0},
		{"a row changed here, one added there", stock, strings.Replace(stock, "+4", "+3", 1), stock + five, strings.Replace(stock, "+4", "+3", 1) + five, "", 0},
		{"a row changed there beside one added here", stock, stock + five, strings.Replace(stock, "+2", "+1", 1), strings.Replace(stock, "+2", "+1", 1) + five, "", 0},
		{"a row taken out there, one added here", stock, stock + five, strings.Replace(stock, mar, "", 1), strings.Replace(stock, mar, "", 1) + five, "", 0},
		{"the same change on both sides", stock, strings.Replace(stock, "+4", "+3", 1) + five, strings.Replace(stock, "+4", "+3", 1), strings.Replace(stock, "+4", "+3", 1) + five, "", 0},
		{"one row changed on both sides", stock, strings.Replace(stock, "+4", "+3", 1), strings.Replace(stock, "+4", "+6", 1) + five, "",
			"2024-01-01,nozzle,6QZ,,+3, | 2024-01-01,nozzle,6QZ,,+6,", 0},
		{"changed here, taken out there", stock, strings.Replace(stock, "+4", "+3", 1), strings.Replace(stock, jan, "", 1), "", "2024-01-01,nozzle,6QZ,,+3, | ", 0},
		{"taken out here, changed there", stock, strings.Replace(stock, jan, "", 1), strings.Replace(stock, "+4", "+3", 1), "", " | 2024-01-01,nozzle,6QZ,,+3,", 0},
		{"equal rows of both sides are two", stock, stock + five, stock + five + feb, strings.Replace(stock, mar, feb+mar, 1) + five + five, "", 1},
		{"earlier than all", stock, stock + five, strings.Replace(stock, jan, "2023-12-31,seal kit,6QS,,+9,\n"+jan, 1), strings.Replace(stock, jan, "2023-12-31,seal kit,6QS,,+9,\n"+jan, 1) + five, "", 0},
		{"saved with semicolons and quotes there", stock, stock + five, strings.ReplaceAll(strings.ReplaceAll(stock, "nozzle", `"nozzle"`), ",", ";") + "2024-05-01;nozzle;6QZ;;-1;a, b\n",
			stock + five + row(`2024-05-01,nozzle,6QZ,,-1,"a, b"`), "", 0},
		{"saved with semicolons here", stock, strings.ReplaceAll(stock, ",", ";"), stock + five, strings.ReplaceAll(stock+five, ",", ";"), "", 0},
		{"saved on Windows here", stock, strings.ReplaceAll(stock, "\n", "\r\n"), stock + five, strings.ReplaceAll(stock+five, "\n", "\r\n"), "", 0},
		{"remarks and empty lines", stock, "# counted by hand\n" + stock, stock + "\n# stocktaking\n" + five, "# counted by hand\n" + stock + "\n# stocktaking\n" + five, "", 0},
		{"a cell of two lines", stock, stock + "2024-06-01,nozzle,6QZ,,-1,\"one\ntwo\"\n", stock + five, stock + five + "2024-06-01,nozzle,6QZ,,-1,\"one\ntwo\"\n", "", 0},
		{"no line end at the end", strings.TrimSuffix(stock, "\n"), strings.TrimSuffix(stock+five, "\n"), strings.TrimSuffix(stock, "\n") + "\n" + row("2024-05-01,nozzle,6QZ,,-1,"),
			stock + five + row("2024-05-01,nozzle,6QZ,,-1,"), "", 0},
	} {
		out := File(Sides{Path: "stores/stock.csv", Base: []byte(c.base), Ours: []byte(c.ours), Theirs: []byte(c.theirs)})
		apart := ""
		for _, f := range out.Fields {
			apart += f.Ours + " | " + f.Theirs
		}
		if string(out.Text) != c.text || out.Clean != (c.apart == "") || apart != c.apart || len(out.Twice) != c.twice {
			t.Errorf("%s: clean %v, twice %v, apart %q, text\n%s\nwant %q, text\n%s", c.name, out.Clean, out.Twice, apart, out.Text, c.apart, c.text)
		}
		if c.apart != "" && !strings.Contains(string(out.Marked), "<<<<<<< here\n") {
			t.Errorf("%s: no marks in %q", c.name, out.Marked)
		}
	}
}

// Bags have crossed, and one side adds once more: what came to both stands once.
func TestRowsThatCrossed(t *testing.T) {
	const head = "date,item,change\n"
	a, b, c := "2024-01-01,nozzle,+5\n", "2024-01-02,ring,+1\n", "2024-01-03,ring,-1\n"
	of := func(text string) []events.Item { return events.Of("stores/stock.csv", []byte(text)) }
	h := &events.History{}
	base := h.Next(0, nil, of(head))
	ship, shore := h.Next(1, base, of(head+a)), h.Next(2, base, of(head+b))
	one, _ := h.Meet(3, []*events.State{ship, shore}, of(head+a+b))
	two, _ := h.Meet(4, []*events.State{shore, ship}, of(head+b+a))
	later := h.Next(5, two, of(head+b+a+c))
	out := File(Sides{Path: "stores/stock.csv", Ours: []byte(head + a + b), Theirs: []byte(head + b + a + c), Past: &Past{h, one, later}})
	if want := head + a + b + c; !out.Clean || string(out.Text) != want || len(out.Twice) > 0 {
		t.Errorf("joined to\n%s(%v)\nwant\n%s", out.Text, out.Twice, want)
	}
}

// What is lost of a table for which a signer decides: rows, unless a remark tells of them.
func TestLostRows(t *testing.T) {
	s := Sides{Path: "stores/stock.csv", Base: []byte(stock), Ours: []byte(strings.Replace(stock, "+4", "+3", 1)),
		Theirs: []byte(strings.Replace(stock, "+4", "+6", 1) + "2024-04-01,nozzle,6QZ,,+5,\n")}
	out := File(s)
	three, six, five := "2024-01-01,nozzle,6QZ,,+3,", "2024-01-01,nozzle,6QZ,,+6,", "2024-04-01,nozzle,6QZ,,+5,"
	for _, c := range []struct{ text, want string }{
		{string(s.Ours), six + ";" + five + ";"},
		{string(s.Ours) + five + "\n", six + ";"},
		{string(s.Ours) + five + "\n# 2024-05-01, berg: was " + six + ". counted again\n", ""},
		{string(s.Theirs), three + ";"},
	} {
		got := ""
		for _, l := range out.Lost([]byte(c.text)) {
			got += l.Was + ";"
		}
		if got != c.want {
			t.Errorf("of\n%s lost %q, want %q", c.text, got, c.want)
		}
	}
}
