package page

import "slices"

// The grammar of every chart: what was found is hollow, what was left is solid; a disc is a used setting, a square a
// new one, a triangle a reground one; a value beyond its limit wears a frame. A service period is the thin line from
// how the valve was left to how it was found. Limits of the time are dashes with a closed end on the permitted side.
// Other cylinders or parts are grey.
//
// A chart holds values and days as they are known; where they come to stand on the sheet is settled by package look.

// Point is one value on a chart.
type Point struct {
	X, Y   float64
	Found  bool // hollow: as found; otherwise as left
	Shape  Shape
	Beyond bool
	To     Ref
	Words  string
	Label  string // stands beside it; empty for none
}

// Shape tells what was set.
type Shape uint8

// The shapes: a used setting, a new one, a reground one.
const (
	Disc Shape = iota
	Square
	Triangle
)

// XY is a place on a chart: a value over hours.
type XY = [2]float64

// Bound is a limit as it held for one value: a dash at its height.
type Bound struct {
	X, Y  float64
	Upper bool // values above it are beyond
}

// StepLine is a limit or threshold along the whole plot, as it changed.
type StepLine struct {
	Words string
	Steps []XY // from x on, value y
}

// Change is a valve change on the x axis.
type Change struct {
	X     float64
	Words string
}

// Ahead is where one more reading may fall at a place along a plot.
type Ahead struct{ X, Low, High float64 }

// Plot is a quantity over hours.
type Plot struct {
	Title, Unit, XUnit string
	Log                bool // the y axis is logarithmic
	Points             []Point
	Periods            [][2]XY // as left to as found
	Bounds             []Bound
	Lines              []StepLine
	Others             []XY // values of others, grey
	OthersAre          string
	Small              []XY // values of a series, too many to be links: they are in the table
	Changes            []Change
	Trend              []XY    // a line drawn through the values
	Band               [2][]XY // edges in which one more value may fall
	Ahead              []Ahead // where the next reading may fall
	Span               XY      // ends of the x axis, where several plots share one; both 0 where it goes by the values
}

// Empty says that the plot has no value of its own.
func (p *Plot) Empty() bool { return len(p.Points)+len(p.Small) == 0 }

// Scale brings the values of a plot to another unit, of which so many are one of the present one. What is shared with
// other plots is left as it is.
func (p *Plot) Scale(times float64, unit string) {
	scaled := func(all []XY) []XY {
		all = slices.Clone(all)
		for i := range all {
			all[i][1] *= times
		}
		return all
	}
	p.Unit, p.Points, p.Periods, p.Bounds = unit, slices.Clone(p.Points), slices.Clone(p.Periods), slices.Clone(p.Bounds)
	for i := range p.Points {
		p.Points[i].Y *= times
	}
	for i := range p.Periods {
		p.Periods[i][0][1] *= times
		p.Periods[i][1][1] *= times
	}
	for i := range p.Bounds {
		p.Bounds[i].Y *= times
	}
	p.Lines = slices.Clone(p.Lines)
	for i := range p.Lines {
		p.Lines[i].Steps = scaled(p.Lines[i].Steps)
	}
	p.Others, p.Small, p.Trend = scaled(p.Others), scaled(p.Small), scaled(p.Trend)
	p.Band = [2][]XY{scaled(p.Band[0]), scaled(p.Band[1])}
	p.Ahead = slices.Clone(p.Ahead)
	for i := range p.Ahead {
		p.Ahead[i].Low *= times
		p.Ahead[i].High *= times
	}
}

// MostOthers is how many values of others, or of a series without links, a plot shows at most.
const MostOthers = 140

// Bar is a service period on a chart: from a day to a day, or from hours to hours.
type Bar struct {
	From, To float64
	Name     string
	Words    string
	Page     Ref
	Pulled   bool // it ended for a symptom: a notch
	Heavy    bool
	Odd      bool // told from its neighbours by its ground
	Beyond   bool // something was found beyond its limit at its end: a lozenge
}

// Years are the valves of a cylinder, a row a year. From and To are days.
type Years struct {
	First, Last int
	Bars        []Bar
}

// OverHours are the valves of a cylinder over the hours of its engine.
type OverHours struct {
	Cylinder string
	Span     XY
	Bars     []Bar
}

// Matrix are the valves of an engine, a row a cylinder, over its days.
type Matrix struct {
	Engine      string
	From, Today float64
	Rows        []BarRow
}

// BarRow is a row of bars.
type BarRow struct {
	Name string
	Bars []Bar
}

// EngineSheet is an engine over its running hours: what held for all of it in rows of its own, then a row a cylinder
// with its service periods.
type EngineSheet struct {
	Engine   string
	Span     XY
	Years    []Change // the turns of the years
	Held     []BarRow // fuel, limits, trials, gauges that read wrong
	Behind   []Bar    // of what held, that which lies behind the cylinders as a band
	Rows     []BarRow
	Counters []Change // replaced counters
}

// LifeStrip is a holder or a nozzle over its own running hours: where it was and with what, how its opening pressure
// was left and found, its overhauls, what held then, and its end.
type LifeStrip struct {
	Of      string
	Span    XY
	Held    []BarRow // cylinders and what was fitted with it, fuel, gauges that read wrong
	Unit    string   // of the readings
	Points  []Point
	Periods [][2]XY // as left to as found
	Works   []Work
	Here    []Change // the record from whose page it is seen: none, or one
	End     []Change // none, or one
}

// Work is an overhaul on a strip.
type Work struct {
	X        float64
	To       Ref
	Words    string
	Pictures bool
}

// Normal is what a ship's valves usually show: the middle and the spread.
type Normal struct {
	Known          bool
	Median, Spread float64
}

// Ends of the band that counts as normal: twice the spread to either side.
func (n Normal) Ends() (low, high float64) { return n.Median - 2*n.Spread, n.Median + 2*n.Spread }

// Rounds are differences valve by valve, a row a round, of valves that had one kind of setting. The X of a point is its
// difference.
type Rounds struct {
	Setting string // the kind of setting that all of them had: "used"
	Normal  Normal
	Rows    []PointRow
}

// PointRow is a row of points.
type PointRow struct {
	Name   string
	Points []Point
}

// Differences are those of one round and setting, a column a valve. The X of a point is its column from 0, the Y its
// difference.
type Differences struct {
	Setting string
	Normal  Normal
	Columns []string
	Points  []Point
}

// ValvePart is a place of a valve at which something is read.
type ValvePart uint8

// The parts of a valve, from its head to its tip.
const (
	EndCap ValvePart = iota
	Spring
	JointFace
	NeedleHead
	NozzleNut
	NeedleGuide
	NeedleSeat
	SprayHoles
	valveParts
)

// ValveParts is how many parts a valve has on the drawing.
const ValveParts = int(valveParts)

// ValveCut is a valve in section, a generic one, with what was read at each place.
type ValveCut struct {
	Of       string // the record
	Readings []ValveReading
}

// ValveReading is what was read at one place: as found, as left, with the limit. What was not read is empty.
type ValveReading struct {
	Part               ValvePart
	Name               string
	Found, Left, Limit string
	Beyond             bool
}

// Scale is a value against its limit. An end without a limit is infinite.
type Scale struct {
	Value, Low, High float64
	U                float64 // uncertainty to either side; 0 for none known
	Out              bool
	Left             bool // the value is one as left: solid, as on every chart
}

// Share is a share of one, with the interval of the true share.
type Share struct{ Share, Low, High float64 }

// Part is an amount as a part of the largest.
type Part struct{ Of float64 }

// Legend explains the marks of plots; Others says what the grey points are.
type Legend struct{ Others string }

// Charted is a chart with a caption, and what belongs to it.
type Charted struct {
	Caption string
	Over    bool // it lies over the charts below it, on the same axis
	Wide    bool // it scrolls by itself
	Chart   Block
	Blocks  []Block
}

func (*Plot) block()       {}
func (Years) block()       {}
func (OverHours) block()   {}
func (Matrix) block()      {}
func (EngineSheet) block() {}
func (LifeStrip) block()   {}
func (ValveCut) block()    {}
func (Rounds) block()      {}
func (Differences) block() {}
func (Scale) block()       {}
func (Share) block()       {}
func (Part) block()        {}
func (Legend) block()      {}
func (*Charted) block()    {}
