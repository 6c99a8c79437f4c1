package trace_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/ending"
	"needlebook/logbook/trace"
)

// convoy plays a workshop, a control room, an office and a stick that carries bags between them: each has a copy
// of the book, writes into the same tables and records, and takes in what another has, in any order. What a copy
// must hold is reckoned here by sets of numbered items alone, without the code under test.
type convoy struct {
	*tale
	r      *rand.Rand
	tips   map[string]int
	worlds []map[string]sheet // by step, by path
	items  []string           // by number
	writer []string
}

// sheet is one file: the numbers of its items in order, and all that were ever in its past.
type sheet struct {
	live  []int
	known map[int]bool
}

const stick = "the stick"

func newConvoy(seed uint64) *convoy {
	c := &convoy{tale: found(shore, berg, ivanov), r: rand.New(rand.NewPCG(seed, 12)), tips: map[string]int{shore: 0, berg: 0, ivanov: 0, stick: 0}}
	world := map[string]sheet{}
	for _, l := range strings.SplitAfter(strings.TrimSuffix(lines(shore, berg, ivanov), "\n"), "\n") {
		world["signers/allowed_signers"] = c.with(world["signers/allowed_signers"], shore, strings.TrimSuffix(l, "\n"))
	}
	c.worlds = append(c.worlds, world)
	return c
}

// with is a sheet and one item more.
func (c *convoy) with(s sheet, who, text string) sheet {
	n := len(c.items)
	c.items, c.writer = append(c.items, text), append(c.writer, who)
	known := maps.Clone(s.known)
	if known == nil {
		known = map[int]bool{}
	}
	known[n] = true
	return sheet{append(slices.Clone(s.live), n), known}
}

func without(s sheet, n int) sheet {
	return sheet{slices.DeleteFunc(slices.Clone(s.live), func(x int) bool { return x == n }), s.known}
}

// text writes a sheet.
func (c *convoy) text(name string, s sheet) string {
	var all []string
	for _, n := range s.live {
		all = append(all, c.items[n])
	}
	switch {
	case name == "signers/allowed_signers":
		return strings.Join(all, "\n") + "\n"
	case path.Ext(name) == ".csv":
		return "date,item,change,note\n" + strings.Join(append(all, ""), "\n")
	}
	slices.Sort(all)
	return "---\n" + strings.Join(append(all, ""), "\n") + "---\n"
}

// write is one commit of somebody who changes one sheet.
func (c *convoy) write(who, name string, s sheet) {
	tip := c.tips[who]
	world := maps.Clone(c.worlds[tip])
	world[name] = s
	c.tips[who] = c.from([]int{tip}, who, name, c.text(name, s))
	c.worlds = append(c.worlds, world)
}

// tables and records are what everybody aboard writes into.
var convoyTables = []string{"hours/me1.csv", "running/me1.csv", "stores/stock.csv", "fuel/bunkers.csv"}

// work is one honest commit.
func (c *convoy) work(who string) {
	n := len(c.items)
	world := c.worlds[c.tips[who]]
	var name string
	switch k := c.r.IntN(10); {
	case who == shore && k < 3, who == berg && k == 0:
		c.enrol(who)
		return
	case who == shore:
		name = []string{"stores/stock.csv", "fuel/bunkers.csv", "limits/qz2.md", "crew.csv"}[k%4]
	case who == berg && k < 3:
		name = []string{"crew.csv", "decisions/1.md", "deferrals/1.md"}[k]
	case k < 6:
		name = convoyTables[c.r.IntN(len(convoyTables))]
	default:
		name = fmt.Sprintf("overhauls/me1/c%d/2024-01-0%d-h-%d.md", 1+k%3, 1+k%3, k%3)
	}
	s := world[name]
	own := slices.DeleteFunc(slices.Clone(s.live), func(x int) bool { return c.writer[x] != who })
	text := fmt.Sprintf("2024-01-%02d,nozzle,+%d,%d", 1+c.r.IntN(28), c.r.IntN(9), n)
	if path.Ext(name) == ".md" {
		text = fmt.Sprintf("k%d: %d", n, c.r.IntN(100))
	}
	switch k := c.r.IntN(8); {
	case k == 0 && len(own) > 0 && path.Ext(name) == ".csv": // a row taken out
		c.write(who, name, without(s, own[c.r.IntN(len(own))]))
	case k == 1 && len(own) > 0: // an item changed
		old := own[c.r.IntN(len(own))]
		if key, _, isValue := strings.Cut(c.items[old], ":"); isValue {
			text = fmt.Sprintf("%s: %d", key, n+1000)
		}
		c.write(who, name, c.with(without(s, old), who, text))
	default:
		c.write(who, name, c.with(s, who, text))
	}
}

// enrol lets somebody in, lets somebody out, or renews a key.
func (c *convoy) enrol(who string) {
	s := c.worlds[c.tips[who]]["signers/allowed_signers"]
	n := len(c.items)
	name := fmt.Sprintf("mate%d@third-engineer", n)
	var own []int
	for _, x := range s.live {
		if c.writer[x] == who && strings.HasPrefix(c.items[x], "mate") {
			own = append(own, x)
		}
	}
	switch k := c.r.IntN(4); {
	case k == 3: // somebody's last day is set, whoever let him in
		var all []int
		for _, x := range s.live {
			if strings.HasPrefix(c.items[x], "mate") || strings.HasPrefix(c.items[x], ivanov) {
				all = append(all, x)
			}
		}
		old := all[c.r.IntN(len(all))]
		c.write(who, "signers/allowed_signers", c.with(without(s, old), who, c.ends(c.items[old])))
	case k > 0 && len(own) > 0:
		old := own[c.r.IntN(len(own))]
		s = without(s, old)
		if k == 2 {
			principal, _, _ := strings.Cut(c.items[old], " ")
			s = c.with(s, who, strings.Replace(strings.TrimSuffix(line(name, []string{"engineer"}, "20240101", ""), "\n"), name, principal, 1))
		}
		c.write(who, "signers/allowed_signers", s)
	default:
		c.write(who, "signers/allowed_signers", c.with(s, who, strings.TrimSuffix(line(name, []string{"engineer"}, "20240101", ""), "\n")))
	}
}

var lastDay = regexp.MustCompile(`(,valid-before="[0-9]+Z")? (ssh-ed25519 \S+)`)

// ends is a line of the register with a last day that no other line has.
func (c *convoy) ends(l string) string {
	day := zero.AddDate(20, 0, len(c.items)*7919%3000).Format("20060102")
	return lastDay.ReplaceAllString(l, `,valid-before="`+day+`Z" $2`)
}

// oneEach leaves one line for each key that two sides hold: none where one had taken it out, else what ends first,
// or what whoever merges decides who may.
func (c *convoy) oneEach(who string, s, a, b sheet) sheet {
	key := func(x int) string { return lastDay.FindStringSubmatch(c.items[x])[2] }
	has := func(list []int, k string) bool {
		return slices.ContainsFunc(list, func(x int) bool { return key(x) == k })
	}
	until := func(x int) string { return lastDay.FindStringSubmatch(c.items[x])[1] + "~" }
	out := func(side sheet, k string) bool {
		return has(slices.Collect(maps.Keys(side.known)), k) && !has(side.live, k)
	}
	for _, x := range slices.Clone(s.live) {
		k := key(x)
		if out(a, k) || out(b, k) {
			s = without(s, x)
			continue
		}
		for _, y := range slices.Clone(s.live) {
			if x == y || key(y) != k || !slices.Contains(s.live, x) {
				continue
			}
			first, other := x, y
			if until(y) < until(x) {
				first, other = y, x
			}
			s = without(s, other)
			switch n := c.r.IntN(3); {
			case who == ivanov || c.items[first] == c.items[other]:
			case n == 0:
				s = c.with(without(s, first), who, c.items[other])
			case n == 1:
				s = c.with(without(s, first), who, c.ends(c.items[first]))
			}
		}
	}
	return s
}

func (c *convoy) reaches(a, b int) bool { return (&fleet{tale: c.tale}).reaches(a, b) }

// join is what two sheets come to: what either holds and none has taken out.
func (c *convoy) join(a, b sheet) sheet {
	known := maps.Clone(a.known)
	if known == nil {
		known = map[int]bool{}
	}
	maps.Copy(known, b.known)
	var live []int
	for _, x := range a.live {
		if !b.known[x] || slices.Contains(b.live, x) {
			live = append(live, x)
		}
	}
	for i, x := range b.live {
		if !a.known[x] { // at its place in the other's order, now and then
			live = slices.Insert(live, min(len(live), max(i, c.r.IntN(len(live)+1))), x)
		}
	}
	return sheet{live, known}
}

// takes brings what another has into somebody's copy, signed by whoever sits there; the stick carries and never
// signs.
func (c *convoy) takes(who, other string) {
	a, b := c.tips[who], c.tips[other]
	switch {
	case c.reaches(a, b):
		return
	case c.reaches(b, a):
		c.tips[who] = b
		return
	case who == stick:
		return
	}
	world, changes := c.joined(who, a, b)
	for i := 0; i < len(changes); i += 2 { // a record that both changed is for whoever may write it
		p := changes[i]
		if path.Ext(p) == ".md" && changes[i+1] != c.text(p, c.worlds[b][p]) && trace.NotHis(p, roles[who]) != "" {
			return
		}
	}
	c.tips[who] = c.from([]int{a, b}, who, changes...)
	c.worlds = append(c.worlds, world)
}

// joined is what two commits come to, with what it changes of the first.
func (c *convoy) joined(who string, a, b int) (world map[string]sheet, changes []string) {
	world = maps.Clone(c.worlds[a])
	for _, p := range slices.Sorted(maps.Keys(c.worlds[b])) {
		mine, theirs := world[p], c.worlds[b][p]
		s := c.join(mine, theirs)
		if p == "signers/allowed_signers" {
			s = c.oneEach(who, s, mine, theirs)
		}
		world[p] = s
		if text := c.text(p, s); text != c.text(p, mine) || mine.known == nil {
			changes = append(changes, p, text)
		}
	}
	return world, changes
}

// play lets all of them write and sync, and brings all together at the office.
func (c *convoy) play(n int) {
	all := []string{berg, ivanov, shore, stick}
	for len(c.steps) < n {
		who := all[c.r.IntN(len(all))]
		if c.r.IntN(5) < 2 || who == stick {
			c.takes(who, all[c.r.IntN(len(all))])
		} else {
			c.work(who)
		}
	}
	for _, other := range []string{ivanov, stick, shore} {
		c.takes(berg, other)
	}
	c.takes(shore, berg)
	if c.tips[shore] != len(c.steps)-1 {
		c.write(shore, "limits/qz2.md", c.with(c.worlds[c.tips[shore]]["limits/qz2.md"], shore, fmt.Sprintf("k%d: 1", len(c.items))))
	}
}

// Nothing lost, nothing doubled, nobody falsely accused, however the copies write and sync.
func TestConvoysAreProved(t *testing.T) {
	honest, commits, merges, rows := 0, 0, 0, 0
	for seed := range count(60, 2400) {
		c := newConvoy(uint64(seed))
		c.play(15 + seed%30)
		dir, ids := c.book(t)
		trail := read(t, dir, ids)
		if !trail.Proved || len(trail.Vanished) > 0 || len(trail.WorkTree) > 0 || len(trail.Repeated) > 0 {
			t.Errorf("seed %d: %s; vanished %v, repeated %v", seed, trail.Headline, trail.Vanished, trail.Repeated)
		}
		ending.Answers(t, fmt.Sprintf("convoy %d", seed), dir)
		tip := c.worlds[c.tips[shore]]
		for _, p := range convoyTables {
			if s, there := tip[p]; there {
				text, err := os.ReadFile(dir + "/" + p)
				if want := c.text(p, s); err != nil || string(text) != want {
					t.Errorf("seed %d: %s holds %q, want %q", seed, p, text, want)
				}
				rows += len(s.live)
			}
		}
		honest, commits = honest+1, commits+len(ids)
		for _, k := range trail.Commits {
			if len(k.Parents) > 1 {
				merges++
			}
		}
		os.RemoveAll(dir)
	}
	t.Logf("%d honest histories, %d commits, %d merges, %d rows: none held against anybody", honest, commits, merges, rows)
	if merges < honest {
		t.Errorf("%d merges in %d histories: the test looks at too little", merges, honest)
	}
}

// A convoyAttack is one kind of attack on the tip of an honest history; it gives the step that must be named, -1
// where it was made of raw bytes, after the book was written.
type convoyAttack struct {
	name string
	make func(c *convoy) int
	raw  func(t *testing.T, dir, tip string)
}

// sideBy makes two sides on the office's tip that wrote into a file each, and gives their steps.
func (c *convoy) sideBy(base int, name, text, other, otherText string, who string) (a, b int) {
	return c.from([]int{base}, who, name, text), c.from([]int{base}, berg, other, otherText)
}

func convoyAttacks() []convoyAttack {
	var all []convoyAttack
	add := func(name string, make func(c *convoy) int) { all = append(all, convoyAttack{name: name, make: make}) }
	body := "---\nn: 1\n---\n"
	// Whoever writes what is not his.
	for who, paths := range map[string][]string{
		ivanov: {"deferrals/x.md", "decisions/x.md", "crew.csv", "countersigned/2024-01-01-h-1.ivanov.md", "limits/x.md", "reviews/2024-01-01-h-1.ivanov.md", "book.md", ".gitattributes", "x/notes.md", "notes.md",
			"signers/withdrawn", "signers/adopted"},
		berg:  {"limits/x.md", "reviews/2024-01-01-h-1.berg.md", "book.md", ".gitattributes", "x/notes.md", "notes.md"},
		shore: {"overhauls/me1/c9/2024-01-09-h-9.md", "hours/me9.csv", "running/me9.csv", "handovers/2024-01-09.md", "photos/x.jpg", "logs/x.txt", "countersigned/2024-01-01-h-1.shore.md"},
	} {
		for _, p := range paths {
			add(fmt.Sprintf("%s writes %s", who, p), func(c *convoy) int { return c.by(who, p, body) })
		}
	}
	// What was written is taken out.
	for p, who := range map[string]string{"overhauls/me1/c8/2024-01-08-h-8.md": ivanov, "parts/n-1.md": ivanov, "instruments/pg-1.md": ivanov, "hours/me8.csv": ivanov, "running/me8.csv": ivanov, "fuel/x.csv": ivanov,
		"stores/x.csv": ivanov, "handovers/2024-01-08.md": ivanov, "photos/y.jpg": ivanov, "logs/y.txt": ivanov, "deferrals/y.md": berg, "decisions/y.md": berg, "limits/y.md": shore, "reviews/y.shore.md": shore, "rota.csv": shore} {
		add("taken out: "+p, func(c *convoy) int { c.by(who, p, body); return c.by(who, p, "") })
	}
	// A merge drops what one side wrote: the whole of it, or goes back behind what both sides had seen.
	for p, who := range map[string]string{"overhauls/me1/c8/2024-01-08-h-8.md": ivanov, "parts/n-1.md": ivanov, "hours/me8.csv": ivanov, "stores/x.csv": ivanov, "running/me8.csv": ivanov, "handovers/2024-01-08.md": ivanov,
		"photos/y.jpg": ivanov, "limits/y.md": shore, "decisions/y.md": berg, "crew.csv": berg} {
		text := body
		if path.Ext(p) == ".csv" {
			text = stock("2024-01-01,nozzle,+4")
		}
		add("a merge that keeps the other side, of "+p, func(c *convoy) int {
			a, b := c.sideBy(len(c.steps)-1, p, text, "parts/n-7.md", body, who)
			return c.from([]int{b, a}, ivanov)
		})
		more := strings.ReplaceAll(text, "n: 1", "n: 2") + "2024-01-02,nozzle,+5\n"
		add("a merge that takes the older side, of "+p, func(c *convoy) int {
			old := c.by(who, p, text)
			a, b := c.sideBy(old, p, more, "parts/n-7.md", body, who)
			return c.from([]int{b, a}, ivanov)
		})
	}
	// A merge among whose rows one is missing, another, or one of two.
	r := func(n int) string { return fmt.Sprintf("2024-01-%02d,nozzle,+%d", n, n) }
	for _, p := range []string{"hours/me8.csv", "running/me8.csv", "stores/x.csv", "fuel/x.csv"} {
		for kind, result := range map[string]string{"a row dropped": stock(r(1), r(1), r(3)), "a row changed": stock(r(1), r(1), "2024-01-02,nozzle,+9", r(3)), "a row that both had dropped": stock(r(2), r(3)),
			"one of two equal rows dropped": stock(r(1), r(2), r(3)), "all rows changed but one": stock(r(1), r(4), r(5)), "emptied": stock(), "the head alone changed, and a row": strings.Replace(stock(r(1), r(1), r(3)), "item", "what", 1)} {
			add(fmt.Sprintf("a merge of %s: %s", p, kind), func(c *convoy) int {
				base := c.by(ivanov, p, stock(r(1), r(1)))
				a, b := c.sideBy(base, p, stock(r(1), r(1), r(2)), p, stock(r(1), r(1), r(3)), ivanov)
				return c.from([]int{a, b}, berg, p, result)
			})
		}
	}
	// A merge among whose values one is missing or another.
	h8, h8moved := "overhauls/me1/c8/2024-01-08-h-8.md", "overhauls/me1/c7/2024-01-08-h-8.md"
	for kind, result := range map[string]string{"a value dropped": overhaul("c", "1", "d", "1"), "a value changed": overhaul("a", "1", "b", "2", "d", "1"), "a value of both dropped": overhaul("b", "1", "d", "1"),
		"a remark dropped": overhaul("a", "1", "b", "1", "d", "1"), "no record any more": "nothing\n"} {
		add("a merge of a record: "+kind, func(c *convoy) int {
			base := c.by(ivanov, h8, overhaul("a", "1"))
			mine := overhaul("a", "1", "b", "1")
			if kind == "a remark dropped" {
				mine += "\nSeen with the chief.\n"
			}
			a, b := c.sideBy(base, h8, mine, h8, overhaul("a", "1", "d", "1"), ivanov)
			return c.from([]int{a, b}, berg, h8, result)
		})
	}
	for kind, result := range map[string]string{"moved and changed": overhaul("a", "2", "d", "1"), "moved, the other's value dropped": overhaul("a", "1")} {
		add("a merge of a record: "+kind, func(c *convoy) int {
			base := c.by(ivanov, h8, overhaul("a", "1"))
			a, b := c.sideBy(base, h8, "->"+h8moved, h8, overhaul("a", "1", "d", "1"), ivanov)
			return c.from([]int{a, b}, berg, h8moved, result)
		})
	}
	// Who signs.
	chiefs := []string{"engineer", "chief"}
	signers := func(c *convoy) string {
		return c.text("signers/allowed_signers", c.worlds[c.tips[shore]]["signers/allowed_signers"])
	}
	his := func(c *convoy) string { return regexp.MustCompile("(?m)^" + ivanov + ".*$").FindString(signers(c)) }
	add("unsigned", func(c *convoy) int { n := c.by(ivanov, "parts/n-9.md", body); c.unsigned(); return n })
	add("an unsigned commit takes a row out", func(c *convoy) int {
		c.by(ivanov, "stores/x.csv", stock(r(1), r(2)))
		n := c.by(ivanov, "stores/x.csv", stock(r(1)))
		c.unsigned()
		return n
	})
	add("a row taken out on one side by one who may not, and the merge takes it over", func(c *convoy) int {
		base := c.by(berg, "crew.csv", stock(r(1), r(2)))
		a, b := c.sideBy(base, "crew.csv", stock(r(1)), "parts/n-9.md", body, ivanov)
		c.from([]int{b, a}, berg, "crew.csv", stock(r(1)))
		return a
	})
	add("signed by a stranger", func(c *convoy) int { return c.by(nobody, "parts/n-9.md", body) })
	add("an engineer lets a stranger in", func(c *convoy) int {
		return c.by(ivanov, "signers/allowed_signers", signers(c)+line(nobody, []string{"engineer"}, "", ""))
	})
	add("a chief lets a chief in", func(c *convoy) int {
		return c.by(berg, "signers/allowed_signers", signers(c)+line(nobody, chiefs, "", ""))
	})
	add("a stranger lets himself in", func(c *convoy) int {
		return c.by(nobody, "signers/allowed_signers", signers(c)+line(nobody, chiefs, "", ""))
	})
	add("an engineer raises his role", func(c *convoy) int {
		return c.by(ivanov, "signers/allowed_signers", strings.Replace(signers(c), his(c), strings.TrimSuffix(line(ivanov, chiefs, "20240101", ""), "\n"), 1))
	})
	add("the register emptied", func(c *convoy) int { return c.by(ivanov, "signers/allowed_signers", "# nobody\n") })
	add("the register taken out", func(c *convoy) int { return c.by(ivanov, "signers/allowed_signers", "") })
	add("the register not of its form", func(c *convoy) int { return c.by(shore, "signers/allowed_signers", signers(c)+"* ssh-ed25519 AAAA\n") })
	add("a merge that lets somebody in", func(c *convoy) int {
		a, b := c.sideBy(len(c.steps)-1, "parts/n-8.md", body, "parts/n-9.md", body, ivanov)
		return c.from([]int{a, b}, ivanov, "parts/n-9.md", body, "signers/allowed_signers", signers(c)+line(nobody, []string{"engineer"}, "", ""))
	})
	// Merges of the register and of the other lists of hands, by whom it is not for.
	plain := strings.TrimSuffix(line(ivanov, roles[ivanov], "20240101", ""), "\n")
	until := func(before string) string {
		return strings.TrimSuffix(line(ivanov, roles[ivanov], "20240101", before), "\n")
	}
	for name, k := range map[string]struct{ was, one, two, who, result string }{
		"the later of two ends":                              {plain, until("20440101"), until("20450101"), reyes, until("20450101")},
		"the line of before two ends":                        {plain, until("20440101"), until("20450101"), reyes, plain},
		"a later end than both":                              {plain, until("20440101"), until("20450101"), reyes, until("20460101")},
		"an earlier end than both":                           {plain, until("20440101"), until("20450101"), reyes, until("20430101")},
		"neither of two ends":                                {plain, until("20440101"), until("20450101"), reyes, "# nobody"},
		"a narrowed line wide again":                         {plain, until("20440101"), plain, reyes, plain},
		"a narrowed line wide again, by the chief":           {plain, until("20440101"), plain, berg, plain},
		"a withdrawn line again":                             {plain, "# out", plain, reyes, plain},
		"a withdrawn line again, by the office":              {plain, "# out", plain, shore, plain},
		"a line withdrawn here and narrowed there":           {plain, "# out", until("20440101"), reyes, until("20440101")},
		"a line withdrawn here and narrowed there, by chief": {plain, "# out", until("20440101"), berg, until("20440101")},
		"a line signed off here and narrowed there":          {plain, until("202401011230"), until("20440101"), shore, until("20440101")},
		"a withdrawn line with another end":                  {plain, "# out", plain, reyes, until("20440101")},
		"no line let in on one side":                         {"# not yet", plain, "# not yet", reyes, "# not yet"},
		"no line let in before":                              {plain, plain + " here", plain, reyes, "# nobody"},
		"another key for a name":                             {plain, plain + " here", plain, reyes, strings.Replace(strings.TrimSuffix(line(nobody, roles[ivanov], "20240101", ""), "\n"), nobody, ivanov, 1)},
		"another name for a key":                             {plain, plain + " here", plain, reyes, strings.Replace(plain, ivanov, "petrov@second-engineer", 1)},
		"a chief's line, by the chief":                       {plain, until("20440101"), plain, berg, strings.TrimSuffix(line(ivanov, chiefs, "20240101", ""), "\n")},
	} {
		add("a merge of the register has "+name, func(c *convoy) int {
			all := lines(shore, berg, reyes)
			base := c.by(shore, "signers/allowed_signers", all+k.was+"\n")
			x := c.from([]int{base}, shore, "signers/allowed_signers", all+k.one+"\n# ashore\n")
			y := c.from([]int{base}, berg, "signers/allowed_signers", all+k.two+"\n# aboard\n")
			return c.from([]int{x, y}, k.who, "signers/allowed_signers", all+k.result+"\n# ashore\n# aboard\n")
		})
	}
	add("a merge that keeps one side, over a withdrawal", func(c *convoy) int {
		base := len(c.steps) - 1
		out := c.from([]int{base}, shore, "signers/allowed_signers", lines(shore, berg))
		other := c.from([]int{base}, berg, "parts/n-9.md", body)
		return c.from([]int{other, out}, shore)
	})
	stolen := func(who string) string { return print(who) + " compromised last-good=none stolen\n" }
	for name, result := range map[string]string{"one dropped": stolen("b@engineer") + "# more\n", "one more": stolen("a@engineer") + stolen("b@engineer") + stolen("c@engineer"), "none": "# none\n"} {
		add("a merge of declarations by an engineer: "+name, func(c *convoy) int {
			a, b := c.sideBy(len(c.steps)-1, "signers/withdrawn", stolen("a@engineer"), "signers/withdrawn", stolen("b@engineer"), shore)
			return c.from([]int{a, b}, ivanov, "signers/withdrawn", result)
		})
	}
	add("a merge that keeps one side, over a declaration", func(c *convoy) int {
		a, b := c.sideBy(len(c.steps)-1, "signers/withdrawn", stolen("a@engineer"), "parts/n-9.md", body, shore)
		return c.from([]int{b, a}, berg)
	})
	add("a merge of adoptions by an engineer", func(c *convoy) int {
		a, b := c.sideBy(len(c.steps)-1, "parts/n-7.md", body, "parts/n-9.md", body, ivanov)
		return c.from([]int{a, b}, ivanov, "parts/n-9.md", body, "signers/adopted", strings.Repeat("a", 40)+" mine\n")
	})
	add("a key used after it was taken out", func(c *convoy) int {
		c.by(shore, "signers/allowed_signers", strings.Replace(signers(c), his(c)+"\n", "", 1))
		return c.by(ivanov, "parts/n-9.md", body)
	})
	add("a key used beside its withdrawal", func(c *convoy) int {
		base := len(c.steps) - 1
		out := c.from([]int{base}, shore, "signers/allowed_signers", strings.Replace(signers(c), his(c)+"\n", "", 1))
		late := c.from([]int{base}, ivanov, "parts/n-9.md", body)
		c.from([]int{out, late}, shore, "parts/n-9.md", body)
		return late
	})
	add("a date before the key's window", func(c *convoy) int { return c.at(ivanov, -60*24*700, nil, "parts/n-9.md", body) })
	add("a second beginning", func(c *convoy) int {
		base := len(c.steps) - 1
		own := c.from([]int{}, ivanov, "photos/z.jpg", "z")
		c.from([]int{base, own}, ivanov, "photos/z.jpg", "z")
		return own
	})
	add("limits eased in a merge", func(c *convoy) int {
		a, b := c.sideBy(len(c.steps)-1, "parts/n-8.md", body, "parts/n-9.md", body, ivanov)
		return c.from([]int{a, b}, berg, "parts/n-9.md", body, "limits/qz.md", "---\ntype: QZ\nmax: 9\n---\n")
	})
	// Raw bytes.
	raw := func(name string, make func(t *testing.T, dir, tip string)) {
		all = append(all, convoyAttack{name: name, raw: make})
	}
	for _, p := range []string{"overhauls/me1/c1/con.md", "overhauls/me1/c1/H-1.md", "overhauls/me1/c1/h 1.md", "overhauls/me1/c1/h-1.md.", "overhauls/me1/c1/a:b.md", "overhauls/me1/c1/\u202egnp.md", "parts/n\\1.md", "hours/a\x01.csv"} {
		raw(fmt.Sprintf("a file named %q", p), func(t *testing.T, dir, tip string) {
			commitOn(t, dir, ivanov, strings.Replace(p, "overhauls/", "deferrals/", 1), "x\n")
		})
	}
	forged := func(name string, f func(t *testing.T, raw []byte) []byte) {
		raw(name, func(t *testing.T, dir, tip string) { forge(t, dir, tip, func(b []byte) []byte { return f(t, b) }) })
	}
	forged("signature taken off", func(t *testing.T, b []byte) []byte { return withoutSignature(b) })
	forged("a second signature", func(t *testing.T, b []byte) []byte { return withHeader(b, "gpgsig", []byte("x")) })
	forged("a header of another signature", func(t *testing.T, b []byte) []byte { return withHeader(b, "gpgsig-sha256", []byte("x")) })
	forged("an encoding", func(t *testing.T, b []byte) []byte { return withHeader(b, "encoding", []byte("latin1")) })
	forged("a tag in a merge", func(t *testing.T, b []byte) []byte { return withHeader(b, "mergetag", []byte("x")) })
	forged("a changed message", func(t *testing.T, b []byte) []byte { return append(b, "more\n"...) })
	forged("signed for files", func(t *testing.T, b []byte) []byte { return resign(t, withoutSignature(b), key(shore), "file") })
	forged("signed for nothing", func(t *testing.T, b []byte) []byte { return resign(t, withoutSignature(b), key(shore), "mail") })
	forged("signed by a stranger anew", func(t *testing.T, b []byte) []byte { return resign(t, withoutSignature(b), key(nobody), "git") })
	return all
}

// Every kind of attack on an honest history is named, and nothing else is.
func TestConvoysUnderAttack(t *testing.T) {
	kinds := convoyAttacks()
	names := map[string]bool{}
	made, missed := 0, 0
	for i, a := range kinds {
		names[a.name] = true
		for seed := range count(1, 20) {
			c := newConvoy(uint64(5000 + 100*i + seed))
			c.play(6 + (i+seed)%12)
			step := -1
			if a.make != nil {
				step = a.make(c)
				for range c.r.IntN(3) { // and honest work goes on
					c.by(berg, fmt.Sprintf("parts/after-%d.md", len(c.steps)), "---\nn: 1\n---\n")
				}
			}
			dir, ids := c.book(t)
			if a.raw != nil {
				a.raw(t, dir, ids[len(ids)-1])
			}
			what := fmt.Sprintf("%s, seed %d", a.name, seed)
			trail, err := verified(t, what, dir, ids)
			ending.Ends(t, what, dir)
			made++
			if why := notNamed(trail, err, ids, step); why != "" {
				missed++
				t.Errorf("%s: %s", what, why)
			}
			os.RemoveAll(dir)
		}
	}
	t.Logf("%d attacks of %d kinds: %d missed", made, len(names), missed)
	if len(names) < 95 || len(names) != len(kinds) {
		t.Errorf("%d kinds of attack under %d names, want at least 95", len(kinds), len(names))
	}
	if testing.Verbose() && os.Getenv("NEEDLEBOOK_LONG") == "1" {
		t.Logf("kinds:\n%s", strings.Join(slices.Sorted(maps.Keys(names)), "\n"))
	}
}

// notNamed says why an attack was not named as it has to be; empty when it was.
func notNamed(trail *logbook.Trail, err error, ids []string, step int) string {
	switch {
	case err != nil:
		return "" // refused: broken, or no history of a book
	case trail.Proved:
		return trail.Headline
	case step < 0:
		return ""
	}
	for i := range trail.Commits {
		if k := &trail.Commits[i]; k.ID == ids[step] && !k.Stands {
			return ""
		}
	}
	return "another commit than the attack is named: " + trail.Headline
}
