package intake

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"needlebook/logbook"
)

var (
	yearFirstForm = regexp.MustCompile(`^([0-9]{4})[-./]([0-9]{1,2})[-./]([0-9]{1,2})\.?$`)
	dateForm      = regexp.MustCompile(`^([0-9]{1,2})\s?([-./ ])\s?([0-9]{1,2})\s?[-./ ]\s?([0-9]{2}|[0-9]{4})\.?$`)
	namedForm     = regexp.MustCompile(`^([0-9]{1,2})\.?[-./\s]*(?:de\s+)?(\p{L}{3,})\.?,?[-./\s]*(?:de\s+)?([0-9]{2}|[0-9]{4})$`)
	firstNamed    = regexp.MustCompile(`^(\p{L}{3,})\.?\s+([0-9]{1,2}),?\s+([0-9]{4})$`)
)

// monthNames are the beginnings of the months' names, folded, in the languages of the lexicon; no beginning is that of
// two months.
var monthNames = [12][]string{{"jan", "ene", "gen"}, {"feb", "fev", "peb"}, {"mar", "maer", "mrz", "maa", "mrt"},
	{"apr", "abr", "avr"}, {"may", "mai", "mei", "mag"}, {"jun", "giu", "juin"}, {"jul", "lug", "juil"},
	{"aug", "ago", "agu", "aou", "agt"}, {"sep", "set"}, {"oct", "okt", "out", "ott"}, {"nov", "nop"},
	{"dec", "dez", "dic", "des", "dis"}}

// monthNamed is the month of a name, 0 for none.
func monthNamed(name string) int {
	name = together(name)
	best, longest := 0, 0
	for i, beginnings := range monthNames {
		for _, b := range beginnings {
			if strings.HasPrefix(name, b) && len(b) > longest {
				best, longest = i+1, len(b)
			}
		}
	}
	return best
}

// dateHabit is how all the dates of a source are written.
type dateHabit struct {
	day, month   int  // dates in which only the day, or only the month, can be first
	dots         bool // all are parted by points, as where the day is first
	slashes      bool
	short, texts int // with a year of two digits; not stored as days
}

func (h *dateHabit) take(c cell) {
	m := dateForm.FindStringSubmatch(c.text)
	if m == nil || c.day {
		return
	}
	a, _ := strconv.Atoi(m[1])
	b, _ := strconv.Atoi(m[3])
	h.texts++
	if m[2] == "." {
		h.dots = true
	} else {
		h.slashes = true
	}
	if len(m[4]) == 2 {
		h.short++
	}
	switch {
	case a > 12 && b <= 12:
		h.day++
	case b > 12 && a <= 12:
		h.month++
	}
}

// leastDates is how many dates have to show an order before the others are read by it: one may be another hand's, or a
// slip. From memory.
const leastDates = 2

// order is the order of the dates; empty where nothing shows it.
func (h *dateHabit) order() string {
	switch {
	case h.day >= leastDates && h.month == 0, h.day+h.month == 0 && h.dots && !h.slashes:
		return dayFirst
	case h.day > 0 && h.month == 0 && h.dots && !h.slashes:
		return dayFirst
	case h.month >= leastDates && h.day == 0:
		return monthFirst
	}
	return ""
}

// mixed says that dates of both orders are there: each that may be either is asked about by itself.
func (h *dateHabit) mixed() bool { return h.day > 0 && h.month > 0 }

// date is a day as a record writes it. An answer is taken in the same ways, so that 2016-08-09 is right everywhere.
func (c *column) date(x cell) (text, why string) {
	t := strings.Join(strings.Fields(x.text), " ")
	if x.day {
		d, err := logbook.ParseDay(t)
		if err == nil && c.dates.misread(d) {
			return "", "this day, typed as 2016-08-09: the spreadsheet may have exchanged day and month"
		}
		return t, ""
	}
	if m := yearFirstForm.FindStringSubmatch(t); m != nil {
		return iso(m[1], m[2], m[3])
	}
	if m := namedForm.FindStringSubmatch(t); m != nil {
		if month := monthNamed(m[2]); month > 0 {
			return c.isoShort(m[3], strconv.Itoa(month), m[1])
		}
	}
	if m := firstNamed.FindStringSubmatch(t); m != nil {
		if month := monthNamed(m[1]); month > 0 {
			return iso(m[3], strconv.Itoa(month), m[2])
		}
	}
	m := dateForm.FindStringSubmatch(t)
	if m == nil {
		return "", c.expected()
	}
	order := c.order
	if c.dates.mixed() {
		order = ""
	}
	a, _ := strconv.Atoi(m[1])
	b, _ := strconv.Atoi(m[3])
	switch {
	case order == "" && a > 12 && b <= 12:
		order = dayFirst
	case order == "" && b > 12 && a <= 12:
		order = monthFirst
	case order == "" && a == b:
		order = dayFirst // either way
	case order == "" && c.dates.mixed():
		return "", "this day, typed as 2016-08-09: the sheet has dates of both orders"
	case order == "":
		return "", noOrder
	}
	switch order {
	case monthFirst:
		return c.isoShort(m[4], m[1], m[3])
	case yearFirst:
		if len(m[4]) == 4 {
			return "", "a day of the calendar, in the order " + order
		}
		return c.isoShort(m[1], m[3], m[4])
	}
	return c.isoShort(m[4], m[3], m[1])
}

// What a date cannot be taken for, and one question about all of them answers.
const (
	noOrder = "the order of day and month"
	noYears = "the first year that two digits mean"
)

// misread says that a spreadsheet may have exchanged day and month of a stored day: those that it could not exchange
// are texts beside it.
func (h *dateHabit) misread(d logbook.Day) bool {
	return h.day+h.month > 0 && d.Time().Day() <= 12 && d.Time().Day() != int(d.Time().Month())
}

// farYears is how many years a day may be from the middle one of its column before somebody is asked: as a ship's books
// reach. From memory.
const farYears = 30

// farOff says that a day cannot be told from a slip of the year.
func (c *column) farOff(s *sheet, day string) bool {
	if c.middle == 0 {
		var years []int
		for _, r := range s.rows {
			if text, why := c.date(r.at(c.at)); why == "" && len(text) > 4 {
				year, _ := strconv.Atoi(text[:4])
				years = append(years, year)
			}
		}
		if c.middle = -1; len(years) >= leastFar {
			slices.Sort(years)
			c.middle = years[len(years)/2]
		}
	}
	year, _ := strconv.Atoi(day[:min(4, len(day))])
	return c.middle > 0 && (year > c.middle+farYears || year < c.middle-farYears)
}

// isoShort is a day whose year may have two digits.
func (c *column) isoShort(year, month, day string) (text, why string) {
	if len(year) == 4 {
		return iso(year, month, day)
	}
	if c.years == 0 {
		return "", noYears
	}
	y, _ := strconv.Atoi(year)
	y += c.years / 100 * 100
	if y < c.years {
		y += 100
	}
	return iso(strconv.Itoa(y), month, day)
}

func iso(year, month, day string) (text, why string) {
	m, _ := strconv.Atoi(month)
	d, _ := strconv.Atoi(day)
	text = fmt.Sprintf("%s-%02d-%02d", year, m, d)
	if _, err := logbook.ParseDay(text); err != nil {
		return "", "a day of the calendar"
	}
	return text, ""
}
