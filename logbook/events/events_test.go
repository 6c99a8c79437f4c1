package events

import (
	"encoding/csv"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

const table = "stores/stock.csv"

// rows is a table of these rows, in this order.
func rows(all ...string) []Item {
	return Of(table, []byte("date,item,change\n"+strings.Join(append(all, ""), "\n")))
}

// texts are the rows of a state as they are written, sorted.
func texts(h *History, s *State) (all []string) {
	for _, e := range s.Live {
		if it := h.Item(e); it.Kind == Row {
			all = append(all, strings.Join(it.Cells(), ","))
		}
	}
	slices.Sort(all)
	return all
}

// Whatever a table's bytes are, its items make them up again, and each is where it says.
func TestTableIsItsItems(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	pieces := []string{"a", "1", ",", ";", "\"", "\"\"", "\n", "\r\n", "\n\n", "#", " ", "2024-01-02", "\ufeff", "\r", "ä"}
	for range 5000 {
		text := ""
		for range r.IntN(25) {
			text += pieces[r.IntN(len(pieces))]
		}
		items, _ := Table([]byte(text))
		whole, line := "", 1
		for _, it := range items {
			if it.Line != line {
				t.Fatalf("%q: item %q at line %d, it is at %d", text, it.Raw, it.Line, line)
			}
			whole += it.Raw
			line += strings.Count(it.Raw, "\n")
		}
		if whole != text {
			t.Fatalf("%q: its items make %q", text, whole)
		}
	}
}

// What is compared of a row are its cells, not how they are written.
func TestRowsAreTheirCells(t *testing.T) {
	a := rows("2024-01-02,nozzle,+5")
	b := Of(table, []byte("date;item;change\r\n\"2024-01-02\";nozzle;\"+5\"\r\n"))
	if len(a) != 2 || len(b) != 2 || a[1].is() != b[1].is() || a[0].Kind != Head || a[1].Key == "" {
		t.Errorf("%+v and %+v", a, b)
	}
	if got := a[1].Respelled(';'); got != "2024-01-02;nozzle;+5\n" {
		t.Errorf("respelled %q", got)
	}
}

// A row without quotes, which is split by hand, has the cells that the reader of tables gives it. Outside source: the
// standard library's encoding/csv.
func TestRowsWithoutQuotes(t *testing.T) {
	for _, raw := range []string{
		"a,b,c\n", "a,b\r\n", " a ,\tb, c \n", ",,\n", "a,,\n", "a", "a,b\r", "\ufeffa,b\n", "a;b,c\n", "é,ß\u00a0,x\n", "a,b\x00c\n",
	} {
		r := csv.NewReader(strings.NewReader(strings.TrimPrefix(raw, "\ufeff")))
		r.LazyQuotes, r.TrimLeadingSpace = true, true
		want, err := r.Read()
		if err != nil {
			t.Fatal(err)
		}
		for i := range want {
			want[i] = strings.TrimSpace(want[i])
		}
		if got, text := split(raw+"next,row\n", ','); strings.HasSuffix(raw, "\n") && (!slices.Equal(got, want) || text != raw) {
			t.Errorf("%q: cells %q of %q, want %q", raw, got, text, want)
		}
		if got, _ := split(raw, ','); !slices.Equal(got, want) {
			t.Errorf("%q alone: cells %q, want %q", raw, got, want)
		}
	}
}

// ledger is the plain truth beside a history: which rows a copy holds and which it ever knew, each row with a text of its own.
type ledger struct{ holds, knew map[string]int } // the commit that brought each

func (l ledger) clone() ledger {
	c := ledger{map[string]int{}, map[string]int{}}
	for k, v := range l.holds {
		c.holds[k] = v
	}
	for k, v := range l.knew {
		c.knew[k] = v
	}
	return c
}

// joined holds what any side holds and none has taken out.
func joined(sides ...ledger) ledger {
	all := ledger{map[string]int{}, map[string]int{}}
	for _, s := range sides {
		for k, v := range s.knew {
			all.knew[k] = v
		}
		for k, v := range s.holds {
			all.holds[k] = v
		}
	}
	for k := range all.holds {
		for _, s := range sides {
			if _, knew := s.knew[k]; knew {
				if _, holds := s.holds[k]; !holds {
					delete(all.holds, k)
				}
			}
		}
	}
	return all
}

func (l ledger) rows() []string {
	all := []string{}
	for k := range l.holds {
		all = append(all, k)
	}
	slices.Sort(all)
	return all
}

// Copies that add, take out, and merge one another in any order, crossed and doubled: what a history says of them is what a ledger says,
// row by row with the commit that brought it, and a merge that does more than join is told for just that.
func TestCopiesAgainstALedger(t *testing.T) {
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 2))
		h, n := &History{}, 0
		first := h.Next(n, nil, rows("2024-01-01,base,1"))
		states := []*State{first, first, first}
		truth := ledger{map[string]int{"2024-01-01,base,1": 0}, map[string]int{"2024-01-01,base,1": 0}}
		ledgers := []ledger{truth, truth.clone(), truth.clone()}
		for range 60 {
			who, other := r.IntN(3), r.IntN(3)
			n++
			l := ledgers[who].clone()
			switch {
			case r.IntN(3) > 0 || who == other:
				if have := l.rows(); r.IntN(3) == 0 && len(have) > 0 {
					delete(l.holds, have[r.IntN(len(have))])
				} else {
					row := fmt.Sprintf("2024-01-02,part %d,%d", n, r.IntN(9))
					l.holds[row], l.knew[row] = n, n
				}
				list := l.rows()
				r.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
				states[who] = h.Next(n, states[who], rows(list...))
			default:
				l = joined(ledgers[who], ledgers[other])
				list := l.rows()
				dropped, brought := "", ""
				switch {
				case r.IntN(6) == 0 && len(list) > 0:
					dropped = list[r.IntN(len(list))]
					list = slices.DeleteFunc(list, func(s string) bool { return s == dropped })
					delete(l.holds, dropped)
				case r.IntN(6) == 0:
					brought = fmt.Sprintf("2024-01-03,merge %d,1", n)
					list = append(list, brought)
					l.holds[brought], l.knew[brought] = n, n
				}
				var met Met
				states[who], met = h.Meet(n, []*State{states[who], states[other]}, rows(list...))
				if got := lostRows(h, met.Lost); got != dropped {
					t.Fatalf("seed %d, commit %d: lost %q, want %q", seed, n, got, dropped)
				}
				if got := lostRows(h, met.Born); got != brought {
					t.Fatalf("seed %d, commit %d: brought %q, want %q", seed, n, got, brought)
				}
				if len(met.Back) > 0 {
					t.Fatalf("seed %d, commit %d: brought back %v", seed, n, met.Back)
				}
			}
			ledgers[who] = l
			if got, want := texts(h, states[who]), l.rows(); !slices.Equal(got, want) {
				t.Fatalf("seed %d, commit %d: %q, want %q", seed, n, got, want)
			}
			for _, e := range states[who].Live {
				if it := h.Item(e); it.Kind == Row && (h.By(e) != l.holds[strings.Join(it.Cells(), ",")] || h.Odd(e) != Brought) {
					t.Fatalf("seed %d, commit %d: %q by %d, odd %d", seed, n, it.Text, h.By(e), h.Odd(e))
				}
			}
		}
	}
}

func lostRows(h *History, list []int) string {
	var all []string
	for _, e := range list {
		all = append(all, strings.Join(h.Item(e).Cells(), ","))
	}
	return strings.Join(all, " ")
}

// Equal rows count: one that two commits brought is two, one that has travelled is one, and one more than commits brought is odd.
func TestEqualRows(t *testing.T) {
	const a, b = "2024-01-02,nozzle,+5", "2024-01-03,ring,-1"
	h := &History{}
	base := h.Next(0, nil, rows())
	x, y := h.Next(1, base, rows(a)), h.Next(2, base, rows(a, b))
	j := h.Join(x, y)
	if n := len(j.Live); n != 4 || len(j.Twice) != 1 || h.By(j.Twice[0]) != 2 { // the head, and a of both
		t.Errorf("two that two commits brought: %d stand, twice %v", n, j.Twice)
	}
	both, met := h.Meet(3, []*State{x, y}, rows(a, b))
	if lostRows(h, met.Lost)+lostRows(h, met.Born) != "" {
		t.Errorf("one where two sides have one each: %+v", met)
	}
	crossed := h.Next(4, both, rows(b, a))
	if j := h.Join(crossed, both); len(j.Live) != 3 || len(j.Twice) > 0 {
		t.Errorf("one that has travelled: %v stand, twice %v", j.Live, j.Twice)
	}
	doubled, _ := h.Meet(5, []*State{crossed, both}, rows(a, b, a))
	odd := 0
	for _, e := range doubled.Live {
		if h.Odd(e) == Doubled {
			odd++
		}
	}
	if odd != 1 {
		t.Errorf("%d rows are doubled, want 1", odd)
	}
	if s := h.Next(6, doubled, rows(a, b)); slices.ContainsFunc(s.Live, func(e int) bool { return h.Odd(e) != Brought }) {
		t.Error("of two equal rows the one that a commit brought went out")
	}
	out := h.Next(7, both, rows(b))
	back, met := h.Meet(8, []*State{out, both}, rows(b, a))
	if len(met.Back) != 1 || h.Out(met.Back[0]) != 7 || !slices.ContainsFunc(back.Live, func(e int) bool { return h.Odd(e) == Back }) {
		t.Errorf("a row that one side took out, back: %+v", met)
	}
}

// A row or value that two sides changed otherwise is a contradiction, with what it was; changed alike it is one.
func TestContradictions(t *testing.T) {
	const was, ours, theirs = "2024-01-02,nozzle,+5", "2024-01-02,nozzle,+6", "2024-01-02,nozzle,+7"
	h := &History{}
	base := h.Next(0, nil, rows(was))
	one := h.Next(1, base, rows(ours))
	for _, c := range []struct {
		text  string
		apart int
	}{{theirs, 1}, {ours, 0}, {was, 0}} {
		two := base
		if c.text != was {
			two = h.Next(2, base, rows(c.text))
		}
		j := h.Join(one, two)
		if len(j.Apart) != c.apart {
			t.Errorf("%s: %v", c.text, j.Apart)
		}
		for _, a := range j.Apart {
			if got := lostRows(h, []int{a.Was, a.Ours, a.Theirs}); got != was+" "+ours+" "+theirs {
				t.Errorf("apart: %s", got)
			}
		}
	}
	record := func(lift string) []Item {
		return Of("parts/h-1.md", []byte("---\nholder: \"H-1\"\nwear: "+lift+"\n---\nSeen.\n"))
	}
	h = &History{}
	base = h.Next(0, nil, record("1 mm"))
	one, two := h.Next(1, base, record("2 mm")), h.Next(2, base, record("3 mm"))
	if _, met := h.Meet(3, []*State{one, two}, record("4 mm")); len(met.Lost) == 0 || !met.Decided[met.Lost[0]] {
		t.Errorf("a third value decides: %+v", met)
	}
	if _, met := h.Meet(4, []*State{one, base}, record("1 mm")); len(met.Lost) != 1 || met.Decided[met.Lost[0]] {
		t.Errorf("the value of before is a loss, and no decision: %+v", met)
	}
}

// Of a key's line in the register the one stands that ends first; out on one side is out; two names wait for somebody.
func TestEntries(t *testing.T) {
	line := func(who, before string) string {
		until := ""
		if before != "" {
			until = `,valid-before="` + before + `Z"`
		}
		return who + ` namespaces="git,engineer@needlebook"` + until + " ssh-ed25519 AAAAkey\n"
	}
	for _, c := range []struct{ name, one, two, stands string }{
		{"the earlier end", line("a@b", "20240601"), line("a@b", "20240701"), line("a@b", "20240601")},
		{"an end and none", line("a@b", ""), line("a@b", "20240701"), line("a@b", "20240701")},
		{"out on one side", "", line("a@b", "20240701"), ""},
		{"out on both", "", "", ""},
	} {
		h := &History{}
		base := h.Next(0, nil, list(line("a@b", "20250101"), Entry))
		one, two := h.Next(1, base, list(c.one, Entry)), h.Next(2, base, list(c.two, Entry))
		for _, sides := range [][]*State{{one, two}, {two, one}} {
			got := ""
			for _, e := range h.Join(sides...).Live {
				got += h.Item(e).Text + "\n"
			}
			if got != c.stands {
				t.Errorf("%s: %q stands, want %q", c.name, got, c.stands)
			}
		}
	}
	h := &History{}
	base := h.Next(0, nil, nil)
	one, two := h.Next(1, base, list(line("a@b", ""), Entry)), h.Next(2, base, list(line("c@d", ""), Entry))
	if j := h.Join(one, two); len(j.Live) != 2 || len(j.Over) != 0 {
		t.Errorf("one key under two names: %+v", j)
	}
}

// A remark begins at a # that no value holds; in what cannot be read each line may end with one.
func TestRemarksOfARecord(t *testing.T) {
	text := "---\nholder: \"H # 1\" # seen\n# above\ndecided: {why: 'no # here'}\nspray: {open: 8 # cut\nleft: \"N-1\"\n---\nbody # not\n"
	var got []string
	for _, it := range Of("overhauls/a.md", []byte(text)) {
		if it.Kind == Remark {
			got = append(got, it.Text)
		}
	}
	if want := []string{"# seen", "# above", "# cut"}; !slices.Equal(got, want) {
		t.Errorf("remarks %q, want %q", got, want)
	}
}
