package mail_test

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand"
	"os"
	"slices"
	"testing"

	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/exchange/joining"
	"needlebook/logbook/exchange/mail"
	"needlebook/logbook/exchange/mailbag"
	"needlebook/logbook/exchange/remote"
)

// mailer is one side of an exchange by files alone.
type mailer struct {
	t    testing.TB
	dir  string
	post *mail.Post
	n    int // makes each commit's date another one
}

func newMailer(t testing.TB, dir string, n int) *mailer {
	p, err := mail.OpenPost(dir, "other")
	if err != nil {
		t.Fatal(err)
	}
	return &mailer{t: t, dir: dir, post: p, n: n}
}

func (m *mailer) write(r *rand.Rand, who string) {
	m.n++
	trial.Write(m.t, m.dir, m.n, trial.File(fmt.Sprintf("overhauls/me1/c%d/2024-06-01-h-%s%d.md", r.Intn(3)+1, who, m.n), trial.Overhaul(m.n, "320")))
}

// pack makes what a mail would carry: parts of a bag or of one asked for again, and an acknowledgement.
func (m *mailer) pack(r *rand.Rand) [][]byte {
	m.t.Helper()
	var files [][]byte
	again, err := m.post.Again(m.t.Context())
	if err != nil {
		m.t.Fatal(err)
	}
	for i := range again {
		files = append(files, again[i].File())
	}
	if err := m.post.Answered(); err != nil {
		m.t.Fatal(err)
	}
	has, err := m.post.Has()
	if err != nil {
		m.t.Fatal(err)
	}
	small := r.Intn(3) == 0
	bag, err := mail.PackBag(m.t.Context(), m.dir, has, "", small)
	if err != nil {
		m.t.Fatal(err)
	}
	if bag != nil {
		text := bag.Text
		if small {
			if text, err = mail.Smaller(text); err != nil {
				m.t.Fatal(err)
			}
		}
		size := int64(700 + r.Intn(2000))
		parts, err := m.post.Split(mail.Parcelled{Has: has, UpTo: bag.Tip, Size: size, Small: small}, text, false)
		if err != nil {
			m.t.Fatal(err)
		}
		for i := range parts {
			files = append(files, parts[i].File())
		}
	}
	seen, err := m.post.Seen()
	if err != nil {
		m.t.Fatal(err)
	}
	ack := mailbag.Ack{Book: "0123456789012345678901234567890123456789"}
	if ack.From, err = m.post.Copy(); err != nil {
		m.t.Fatal(err)
	}
	var more []string
	if seen != "" {
		more = append(more, seen)
	}
	if ack.Has, err = mail.Tips(m.dir, more...); err != nil {
		m.t.Fatal(err)
	}
	if ack.Lacks, err = m.post.Waiting(); err != nil {
		m.t.Fatal(err)
	}
	return append(files, ack.File())
}

// open opens one file of a mail; a bag that builds on a lost one is left.
func (m *mailer) open(file []byte) {
	m.t.Helper()
	m.n++
	if mailbag.IsAck(file) {
		a, err := mailbag.ReadAck(file)
		if err == nil {
			err = errors.Join(m.post.Holds(a.Has...), m.post.Asked(a.Lacks, 0))
		}
		if err != nil {
			m.t.Fatal(err)
		}
		return
	}
	part, err := mailbag.ReadPart(file)
	if err != nil {
		m.t.Fatal(err)
	}
	bundle, err := m.post.KeepPart(part)
	if err != nil {
		m.t.Fatal(err)
	}
	if bundle == nil {
		return
	}
	in, err := mail.Unpacked(bundle)
	if err != nil {
		m.t.Fatal(err)
	}
	a, err := mail.OpenBundle(m.t.Context(), m.dir, in)
	var needs *mail.NeedsError
	if errors.As(err, &needs) {
		return // its parts wait
	} else if err != nil {
		m.t.Fatal(err)
	}
	k, err := joining.TakeIn(m.t.Context(), m.dir, a.Tip, trial.Draft(m.n), trial.AllTheirs)
	if err != nil || len(k.Conflicts) > 0 {
		m.t.Fatalf("%v, %d conflicts", err, len(k.Conflicts))
	}
	err = errors.Join(m.post.Holds(append(slices.Clone(a.Needs), a.Tip)...), remote.SetRef(m.dir, m.post.From(), a.Tip), m.post.Forget(part.Bag))
	if err != nil {
		m.t.Fatal(err)
	}
}

// Mails back and forth, with parts lost, doubled and out of order: both sides end on the same commit, and nothing that either wrote is
// lost. Two hundred rounds under NEEDLEBOOK_LONG.
func TestPingPong(t *testing.T) {
	rounds := 6
	if os.Getenv("NEEDLEBOOK_LONG") != "" {
		rounds = 200
	}
	r := rand.New(rand.NewSource(7))
	ship, shore, _ := trial.Apart(t, 4)
	a, b := newMailer(t, ship, 1000), newMailer(t, shore, 100_000)
	if err := errors.Join(a.post.Holds(trial.Head(t, ship)), b.post.Holds(trial.Head(t, ship))); err != nil {
		t.Fatal(err)
	}
	late := make([][][]byte, 2) // mails that come later than those after them, by side
	for round := range rounds {
		for side, m := range []*mailer{a, b} {
			for range r.Intn(3) {
				m.write(r, string(rune('a'+side)))
			}
			var arrive [][]byte
			for _, f := range append(m.pack(r), late[side]...) {
				switch r.Intn(8) {
				case 0: // lost
				case 1:
					arrive = append(arrive, f, f)
				case 2:
					late[side] = append(late[side], f)
				default:
					arrive = append(arrive, f)
				}
			}
			late[side] = late[side][max(0, len(late[side])-6):]
			r.Shuffle(len(arrive), func(i, j int) { arrive[i], arrive[j] = arrive[j], arrive[i] })
			other := []*mailer{b, a}[side]
			for _, f := range arrive {
				other.open(f)
			}
		}
		if round%50 == 49 {
			trial.Sound(t, ship, shore)
		}
	}
	for range 4 { // nothing is lost any more
		for side, m := range []*mailer{a, b} {
			for _, f := range m.pack(r) {
				[]*mailer{b, a}[side].open(f)
			}
		}
	}
	if x, y := trial.Head(t, ship), trial.Head(t, shore); x != y {
		t.Errorf("ship %s, shore %s", x, y)
	}
	trial.Sound(t, ship, shore)
	has, err := a.post.Has()
	if err != nil {
		t.Fatal(err)
	}
	if bag, err := mail.PackBag(t.Context(), ship, has, "", false); err != nil || bag != nil {
		t.Errorf("all is acknowledged, and there is still something to send: %v", err)
	}
}

// Every bundle that git writes of a book is opened, and every one of ours is accepted by git: whole, thin, of several branches.
func TestBundlesOfGit(t *testing.T) {
	ship, shore, _ := trial.Apart(t, 5)
	since := trial.Head(t, ship)
	for n := range 4 {
		trial.Write(t, ship, 20+n, trial.File(fmt.Sprintf("parts/n-%d.md", n), []byte("---\nserial: \"N\"\n---\n")))
	}
	trial.Run(t, ship, "branch", "other", "HEAD~1")
	trial.Run(t, ship, "tag", "-m", "a tag", "known", since)
	for _, args := range [][]string{{"main"}, {since + "..main"}, {"--all"}, {"HEAD"}, {"--branches", "--tags"}, {since + "..other"}} {
		file := t.TempDir() + "/git.bundle"
		trial.Run(t, ship, append([]string{"bundle", "create", "-q", file}, args...)...)
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		a, err := mail.OpenBundle(t.Context(), shore, bytes.NewReader(text))
		if err != nil {
			t.Errorf("git bundle create %v: %v", args, err)
			continue
		}
		if want := trial.Run(t, ship, "rev-parse", args[len(args)-1]); args[0] == "main" && a.Tip != want {
			t.Errorf("%v: tip %s, want %s", args, a.Tip, want)
		}
	}
	for _, has := range [][]string{nil, {since}} {
		bag, err := mail.PackBag(t.Context(), ship, has, "", false)
		if err != nil {
			t.Fatal(err)
		}
		dir := t.TempDir()
		if err := os.WriteFile(dir+"/our.bundle", bag.Text, 0o666); err != nil {
			t.Fatal(err)
		}
		trial.Run(t, ship, "bundle", "verify", "-q", dir+"/our.bundle")
		from := "our.bundle"
		if has == nil {
			trial.Run(t, dir, "clone", "-q", from, "clone")
			if got := trial.Run(t, dir+"/clone", "rev-parse", "HEAD"); got != bag.Tip {
				t.Errorf("the clone stands on %s, want %s", got, bag.Tip)
			}
			trial.Sound(t, dir+"/clone")
			continue
		}
		trial.Run(t, shore, "fetch", "-q", dir+"/"+from, "main:fetched")
		if got := trial.Run(t, shore, "rev-parse", "fetched"); got != bag.Tip {
			t.Errorf("fetched %s, want %s", got, bag.Tip)
		}
	}
	trial.Sound(t, ship, shore)
}

// What the other side lacks is asked for once, by its last word; a bag that was never sent from here is not; and what was answered, or
// has all its parts, is asked for no more.
func TestAskedAgain(t *testing.T) {
	dir := trial.Founded(t, 3)
	post, err := mail.OpenPost(dir, "other")
	if err != nil {
		t.Fatal(err)
	}
	bag, err := mail.PackBag(t.Context(), dir, nil, "", false)
	if err != nil {
		t.Fatal(err)
	}
	size := int64(len(bag.Text)/2 + 1)
	parts, err := post.Split(mail.Parcelled{UpTo: bag.Tip, Size: size}, bag.Text, false)
	if err != nil || len(parts) < 3 {
		t.Fatal(len(parts), err)
	}
	id := parts[0].Bag
	if larger, err := post.Split(mail.Parcelled{UpTo: bag.Tip, Size: 2 * size}, bag.Text, false); err != nil || len(larger) != len(parts) {
		t.Errorf("sent again in larger parts: %d parts, %v, want the %d of before", len(larger), err, len(parts))
	}
	again := func(what string, want ...int) {
		t.Helper()
		list, err := post.Again(t.Context())
		var got []int
		for _, p := range list {
			if p.Bag != id {
				t.Errorf("%s: a part of %s", what, p.Bag)
			}
			got = append(got, p.Number)
		}
		if err != nil || !slices.Equal(got, want) {
			t.Errorf("%s: parts %v (%v), want %v", what, got, err, want)
		}
	}
	ask := func(bag string, parts ...int) {
		t.Helper()
		if err := post.Asked([]mailbag.Lack{{Bag: bag, Parts: parts}}, 0); err != nil {
			t.Fatal(err)
		}
	}
	again("nobody asked")
	ask(id, 1, 2)
	again("two parts", 1, 2)
	ask(id, 3, len(parts)+1)
	again("its last word, and a part that there is not", 3)
	ask("0000000000000000000000000000000000000000000000000000000000000000", 1)
	again("a bag that is not ours", 3)
	if err := post.Answered(); err != nil {
		t.Fatal(err)
	}
	again("answered")
}
