package content

import (
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
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

// section is the valve of a record in section, each reading at its place, and below it what was decided on the part;
// nil for a record of which nothing was read. The table of verdicts beside it says the same for who cannot see it.
func (w *Writer) section(o *logbook.Overhaul) []page.Block {
	c := page.ValveCut{Of: o.Stem}
	for _, x := range valveReads {
		found, left := w.read(o, x.found), w.read(o, x.left)
		if found == nil && left == nil {
			continue
		}
		r := page.ValveReading{Part: x.part, Name: x.name}
		for _, v := range []*judging.Verdict{found, left} {
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
	}
	if len(c.Readings) == 0 {
		return nil
	}
	return []page.Block{page.Together(c, from("As found → as left. Decided: "+page.OrDash(facts.Decision(o))))}
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
