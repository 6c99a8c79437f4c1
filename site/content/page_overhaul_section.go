package content

import (
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// valveRead is what is read at a part of a valve, by the keys of its verdicts; empty where nothing is read then.
type valveRead struct {
	part        page.ValvePart
	name        string
	found, left string
}

// valveReads are all that a valve in section shows, from its head to its tip.
var valveReads = []valveRead{
	{page.EndCap, "end cap", "", keys.AsLeftEndCapTorque},
	{page.Spring, "opens at", keys.AsFoundOpeningPressure, keys.AsLeftOpeningPressure},
	{page.Spring, "spring", keys.MeasuredSpringLength, ""},
	{page.JointFace, "holder wear", keys.MeasuredHolderWear, ""},
	{page.NeedleHead, "lift", keys.MeasuredLift, ""},
	{page.NeedleHead, "effective lift", facts.EffectiveStroke.Found, ""},
	{page.NozzleNut, "nozzle nut", "", keys.AssembledNozzleNutTorque},
	{page.NeedleGuide, "leak-down", keys.AsFoundLeakDownTime, keys.AsLeftLeakDownTime},
	{page.NeedleSeat, "seat", keys.AsFoundSeatState, keys.AsLeftSeatState},
	{page.NeedleSeat, "seat diameter", keys.MeasuredSeatDiameter, ""},
	{page.SprayHoles, "spray", keys.AsFoundSpray, keys.AsLeftSpray},
}

// valvePartNames are the parts in words.
var valvePartNames = [page.ValveParts]string{page.EndCap: "end cap", page.Spring: "spring",
	page.JointFace:  "joint face",
	page.NeedleHead: "needle", page.NozzleNut: "nozzle nut", page.NeedleGuide: "needle guide", page.NeedleSeat: "seat",
	page.SprayHoles: "spray holes"}

// section is the valve of a record in section, each reading at its place, and beside it the same as a table with what
// was decided; nil for a record of which nothing was read.
func (w *Writer) section(o *logbook.Overhaul) page.Block {
	c := page.ValveCut{Of: o.Stem}
	t := page.NewTable(page.Listed, "place", "reading", "as found", "as left", "decided")
	last := page.ValvePart(page.ValveParts)
	for _, x := range valveReads {
		found, left := w.read(o, x.found), w.read(o, x.left)
		if found == nil && left == nil {
			continue
		}
		place, decided := "", ""
		if x.part != last {
			place, decided, last = valvePartNames[x.part], decidedOn(o, x.part), x.part
		}
		r := page.ValveReading{Part: x.part, Name: x.name}
		cells := []page.Cell{page.Plainly(place), page.Plainly(x.name)}
		for _, v := range []*judging.Verdict{found, left} {
			cells = append(cells, sectionCell(v))
			if v != nil {
				r.Limit, r.Beyond = v.LimitText, r.Beyond || v.Result == judging.Beyond
			}
		}
		if found != nil {
			r.Found = sectionText(found)
		}
		if left != nil {
			r.Left = sectionText(left)
		}
		c.Readings = append(c.Readings, r)
		t.Row(append(cells, page.Plainly(decided))...)
	}
	if len(c.Readings) == 0 {
		return nil
	}
	s := page.Under("The valve in section", &page.Box{Style: page.Beside, Blocks: []page.Block{c, page.Together(t)}})
	s.TitleID = "section"
	return s
}

// read is the verdict of a record on a key where something was read; nil where nothing was.
func (w *Writer) read(o *logbook.Overhaul, key string) *judging.Verdict {
	if v := w.Verdict(o, key); v != nil && key != "" && v.Written != "" && v.Result != judging.NotMeasured {
		return v
	}
	return nil
}

// sectionText is a reading as it was written, without what it was brought to.
func sectionText(v *judging.Verdict) string {
	text, _, _ := strings.Cut(v.Shown(), " (")
	return text
}

// sectionCell is a reading with its limit, and with its verdict where it is not within.
func sectionCell(v *judging.Verdict) page.Cell {
	if v == nil {
		return page.Cell{}
	}
	text := page.Link(page.Ref("#"+address.KeyID(v.Key)), sectionText(v))
	if v.LimitText != "" {
		text = text.Say(" ").In(page.More, v.LimitText)
	}
	if v.Result != judging.Within {
		text = text.Say(" ").Then(verdict(v))
	}
	return page.Said(text)
}

// decidedOn is what was decided on the part of a valve that a place belongs to, said at the first of its places.
func decidedOn(o *logbook.Overhaul, part page.ValvePart) string {
	switch part {
	case page.Spring:
		return o.Decided.Spring.Written
	case page.JointFace:
		return o.Decided.Holder.Written
	case page.NeedleHead:
		return o.Decided.Nozzle.Written
	}
	return ""
}
