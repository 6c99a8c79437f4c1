package fleet

import (
	"cmp"
	"errors"
	"fmt"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"needlebook/site/address"
	"needlebook/site/page"
)

// Ship is one vessel on the front page of several: the folder of its pages as seen from the front page, with forward
// slashes, and its summary, or why there is none.
type Ship struct {
	Name    string // shown where there is no summary
	Folder  string // relative to the front page; empty where there are no pages
	Summary *Summary
	Why     string // why the summary is nil, in words

	namesake bool // another ship on the page has the same name
}

// In reads the summary of a folder of pages as a ship of a front page in out.
func In(dir, out string) Ship {
	ship := Ship{Name: filepath.Base(dir)}
	from, err := filepath.Abs(out)
	to, also := filepath.Abs(dir)
	if err := errors.Join(err, also); err != nil {
		ship.Why = err.Error()
		return ship
	}
	rel, err := filepath.Rel(from, to)
	if err != nil {
		ship.Why = fmt.Sprintf("no way leads from %q to %q", out, dir)
		return ship
	}
	if ship.Summary, err = Read(dir); err != nil {
		ship.Why = strings.ReplaceAll(err.Error(), strconv.Quote(dir), ship.Name)
		return ship
	}
	ship.Folder = filepath.ToSlash(rel)
	return ship
}

// Folder is the name of a folder for the pages of a vessel whose book lies in dir, as different from those taken as
// it must be.
func Folder(dir string, taken map[string]bool) string {
	name := page.Slug(filepath.Base(dir))
	if name == "" || name == "book" || name == "logbook" { // says nothing: the folder above names the ship
		name = strings.Trim(page.Slug(filepath.Base(filepath.Dir(dir)))+"-"+name, "-")
	}
	if name == "" {
		name = "ship"
	}
	for base, n := name, 2; taken[name]; n++ {
		name = base + "-" + strconv.Itoa(n)
	}
	taken[name] = true
	return name
}

// inOrder are ships, those that need a look first; those of one name are known by their folders.
func inOrder(ships []Ship) []Ship {
	all := slices.Clone(ships)
	slices.SortStableFunc(all, func(a, b Ship) int {
		return cmp.Or(b.gravity()-a.gravity(), b.stops()-a.stops(), strings.Compare(a.name(), b.name()))
	})
	names := map[string]int{}
	for _, x := range all {
		names[x.name()]++
	}
	for i, x := range all {
		all[i].namesake = names[x.name()] > 1
	}
	return all
}

// gravity orders ships: those not read first, then by their gravest grade, those not proved before those proved.
func (s Ship) gravity() int {
	if s.Summary == nil {
		return 100
	}
	n := 0
	switch {
	case s.Summary.Gravest != nil:
		n = map[string]int{"stop": 40, "action": 30, "advice": 20}[s.Summary.Gravest.Grade]
	case s.Summary.Overhauls == 0:
		n = 10 // nothing was looked at: not the same as quiet
	}
	if !s.Summary.History.Proved {
		n++
	}
	return n
}

func (s Ship) stops() int {
	if s.Summary == nil {
		return 0
	}
	return s.Summary.Grades.Stop*1000 + s.Summary.Grades.Action
}

func (s Ship) name() string {
	if s.Summary != nil && s.Summary.Vessel != "" {
		return s.Summary.Vessel
	}
	return s.Name
}

// page is the address of a page of a ship: only names that a build of ours gives are followed, whatever a summary says.
func (s Ship) page(name string) page.Ref {
	file, place, _ := strings.Cut(name, "#")
	if s.Folder == "" || !address.Flat(file) || place != "" && !address.Flat(place) {
		return ""
	}
	to := page.Ref(addressOf(path.Join(s.Folder, file)))
	if place != "" {
		to = to.At(place)
	}
	return to
}

// addressOf writes a path as the address of a link: everything beyond plain letters as its bytes in hexadecimal.
func addressOf(p string) string {
	var b strings.Builder
	for i := 0; i < len(p); i++ {
		switch c := p[i]; {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9', c == '/', c == '-', c == '.', c == '_':
			b.WriteByte(c)
		default:
			fmt.Fprintf(&b, "%%%02X", c)
		}
	}
	if strings.HasPrefix(b.String(), "/") {
		return "." + b.String()
	}
	return b.String()
}
