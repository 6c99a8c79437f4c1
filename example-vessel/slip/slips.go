package slip

import (
	"bytes"
	"math/rand/v2"
	"path"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// A Slip is one change that a hand, an editor or a machine made without meaning it.
type Slip struct {
	Class string
	Files map[string][]byte // the files that are different, by path; nil takes one away
	Path  string            // where a finding belongs
	Lines []int             // the lines there; none for the file as a whole
	Was   string            // what was written, for the list
	Is    string
}

// Touches says that a place is where the slip is. The other files it took away or wrote count as a whole.
func (s Slip) Touches(name string, line int) bool {
	if name == s.Path {
		return line == 0 || len(s.Lines) == 0 || slices.Contains(s.Lines, line)
	}
	_, other := s.Files[name]
	return other
}

// maker makes one slip in an honest book, or cannot.
type maker struct {
	class string
	make  func(d *desk) (Slip, bool)
}

// desk is where a slip is made: the honest book and dice.
type desk struct {
	*rand.Rand
	files map[string][]byte
	facts *Facts
	paths []string
}

// Classes are the names of all kinds of slip.
func Classes() []string {
	var all []string
	for _, m := range makers {
		all = append(all, m.class)
	}
	return all
}

// Make makes the slip of a number in an honest book: the classes take turns, and the same number makes the same slip.
func Make(n uint64, files map[string][]byte, facts *Facts) (Slip, bool) {
	m := makers[n%uint64(len(makers))]
	d := &desk{Rand: rand.New(rand.NewPCG(n, 1913)), files: files, facts: facts, paths: sorted(files)}
	for range 200 {
		s, ok := m.make(d)
		if !ok {
			continue
		}
		if s.Class = m.class; s.changed(files) {
			return s, true
		}
	}
	return Slip{}, false
}

func (s Slip) changed(files map[string][]byte) bool {
	for name, text := range s.Files {
		was, ok := files[name]
		if ok != (text != nil) || !bytes.Equal(was, text) {
			return true
		}
	}
	return false
}

func pick[T any](d *desk, of ...T) T { return of[d.IntN(len(of))] }

// value takes a value of the book: a kind of file first, so that the small ones have their turn.
func (d *desk) value(fits func(v Value) bool) (Value, bool) {
	kinds := map[string][]int{}
	for i, v := range d.facts.Values {
		if v.Shape != Prose && fits(v) {
			k := kindOf(v.Place.Path)
			kinds[k] = append(kinds[k], i)
		}
	}
	names := sorted(kinds)
	if len(names) == 0 {
		return Value{}, false
	}
	kind := pick(d, names...)
	if _, ok := kinds["overhauls"]; ok && d.IntN(2) == 0 {
		kind = "overhauls"
	}
	return d.facts.Values[pick(d, kinds[kind]...)], true
}

// span is where the text of a value stands in its file, without quotes.
func (d *desk) span(v Value) (from, to int, ok bool) {
	src := d.files[v.Place.Path]
	at := 0
	for range v.Place.Line - 1 {
		i := bytes.IndexByte(src[at:], '\n')
		if i < 0 {
			return 0, 0, false
		}
		at += i + 1
	}
	for range v.Place.Column - 1 {
		_, n := utf8.DecodeRune(src[at:])
		at += n
	}
	if at < len(src) && (src[at] == '"' || src[at] == '\'') {
		at++
	}
	return at, at + len(v.Written), v.Written != "" && bytes.HasPrefix(src[at:], []byte(v.Written))
}

// typed writes another text in place of a value.
func (d *desk) typed(v Value, text string) (Slip, bool) {
	from, to, ok := d.span(v)
	if !ok || text == v.Written {
		return Slip{}, false
	}
	src := d.files[v.Place.Path]
	return Slip{Files: map[string][]byte{v.Place.Path: slices.Concat(src[:from], []byte(text), src[to:])},
		Path:  v.Place.Path,
		Lines: []int{v.Place.Line}, Was: v.Key + ": " + v.Written, Is: text}, true
}

// retyped is a slip of the text of a value.
func retyped(fits func(v Value) bool, change func(d *desk, v Value) string) func(d *desk) (Slip, bool) {
	return func(d *desk) (Slip, bool) {
		v, ok := d.value(fits)
		if !ok {
			return Slip{}, false
		}
		text := change(d, v)
		if text == "" || strings.ContainsAny(text, "\n") {
			return Slip{}, false
		}
		return d.typed(v, text)
	}
}

func any_(Value) bool         { return true }
func isDate(v Value) bool     { return v.Shape == Date }
func isName(v Value) bool     { return v.Shape == Name }
func measured(v Value) bool   { return v.Shape == Amount || v.Shape == Count || v.Shape == Band }
func hasUnit(v Value) bool    { return v.Shape == Amount && strings.Contains(v.Written, " ") }
func hasDigits(v Value) bool  { return strings.ContainsAny(v.Written, "0123456789") }
func hasDecimal(v Value) bool { return measured(v) && strings.Contains(v.Written, ".") }
func isLarge(v Value) bool    { return (v.Shape == Amount || v.Shape == Count) && v.Number >= 1000 }

// keyboards are rows of keys as they lie: a finger that slips meets a neighbour.
var keyboards = [][]string{
	{"1234567890-=", "qwertyuiop[]", "asdfghjkl;'", "zxcvbnm,./"},
	{"1234567890ß", "qwertzuiopü+", "asdfghjklöä#", "yxcvbnm,.-"},
	{"1234567890)=", "azertyuiop^$", "qsdfghjklmù*", "wxcvbn,;:!"},
	{"789", "456", "123", "0.,"},
}

func neighbours(d *desk, r rune) []rune {
	var near []rune
	board := pick(d, keyboards...)
	low := unicode.ToLower(r)
	for i, row := range board {
		for j, c := range []rune(row) {
			if c != low {
				continue
			}
			for y := max(0, i-1); y <= min(len(board)-1, i+1); y++ {
				for x, n := range []rune(board[y]) {
					if n != low && x >= j-1 && x <= j+1 {
						near = append(near, n)
					}
				}
			}
		}
	}
	if unicode.IsUpper(r) {
		for i := range near {
			near[i] = unicode.ToUpper(near[i])
		}
	}
	return near
}

// at changes one character of a text that fits.
func at(d *desk, text string, fits func(r rune) bool, change func(r []rune, i int) []rune) string {
	r := []rune(text)
	var where []int
	for i, c := range r {
		if fits(c) {
			where = append(where, i)
		}
	}
	if len(where) == 0 {
		return ""
	}
	return string(change(r, pick(d, where...)))
}

func any1(rune) bool { return true }

func digit(r rune) bool { return r >= '0' && r <= '9' }

func replace(with rune) func(r []rune, i int) []rune {
	return func(r []rune, i int) []rune { r[i] = with; return r }
}

// makers are all kinds of slip: of fingers, countries, machines, lines, tables and files.
var makers = []maker{
	{"key beside", retyped(any_, func(d *desk, v Value) string {
		return at(d, v.Written, any1, func(r []rune, i int) []rune {
			if near := neighbours(d, r[i]); len(near) > 0 {
				r[i] = pick(d, near...)
			}
			return r
		})
	})},
	{"digit beside", retyped(hasDigits, func(d *desk, v Value) string {
		return at(d, v.Written, digit, func(r []rune, i int) []rune {
			if near := slices.DeleteFunc(neighbours(d, r[i]), func(n rune) bool { return !digit(n) }); len(near) > 0 {
				r[i] = pick(d, near...)
			}
			return r
		})
	})},
	{"transposed", retyped(hasDigits, func(d *desk, v Value) string {
		return at(d, v.Written, any1, func(r []rune, i int) []rune {
			if i+1 < len(r) && (digit(r[i]) || d.IntN(3) == 0) {
				r[i], r[i+1] = r[i+1], r[i]
			}
			return r
		})
	})},
	{"doubled", retyped(any_, func(d *desk, v Value) string {
		return at(d, v.Written, any1, func(r []rune, i int) []rune { return slices.Insert(r, i, r[i]) })
	})},
	{"dropped", retyped(any_, func(d *desk, v Value) string {
		return at(d, v.Written, any1, func(r []rune, i int) []rune { return slices.Delete(r, i, i+1) })
	})},
	{"digit more", retyped(measured, func(d *desk, v Value) string {
		return at(d, v.Written, digit, func(r []rune, i int) []rune { return slices.Insert(r, i, rune('0'+d.IntN(10))) })
	})},
	{"decimal comma", retyped(hasDecimal, func(d *desk, v Value) string {
		return strings.Replace(v.Written, ".", ",",
			1+d.IntN(2))
	})},
	{"decimal point lost", retyped(hasDecimal, func(d *desk, v Value) string {
		return strings.Replace(v.Written, ".", pick(d, "", " ", "-", ":", ";", "·"), 1)
	})},
	{"thousands", retyped(isLarge, func(d *desk, v Value) string {
		whole, rest := v.Written, ""
		if i := strings.IndexAny(v.Written, ". "); i >= 0 {
			whole, rest = v.Written[:i], v.Written[i:]
		}
		if len(whole) < 4 {
			return ""
		}
		mark := pick(d, ".", ",", " ", "'", "\u2009", "\u00a0", "\u202f", "’")
		if mark == "." {
			rest = strings.Replace(rest, ".", ",", 1)
		}
		return whole[:len(whole)-3] + mark + whole[len(whole)-3:] + rest
	})},
	{"date of a country", retyped(isDate, countryDate)},
	{"two-digit year", retyped(isDate, func(d *desk, v Value) string {
		y, m, day := parts(v.Written)
		return pick(d, y[2:]+"-"+m+"-"+day, day+"."+m+"."+y[2:], m+"/"+day+"/"+y[2:], day+"/"+m+"/"+y[2:])
	})},
	{"month in words", retyped(isDate, monthInWords)},
	{"wrong year", retyped(isDate, func(d *desk, v Value) string {
		y, err := strconv.Atoi(v.Written[:4])
		if err != nil {
			return ""
		}
		return strconv.Itoa(y+pick(d, -1, -1, -1, 1, -10, 100)) + v.Written[4:]
	})},
	{"wrong month or day", retyped(isDate, func(d *desk, v Value) string {
		y, m, day := parts(v.Written)
		n, _ := strconv.Atoi(m)
		two := func(n int) string { return strconv.Itoa(n/10) + strconv.Itoa(n%10) }
		return pick(d, y+"-"+day+"-"+m, y+"-"+two((n%12)+1)+"-"+day, y+"-"+two((n+10)%12+1)+"-"+day,
			y+"-"+m+"-"+two(1+d.IntN(31)))
	})},
	{"time of day", retyped(isDate, func(d *desk, v Value) string {
		return v.Written + pick(d, " 3:20 pm", " 03:20", "T15:20:00Z", " 3 p.m.", " 12:30 AM", " 00:00:00")
	})},
	{"another unit", retyped(hasUnit, otherUnit)},
	{"unit left out", retyped(hasUnit, func(d *desk, v Value) string {
		n, _,
			_ := strings.Cut(v.Written, " ")
		return n
	})},
	{"unit before", retyped(hasUnit, func(d *desk, v Value) string {
		n, u, _ := strings.Cut(v.Written, " ")
		return pick(d, u+" "+n, u+n, n+u, n+"  "+u, n+" "+strings.ToUpper(u))
	})},
	{"spreadsheet number", retyped(hasDigits, spreadsheet)},
	{"spreadsheet date", retyped(func(v Value) bool { return isDate(v) || isName(v) }, func(d *desk, v Value) string {
		if v.Shape == Date {
			return strconv.Itoa(int(v.Number) + 25569)
		}
		return pick(d, strings.TrimLeft(v.Written, "0"), strings.ReplaceAll(v.Written, "-", "/"), "0"+v.Written,
			strings.Replace(v.Written, "E", "E+", 1), v.Written+".0")
	})},
	{"autocorrect", retyped(any_, func(d *desk, v Value) string {
		return pick(d, strings.ReplaceAll(v.Written, "-", pick(d, "–", "—", "−", "‑")),
			strings.ReplaceAll(v.Written, "..", "…"), "“"+v.Written+"”", "‘"+v.Written+"’",
			strings.ToUpper(v.Written[:1])+v.Written[1:], strings.ReplaceAll(v.Written, " ", "\u00a0"))
	})},
	{"read by a scanner", retyped(any_, func(d *desk, v Value) string {
		look := map[rune]string{'0': "OoQ", '1': "lI|", '5': "S", '8': "B3", '6': "b5", '2': "Z", '9': "g", 'O': "0",
			'l': "1", 'S': "5", 'B': "8", 'I': "1", '3': "8", 'm': "n", 'e': "c", 'G': "6", 'Z': "2"}
		return at(d, v.Written, func(r rune) bool { return look[r] != "" },
			func(r []rune, i int) []rune { r[i] = pick(d, []rune(look[r[i]])...); return r })
	})},
	{"another script", retyped(hasDigits, func(d *desk, v Value) string {
		zero := pick(d, '٠', '०', '０', '۰')
		return strings.Map(func(r rune) rune {
			if digit(r) {
				return zero + r - '0'
			}
			return r
		}, v.Written)
	})},
	{"letters of another alphabet", retyped(isName, func(d *desk, v Value) string {
		return strings.NewReplacer("H", "Н", "A", "А", "B", "В", "E", "Е", "M", "М", "T", "Т", "P", "Р", "o", "о", "a", "а",
			"e", "е").Replace(v.Written)
	})},
	{"sign", retyped(measured, func(d *desk, v Value) string {
		if r := []rune(v.Written); r[0] == '-' || r[0] == '+' {
			return pick(d, string(r[1:]), map[rune]string{'-': "+", '+': "-"}[r[0]]+string(r[1:]))
		}
		return "-" + v.Written
	})},
	{"upper case", retyped(any_, func(d *desk, v Value) string {
		return pick(d, strings.ToUpper(v.Written), strings.ToLower(v.Written), v.Written+" ", " "+v.Written)
	})},
	{"word of another language", retyped(func(v Value) bool { return v.Shape == Word }, func(d *desk, v Value) string {
		return pick(d, "ja", "oui", "si", "да", "ok", "good", "nein", "X", "-", "?", "n/a", "none", "yes", "no", "same", "\"")
	})},
	{"pasted from another record", pasted},
	{"exchanged values", exchangedValues},
	{"blank", retyped(any_, func(d *desk, v Value) string {
		return pick(d, " ", "-", "?", "TBA", "…", "0", "~", "null", "#REF!", "########")
	})},
	{"lines exchanged", lines(func(d *desk, l []string, i int) ([]string, []int) {
		if i+1 >= len(l) {
			return nil, nil
		}
		l[i], l[i+1] = l[i+1], l[i]
		return l, []int{i + 1, i + 2}
	})},
	{"line doubled", lines(func(d *desk, l []string, i int) ([]string, []int) {
		return slices.Insert(l, i, l[i]), []int{i + 1, i + 2}
	})},
	{"line dropped", lines(func(d *desk, l []string, i int) ([]string, []int) {
		return slices.Delete(l, i, i+1),
			[]int{i, i + 1}
	})},
	{"line moved", lines(func(d *desk, l []string, i int) ([]string, []int) {
		x := l[i]
		to := d.IntN(len(l))
		l = slices.Insert(slices.Delete(l, i, i+1), to, x)
		return l, []int{i, i + 1, i + 2, to, to + 1, to + 2}
	})},
	{"lines joined", lines(func(d *desk, l []string, i int) ([]string, []int) {
		if i+1 >= len(l) {
			return nil, nil
		}
		l[i] = strings.TrimRight(l[i], "\r") + pick(d, " ", "", ",") + strings.TrimSpace(l[i+1])
		return slices.Delete(l, i+1, i+2), []int{i + 1, i + 2}
	})},
	{"tabs", lines(func(d *desk, l []string, i int) ([]string, []int) {
		l[i] = pick(d, strings.ReplaceAll(l[i], "  ", "\t"), strings.ReplaceAll(l[i], " ", "\t"),
			strings.ReplaceAll(l[i], ",", "\t"), "\t"+l[i], l[i]+"\t")
		return l, []int{i + 1}
	})},
	{"indented otherwise", lines(func(d *desk, l []string, i int) ([]string, []int) {
		l[i] = pick(d, " "+l[i], "  "+l[i], strings.TrimPrefix(l[i], " "), strings.TrimLeft(l[i], " "), ">"+l[i])
		return l, []int{i + 1, i + 2}
	})},
	{"mark lost", lines(func(d *desk, l []string, i int) ([]string, []int) {
		text := at(d, l[i], func(r rune) bool { return strings.ContainsRune(":,{}[]\"'-#", r) },
			func(r []rune, j int) []rune { return slices.Delete(r, j, j+1) })
		if text == "" {
			return nil, nil
		}
		l[i] = text
		return l, []int{i, i + 1, i + 2}
	})},
	{"mark wrong", lines(func(d *desk, l []string, i int) ([]string, []int) {
		text := at(d, l[i], func(r rune) bool { return strings.ContainsRune(":,{}[]\"'-", r) },
			func(r []rune, j int) []rune { r[j] = pick(d, []rune(";.:,(){}[]=|/")...); return r })
		if text == "" {
			return nil, nil
		}
		l[i] = text
		return l, []int{i, i + 1, i + 2}
	})},
	{"key misspelt", lines(func(d *desk, l []string, i int) ([]string, []int) {
		key, rest, ok := strings.Cut(l[i], ":")
		if !ok || strings.TrimSpace(key) == "" {
			return nil, nil
		}
		key = at(d, key, unicode.IsLetter, func(r []rune, j int) []rune {
			switch d.IntN(3) {
			case 0:
				return slices.Delete(r, j, j+1)
			case 1:
				return slices.Insert(r, j, r[j])
			}
			return replace(pick(d, []rune("aeinorst")...))(r, j)
		})
		l[i] = key + ":" + rest
		return l, []int{i + 1}
	})},
	{"columns exchanged", table(func(d *desk, t [][]string) ([][]string, []int) {
		a, b := d.IntN(len(t[0])), d.IntN(len(t[0]))
		first := d.IntN(2) // with the heads or without
		for i := first; i < len(t); i++ {
			if a < len(t[i]) && b < len(t[i]) {
				t[i][a], t[i][b] = t[i][b], t[i][a]
			}
		}
		return t, nil
	})},
	{"cells exchanged", table(func(d *desk, t [][]string) ([][]string, []int) {
		i := 1 + d.IntN(len(t)-1)
		a, b := d.IntN(len(t[i])), d.IntN(len(t[i]))
		t[i][a], t[i][b] = t[i][b], t[i][a]
		return t, []int{i + 1}
	})},
	{"cell into the next row", table(func(d *desk, t [][]string) ([][]string, []int) {
		i := 1 + d.IntN(len(t)-1)
		j := 1 + d.IntN(len(t)-1)
		a := d.IntN(len(t[i]))
		t[i][a], t[j][a] = t[j][a], t[i][a]
		return t, []int{i + 1, j + 1}
	})},
	{"cell more or less", table(func(d *desk, t [][]string) ([][]string, []int) {
		i := 1 + d.IntN(len(t)-1)
		a := d.IntN(len(t[i]))
		t[i] = pick(d, slices.Insert(slices.Clone(t[i]), a, ""), slices.Delete(slices.Clone(t[i]), a, a+1))
		return t, []int{i + 1}
	})},
	{"row doubled", table(func(d *desk, t [][]string) ([][]string, []int) {
		i := 1 + d.IntN(len(t)-1)
		return slices.Insert(t, i, t[i]), []int{i + 1, i + 2}
	})},
	{"row dropped", table(func(d *desk, t [][]string) ([][]string, []int) {
		i := d.IntN(len(t))
		return slices.Delete(t, i, i+1), []int{i, i + 1, i + 2}
	})},
	{"rows exchanged", table(func(d *desk, t [][]string) ([][]string, []int) {
		i, j := d.IntN(len(t)), d.IntN(len(t))
		t[i], t[j] = t[j], t[i]
		return t, []int{i + 1, i + 2, j + 1, j + 2}
	})},
	{"another separator", wholeTable},
	{"another cylinder's folder", elsewhere},
	{"wrong name", renamed},
	{"wrong extension", renamedTo(func(d *desk, name string) string {
		stem := strings.TrimSuffix(name, path.Ext(name))
		return stem + pick(d, ".txt", path.Ext(name)+".txt", strings.ToUpper(path.Ext(name)), "", ".docx", ".markdown",
			".bak", ".xls", path.Ext(name)+"~", ".text", "."+path.Ext(name))
	})},
	{"copy", copied},
	{"saved over another", savedOver},
	{"half saved", bytesOf(func(d *desk, src []byte) []byte { return src[:d.IntN(len(src))] })},
	{"zeros at the end", bytesOf(func(d *desk, src []byte) []byte {
		cut := d.IntN(len(src))
		return pick(d, append(slices.Clone(src), make([]byte, 1+d.IntN(600))...),
			append(slices.Clone(src[:cut]), make([]byte, len(src)-cut)...), make([]byte, len(src)))
	})},
	{"unit of another quantity", retyped(hasUnit, func(d *desk, v Value) string {
		n, unit, _ := strings.Cut(v.Written, " ")
		other := pick(d, "bar", "mm", "h", "s", "°C", "N·m", "K", "%", "kg", "l", "min", "drops")
		if other == unit {
			return ""
		}
		return n + " " + other
	})},
	{"unit in other letters", retyped(hasUnit, func(d *desk, v Value) string {
		n, unit, _ := strings.Cut(v.Written, " ")
		plain := strings.NewReplacer("·", "", "²", "2", "°", "").Replace(unit)
		return n + " " + pick(d, strings.ToUpper(unit), strings.ToLower(unit), upperFirst(unit), strings.ToUpper(plain),
			strings.ToLower(plain), upperFirst(strings.ToLower(plain)), plain+".")
	})},
	{"letters for digits", retyped(hasDigits, func(d *desk, v Value) string {
		return strings.NewReplacer("0", pick(d, "O", "o", "Ø"), "1", pick(d, "l", "I", "1")).Replace(v.Written)
	})},
	{"read by YAML", retyped(any_, readByYAML)},
	{"key given twice", givenTwice},
	{"line of another record", lineOfAnother},
	{"lines exchanged between records", exchangedBetween},
	{"block of another cylinder", blockOfAnother},
	{"two in one", bytesOf(func(d *desk, src []byte) []byte { return slices.Concat(src, src) })},
	{"another encoding", bytesOf(encoded)},
}

func parts(date string) (y, m, d string) {
	p := strings.SplitN(date+"--", "-", 4)
	if len(p[0]) != 4 || len(p[1]) != 2 {
		return "2000", "01", "01"
	}
	return p[0], p[1], strings.TrimRight(p[2], "-")
}

func countryDate(d *desk, v Value) string {
	y, m, day := parts(v.Written)
	bare := func(s string) string { return strings.TrimPrefix(s, "0") }
	return pick(d, day+"."+m+"."+y, m+"/"+day+"/"+y, day+"/"+m+"/"+y, y+"."+m+"."+day, y+"/"+m+"/"+day, day+"-"+m+"-"+y,
		bare(day)+"."+bare(m)+"."+y,
		y+"-"+bare(m)+"-"+bare(day), y+m+day, day+". "+m+". "+y, y+"年"+bare(m)+"月"+bare(day)+"日", y+"-"+day+"-"+m)
}

func monthInWords(d *desk, v Value) string {
	y, m, day := parts(v.Written)
	n, _ := strconv.Atoi(m)
	names := pick(d,
		[]string{"January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
			"December"},
		[]string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"},
		[]string{"Januar", "Februar", "März", "April", "Mai", "Juni", "Juli", "August", "September", "Oktober", "November",
			"Dezember"},
		[]string{"janvier", "février", "mars", "avril", "mai", "juin", "juillet", "août", "septembre", "octobre", "novembre",
			"décembre"},
		[]string{"enero", "febrero", "marzo", "abril", "mayo", "junio", "julio", "agosto", "septiembre", "octubre",
			"noviembre", "diciembre"},
		[]string{"stycznia", "lutego", "marca", "kwietnia", "maja", "czerwca", "lipca", "sierpnia", "września",
			"października", "listopada", "grudnia"},
		[]string{"января", "февраля", "марта", "апреля", "мая", "июня", "июля", "августа", "сентября", "октября", "ноября",
			"декабря"},
		[]string{"Enero", "Pebrero", "Marso", "Abril", "Mayo", "Hunyo", "Hulyo", "Agosto", "Setyembre", "Oktubre",
			"Nobyembre", "Disyembre"})
	name := names[(n+11)%12]
	return pick(d, day+" "+name+" "+y, day+"-"+name+"-"+y[2:], name+" "+day+" "+y, day+". "+name+" "+y)
}

func upperFirst(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}

// readByYAML is what a value becomes where somebody thinks of another notation than this one: of numbers in programs,
// of truth and nothing, of remarks, anchors and tags.
func readByYAML(d *desk, v Value) string {
	head, rest, _ := strings.Cut(v.Written, " ")
	if rest != "" {
		rest = " " + rest
	}
	if n, err := strconv.Atoi(head); err == nil && d.IntN(2) == 0 {
		return pick(d, strconv.FormatFloat(float64(n)/1000, 'g', -1, 64)+"e3", "0x"+strconv.FormatInt(int64(n), 16),
			"0"+head,
			"0o"+strconv.FormatInt(int64(n), 8), strconv.Itoa(n/60)+":"+strconv.Itoa(n%60), strconv.Itoa(n/1000)+"_"+
				strconv.Itoa(n%1000), ".inf", ".nan", "+"+head) + rest
	}
	return pick(d, "no", "yes", "on", "off", "true", "false", "null", "~", v.Written+" # as on the sheet", v.Written+"\t",
		"&a "+v.Written, "*a", "!!str "+v.Written, "!"+v.Written, "| "+v.Written, "> "+v.Written, "@"+v.Written,
		"%"+v.Written,
		"`"+v.Written+"`", v.Written+"#", v.Written+":", "- "+v.Written, "{"+v.Written+"}", "["+v.Written+"]")
}

// keyed are the lines of the front matter of a record that hold a key and a value, by the key with what it is below.
func (d *desk) keyed(name string) (keys []string, at map[string]int, lines []string) {
	at, lines = map[string]int{}, strings.Split(string(d.files[name]), "\n")
	above := ""
	for i, l := range lines[1:] {
		if strings.TrimSpace(l) == "---" {
			break
		}
		key, value, ok := strings.Cut(l, ":")
		if !ok {
			continue
		}
		if key == strings.TrimSpace(key) {
			above = key
		}
		if full := above + "/" + strings.TrimSpace(key); strings.TrimSpace(value) != "" && at[full] == 0 {
			at[full], keys = i+1, append(keys, full)
		}
	}
	return keys, at, lines
}

// twoLines takes a line of a record and that of the same key of another one, which says something else.
func (d *desk) twoLines() (one, other string, i, j int, a, b []string, ok bool) {
	record := func(n string) bool { return kindOf(n) == "overhauls" && strings.HasSuffix(n, ".md") }
	one, ok1 := d.file(record)
	other, ok2 := d.file(func(n string) bool { return record(n) && n != one })
	if !ok1 || !ok2 {
		return
	}
	keys, at, a := d.keyed(one)
	_, at2, b := d.keyed(other)
	if len(keys) == 0 {
		return
	}
	key := pick(d, keys...)
	i, j = at[key], at2[key]
	return one, other, i, j, a, b, i > 0 && j > 0 && a[i] != b[j]
}

// givenTwice puts a key into a record a second time, with what another record says.
func givenTwice(d *desk) (Slip, bool) {
	one, _, i, j, a, b, ok := d.twoLines()
	if !ok {
		return Slip{}, false
	}
	text := strings.Join(slices.Insert(a, i+1, b[j]), "\n")
	return Slip{Files: map[string][]byte{one: []byte(text)}, Path: one, Lines: []int{i + 1, i + 2}, Was: a[i],
		Is: b[j]}, true
}

// lineOfAnother puts the line of another record in the place of one.
func lineOfAnother(d *desk) (Slip, bool) {
	one, _, i, j, a, b, ok := d.twoLines()
	if !ok {
		return Slip{}, false
	}
	was := a[i]
	a[i] = b[j]
	return Slip{Files: map[string][]byte{one: []byte(strings.Join(a, "\n"))}, Path: one, Lines: []int{i + 1}, Was: was,
		Is: b[j]}, true
}

// exchangedBetween exchanges the lines of a key between two records.
func exchangedBetween(d *desk) (Slip, bool) {
	one, other, i, j, a, b, ok := d.twoLines()
	if !ok {
		return Slip{}, false
	}
	a[i], b[j] = b[j], a[i]
	return Slip{Files: map[string][]byte{one: []byte(strings.Join(a, "\n")), other: []byte(strings.Join(b, "\n"))},
		Path: one, Lines: []int{i + 1}, Was: b[j], Is: a[i]}, true
}

// blockOfAnother puts a block of another record in the place of one: the sheet of another cylinder was copied.
func blockOfAnother(d *desk) (Slip, bool) {
	record := func(n string) bool { return kindOf(n) == "overhauls" && strings.HasSuffix(n, ".md") }
	one, ok1 := d.file(record)
	other, ok2 := d.file(func(n string) bool { return record(n) && n != one })
	if !ok1 || !ok2 {
		return Slip{}, false
	}
	key := pick(d, "removed:", "as_found:", "measured:", "inspected:", "decided:", "assembled:", "as_left:", "fitted:",
		"nozzle:", "stripped:")
	block := func(name string) (lines []string, from, to int) {
		lines = strings.Split(string(d.files[name]), "\n")
		for i, l := range lines {
			if strings.HasPrefix(l, key) {
				for from, to = i, i+1; to < len(lines) && strings.HasPrefix(lines[to], " "); to++ {
				}
				return lines, from, to
			}
		}
		return lines, 0, 0
	}
	a, from, to := block(one)
	b, first, last := block(other)
	if to == 0 || last == 0 {
		return Slip{}, false
	}
	s := Slip{Files: map[string][]byte{one: []byte(strings.Join(slices.Concat(a[:from], b[first:last], a[to:]), "\n"))},
		Path: one, Was: key, Is: "that of " + other}
	for i := range last - first {
		s.Lines = append(s.Lines, from+i+1)
	}
	return s, true
}

// otherUnits are the units that stand for one another where a workshop has both.
var otherUnits = [][]string{{"bar", "kgf/cm²", "psi", "MPa", "kg/cm2", "kPa", "at"}, {"mm", "inch", "µm", "cm", "in"},
	{"N·m", "kgf·m", "lbf·ft", "Nm", "daNm"}, {"s", "min", "h", "sec", "ms"},
	{"h", "d", "min", "s", "hrs"}, {"°C", "°F", "K", "C"}, {"K", "°C", "°F"}, {"%", "‰", "bar"}}

func otherUnit(d *desk, v Value) string {
	n, unit, _ := strings.Cut(v.Written, " ")
	for _, family := range otherUnits {
		if slices.Contains(family, unit) {
			return n + " " + pick(d, family...)
		}
	}
	return n + " bar"
}

func spreadsheet(d *desk, v Value) string {
	head, rest, _ := strings.Cut(v.Written, " ")
	n, err := strconv.ParseFloat(head, 64)
	if err != nil {
		return pick(d, "'"+v.Written, "="+v.Written, strings.ReplaceAll(v.Written, "-", "‐"))
	}
	if rest != "" {
		rest = " " + rest
	}
	return pick(d, strings.ToUpper(strconv.FormatFloat(n, 'e', 2, 64))+rest, strconv.FormatFloat(n, 'f', 1, 64)+rest,
		strconv.FormatFloat(n, 'f', 0, 64)+rest, "'"+v.Written, "="+v.Written,
		strconv.FormatFloat(n, 'f', 6, 64)+rest, strconv.FormatFloat(n/100, 'f', -1, 64)+rest, "#VALUE!", "####",
		strings.ToUpper(strconv.FormatFloat(n, 'e', 1, 64))+rest)
}

// pasted puts the value of the same key of another record, or another row, into one.
func pasted(d *desk) (Slip, bool) {
	v, ok := d.value(any_)
	if !ok {
		return Slip{}, false
	}
	var others []Value
	for _, w := range d.facts.Values {
		if w.Key == v.Key && kindOf(w.Place.Path) == kindOf(v.Place.Path) && w.Written != v.Written {
			others = append(others, w)
		}
	}
	if len(others) == 0 {
		return Slip{}, false
	}
	return d.typed(v, pick(d, others...).Written)
}

// exchangedValues exchanges two values of one file that look alike.
func exchangedValues(d *desk) (Slip, bool) {
	v, ok := d.value(any_)
	if !ok {
		return Slip{}, false
	}
	var others []Value
	for _, w := range d.facts.Values {
		near := w.Place.Line-v.Place.Line < 6 && v.Place.Line-w.Place.Line < 6
		if near && w.Place.Path == v.Place.Path && w.Shape == v.Shape && w.Written != v.Written && w.Place != v.Place {
			others = append(others, w)
		}
	}
	if len(others) == 0 {
		return Slip{}, false
	}
	w := pick(d, others...)
	if w.Place.Compare(v.Place) < 0 {
		v, w = w, v
	}
	a, b, ok1 := d.span(v)
	from, to, ok2 := d.span(w)
	if !ok1 || !ok2 || b > from {
		return Slip{}, false
	}
	src := d.files[v.Place.Path]
	text := slices.Concat(src[:a], []byte(w.Written), src[b:from], []byte(v.Written), src[to:])
	return Slip{Files: map[string][]byte{v.Place.Path: text}, Path: v.Place.Path, Lines: []int{v.Place.Line, w.Place.Line},
		Was: v.Key + ": " + v.Written + ", " + w.Key + ": " + w.Written, Is: "exchanged"}, true
}

// file takes a file: a kind first, then one of it.
func (d *desk) file(fits func(name string) bool) (string, bool) {
	kinds := map[string][]string{}
	for _, name := range d.paths {
		if (strings.HasSuffix(name, ".md") || strings.HasSuffix(name, ".csv")) && fits(name) {
			kinds[kindOf(name)] = append(kinds[kindOf(name)], name)
		}
	}
	if len(kinds) == 0 {
		return "", false
	}
	kind := pick(d, sorted(kinds)...)
	if kinds["overhauls"] != nil && d.IntN(2) == 0 {
		kind = "overhauls"
	}
	return pick(d, kinds[kind]...), true
}

func anyFile(string) bool      { return true }
func isTable(n string) bool    { return strings.HasSuffix(n, ".csv") }
func notTheBook(n string) bool { return n != "book.md" }

// lines is a slip of whole lines of a front matter or table.
func lines(change func(d *desk, l []string, i int) ([]string, []int)) func(d *desk) (Slip, bool) {
	return func(d *desk) (Slip, bool) {
		name, ok := d.file(anyFile)
		if !ok {
			return Slip{}, false
		}
		l := strings.Split(string(d.files[name]), "\n")
		last := len(l) - 1
		if strings.HasSuffix(name, ".md") {
			for last = len(l) - 1; last > 1 && strings.TrimSpace(l[last]) != "---"; last-- {
			}
		}
		if last < 3 {
			return Slip{}, false
		}
		i := 1 + d.IntN(last-1)
		was := l[i]
		l, at := change(d, l, i)
		if l == nil {
			return Slip{}, false
		}
		is := ""
		if i < len(l) {
			is = l[i]
		}
		return Slip{Files: map[string][]byte{name: []byte(strings.Join(l, "\n"))}, Path: name, Lines: at, Was: was,
			Is: is}, true
	}
}

// table is a slip in the cells of a table.
func table(change func(d *desk, t [][]string) ([][]string, []int)) func(d *desk) (Slip, bool) {
	return func(d *desk) (Slip, bool) {
		name, ok := d.file(isTable)
		if !ok {
			return Slip{}, false
		}
		text := strings.TrimRight(string(d.files[name]), "\n")
		if strings.Contains(text, `"`) {
			return Slip{}, false
		}
		var t [][]string
		for row := range strings.SplitSeq(text, "\n") {
			t = append(t, strings.Split(row, ","))
		}
		if len(t) < 3 {
			return Slip{}, false
		}
		t, at := change(d, t)
		var out []string
		for _, row := range t {
			out = append(out, strings.Join(row, ","))
		}
		is := ""
		if len(at) > 0 && at[0] >= 1 && at[0] <= len(out) {
			is = out[at[0]-1]
		}
		return Slip{Files: map[string][]byte{name: []byte(strings.Join(out, "\n") + "\n")}, Path: name, Lines: at,
			Is: is}, true
	}
}

func wholeTable(d *desk) (Slip, bool) {
	name, ok := d.file(isTable)
	if !ok {
		return Slip{}, false
	}
	text := string(d.files[name])
	text = pick(d, strings.ReplaceAll(text, ",", ";"), strings.ReplaceAll(text, ",", "\t"),
		strings.ReplaceAll(text, ",", "|"), strings.ReplaceAll(text, "-", "/"),
		strings.ReplaceAll(text, "\n", "\r"), strings.ReplaceAll(text, "\n", "\n\n"), strings.ToUpper(text),
		strings.ReplaceAll(text, ",", ", "), "\""+strings.ReplaceAll(text, ",", "\",\""))
	return Slip{Files: map[string][]byte{name: []byte(text)}, Path: name}, true
}

// moved is a file under another path.
func (d *desk) moved(name, to string, keep bool) (Slip, bool) {
	if _, taken := d.files[to]; taken || to == name {
		return Slip{}, false
	}
	s := Slip{Files: map[string][]byte{to: d.files[name]}, Path: to, Was: name, Is: to}
	if !keep {
		s.Files[name] = nil
	}
	return s, true
}

// ofFile makes a slip of any file but the book's own.
func ofFile(make func(d *desk, name string) (Slip, bool)) func(d *desk) (Slip, bool) {
	return func(d *desk) (Slip, bool) {
		name, ok := d.file(notTheBook)
		if !ok {
			return Slip{}, false
		}
		return make(d, name)
	}
}

func renamedTo(to func(d *desk, name string) string) func(d *desk) (Slip, bool) {
	return ofFile(func(d *desk, name string) (Slip, bool) { return d.moved(name, to(d, name), false) })
}

// partsOf is the folder, the name and the ending of a file.
func partsOf(name string) (dir, stem, ext string) {
	dir, base := path.Split(name)
	ext = path.Ext(base)
	return dir, strings.TrimSuffix(base, ext), ext
}

// elsewhere puts a file into another folder.
var elsewhere = ofFile(func(d *desk, name string) (Slip, bool) {
	folder := path.Dir(pick(d, d.paths...))
	return d.moved(name, path.Join(pick(d, folder, folder, ".", path.Dir(name)+"/new", "overhauls",
		path.Dir(path.Dir(name)), "old", "parts", "records"), path.Base(name)), false)
})

// renamed gives a file a name with a slip in it.
var renamed = ofFile(func(d *desk, name string) (Slip, bool) {
	dir, stem, ext := partsOf(name)
	var is string
	switch d.IntN(4) {
	case 0:
		is = at(d, stem, digit, func(r []rune, i int) []rune { r[i] = rune('0' + d.IntN(10)); return r })
	case 1:
		is = at(d, stem, any1, func(r []rune, i int) []rune { return slices.Delete(r, i, i+1) })
	case 2:
		is = at(d, stem, any1, func(r []rune, i int) []rune {
			if i+1 < len(r) {
				r[i], r[i+1] = r[i+1], r[i]
			}
			return r
		})
	case 3:
		is = pick(d, "overhaul", stem+" final", stem+"_v2", strings.ToUpper(stem), "New Text Document", stem+".new", " "+stem,
			strings.ReplaceAll(stem, "-", "_"))
	}
	if is == "" {
		return Slip{}, false
	}
	return d.moved(name, dir+is+ext, false)
})

// copied leaves a second copy of a file behind.
var copied = ofFile(func(d *desk, name string) (Slip, bool) {
	dir, stem, ext := partsOf(name)
	base := stem + ext
	to := pick(d, stem+" (copy)"+ext, "Copy of "+base, stem+" - Copy"+ext, stem+" (1)"+ext, stem+"-2"+ext,
		stem+".orig"+ext, base+".sync-conflict", stem+" kopia"+ext)
	if d.IntN(4) == 0 && strings.HasPrefix(stem, "20") && len(stem) > 10 {
		to = stem[:9] + strconv.Itoa(d.IntN(10)) + stem[10:] + ext
	}
	return d.moved(name, dir+to, true)
})

// savedOver saves one file over another of its kind.
func savedOver(d *desk) (Slip, bool) {
	name, ok := d.file(notTheBook)
	if !ok {
		return Slip{}, false
	}
	other, ok := d.file(func(n string) bool { return kindOf(n) == kindOf(name) && n != name })
	if !ok {
		return Slip{}, false
	}
	return Slip{Files: map[string][]byte{name: d.files[other]}, Path: name, Was: name, Is: other}, true
}

// bytesOf is a slip of a whole file.
func bytesOf(change func(d *desk, src []byte) []byte) func(d *desk) (Slip, bool) {
	return func(d *desk) (Slip, bool) {
		name, ok := d.file(anyFile)
		if !ok || len(d.files[name]) == 0 {
			return Slip{}, false
		}
		src := slices.Clone(d.files[name])
		is := change(d, src)
		if is == nil {
			is = []byte{}
		}
		return Slip{Files: map[string][]byte{name: is}, Path: name, Was: strconv.Itoa(len(src)) + " bytes",
			Is: strconv.Itoa(len(is)) + " bytes"}, true
	}
}

// encoded is a text in another encoding.
func encoded(d *desk, src []byte) []byte {
	text := []rune(string(src))
	switch d.IntN(5) {
	case 0: // Windows-1252, whose upper half is that of Latin-1 for the letters
		var out []byte
		for _, r := range text {
			if r > 255 {
				r = '?'
			}
			out = append(out, byte(r))
		}
		return out
	case 1, 2: // UTF-16, with its mark or without
		out := []byte{0xff, 0xfe}
		if d.IntN(2) == 0 {
			out = nil
		}
		for _, r := range text {
			out = append(out, byte(r), byte(r>>8))
		}
		return out
	case 3:
		return append([]byte("\xef\xbb\xbf"), src...)
	}
	var out []byte // UTF-8 taken for Latin-1 and written again
	for _, b := range src {
		out = utf8.AppendRune(out, rune(b))
	}
	return out
}
