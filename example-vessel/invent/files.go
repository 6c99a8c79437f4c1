package invent

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"slices"
	"strings"
)

// fileName is an identity as it stands in file names.
func fileName(id string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || strings.ContainsRune(".-_", r) {
			return r
		}
		return '-'
	}, strings.ToLower(id))
}

// sparse says that the ship keeps the least a book can do with: no stores, no running data, a short limits file. A
// fault is not planted there: what is not stated cannot be exceeded.
func (w *world) sparse() bool { return w.seed%8 == 5 && len(w.options.Faults) == 0 }

// photo adds a picture to the book and gives its path.
func (w *world) photo(name string) string {
	img := image.NewRGBA(image.Rect(0, 0, 8, 6))
	for i := range 48 {
		img.Set(i%8, i/8, color.RGBA{uint8(w.IntN(256)), uint8(w.IntN(256)), uint8(w.IntN(256)), 255})
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		panic("invent: " + err.Error()) // a buffer takes everything
	}
	path := "photos/" + name + ".png"
	w.photos[path] = b.Bytes()
	return path
}

// settle writes the pages of the records once the last day is known, and what honest crews add afterwards.
func (w *world) settle() {
	for _, j := range w.jobs {
		if j.after_ != nil && j.fitDay+2 > w.last {
			j.after_ = nil
		}
		w.secondThoughts(j)
		j.write(w)
	}
}

// secondThoughts are corrections struck through as they should be, and records written later from notes.
func (w *world) secondThoughts(j *job) {
	switch {
	case j.from != nil && w.chance(2) && j.left+3 < w.last:
		j.corrections = items("corrections", keys("", text("date", (j.left+w.days(0, 2)).String()), text("by", j.by.id),
			text("what", "measured.lift"), text("was", "0.7 mm"), text("why", "digits swapped")))
	case j.from != nil && w.chance(1) && j.left+20 < w.last:
		d := j.left + w.days(3, 12)
		j.reconstructed = keys("reconstructed", text("date", d.String()), text("by", w.crew.aboard(w.crew.second, d).who.id),
			text("from", "notes of the bench"))
	}
}

// files are all files of the book.
func (w *world) files() map[string][]byte {
	all := map[string][]byte{}
	add := func(p *page) { all[p.path] = p.source() }
	add(w.bookPage())
	add(w.manual.page(w))
	for _, of := range w.gear.of {
		for _, i := range of {
			if i.from <= w.last {
				add(i.page(w))
			}
		}
	}
	for _, j := range w.jobs {
		add(j.page)
	}
	for _, pages := range [][]*page{w.decisions, w.deferrals, w.crew.handovers(w), w.partPages()} {
		for _, p := range pages {
			add(p)
		}
	}
	for _, e := range w.engines {
		all["hours/"+fileName(e.id)+".csv"] = []byte(e.table(w))
		if b := w.runs[e.id]; b != nil {
			all["running/"+fileName(e.id)+".csv"] = []byte(b.String())
		}
	}
	all["crew.csv"] = []byte(w.crew.table(w))
	all["stores/stock.csv"] = []byte(w.stock.table())
	all["fuel/bunkers.csv"] = []byte(w.bunkers())
	for path, data := range w.photos {
		all[path] = data
	}
	if w.seed%3 == 1 {
		w.countersign(all)
	}
	delete(all, w.unwritten)
	if w.sparse() {
		for path := range all {
			if top, _, _ := strings.Cut(path, "/"); slices.Contains([]string{"stores", "running", "fuel", "handovers"}, top) {
				delete(all, path)
			}
		}
	}
	for _, slip := range w.after {
		slip(all)
	}
	return all
}

// countersign adds the chief's countersignature to every record, over the text as it stands.
func (w *world) countersign(all map[string][]byte) {
	for _, j := range w.jobs {
		chief := w.crew.aboard(w.crew.chief, max(j.left, j.fitDay)).who
		p := &page{path: "countersigned/" + j.stem() + "." + chief.id + ".md", style: chief.style,
			front: keys("", text("record", j.page.path), text("sha256", digest(all[j.page.path])), text("seen", "as seen"))}
		all[p.path] = p.source()
	}
}

func digest(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

// pathOf is the path of a record by its stem; empty where there is none.
func (w *world) pathOf(stem string) string {
	for _, j := range w.jobs {
		if j.stem() == stem {
			return j.page.path
		}
	}
	return ""
}

func (w *world) bookPage() *page {
	var engines, stopped []*entry
	limits := fileName(w.manual.kind)
	for _, e := range w.engines {
		var names []string
		for _, p := range e.at {
			names = append(names, p.name)
		}
		interval := ""
		if w.seed%2 == 0 {
			interval = fmt.Sprintf("%.0f h", w.manual.interval)
		}
		engines = append(engines, keys("", text("id", e.id), text("name", e.name), text("type", w.manual.kind),
			texts("cylinders", names...), text("numbered_from", pick(w.Rand, "free end", "flywheel")), text("limits", limits),
			text("interval", interval)))
	}
	for _, l := range w.layUps {
		if l.from > w.last {
			break
		}
		engine := ""
		if l.engine != nil {
			engine = l.engine.id
		}
		stopped = append(stopped, keys("", text("engine", engine), text("from", l.from.String()),
			text("to", min(l.to, w.last).String()), text("why", l.why)))
	}
	opening := w.opening
	if len(w.onRack) > 0 {
		var rack []*entry
		for i, h := range w.onRack {
			e := w.rackEntries[i]
			if h.openFit != nil {
				e.kids = append(e.kids, h.openFit)
			}
			rack = append(rack, e)
		}
		opening = keys("opening", append(opening.kids[:len(opening.kids):len(opening.kids)],
			&entry{key: "spares", shape: list, kids: rack})...)
	}
	age := w.rackAge
	if age == 0 {
		age = max(90, 10*int(0.2*w.manual.interval/w.engines[0].perDay))
	}
	settings := keys("settings", text("spare_test_age", fmt.Sprint(age, " d")))
	if w.rings != 1 {
		settings.kids = append(settings.kids, text("rings", fmt.Sprint(w.rings)))
	}
	front := keys("", text("vessel", w.name), text("identification", "none - fictional"),
		text("owner", "an invented owner"), &entry{key: "engines", shape: list, kids: engines}, opening)
	if len(stopped) > 0 {
		front.kids = append(front.kids, &entry{key: "stopped", shape: list, kids: stopped})
	}
	front.kids = append(front.kids, keys("accepts", text("failed_as_found", "10 %")), settings)
	return &page{path: "book.md", front: front, style: w.office,
		body: "Made up from a number; vessel, people and limits are invented."}
}

// partPages are the pages of parts that came new, and of those that ended.
func (w *world) partPages() []*page {
	var pages []*page
	for _, n := range w.nozzles {
		if !n.onBoard && n.ended == 0 && len(n.regrinds) == 0 {
			continue
		}
		front := keys("", ident("serial", n.serial), text("kind", "nozzle"), text("marking", n.marking))
		if n.onBoard {
			front.kids = append(front.kids, text("received", n.received.String()), text("lift", n.firstLift.String()))
		}
		if n.ended != 0 {
			front.kids = append(front.kids, keys("scrapped", text("date", n.ended.String()), text("why", n.why)))
		}
		if len(n.regrinds) > 0 {
			front.kids = append(front.kids, items("regrinds", n.regrinds...))
		}
		pages = append(pages, &page{path: "parts/" + fileName(n.serial) + ".md", front: front, style: w.office})
	}
	for _, h := range w.holders {
		if h.ended != 0 {
			pages = append(pages, &page{path: "parts/" + fileName(h.serial) + ".md", style: w.office,
				front: keys("", ident("serial", h.serial), text("kind", "holder"), keys("condemned", text("date", h.ended.String()),
					text("why", h.why)))})
		}
	}
	return pages
}
