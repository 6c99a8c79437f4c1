package trace

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"needlebook/logbook"
)

// A Receipt is what a receiver outside the book has seen of it: a short text, signed with the namespace
// receipt@needlebook and kept where whoever can rewrite the book cannot reach it.
type Receipt struct {
	// Book is the id of the founding commit, Tip that of the tip seen.
	Book, Tip string
	// Commits counts the commits up to the tip, itself among them; Records the overhauls it holds.
	Commits, Records int
	// Content is the SHA-256, in 64 hexadecimal digits, over one line for each file of the tip, as
	// sha256sum writes them, sorted by bytes.
	Content string
	// Previous is the SHA-256 of the receipt text before this one; empty for the first.
	Previous string
	// Time is the receiver's own, to the second, UTC.
	Time time.Time
}

// ReceiptNamespace is the namespace of a receiver's signature.
const ReceiptNamespace = "receipt@needlebook"

// Text is the receipt as it is written and signed.
func (c *Receipt) Text() []byte {
	previous := c.Previous
	if previous == "" {
		previous = "none"
	}
	return fmt.Appendf(nil, "needlebook receipt 1\nbook %s\ntip %s\ncommits %d\nrecords %d\ncontent sha256:%s\nprevious "+
		"%s\ntime %s\n",
		c.Book, c.Tip, c.Commits, c.Records, c.Content, previous, c.Time.UTC().Format(time.RFC3339))
}

// Sum is the SHA-256 of the text, as the next receipt names it.
func (c *Receipt) Sum() string { return fmt.Sprintf("%x", sha256.Sum256(c.Text())) }

// Short is the form for a daily report: the first eight groups of four digits of the SHA-256 over the text's
// lines from the first to content. It says what the state was and not who saw it when, so that ship and office
// print the same.
func (c *Receipt) Short() string {
	state, _, _ := strings.Cut(string(c.Text()), "previous ")
	sum := fmt.Sprintf("%x", sha256.Sum256([]byte(state)))
	var groups []string
	for i := 0; i < 32; i += 4 {
		groups = append(groups, sum[i:i+4])
	}
	return strings.Join(groups, " ")
}

var receiptForm = regexp.MustCompile(`^needlebook receipt 1
book ([0-9a-f]{40})
tip ([0-9a-f]{40})
commits ([1-9][0-9]{0,8})
records (0|[1-9][0-9]{0,8})
content sha256:([0-9a-f]{64})
previous (none|[0-9a-f]{64})
time ([0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}Z)
$`)

// ParseReceipt reads a receipt, which has one form only.
func ParseReceipt(text []byte) (*Receipt, error) {
	m := receiptForm.FindSubmatch(text)
	if m == nil {
		return nil, errors.New(`not of the form of a receipt, eight lines from "needlebook receipt 1" to "time …"`)
	}
	c := &Receipt{Book: string(m[1]), Tip: string(m[2]), Content: string(m[5])}
	if previous := string(m[6]); previous != "none" {
		c.Previous = previous
	}
	c.Commits, _ = strconv.Atoi(string(m[3])) // nine digits at most
	c.Records, _ = strconv.Atoi(string(m[4]))
	var err error
	if c.Time, err = time.Parse(time.RFC3339, string(m[7])); err != nil {
		return nil, fmt.Errorf("%s is no time", m[7])
	}
	return c, nil
}

// WriteReceipt makes the receipt of the tip that a trail was read up to, without Previous and Time.
func WriteReceipt(dir string, t *logbook.Trail) (*Receipt, error) {
	if t.Founding < 0 {
		return nil, errors.New("the history has no founding commit that a receipt could name")
	}
	c := &Receipt{Book: t.At(t.Founding).ID, Tip: t.Head}
	c.Commits = len(t.Commits)
	tree, err := FS(dir, t.Head)
	if err != nil {
		return nil, err
	}
	defer tree.Close()
	c.Records, c.Content, err = content(tree)
	return c, err
}

// content is the digest of a tree, and the number of overhauls in it.
func content(tree *Tree) (records int, digest string, err error) {
	var lines []string
	err = fs.WalkDir(tree, ".", func(name string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		text, err := tree.ReadFile(name)
		if err != nil {
			return err
		}
		if strings.HasPrefix(name, "overhauls/") && strings.HasSuffix(name, ".md") {
			records++
		}
		lines = append(lines, fmt.Sprintf("%x  %s\n", sha256.Sum256(text), name))
		return nil
	})
	slices.Sort(lines)
	return records, fmt.Sprintf("%x", sha256.Sum256([]byte(strings.Join(lines, "")))), err
}

// A Sealed is one receipt with its signature, as found.
type Sealed struct {
	// Name is the file it was found in.
	Name            string
	Text, Signature []byte
}

// Received is what receipts say of a history.
type Received struct {
	// Last is the newest receipt, By who signed it; nil when there is none.
	Last *Receipt
	By   string
	// Sums are the SHA-256 of all that could be read, in their order.
	Sums []string
	// Since counts the commits that no receipt holds yet.
	Since int
	// Rewritten says what was received and is not in the history any more; Doubts what is wrong with the
	// receipts themselves. Both empty when all holds.
	Rewritten, Doubts []string
	// Dates says which commits state a date that the receipts contradict. Dates prove nothing; the
	// history stands all the same.
	Dates []string
}

// AgainstReceipts holds a history, read whole, against the receipts of one book, oldest first, and enters
// in the trail between which of them each commit was made. Witnesses are the lines of allowed signers that the
// reader keeps beside them, else the book's own.
func AgainstReceipts(dir string, t *logbook.Trail, sealed []Sealed, receivers []Signer) (*Received, error) {
	w := &Received{}
	place := map[string]int{}
	for i := range t.Commits {
		place[t.Commits[i].ID] = i
	}
	previous, before := "", bits(nil)
	t.Made = make([]logbook.Between, len(t.Commits))
	for n, s := range sealed {
		c, err := ParseReceipt(s.Text)
		if err != nil {
			w.uncertainty("%s: %v", s.Name, err)
			continue
		}
		by, err := sealer(s, receivers)
		if err != nil {
			w.uncertainty("%s: %v", s.Name, err)
		}
		if c.Previous != previous {
			w.uncertainty("%s does not follow the receipt before it: one is missing, or there are two chains", s.Name)
		}
		when := c.Time.Format("2006-01-02 15:04Z")
		previous = c.Sum()
		w.Last, w.By, w.Sums = c, by, append(w.Sums, previous)
		if t.Founding < 0 || t.At(t.Founding).ID != c.Book {
			w.rewritten("%s was written on %s for the book founded by commit %.12s, which this is not", s.Name, when, c.Book)
			continue
		}
		at, there := place[c.Tip]
		if !there {
			w.rewritten("commit %.12s, received on %s with %s and %s, is not in the history any more; %s", c.Tip, when,
				logbook.Counted(c.Commits, "commit"), logbook.Counted(c.Records, "record"), LostWords(dir, c.Tip, t))
			continue
		}
		seen := sightOf(t, at)
		if !seen.contains(before) {
			w.rewritten("%s of %s does not hold what was received before it: two histories of one book", s.Name, when)
		}
		behind := descendants(t, at)
		w.dates(t, seen, behind, c)
		if by != "" {
			bound(t, seen, behind, c.Time)
		}
		before = before.union(seen)
		if n == len(sealed)-1 {
			if err := w.content(dir, c); err != nil {
				return nil, err
			}
		}
	}
	for i := range t.Commits {
		if !before.has(i) {
			w.Since++
		}
	}
	return w, nil
}

func (w *Received) uncertainty(format string, a ...any) {
	w.Doubts = append(w.Doubts, fmt.Sprintf(format, a...))
}

func (w *Received) rewritten(format string, a ...any) {
	w.Rewritten = append(w.Rewritten, fmt.Sprintf(format, a...))
}

// content reckons the last receipt's digest again.
func (w *Received) content(dir string, c *Receipt) error {
	tree, err := FS(dir, c.Tip)
	if err != nil {
		return err
	}
	defer tree.Close()
	records, digest, err := content(tree)
	if err == nil && (digest != c.Content || records != c.Records) {
		w.rewritten("the texts of commit %.12s are not those received on %s", c.Tip, c.Time.Format("2006-01-02 15:04Z"))
	}
	return err
}

// dates compares stated dates with when a receipt proves that a commit was there, or was not yet.
func (w *Received) dates(t *logbook.Trail, seen, behind bits, c *Receipt) {
	const clock = 10 * time.Minute
	for i := range t.Commits {
		commit := &t.Commits[i]
		switch {
		case seen.has(i) && commit.Stated.Sub(c.Time) > clock:
			w.Dates = append(w.Dates, fmt.Sprintf("commit %.12s states %s, but was received by %s", commit.ID,
				commit.Stated.Format("2006-01-02 15:04Z"), c.Time.Format("2006-01-02 15:04Z")))
		case behind.has(i) && c.Time.Sub(commit.Stated) > clock:
			w.Dates = append(w.Dates, fmt.Sprintf("commit %.12s states %s, but stands on what was received on %s", commit.ID,
				commit.Stated.Format("2006-01-02 15:04Z"), c.Time.Format("2006-01-02 15:04Z")))
		}
	}
	slices.Sort(w.Dates)
	w.Dates = slices.Compact(w.Dates)
}

// bound narrows the intervals: what a receipt saw was there by its time, what stands on it came after.
func bound(t *logbook.Trail, seen, behind bits, when time.Time) {
	for i := range t.Made {
		at := &t.Made[i]
		switch {
		case seen.has(i) && (at.By.IsZero() || when.Before(at.By)):
			at.By = when
		case behind.has(i) && when.After(at.After):
			at.After = when
		}
	}
}

// descendants is the set of the commits that have one in their past.
func descendants(t *logbook.Trail, commit int) bits {
	b := newBits(len(t.Commits))
	for i := commit + 1; i < len(t.Commits); i++ {
		if slices.ContainsFunc(t.Commits[i].Parents, func(p int) bool { return p == commit || b.has(p) }) {
			b.set(i)
		}
	}
	return b
}

// sealer is the principal of the receiver whose signature a receipt carries.
func sealer(s Sealed, receivers []Signer) (string, error) {
	sig, err := parseSignature(s.Signature)
	switch {
	case err != nil:
		return "", fmt.Errorf("no good signature: %w", err)
	case sig.namespace != ReceiptNamespace:
		return "", fmt.Errorf("the signature was made for %s, not for a receipt", clip(sig.namespace))
	case !sig.good(s.Text):
		return "", errors.New("the signature is not over this text")
	}
	for _, h := range receivers {
		if h.Key == fingerprint(sig.key) && slices.Contains(h.Roles, "receiver") {
			return h.Principal, nil
		}
	}
	return "", fmt.Errorf("signed by %s, which is no receiver's key", fingerprint(sig.key))
}

// sightOf is the set of a commit and all that it has in its past.
func sightOf(t *logbook.Trail, commit int) bits {
	b := newBits(len(t.Commits))
	b.set(commit)
	for i := commit; i >= 0; i-- {
		if b.has(i) {
			for _, p := range t.Commits[i].Parents {
				b.set(p)
			}
		}
	}
	return b
}
