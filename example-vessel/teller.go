package vessel

import (
	"crypto/ed25519"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"sort"
	"strings"
	"time"

	"golang.org/x/crypto/ssh"

	"needlebook/logbook/exchange"
)

// teller turns events into commits, keeping the texts as they stand.
type teller struct {
	final  fs.FS
	people map[string]string // hand → name, from the crew list
	story  []Event
	sides  []*side        // after each event
	at     map[string]int // time of an event, as written → its number

	// Of the event that is being told.
	side    *side
	parents []int
	changed map[string]exchange.Change
	now     Event
	signed  bool
}

func (t *teller) crew() error {
	src, err := fs.ReadFile(t.final, "crew.csv")
	if err != nil {
		return err
	}
	for line := range strings.Lines(string(src)) {
		if cells := strings.Split(line, ","); len(cells) > 2 {
			t.people[cells[0]] = cells[1]
		}
	}
	return nil
}

const minute = "2006-01-02 15:04"

// event is one commit: "2021-02-12 17:40 r.santangelo: message", then one action a line.
func (t *teller) event(head string, actions []string) error {
	when := head[:min(len(minute), len(head))]
	at, err := time.Parse(minute, when)
	if err != nil {
		return fmt.Errorf("%q does not begin with a time such as 2021-02-12 17:40", head)
	}
	who, message, ok := strings.Cut(strings.TrimSpace(head[len(when):]), ": ")
	if !ok {
		return fmt.Errorf("%q names no signer and message", head)
	}
	if _, twice := t.at[when]; twice {
		return fmt.Errorf("two events are of %s", when)
	}
	number := len(t.story)
	t.now, t.signed, t.parents, t.changed = Event{At: at.UTC()}, true, nil, map[string]exchange.Change{}
	t.now.Author, t.now.Message = t.person(who, at), message
	t.side = &side{texts: map[string][]byte{}, signers: map[string][]line{}, past: map[int]bool{}}
	if number > 0 {
		t.side = t.sides[number-1].clone()
	}
	for _, a := range actions {
		if err := t.action(a); err != nil {
			return fmt.Errorf("%s: %w", a, err)
		}
	}
	if t.signed {
		if t.now.Signer, err = Key(t.keyOf(who)); err != nil {
			return err
		}
	}
	if t.now.Expect == nil {
		t.now.Expect = []string{"signed"}
	}
	for _, p := range sortedKeys(t.changed) {
		t.now.Changes = append(t.now.Changes, t.changed[p])
	}
	t.now.Parents = t.parents
	t.side.past[number] = true
	t.at[when] = number
	t.story, t.sides = append(t.story, t.now), append(t.sides, t.side)
	return nil
}

func (t *teller) person(who string, when time.Time) exchange.Person {
	name := t.people[who]
	if name == "" {
		name = who
	}
	return exchange.Person{Name: name, Email: who + "@ostrevane", When: when.UTC()}
}

// Key is the demonstration key of a hand, derived from a fixed text: everybody can make it, so it proves nothing
// outside the example. A hand's second key is that of his id with a space and a 2 behind it.
func Key(who string) (ssh.Signer, error) { return ssh.NewSignerFromKey(Secret(who)) }

// Secret is the secret half of it, for those who want to sign in the example book themselves.
func Secret(who string) ed25519.PrivateKey {
	seed := sha256.Sum256([]byte("needlebook example vessel: demonstration key of " + who + ", proves nothing"))
	return ed25519.NewKeyFromSeed(seed[:])
}

// keyOf is what the newest key of a person is made from.
func (t *teller) keyOf(who string) string {
	if lines := t.side.signers[who]; len(lines) > 0 {
		return lines[len(lines)-1].key
	}
	return who
}

func (t *teller) action(a string) error {
	verb, rest, _ := strings.Cut(a, " ")
	switch verb {
	case "after":
		return t.after(rest)
	case "merge":
		return t.merge(rest)
	case "clock":
		when, err := time.Parse(minute, rest)
		t.now.Author.When = when.UTC()
		return err
	case "unsigned":
		t.signed = false
		return nil
	case "expect":
		t.now.Expect = strings.Split(rest, "; ")
		return nil
	case "add":
		return t.add(rest)
	case "move":
		return t.move(strings.Fields(rest))
	case "tables":
		return t.tables(strings.TrimSpace(strings.TrimPrefix(rest, "up to ")))
	case "attributes":
		t.put(".gitattributes", []byte(exchange.Attributes))
		return nil
	case "enrol":
		return t.enrol(strings.Fields(rest))
	case "signoff":
		return t.signOff(strings.Fields(rest))
	case "adopt":
		return t.adopt(rest)
	case "confirm":
		return t.confirm(rest)
	case "countersign", "review":
		return t.seen(verb, strings.Fields(rest))
	}
	return fmt.Errorf("there is no action %q: after, merge, clock, unsigned, expect, add, move, tables, attributes, "+
		"enrol, confirm, signoff, adopt, countersign, review", verb)
}

func (t *teller) put(p string, text []byte) {
	t.side.texts[p] = text
	t.changed[p] = exchange.Change{Path: p, Text: text}
}

// add writes a file as it stood: whole, "up to" a block or a day, and with figures that were corrected later "where"
// they read otherwise; "in" another folder when somebody put it there:
//
//	add overhauls/me1/c4/2023-04-20-h-110.md up to stored where "9.1 s" reads "3.1 s"
func (t *teller) add(rest string) error {
	p, rest, _ := strings.Cut(rest, " ")
	files, err := fs.Glob(t.final, p)
	if err != nil || len(files) == 0 {
		return fmt.Errorf("there is no file %s at the end", p)
	}
	folder := ""
	if tail, ok := strings.CutPrefix(rest, "in "); ok {
		folder, rest, _ = strings.Cut(tail, " ")
	}
	for _, f := range files {
		text, err := fs.ReadFile(t.final, f)
		if err != nil {
			return err
		}
		if text, err = earlier(f, text, rest); err != nil {
			return err
		}
		if folder != "" {
			f = path.Join(folder, path.Base(f))
		}
		t.put(f, text)
	}
	return nil
}

// move puts a file, as it is, into another folder: "move FILE FOLDER".
func (t *teller) move(words []string) error {
	if len(words) != 2 || t.side.texts[words[0]] == nil {
		return fmt.Errorf("move FILE FOLDER, of a file that stands then")
	}
	to := path.Join(words[1], path.Base(words[0]))
	t.side.texts[to] = t.side.texts[words[0]]
	delete(t.side.texts, words[0])
	t.changed[to] = exchange.Change{Path: to, From: words[0]}
	return nil
}

// tables brings every table of the book to a day.
func (t *teller) tables(day string) error {
	for _, pattern := range []string{"hours/*.csv", "running/*.csv", "fuel/*.csv", "stores/*.csv"} {
		files, _ := fs.Glob(t.final, pattern)
		for _, f := range files {
			text, err := fs.ReadFile(t.final, f)
			if err != nil {
				return err
			}
			if text = rowsUpTo(text, day); string(text) != string(t.side.texts[f]) {
				t.put(f, text)
			}
		}
	}
	return nil
}

var roles = map[string]string{
	"superintendent": "git,superintendent@needlebook",
	"chief":          "git,engineer@needlebook,chief@needlebook",
	"engineer":       "git,engineer@needlebook",
}

// enrol lets a hand in: "enrol r.santangelo engineer 2021-01-01". A person who stands there already comes with his next
// key, which is "pending" where a chief alone lets it in.
func (t *teller) enrol(words []string) error {
	if len(words) != 3 && (len(words) != 4 || words[3] != "pending") || roles[words[1]] == "" {
		return fmt.Errorf("enrol NAME superintendent|chief|engineer DAY [pending]")
	}
	who := words[0]
	l := line{key: who, waits: len(words) == 4, window: fmt.Sprintf("namespaces=%q,valid-after=%q", roles[words[1]],
		compact(words[2]))}
	if n := len(t.side.signers[who]); n > 0 {
		l.key = fmt.Sprintf("%s %d", who, n+1)
	}
	t.side.signers[who] = append(t.side.signers[who], l)
	return t.register()
}

// confirm says for the superintendent that the newest key of a person is his: "confirm l.penhaligon".
func (t *teller) confirm(who string) error {
	lines := t.side.signers[who]
	if len(lines) == 0 || !lines[len(lines)-1].waits {
		return fmt.Errorf("no key of %s is pending", who)
	}
	lines[len(lines)-1].waits = false
	return t.register()
}

// signOff closes what is open of a hand's windows: "signoff a.brekkestad 2022-10-31"; with "old" behind it all but his
// newest key's. Nothing signed before is touched by it.
func (t *teller) signOff(words []string) error {
	if len(words) < 2 || len(words) > 3 || len(words) == 3 && words[2] != "old" {
		return fmt.Errorf("signoff NAME DAY [old]")
	}
	lines := t.side.signers[words[0]]
	if len(lines) == 0 {
		return fmt.Errorf("%s is not enrolled", words[0])
	}
	for i := range lines {
		if lines[i].before == "" && (len(words) == 2 || i < len(lines)-1) {
			lines[i].before = compact(words[1])
		}
	}
	return t.register()
}

func compact(day string) string { return strings.ReplaceAll(day, "-", "") + "Z" }

func (t *teller) register() error {
	var text []string
	for who, lines := range t.side.signers {
		for _, l := range lines {
			key, err := Key(l.key)
			if err != nil {
				return err
			}
			window := l.window
			if l.before != "" {
				window += fmt.Sprintf(",valid-before=%q", l.before)
			}
			public := strings.TrimSpace(string(ssh.MarshalAuthorizedKey(key.PublicKey())))
			name := t.people[who]
			if l.waits {
				name += ", key pending"
			}
			text = append(text, who+"@ostrevane "+window+" "+public+" "+name)
		}
	}
	sort.Strings(text)
	t.put("signers/allowed_signers", []byte(strings.Join(text, "\n")+"\n"))
	return nil
}

// adopt answers for the commit of an earlier event: "adopt 2024-01-12 18:00 REASON". Its id is known only when it is
// written.
func (t *teller) adopt(rest string) error {
	if len(rest) < len(minute)+2 {
		return fmt.Errorf("adopt TIME REASON")
	}
	n, err := t.numbered(rest[:len(minute)])
	if err != nil {
		return err
	}
	t.side.adopted = append(t.side.adopted, adoption{n, strings.TrimSpace(rest[len(minute):])})
	all := slices.Clone(t.side.adopted)
	t.now.Later = func(ids []string) []exchange.Change {
		var text string
		for _, a := range all {
			text += ids[a.event] + " " + a.reason + "\n"
		}
		return []exchange.Change{{Path: "signers/adopted", Text: []byte(text)}}
	}
	return nil
}

// seen signs records as seen: "countersign o.lindqvist overhauls/me1/c4/*.md …", over the texts as they stand.
func (t *teller) seen(verb string, words []string) error {
	if len(words) < 2 {
		return fmt.Errorf("%s NAME RECORD…", verb)
	}
	folder := map[string]string{"countersign": "countersigned", "review": "reviews"}[verb]
	for _, pattern := range words[1:] {
		found := false
		for _, p := range sortedKeys(t.side.texts) {
			if ok, _ := path.Match(pattern, p); ok {
				found = true
				c := exchange.Countersigning(folder, words[0], p, t.side.texts[p], "as seen", "")
				t.put(c.Path, c.Text)
			}
		}
		if !found {
			return fmt.Errorf("no record %s stands then", pattern)
		}
	}
	return nil
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}
