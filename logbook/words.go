package logbook

import (
	"path"
	"strconv"
	"strings"
)

// Counted is a number of things in words: "1 side", "3 sides". Many is the plural where it is not one with more s.
func Counted(n int, one string, many ...string) string {
	return strconv.Itoa(n) + " " + Plural(n, one, many...)
}

// Plural is the word for so many things, without their number. Many is the plural where it is not one with more s.
func Plural(n int, one string, many ...string) string {
	switch {
	case n == 1:
		return one
	case len(many) > 0:
		return many[0]
	}
	return one + "s"
}

// Dash is a text, and a dash where there is none.
func Dash(text string) string {
	if text == "" {
		return "–"
	}
	return text
}

// Listed puts texts together with commas, and leaves out those that are empty.
func Listed(texts ...string) string {
	var all []string
	for _, t := range texts {
		if t != "" {
			all = append(all, t)
		}
	}
	return strings.Join(all, ", ")
}

// Called names a part by its kind and serial: "holder H-109"; without a serial it says so.
func Called(kind, serial string) string {
	if serial == "" {
		return kind + " without a serial"
	}
	return kind + " " + serial
}

// Called is the vessel's name; without one it says so.
func (v *Vessel) Called() string {
	if v.Name.Written == "" {
		return "vessel without a name"
	}
	return v.Name.Written
}

// Called is the engine's short name; without one it says so.
func (e *Engine) Called() string {
	if e.ID.Written == "" {
		return "engine without a name"
	}
	return e.ID.Written
}

// Called is the deferral by its id, or by its file where it has none: "deferral D-07".
func (d *Deferral) Called() string {
	if d.ID.Written == "" {
		return "deferral " + strings.TrimSuffix(path.Base(d.Path), ".md")
	}
	return "deferral " + d.ID.Written
}
