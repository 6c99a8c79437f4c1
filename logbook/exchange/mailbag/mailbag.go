package mailbag

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// A Part is one piece of a bundle, with what it takes to put it in its place.
type Part struct {
	// Bag is the SHA-256 of the whole bundle, 64 hexadecimal digits, Size its length in bytes.
	Bag  string
	Size int64
	// Number counts from 1 to Of.
	Number, Of int
	Text       []byte
}

const partMark = "needlebook part 1\n"

// maxParts bounds what one bundle is cut into.
const maxParts = 999

// Split cuts a bundle into parts whose files are no larger than size bytes each.
func Split(bundle []byte, size int64) ([]Part, error) {
	const head = 200 // bytes, at most
	room := int(size) - head
	if room < 200 {
		return nil, fmt.Errorf("parts of %d bytes are too small, at least %d", size, head+200)
	}
	of := max(1, (len(bundle)+room-1)/room)
	if of > maxParts {
		return nil, fmt.Errorf("the bundle of %d bytes would make %d parts of %d bytes, at most %d; make the parts larger",
			len(bundle), of, size, maxParts)
	}
	bag := sum(bundle)
	var parts []Part
	for n := range of {
		parts = append(parts, Part{Bag: bag, Size: int64(len(bundle)), Number: n + 1, Of: of,
			Text: bundle[n*room : min(len(bundle), (n+1)*room)]})
	}
	return parts, nil
}

func sum(b []byte) string {
	s := sha256.Sum256(b)
	return hex.EncodeToString(s[:])
}

// File is the part as it is written, Name what its file is called after a common beginning: sorted by name, parts stand
// in order.
func (p *Part) File() []byte {
	head := fmt.Sprintf("%sbundle %s %d\npart %d of %d\nsha256 %s\n\n", partMark, p.Bag, p.Size, p.Number, p.Of,
		sum(p.Text))
	return append([]byte(head), p.Text...)
}

// Kept is what a part is called among those that wait: parts of one number that were cut in two ways stay two.
func (p *Part) Kept() string { return fmt.Sprintf("%03d-%d", p.Number, p.step()) }

// Name is the end of a part's file name.
func (p *Part) Name() string {
	digits := len(strconv.Itoa(p.Of))
	return fmt.Sprintf("%0*dof%d.part", digits, p.Number, p.Of)
}

var partHead = regexp.MustCompile(`^needlebook part 1\nbundle ([0-9a-f]{64}) ([1-9][0-9]{0,12})\npart ([1-9][0-9]{0,2}) of ([1-9][0-9]{0,2})\nsha256 ([0-9a-f]{64})\n\n`)

// IsPart reports whether a file begins as a part does.
func IsPart(file []byte) bool { return bytes.HasPrefix(file, []byte(partMark)) }

// ReadPart reads a part and checks its bytes. The error says what is wrong with it.
func ReadPart(file []byte) (*Part, error) {
	m := partHead.FindSubmatch(file)
	if m == nil {
		return nil, errors.New("the head of the part is damaged: ask for it again")
	}
	p := &Part{Bag: string(m[1]), Text: file[len(m[0]):]}
	p.Size, _ = strconv.ParseInt(string(m[2]), 10, 64) // digits, and few enough
	p.Number, _ = strconv.Atoi(string(m[3]))
	p.Of, _ = strconv.Atoi(string(m[4]))
	switch {
	case p.Number > p.Of:
		return nil, fmt.Errorf("it says that it is part %d of %d", p.Number, p.Of)
	case int64(len(p.Text)) > p.Size:
		return nil, fmt.Errorf("it is longer than the whole bundle of %d bytes", p.Size)
	case !p.fits():
		return nil, fmt.Errorf("part %d of %d does not fit a bundle of %d bytes: ask for it again", p.Number, p.Of, p.Size)
	case sum(p.Text) != string(m[5]):
		return nil, fmt.Errorf("part %d of %d is damaged: ask for it again", p.Number, p.Of)
	}
	return p, nil
}

// step is how long the parts of this cut are, in bytes: all but the last are equally long.
func (p *Part) step() int64 {
	switch {
	case p.Number < p.Of:
		return int64(len(p.Text))
	case p.Of == 1:
		return p.Size
	}
	return (p.Size - int64(len(p.Text))) / int64(p.Of-1)
}

// begin is the place of the part's first byte in the bundle.
func (p *Part) begin() int64 { return int64(p.Number-1) * p.step() }

// fits says whether Split can have made a part of this length with this number.
func (p *Part) fits() bool {
	last := p.Size - int64(p.Of-1)*p.step()
	return last > 0 && last <= p.step() && (p.Number < p.Of || last == int64(len(p.Text)))
}

// Join puts the parts of one bundle together, in any order, some of them perhaps twice, and cut perhaps in several
// ways: a bundle is cut again where the mail takes less than before. Missing are the numbers of those that are not
// there, as the finest cut counts; the bundle is nil then. The error says that the parts, each sound by itself, do not
// make the bundle; missing are all of the finest cut then.
func Join(parts []*Part) (bundle []byte, missing []int, err error) {
	finest := parts[0]
	cuts := map[int64][]*Part{}
	for _, p := range parts {
		if p.Bag != finest.Bag || p.Size != finest.Size {
			return nil, nil, errors.New("the parts are of several bundles")
		}
		cuts[p.step()] = append(cuts[p.step()], p)
		if p.step() < finest.step() {
			finest = p
		}
	}
	if missing = finest.missing(parts); missing != nil {
		return nil, missing, nil
	}
	for _, tried := range append([][]*Part{parts}, slices.Collect(maps.Values(cuts))...) {
		if finest.missing(tried) == nil {
			if bundle = laid(tried); sum(bundle) == finest.Bag {
				return bundle, nil, nil
			}
		}
	}
	for n := range finest.Of {
		missing = append(missing, n+1)
	}
	return nil, missing, errors.New("the parts do not make the bundle that they say they are of")
}

// missing are the numbers of the parts, as p counts, of which some bytes are in none of parts.
func (p *Part) missing(parts []*Part) (numbers []int) {
	sorted := slices.SortedFunc(slices.Values(parts), func(a, b *Part) int { return cmp.Compare(a.begin(), b.begin()) })
	reached, i := int64(0), 0
	for n := range p.Of {
		end := min(p.Size, int64(n+1)*p.step())
		reached = max(reached, int64(n)*p.step())
		for ; i < len(sorted) && sorted[i].begin() <= reached; i++ {
			reached = max(reached, sorted[i].begin()+int64(len(sorted[i].Text)))
		}
		if reached < end {
			numbers = append(numbers, n+1)
		}
	}
	return numbers
}

// laid lays parts that lack nothing where they belong, each over those before it.
func laid(parts []*Part) []byte {
	bundle := make([]byte, parts[0].Size)
	for _, p := range parts {
		copy(bundle[p.begin():], p.Text)
	}
	return bundle
}

// An Ack is the acknowledgement that goes back: what its writer holds, which parts he misses, and receipts on their way
// to those whose history they receiver.
type Ack struct {
	// Book is the founding commit's id, From the copy of the book that writes, 16 hexadecimal digits: on a stick that goes
	// to and fro everybody meets his own acknowledgements as well.
	Book, From string
	// Has are commits that the writer holds, with all behind them.
	Has []string
	// Lacks are the bundles that he could not put together.
	Lacks []Lack
	// Receipts is how many receipts the writer holds himself; Sealed are the ones that he sends.
	Receipts int
	Sealed   []Sealed
}

// A Lack is a bundle by its SHA-256, and the numbers of the parts that are missing.
type Lack struct {
	Bag   string
	Parts []int
}

// A Sealed is one receipt with its signature.
type Sealed struct{ Text, Signature []byte }

const ackMark = "needlebook acknowledgement 1\n"

// IsAck reports whether a file begins as an acknowledgement does.
func IsAck(file []byte) bool { return bytes.HasPrefix(file, []byte(ackMark)) }

// File is the acknowledgement as it is written. Its last line holds the SHA-256 of all before it.
func (a *Ack) File() []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "%sbook %s\nfrom %s\n", ackMark, a.Book, a.From)
	for _, h := range a.Has {
		fmt.Fprintf(&b, "has %s\n", h)
	}
	for _, l := range a.Lacks {
		fmt.Fprintf(&b, "lacks %s %s\n", l.Bag, strings.Trim(strings.ReplaceAll(fmt.Sprint(l.Parts), " ", ","), "[]"))
	}
	fmt.Fprintf(&b, "receipts %d\n", a.Receipts)
	for _, s := range a.Sealed {
		fmt.Fprintf(&b, "sealed %d %d\n%s%s", len(s.Text), len(s.Signature), s.Text, s.Signature)
	}
	fmt.Fprintf(&b, "sha256 %s\n", sum(b.Bytes()))
	return b.Bytes()
}

var ackHead = regexp.MustCompile(`^needlebook acknowledgement 1\nbook ([0-9a-f]{40})\nfrom ([0-9a-f]{16})\n`)

var ackLine = regexp.MustCompile(`^(?:has ([0-9a-f]{40})|lacks ([0-9a-f]{64}) ([0-9]{1,3}(?:,[0-9]{1,3})*)|receipts ([0-9]{1,6})|sealed ([0-9]{1,4}) ([0-9]{1,4}))$`)

// ReadAck reads an acknowledgement and checks it. The error says what is wrong with it.
func ReadAck(file []byte) (*Ack, error) {
	damaged := errors.New("the acknowledgement is damaged: ask for it again")
	body, last, ok := cutLast(file)
	if !ok || last != "sha256 "+sum(body) || len(file) > 1<<20 {
		return nil, damaged
	}
	head := ackHead.FindSubmatch(body)
	if head == nil {
		return nil, damaged
	}
	a := &Ack{Book: string(head[1]), From: string(head[2])}
	for rest := body[len(head[0]):]; len(rest) > 0; {
		l, after, _ := bytes.Cut(rest, []byte("\n"))
		m := ackLine.FindSubmatch(l)
		switch {
		case m == nil:
			return nil, damaged
		case m[1] != nil:
			a.Has = append(a.Has, string(m[1]))
		case m[2] != nil:
			lack := Lack{Bag: string(m[2])}
			for n := range strings.SplitSeq(string(m[3]), ",") {
				v, _ := strconv.Atoi(n)
				lack.Parts = append(lack.Parts, v)
			}
			a.Lacks = append(a.Lacks, lack)
		case m[4] != nil:
			a.Receipts, _ = strconv.Atoi(string(m[4]))
		default:
			text, _ := strconv.Atoi(string(m[5]))
			sig, _ := strconv.Atoi(string(m[6]))
			if text+sig > len(after) {
				return nil, damaged
			}
			a.Sealed = append(a.Sealed, Sealed{Text: after[:text], Signature: after[text : text+sig]})
			after = after[text+sig:]
		}
		rest = after
	}
	if len(a.Has) == 0 {
		return nil, damaged
	}
	return a, nil
}

// cutLast cuts the last line off.
func cutLast(file []byte) (body []byte, last string, ok bool) {
	// mail programs turn line ends
	file, ok = bytes.CutSuffix(bytes.ReplaceAll(file, []byte("\r\n"), []byte("\n")), []byte("\n"))
	at := bytes.LastIndexByte(file, '\n')
	if !ok || at < 0 {
		return nil, "", false
	}
	return file[:at+1], string(file[at+1:]), true
}

// Numbers lists numbers of parts in words.
func Numbers(list []int) string {
	list = slices.Sorted(slices.Values(list))
	var words []string
	for i := 0; i < len(list); {
		j := i
		for j+1 < len(list) && list[j+1] == list[j]+1 {
			j++
		}
		if j > i+1 {
			words = append(words, fmt.Sprintf("%d to %d", list[i], list[j]))
		} else {
			for ; i <= j; i++ {
				words = append(words, strconv.Itoa(list[i]))
			}
		}
		i = j + 1
	}
	return strings.Join(words, ", ")
}
