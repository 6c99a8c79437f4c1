// Package vessel is the example vessel: an invented ship whose book stands in this folder as it is at the end, and the list of
// events, events.txt, from which her history is made again: earlier texts, commits, keys and digests follow from it and are the
// same on every machine.
//
// Begin with [History].
package vessel

import (
	"bufio"
	"crypto/ed25519"
	"crypto/sha256"
	"embed"
	"fmt"
	"io/fs"
	"path"
	"sort"
	"strings"
	"time"

	"golang.org/x/crypto/ssh"

	"needlebook/logbook/exchange"
)

// Files are the book as it stands at the end, without hands/, countersigned/ and reviews/, which the history brings.
//
//go:embed book.md crew.csv limits overhauls parts instruments hours running fuel stores deferrals decisions handovers photos
var Files embed.FS

//go:embed events.txt
var events string

// History is the whole story of the example vessel, commit by commit, oldest first.
func History() ([]exchange.Step, error) { return read(events, Files) }

// teller turns events into commits, keeping the texts as they stand.
type teller struct {
	final   fs.FS
	now     map[string][]byte // text of every file after the last commit
	hands   map[string]hand
	people  map[string]string // hand → name, from the crew list
	steps   []exchange.Step
	changed map[string]exchange.Change
}

// hand is one person in the register.
type hand struct {
	line   string // the line without its window
	before string
}

func read(text string, final fs.FS) ([]exchange.Step, error) {
	t := &teller{final: final, now: map[string][]byte{}, hands: map[string]hand{}, people: map[string]string{}}
	if err := t.crew(); err != nil {
		return nil, err
	}
	var head string
	var body []string
	var headLine int
	flush := func() error {
		if head == "" {
			return nil
		}
		err := t.event(head, body)
		if err != nil {
			return fmt.Errorf("events.txt:%d: %w", headLine, err)
		}
		return nil
	}
	s := bufio.NewScanner(strings.NewReader(text))
	for n := 1; s.Scan(); n++ {
		line := s.Text()
		switch {
		case strings.TrimSpace(line) == "" || strings.HasPrefix(line, "#"):
		case strings.HasPrefix(line, " "):
			body = append(body, strings.TrimSpace(line))
		default:
			if err := flush(); err != nil {
				return nil, err
			}
			head, body, headLine = line, nil, n
		}
	}
	if err := flush(); err != nil {
		return nil, err
	}
	return t.steps, nil
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

// event is one commit: "2021-02-12 17:40 r.santangelo: message", then one action a line.
func (t *teller) event(head string, actions []string) error {
	when, err := time.Parse("2006-01-02 15:04", head[:min(16, len(head))])
	if err != nil {
		return fmt.Errorf("%q does not begin with a time such as 2021-02-12 17:40", head)
	}
	who, message, ok := strings.Cut(strings.TrimSpace(head[16:]), ": ")
	if !ok {
		return fmt.Errorf("%q names no hand and message", head)
	}
	t.changed = map[string]exchange.Change{}
	signed := true
	for _, a := range actions {
		if a == "unsigned" {
			signed = false
			continue
		}
		if err := t.action(a); err != nil {
			return fmt.Errorf("%s: %w", a, err)
		}
	}
	d := exchange.Draft{Author: t.person(who, when), Message: message}
	if signed {
		if d.Signer, err = Key(who); err != nil {
			return err
		}
	}
	paths := make([]string, 0, len(t.changed))
	for p := range t.changed {
		paths = append(paths, p)
	}
	sort.Strings(paths)
	for _, p := range paths {
		d.Changes = append(d.Changes, t.changed[p])
	}
	t.steps = append(t.steps, exchange.Step{Draft: d})
	return nil
}

func (t *teller) person(who string, when time.Time) exchange.Person {
	name := t.people[who]
	if name == "" {
		name = who
	}
	return exchange.Person{Name: name, Email: who + "@ostrevane", When: when.UTC()}
}

// Key is the demonstration key of a hand, derived from a fixed text: everybody can make it, so it proves nothing outside the
// example.
func Key(who string) (ssh.Signer, error) { return ssh.NewSignerFromKey(Secret(who)) }

// Secret is the secret half of it, for those who want to sign in the example book themselves.
func Secret(who string) ed25519.PrivateKey {
	seed := sha256.Sum256([]byte("needlebook example vessel: demonstration key of " + who + ", proves nothing"))
	return ed25519.NewKeyFromSeed(seed[:])
}

func (t *teller) action(a string) error {
	verb, rest, _ := strings.Cut(a, " ")
	switch verb {
	case "add":
		return t.add(rest)
	case "tables":
		return t.tables(strings.TrimSpace(strings.TrimPrefix(rest, "up to ")))
	case "attributes":
		return t.put(".gitattributes", []byte(exchange.Attributes))
	case "enrol":
		return t.enrol(strings.Fields(rest))
	case "signoff":
		return t.signOff(strings.Fields(rest))
	case "countersign", "review":
		return t.seen(verb, strings.Fields(rest))
	}
	return fmt.Errorf("there is no action %q: add, tables, attributes, enrol, signoff, countersign, review, unsigned", verb)
}

func (t *teller) put(p string, text []byte) error {
	t.now[p] = text
	t.changed[p] = exchange.Change{Path: p, Text: text}
	return nil
}

// add writes a file as it stood: whole, "up to" a block or a day, and with figures that were corrected later "where" they read
// otherwise:
//
//	add overhauls/me1/c4/2023-04-20-h-110.md up to racked where "9.1 s" reads "3.1 s"
func (t *teller) add(rest string) error {
	p, rest, _ := strings.Cut(rest, " ")
	files, err := fs.Glob(t.final, p)
	if err != nil || len(files) == 0 {
		return fmt.Errorf("there is no file %s at the end", p)
	}
	for _, f := range files {
		text, err := fs.ReadFile(t.final, f)
		if err != nil {
			return err
		}
		if text, err = earlier(f, text, rest); err != nil {
			return err
		}
		t.put(f, text)
	}
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
			if text = rowsUpTo(text, day); string(text) != string(t.now[f]) {
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

// enrol lets a hand in: "enrol r.santangelo engineer 2021-01-01".
func (t *teller) enrol(words []string) error {
	if len(words) != 3 || roles[words[1]] == "" {
		return fmt.Errorf("enrol HAND superintendent|chief|engineer DAY")
	}
	key, err := Key(words[0])
	if err != nil {
		return err
	}
	public := strings.TrimSpace(string(ssh.MarshalAuthorizedKey(key.PublicKey())))
	t.hands[words[0]] = hand{line: fmt.Sprintf("namespaces=%q,valid-after=%q", roles[words[1]], strings.ReplaceAll(words[2], "-", "")+"Z") + "\x00" + public + " " + t.people[words[0]]}
	return t.register()
}

// signOff closes a hand's window: "signoff a.brekkestad 2022-10-31". Nothing signed before is touched by it.
func (t *teller) signOff(words []string) error {
	if len(words) != 2 {
		return fmt.Errorf("signoff HAND DAY")
	}
	h, ok := t.hands[words[0]]
	if !ok {
		return fmt.Errorf("%s is not enrolled", words[0])
	}
	h.before = strings.ReplaceAll(words[1], "-", "") + "Z"
	t.hands[words[0]] = h
	return t.register()
}

func (t *teller) register() error {
	var lines []string
	for who, h := range t.hands {
		window, key, _ := strings.Cut(h.line, "\x00")
		if h.before != "" {
			window += fmt.Sprintf(",valid-before=%q", h.before)
		}
		lines = append(lines, who+"@ostrevane "+window+" "+key)
	}
	sort.Strings(lines)
	return t.put("hands/signers", []byte(strings.Join(lines, "\n")+"\n"))
}

// seen signs records as seen: "countersign o.lindqvist overhauls/me1/c4/*.md …", over the texts as they stand.
func (t *teller) seen(verb string, words []string) error {
	if len(words) < 2 {
		return fmt.Errorf("%s HAND RECORD…", verb)
	}
	folder := map[string]string{"countersign": "countersigned", "review": "reviews"}[verb]
	for _, pattern := range words[1:] {
		found := false
		for _, p := range sortedKeys(t.now) {
			if ok, _ := path.Match(pattern, p); ok {
				found = true
				c := exchange.Countersigning(folder, words[0], p, t.now[p], "as seen", "")
				t.now[c.Path] = c.Text
				t.changed[c.Path] = c
			}
		}
		if !found {
			return fmt.Errorf("no record %s stands then", pattern)
		}
	}
	return nil
}

func sortedKeys(m map[string][]byte) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}
