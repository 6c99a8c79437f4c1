package checks

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"needlebook/checks/judging"
	"needlebook/logbook"
)

var gaugeTooCoarse = &Check{
	Name:    "gauge-too-coarse",
	Subject: OfInstrument,
	Ends:    &End{Ways: only("the value is read with an instrument that can prove its band")},
	Version: 1,
	Level:   Batch,
	Doc: "The uncertainty of the instrument in use is more than half of the band that it is read for, so that " +
		"no reading " +
		"of it can prove a value within: every record says within, in doubt. Nothing is wrong with those records. A " +
		"finer instrument would prove them; until then set to the middle of the band.",
	Source:  "our own rule; what is in doubt is that of JCGM 106:2012, the classes of gauges are those of EN 837-1:1998",
	Example: "uncertainty ±8.2 bar of PG-1 cannot prove opening pressure as left within 320 +10/-0 bar",
	Grade:   Note,
	Whole: func(c *Case) {
		last := map[string]bool{} // values whose newest reading was looked at
		found := map[string]Finding{}
		for _, o := range slices.Backward(c.Book.Overhauls) {
			for _, v := range c.Judged.Of(o) {
				if v.Instrument == "" || !v.Value.Valid() || v.Result < judging.Within || v.Result > judging.Beyond || last[v.Key] {
					continue
				}
				last[v.Key] = true
				if i := c.Book.Instruments[v.Instrument]; i != nil && v.CannotProve {
					if _, said := found[v.Instrument]; !said {
						found[v.Instrument] = c.tooCoarse(i, &v)
					}
				}
			}
		}
		for _, id := range slices.Sorted(maps.Keys(found)) {
			c.Report(found[id])
		}
	},
}

// gaugeClasses are those of gauges in per cent of the span, the coarsest first. Source: EN 837-1:1998.
var gaugeClasses = []float64{4, 2.5, 1.6, 1, 0.6, 0.25, 0.1}

// tooCoarse says what an instrument cannot prove, and which class could, its marks as they are.
func (c *Case) tooCoarse(i *logbook.Instrument, v *judging.Verdict) Finding {
	id, place := i.ID.Written, i.Opening
	for _, states := range []logbook.Leaf{i.Class.Leaf, i.Error.Leaf} {
		if states.Stated() {
			place = states.Place
			break
		}
	}
	band := v.Span.High.Minus(v.Span.Low)
	f := Finding{Place: place, About: About{Instrument: id}, Next: "set to the middle of the band",
		Message: fmt.Sprintf("uncertainty ±%s of %s cannot prove %s within %s", band.Like(v.U), id, v.Name, v.LimitText)}
	half, known := judging.ErrorAt(i, v.Value)
	if !known || !i.Class.Valid || !i.Range.Span.Valid() {
		return f
	}
	span := i.Range.High.Float() - i.Range.Low.Float()
	others := v.U*v.U - sq(2*half/math.Sqrt(3)) // what the scale and the scatter of the readings add
	if _, _, compared := judging.Correction(c.Book, i, v.Value, c.Today); compared {
		others = sq(judging.ReadTo(c.Book, i, v.Value) / math.Sqrt(3)) // its own error is not that of its class
	}
	for _, class := range gaugeClasses {
		if others+sq(2*class/100*span/math.Sqrt(3)) <= sq(band.Float()/2) {
			f.Next = fmt.Sprintf("a gauge of class %g with such a scale could; until then set to the middle of the band", class)
			return f
		}
	}
	f.Next = "a finer class and a finer scale are needed; until then set to the middle of the band"
	return f
}

func sq(x float64) float64 { return x * x }
