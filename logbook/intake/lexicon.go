package intake

import (
	_ "embed"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"needlebook/logbook/fault"
)

//go:embed columns.txt
var columnsText string

//go:embed words.txt
var wordsText string

// names is a line of a lexicon: what is meant, and what crews write for it.
type names struct {
	means   string
	written []string
}

// phrase is one name of a column, by its words.
type phrase struct {
	means string
	words []string
}

func lexicon(text string) (all []names) {
	for line := range strings.Lines(text) {
		means, written, ok := strings.Cut(strings.TrimSpace(line), ": ")
		if ok && !strings.HasPrefix(line, "#") {
			all = append(all, names{means, strings.Split(written, ", ")})
		}
	}
	return all
}

var (
	columnNames = fault.Shared(func() (all []phrase) {
		for _, n := range lexicon(columnsText) {
			for _, w := range n.written {
				all = append(all, phrase{n.means, unlinked(w)})
			}
		}
		return all
	})
	// wordNames are the words that a folded text may mean; which of them a key knows decides.
	wordNames = fault.Shared(func() map[string][]string {
		all := map[string][]string{}
		for _, n := range lexicon(wordsText) {
			for _, w := range n.written {
				all[w] = append(all[w], n.means)
			}
		}
		return all
	})
)

// German letters are written out where a keyboard has none, so both ways are one.
var german = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "ß", "ss")

// fold brings the spellings of one name together: small letters, without accents, words parted by one space.
func fold(text string) string {
	text = german.Replace(norm.NFC.String(strings.ToLower(text)))
	var b strings.Builder
	for _, r := range norm.NFD.String(text) {
		switch {
		case r == 'º' || r == 'ª': // of Nº
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			b.WriteRune(r)
		case unicode.Is(unicode.Mn, r):
		default:
			b.WriteByte(' ')
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// together is a text folded, without the spaces: "i. O." is io.
func together(text string) string { return strings.ReplaceAll(fold(text), " ", "") }

// The words of a column's name that say which of two tests it is about, and those that say nothing.
var (
	foundWords = strings.Fields("found before incoming vor vorher vorgefunden antes encontrado encontrada sebelum awal " +
		"ditemukan avant trouve prima voor")
	leftWords = strings.Fields("left after set adjusted final nach nachher eingestellt despues ajustado ajustada dejado " +
		"sesudah setelah akhir disetel apres regle dopo na")
	fillers = strings.Fields("no nr num number numero nomor s n sn as am an in al tes test on reading readings messung " +
		"lectura bacaan and und y dan date datum fecha tanggal tgl")
	links = strings.Fields("of the de del la el der die das den le les du d l des di da")
)

// meant is what the name of a column may mean.
type meant struct {
	key   string // with @ where both tests have it and the name says which of them not
	whole bool   // every word of the name is accounted for
}

// means reads the name of a column: the longest phrase of the lexicon in it, and the words that say which test. A name
// with words beside these is only a suggestion.
func means(name string) (m meant, ok bool) {
	words := slices.DeleteFunc(unlinked(fold(name)), func(w string) bool { return strings.Trim(w, "0123456789") == "" })
	best, at := 0, 0
	for _, p := range columnNames() {
		if len(p.words) > best {
			if i := indexOf(words, p.words); i >= 0 {
				m.key, best, at = p.means, len(p.words), i
			}
		}
	}
	if best == 0 {
		return m, false
	}
	m.whole = true
	found, left := false, false
	for i, w := range words {
		switch {
		case i >= at && i < at+best:
		case slices.Contains(foundWords, w):
			found = true
		case slices.Contains(leftWords, w):
			left = true
		case !slices.Contains(fillers, w):
			m.whole = false
		}
	}
	switch {
	case found == left:
	case strings.HasPrefix(m.key, "@."), strings.HasPrefix(m.key, "?@."):
		m.key = strings.Replace(m.key, "@", sides[found], 1)
	case strings.HasSuffix(m.key, ".@"):
		m.key = m.key[:len(m.key)-1] + strings.TrimPrefix(sides[found], "as_")
	}
	return m, true
}

// unlinked are the words of a folded name without those that only link others: carrera de aguja, carrera aguja.
func unlinked(folded string) []string {
	return slices.DeleteFunc(strings.Fields(folded), func(w string) bool { return slices.Contains(links, w) })
}

// sides are the groups of a record's two tests, by whether it is the one before the work.
var sides = map[bool]string{true: "as_found", false: "as_left"}

// keysOf are the keys that a name may stand for.
func keysOf(key string) []string {
	switch {
	case strings.HasPrefix(key, "@."):
		return []string{sides[true] + key[1:], sides[false] + key[1:]}
	case strings.HasSuffix(key, ".@"):
		return []string{key[:len(key)-1] + "found", key[:len(key)-1] + "left"}
	}
	return []string{key}
}

func indexOf(words, phrase []string) int {
	for i := range len(words) - len(phrase) + 1 {
		if slices.Equal(words[i:i+len(phrase)], phrase) {
			return i
		}
	}
	return -1
}
