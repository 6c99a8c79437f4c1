package checks

import (
	"fmt"
	"sort"
	"strings"

	"needlebook/logbook"
)

var gaugeRange = &Check{
	Name:    "gauge-range",
	Subject: OfHolder,
	Ends:    testedAgain,
	Version: 3,
	Level:   Field,
	Doc: "A reading lies beyond the scale of its instrument, or an opening pressure near one end of its gauge. Beyond " +
		"the scale it was not read there, and the " +
		"instrument is strained: such a finding ends by the writing alone, whatever is tested later; " +
		"near an end a gauge is at its worst, and its error counts most. Use a gauge on which the " +
		"usual pressure stands in the middle.",
	Source:  "common practice, no source",
	Example: `opening pressure as found 320 bar is at 80 % of the scale of PG-3, 0 to 400 bar`,
	Whole: func(c *Case) {
		ends := map[string]*Finding{} // one finding a gauge on its middle, at its first record
		count := map[string]int{}
		strange := offTheirScales(c)
		for _, o := range c.Book.Overhauls {
			seen, near, slips := map[string]bool{}, map[string]bool{}, mistaken(c, o)
			for t := range o.Taken() {
				i := c.Book.Instruments[t.With.Written]
				if i == nil || !i.Range.Span.Valid() || i.Range.Kind() != t.Amount.Kind() || slips[t.Amount.Place] {
					continue
				}
				if i.Range.Side(t.Amount.Quantity) != 0 {
					if !seen[t.Name] && !strange[t.With.Written].most() {
						seen[t.Name] = true
						c.Report(offScale(o, t, i))
					}
					continue
				}
				share, ok := shareOfScale(t, i)
				if ok && !near[t.With.Written] && (share < c.Settings.GaugeLow.Float() || share > c.Settings.GaugeHigh.Float()) {
					near[t.With.Written] = true
					count[t.With.Written]++
					if ends[t.With.Written] == nil {
						ends[t.With.Written] = &Finding{Place: t.Amount.Place, Grade: Advice, About: about(o),
							Message:  fmt.Sprintf("%s %s is at %.0f %% of the scale of %s, %s", t.Name, t.Amount, share, t.With, i.Range),
							Evidence: []string{fmt.Sprintf("best between %s and %s", c.Settings.GaugeLow, c.Settings.GaugeHigh)},
							Next:     "use a gauge on which the usual pressure stands in the middle"}
					}
				}
			}
		}
		reportOnce(c, ends, count)
	},
	Grade: Action,
}

// scaleUse counts what was read with an instrument, and what of it is beyond its scale.
type scaleUse struct{ read, off int }

// most says that so much is beyond the scale that it is the scale that is stated amiss.
func (u scaleUse) most() bool { return u.read >= leastRead && 2*u.off > u.read }

// leastRead is the fewest readings that tell of a scale: from memory.
const leastRead = 8

// offTheirScales counts it for each instrument.
func offTheirScales(c *Case) map[string]scaleUse {
	all := map[string]scaleUse{}
	for _, o := range c.Book.Overhauls {
		slips := mistaken(c, o)
		for t := range o.Taken() {
			i := c.Book.Instruments[t.With.Written]
			if i == nil || !i.Range.Span.Valid() || i.Range.Kind() != t.Amount.Kind() || slips[t.Amount.Place] {
				continue
			}
			u := all[t.With.Written]
			u.read++
			if i.Range.Side(t.Amount.Quantity) != 0 {
				u.off++
			}
			all[t.With.Written] = u
		}
	}
	return all
}

func offScale(o *logbook.Overhaul, t logbook.Taken, i *logbook.Instrument) Finding {
	a := about(o)
	a.Instrument = t.With.Written
	return Finding{Place: t.Amount.Place, slip: true, Message: t.Name + " " + t.Amount.String() + " is off the scale of " +
		t.With.Written + ", " + i.Range.String(), About: a,
		Rests: Rests{Place: i.Range.Place, Words: "range of " + t.With.Written + ", " + i.Range.String()},
		Next:  "which instrument was it? read off a scale that reaches so far, and have the strained one compared"}
}

// shareOfScale is where an opening pressure stands on its gauge, in per cent of the scale; ok is false for other
// readings.
func shareOfScale(t logbook.Taken, i *logbook.Instrument) (percent float64, ok bool) {
	if !strings.HasPrefix(t.Name, "opening pressure") || !i.Range.Low.Valid() || !i.Range.High.Valid() {
		return 0, false
	}
	low, high := i.Range.Low.Float(), i.Range.High.Float()
	return 100 * (t.Amount.Float() - low) / (high - low), high > low
}

// reportOnce reports one finding an instrument, with the number of records it holds for.
func reportOnce(c *Case, findings map[string]*Finding, count map[string]int) {
	ids := make([]string, 0, len(findings))
	for id := range findings {
		ids = append(ids, id)
	}
	sort.Strings(ids)
	for _, id := range ids {
		f := findings[id]
		f.About.Instrument = id
		if n := count[id]; n > 1 {
			f.Message += fmt.Sprintf(" (and in %d more)", n-1)
		}
		c.Report(*f)
	}
}
