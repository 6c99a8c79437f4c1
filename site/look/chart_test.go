package look

import (
	"bytes"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"needlebook/logbook"
	"needlebook/site/page"
)

// The tests of the charts read back what is drawn, by the values that stand at the axes, as a reader does with a ruler, and hold it against
// the data. No outside source: a chart is right when it says what it was given.

// svgOf is how a chart is drawn.
func svgOf(c page.Block) string { return string(new(pen).blocks([]page.Block{c}).B) }

var number = `(-?[0-9.]+)`

// all are the numbers that a pattern finds, match by match.
func all(t *testing.T, svg, pattern string) [][]float64 {
	t.Helper()
	var found [][]float64
	for _, m := range regexp.MustCompile(strings.ReplaceAll(pattern, "#", number)).FindAllStringSubmatch(svg, -1) {
		var row []float64
		for _, text := range m[1:] {
			v, err := strconv.ParseFloat(strings.ReplaceAll(text, "\u202f", ""), 64)
			if err != nil {
				t.Fatalf("%s: %v", pattern, err)
			}
			row = append(row, v)
		}
		found = append(found, row)
	}
	return found
}

// one is the only match of a pattern.
func one(t *testing.T, svg, pattern string) []float64 {
	t.Helper()
	found := all(t, svg, pattern)
	if len(found) != 1 {
		t.Fatalf("%d matches of %s, want one, in %s", len(found), pattern, svg)
	}
	return found[0]
}

// ruled is an axis as its ticks show it: from a place to its value.
type ruled struct {
	place, value [2]float64 // of the first tick and the last
	log          bool
}

// axisBy reads an axis by its ticks: pairs of place and value.
func axisBy(t *testing.T, ticks [][]float64, log bool) ruled {
	t.Helper()
	if len(ticks) < 2 {
		t.Fatalf("%d ticks on an axis", len(ticks))
	}
	first, last := ticks[0], ticks[len(ticks)-1]
	if first[1] >= last[1] {
		t.Fatalf("the ticks go from %g to %g", first[1], last[1])
	}
	return ruled{[2]float64{first[0], last[0]}, [2]float64{first[1], last[1]}, log}
}

func (r ruled) at(place float64) float64 {
	low, high := r.value[0], r.value[1]
	if r.log {
		low, high = math.Log(low), math.Log(high)
	}
	v := low + (place-r.place[0])/(r.place[1]-r.place[0])*(high-low)
	if r.log {
		return math.Exp(v)
	}
	return v
}

// xAxis and yAxis read the axes of a plot. The words of a tick on the y axis stand 4 below it.
func xAxis(t *testing.T, svg string) ruled {
	t.Helper()
	r := axisBy(t, all(t, svg, `<text class="x" x="#" y="[0-9.]+">([0-9.\x{202f}-]+)</text>`), false)
	if r.place[0] >= r.place[1] {
		t.Errorf("%g stands to the right of %g", r.value[0], r.value[1])
	}
	return r
}

func yAxis(t *testing.T, svg string, log bool) ruled {
	t.Helper()
	ticks := all(t, svg, `<text class="y" x="42" y="#">([0-9.\x{202f}-]+)</text>`)
	for _, tick := range ticks {
		tick[0] -= 4
	}
	r := axisBy(t, ticks, log)
	if r.place[0] <= r.place[1] {
		t.Errorf("%g stands above %g", r.value[0], r.value[1])
	}
	return r
}

// near holds a value that was read back against the data: the sheet has tenths, and an axis some hundreds of them.
func near(t *testing.T, what string, got, want, span float64) {
	t.Helper()
	if math.Abs(got-want) > span/400 {
		t.Errorf("%s is read as %g, want %g", what, got, want)
	}
}

// TestPlotReadBack reads the points, periods, limits, bands and changes of a plot back.
func TestPlotReadBack(t *testing.T) {
	p := &page.Plot{Title: "t", Unit: "bar", XUnit: "h",
		Points: []page.Point{{X: 1000, Y: 320, Words: "left"}, {X: 2600, Y: 296, Found: true, Words: "found"},
			{X: 3900, Y: 311, Shape: page.Square}, {X: 3000, Y: 305, Shape: page.Triangle, Beyond: true}},
		Periods: [][2]page.XY{{{1000, 320}, {2600, 296}}},
		Bounds:  []page.Bound{{X: 1000, Y: 318}, {X: 2600, Y: 330, Upper: true}},
		Lines:   []page.StepLine{{Words: "look", Steps: []page.XY{{0, 300}, {2000, 310}}}},
		Others:  []page.XY{{1500, 300}}, Changes: []page.Change{{X: 2600, Words: "H-7"}},
		Trend: []page.XY{{1000, 318}, {3900, 300}}, Ahead: []page.Ahead{{X: 3500, Low: 290, High: 310}, {X: 3900, Low: 285, High: 308}}}
	svg := svgOf(p)
	x, y := xAxis(t, svg), yAxis(t, svg, false)
	at := func(what string, got []float64, want ...float64) {
		t.Helper()
		for i := range want {
			if i%2 == 0 {
				near(t, what+", over", x.at(got[i]), want[i], 3000)
			} else {
				near(t, what+", value", y.at(got[i]), want[i], 45)
			}
		}
	}
	at("the disc as left", one(t, svg, `<circle class="left" cx="#" cy="#"`), 1000, 320)
	at("the disc as found", one(t, svg, `<circle class="fnd" cx="#" cy="#"`), 2600, 296)
	square := one(t, svg, `<path class="left" d="M# #h7.2v7.2h-7.2z"`)
	at("the square", []float64{square[0] + 3.6, square[1] + 3.6}, 3900, 311)
	triangle := one(t, svg, `<path class="left" d="M# #l4.6 8.2h-9.2z"`)
	at("the triangle", []float64{triangle[0], triangle[1] + 4.6}, 3000, 305)
	frame := one(t, svg, `<path class="frame" d="M# #l9 9-9 9-9-9z"`)
	at("the frame of what is beyond", []float64{frame[0], frame[1] + 9}, 3000, 305)
	at("the service period", one(t, svg, `<path class="life" d="M# #L# #"`), 1000, 320, 2600, 296)
	at("the trend", one(t, svg, `<path class="trend" d="M# #L# #"`), 1000, 318, 3900, 300)
	at("the band ahead", one(t, svg, `<path class="ahead" d="M# #L# #L# #L# #z"`), 3500, 310, 3900, 308, 3900, 285, 3500, 290)
	near(t, "the change", x.at(one(t, svg, `<path class="change" d="M# `)[0]), 2600, 3000)
	other := one(t, svg, `<path class="others" d="M# #h0"`)
	near(t, "the other cylinder, over", x.at(other[0]), 1500, 30000)
	near(t, "the other cylinder, value", y.at(other[1]), 300, 450)
	line := one(t, svg, `<path class="line" d="M# #H#M# #H#"`)
	near(t, "the first limit", y.at(line[1]), 300, 45)
	near(t, "the day of the second limit", x.at(line[2]), 2000, 3000)
	near(t, "the second limit", y.at(line[4]), 310, 45)
	bounds := one(t, svg, `<path class="bound" d="M# #v#h12v#M# #v#h12v#"`)
	at("the lower limit of a value", []float64{bounds[0] + 6, bounds[1] + bounds[2]}, 1000, 318)
	at("the upper limit of a value", []float64{bounds[4] + 6, bounds[5] + bounds[6]}, 2600, 330)
	if lowerEnd, upperEnd := -bounds[2], -bounds[6]; lowerEnd >= 0 || upperEnd <= 0 {
		t.Errorf("the ends of the limits lead %g and %g: want up into the permitted side of a lower limit, and down", lowerEnd, upperEnd)
	}
	if !strings.Contains(svg, ">look</text>") || !strings.Contains(svg, ">bar</text>") || !strings.Contains(svg, ">h</text>") {
		t.Error("the limit or a unit is not named")
	}
}

// TestLogPlotReadBack reads back a plot with a logarithmic axis.
func TestLogPlotReadBack(t *testing.T) {
	p := &page.Plot{Unit: "s", XUnit: "h", Log: true, Points: []page.Point{{X: 0, Y: 2.5, Found: true}, {X: 500, Y: 40}}}
	svg := svgOf(p)
	x, y := xAxis(t, svg), yAxis(t, svg, true)
	found, left := one(t, svg, `<circle class="fnd" cx="#" cy="#"`), one(t, svg, `<circle class="left" cx="#" cy="#"`)
	near(t, "as found, over", x.at(found[0]), 0, 500)
	near(t, "as left, over", x.at(left[0]), 500, 500)
	near(t, "as found", math.Log(y.at(found[1])), math.Log(2.5), 4)
	near(t, "as left", math.Log(y.at(left[1])), math.Log(40), 4)
}

// TestPlotsShareAnAxis holds that a span is the axis, and that what lies outside it is left out.
func TestPlotsShareAnAxis(t *testing.T) {
	p := &page.Plot{Unit: "K", XUnit: "h", Span: page.XY{1000, 2000}, Points: []page.Point{{X: 1100, Y: 1}, {X: 5000, Y: 2}},
		Small: []page.XY{{1200, 3}, {900, 4}}}
	svg := svgOf(p)
	at := one(t, svg, `<circle class="left" cx="#" cy="#"`)
	near(t, "the point", xAxis(t, svg).at(at[0]), 1100, 1000)
	one(t, svg, `<path class="small" d="M# #h0"`)
	hours := svgOf(page.OverHours{Span: page.XY{1000, 2000}, Bars: []page.Bar{{From: 1100, To: 1700, Page: "a.html", Name: "H-1", Pulled: true}}})
	bar := one(t, hours, `<rect class="bar" x="#" y="18" width="#"`)
	if math.Abs(bar[0]-at[0]) > 0.11 {
		t.Errorf("1100 h stand at %g over the valves and at %g below", bar[0], at[0])
	}
	x := xAxis(t, hours)
	near(t, "the end of the valve", x.at(bar[0]+bar[1]), 1700, 1000)
	near(t, "the notch", x.at(one(t, hours, `<path class="notch" d="M# 18`)[0]), 1700, 1000)
	p.Lines, p.Changes = []page.StepLine{{Words: "act", Steps: []page.XY{{0, 2}, {9000, 3}}}}, []page.Change{{X: 9000}}
	svg = svgOf(p)
	if line := one(t, svg, `<path class="line" d="M# #H#"`); line[0] < plotLeft || line[2] > plotRight {
		t.Errorf("a limit that changed outside the stretch goes from %g to %g", line[0], line[2])
	}
	if strings.Contains(svg, `class="change"`) {
		t.Error("a change of valves outside the stretch is drawn")
	}
}

// TestWordsKeepOffPoints holds the name of a point off the points beside it: it goes where it lies on none. No outside source.
func TestWordsKeepOffPoints(t *testing.T) {
	row := page.PointRow{Name: "r", Points: []page.Point{{X: -40, Label: "H-107"}, {X: -37}, {X: -90}, {X: 0}}}
	svg := svgOf(page.Rounds{Setting: "new", Rows: []page.PointRow{row}})
	at := one(t, svg, `<text class="lab name" x="#" y="#">H-107`) // to its left: to its right is another
	if first := all(t, svg, `<circle class="left" cx="#"`)[0]; at[0] > first[0] {
		t.Errorf("the name ends at %g, behind the point at %g", at[0], first[0])
	}
}

// TestRoundsReadBack reads back differences, a row a round, and the band of what is normal.
func TestRoundsReadBack(t *testing.T) {
	svg := svgOf(page.Rounds{Normal: page.Normal{Known: true, Median: -8, Spread: 3}, Rows: []page.PointRow{
		{Name: "first", Points: []page.Point{{X: -20, Found: true}, {X: 5, Found: true}}}, {Name: "second", Points: []page.Point{{X: -8, Found: true}}}}})
	x := axisBy(t, all(t, svg, `<text class="x" x="#" y="[0-9.]+">(-?[0-9.]+)</text>`), false)
	points := all(t, svg, `<circle class="fnd" cx="#" cy="#"`)
	if len(points) != 3 {
		t.Fatalf("%d points", len(points))
	}
	for i, want := range []float64{-20, 5, -8} {
		near(t, "a difference", x.at(points[i][0]), want, 30)
	}
	names := all(t, svg, `<text class="y" x="144" y="#">`)
	if points[0][1] != names[0][0]-4 || points[1][1] != names[0][0]-4 || points[2][1] != names[1][0]-4 {
		t.Errorf("the points %v do not stand in the rows of their names %v", points, names)
	}
	band := one(t, svg, `<rect class="normal" x="#" y="[0-9.]+" width="#"`)
	near(t, "the low end of normal", x.at(band[0]), -14, 30)
	near(t, "the high end of normal", x.at(band[0]+band[1]), -2, 30)
	near(t, "the line of no difference", x.at(one(t, svg, `<path class="base" d="M# `)[0]), 0, 30)
}

// TestDifferencesReadBack reads back those of one round, a column a valve.
func TestDifferencesReadBack(t *testing.T) {
	svg := svgOf(page.Differences{Setting: "used", Normal: page.Normal{Known: true, Median: -6, Spread: 2}, Columns: []string{"C1", "C2", "C3"},
		Points: []page.Point{{X: 2, Y: -15, Found: true}, {X: 0, Y: 4, Found: true}}})
	y := yAxis(t, svg, false)
	points := all(t, svg, `<circle class="fnd" cx="#" cy="#"`)
	near(t, "the first difference", y.at(points[0][1]), -15, 20)
	near(t, "the second difference", y.at(points[1][1]), 4, 20)
	columns := all(t, svg, `<text class="x" x="#" y="219">C`)
	if len(columns) != 3 || points[0][0] != columns[2][0] || points[1][0] != columns[0][0] {
		t.Errorf("the points %v do not stand over their columns %v", points, columns)
	}
	band := one(t, svg, `<rect class="normal" x="46" width="364" y="#" height="#"`)
	near(t, "the high end of normal", y.at(band[0]), -2, 20)
	near(t, "the low end of normal", y.at(band[0]+band[1]), -10, 20)
	lines := one(t, svg, `<path class="hair" d="M46 #H410"/><path class="base" d="M46 #H410"/>`)
	near(t, "the middle", y.at(lines[0]), -6, 20)
	near(t, "the line of no difference", y.at(lines[1]), 0, 20)
}

func day(text string) float64 {
	d, err := logbook.ParseDay(text)
	if err != nil {
		panic(err)
	}
	return float64(d)
}

// TestYearsReadBack reads back a service period that ends in the year after: a bar in each row, from day to day.
func TestYearsReadBack(t *testing.T) {
	svg := svgOf(page.Years{First: 2020, Last: 2021,
		Bars: []page.Bar{{From: day("2020-07-01"), To: day("2021-04-02"), Page: "a.html", Name: "H-1", Pulled: true, Odd: true}}})
	bars := all(t, svg, `<rect class="bar odd" x="#" y="#" width="#"`)
	if len(bars) != 2 {
		t.Fatalf("%d bars, want one in each year", len(bars))
	}
	names := all(t, svg, `<text class="y" x="36" y="#">(20[0-9]+)</text>`)
	if len(names) != 2 || names[0][1] != 2020 || names[1][1] != 2021 || bars[0][1] > names[0][0] || bars[1][1] < names[0][0] {
		t.Errorf("the bars %v do not stand in the rows of the years %v", bars, names)
	}
	inYear := func(x float64) float64 { return (x - yearLeft) / (yearRight - yearLeft) }
	near(t, "the first day", inYear(bars[0][0]), 182.0/366, 1) // 2020 was a leap year: 182 days went before July
	near(t, "the turn of the year", inYear(bars[0][0]+bars[0][2]), 1, 1)
	near(t, "the beginning of the next", inYear(bars[1][0]), 0, 1)
	near(t, "the last day", inYear(bars[1][0]+bars[1][2]), 91.0/365, 1) // 31, 28, 31 and one day
	near(t, "the notch", inYear(one(t, svg, `<path class="notch" d="M# `)[0]), 91.0/365, 1)
}

// TestMatrixReadBack reads back which valve was where, by the turns of the years.
func TestMatrixReadBack(t *testing.T) {
	svg := svgOf(page.Matrix{Engine: "ME1", From: day("2019-01-01"), Today: day("2023-01-01"), Rows: []page.BarRow{
		{Name: "1", Bars: []page.Bar{{From: day("2020-01-01"), To: day("2022-01-01"), Page: "a.html", Heavy: true}}},
		{Name: "2", Bars: []page.Bar{{From: day("2021-01-01"), To: day("2023-01-01"), Page: "b.html", Pulled: true}}}}})
	turns := map[float64]float64{} // year to place
	years := all(t, svg, `<text x="#" y="[0-9.]+">(20[0-9]+)</text>`)
	for _, y := range years {
		turns[y[1]] = y[0] - 2
	}
	heavy, plain := one(t, svg, `<rect class="bar heavy" x="#" y="#" width="#"`), one(t, svg, `<rect class="bar" x="#" y="#" width="#"`)
	for _, c := range []struct{ got, want float64 }{{heavy[0], turns[2020]}, {heavy[0] + heavy[2], turns[2022]}, {plain[0], turns[2021]},
		{plain[0] + plain[2], matrixRight}} {
		if math.Abs(c.got-c.want) > 0.3 {
			t.Errorf("a valve begins or ends at %g, want %g", c.got, c.want)
		}
	}
	rows := all(t, svg, `<text class="y" x="34" y="#">`)
	if rows[0][0]-heavy[1] != 14 || rows[1][0]-plain[1] != 14 {
		t.Errorf("the valves stand at %g and %g, their cylinders at %v", heavy[1], plain[1], rows)
	}
	if notch := one(t, svg, `<path class="notch" d="M# `); math.Abs(notch[0]-matrixRight) > 0.3 {
		t.Errorf("the notch stands at %g", notch[0])
	}
}

// TestScales holds a value to its side of each limit, and shares to their places.
func TestScales(t *testing.T) {
	for _, c := range []struct {
		scale page.Scale
		order string // from left to right: l and h the limits, v the value
	}{
		{page.Scale{Value: 325, Low: 300, High: 310, Out: true}, "lhv"},
		{page.Scale{Value: 290, Low: 300, High: 310, Out: true}, "vlh"},
		{page.Scale{Value: 305, Low: 300, High: 310, U: 2}, "lvh"},
		{page.Scale{Value: 9, Low: 6, High: math.Inf(1)}, "lv"},
		{page.Scale{Value: 3, Low: 6, High: math.Inf(1), Out: true}, "vl"},
		{page.Scale{Value: 0.7, Low: math.Inf(-1), High: 0.65, Out: true}, "hv"},
		{page.Scale{Value: 0.5, Low: math.Inf(-1), High: 0.65}, "vh"},
	} {
		svg := svgOf(c.scale)
		places := map[byte]float64{}
		if c.scale.Out {
			places['v'] = one(t, svg, `<path class="val out" d="M# `)[0]
		} else {
			places['v'] = one(t, svg, `<circle class="val" cx="#"`)[0]
		}
		ticks := all(t, svg, `# 3v10`)
		if !math.IsInf(c.scale.Low, 0) {
			places['l'], ticks = ticks[0][0], ticks[1:]
		}
		if !math.IsInf(c.scale.High, 0) {
			places['h'] = ticks[0][0]
		}
		for i := 1; i < len(c.order); i++ {
			if places[c.order[i-1]] >= places[c.order[i]] {
				t.Errorf("%+v: %c stands at %g and %c at %g, want the order %s", c.scale, c.order[i-1], places[c.order[i-1]], c.order[i],
					places[c.order[i]], c.order)
			}
		}
		if c.scale.U > 0 {
			bar := one(t, svg, `<path class="doubtbar" d="M# 8H#"`)
			if math.Abs((bar[0]+bar[1])/2-places['v']) > 0.11 || bar[1] <= bar[0] {
				t.Errorf("the uncertainty goes from %g to %g about %g", bar[0], bar[1], places['v'])
			}
		}
	}
	share := one(t, svgOf(page.Share{Share: 0.25, Low: 0.1, High: 0.5}), `<path class="ok" d="M# 8H#"/><path class="tick" d="M# 3v10"`)
	for i, want := range []float64{0.1, 0.5, 0.25} {
		near(t, "a share", (share[i]-scaleStart)/scaleRoom, want, 1)
	}
	near(t, "a part", one(t, svgOf(page.Part{Of: 0.75}), `<path class="ok" d="M2 8h#"`)[0]/scaleRoom, 0.75, 1)
}

// TestStreamed holds that a page is written in parts as it is made, and whole.
func TestStreamed(t *testing.T) {
	p := &page.Page{Head: "long"}
	for range 200 {
		p.Add(page.Para{Text: page.Words(strings.Repeat("word ", 200))})
	}
	var out parts
	r := New(Frame{Name: "V"}, nil)
	if err := r.Write(&out, p); err != nil {
		t.Fatal(err)
	}
	var again bytes.Buffer
	if err := r.Write(&again, p); err != nil {
		t.Fatal(err)
	}
	if whole := bytes.Join(out, nil); !bytes.Equal(whole, again.Bytes()) || !bytes.HasSuffix(whole, []byte("</html>\n")) {
		t.Error("the parts are not the page")
	}
	if len(out) < 10 {
		t.Errorf("a page of 200 kB was written in %d parts", len(out))
	}
	for _, part := range out {
		if len(part) > 2*flushed {
			t.Errorf("a part has %d bytes", len(part))
		}
	}
}

// parts are what was written, part by part.
type parts [][]byte

func (p *parts) Write(b []byte) (int, error) {
	*p = append(*p, bytes.Clone(b))
	return len(b), nil
}

// TestEngineSheetReadBack reads the sheet of an engine back: service periods, what held, bands and replaced counters by the hours of its
// axis, the marks at the end of a period, and what begins before the sheet at its edge.
func TestEngineSheetReadBack(t *testing.T) {
	svg := svgOf(page.EngineSheet{Engine: "ME1", Span: page.XY{1000, 9000},
		Held:     []page.BarRow{{Name: "fuel", Bars: []page.Bar{{From: 500, To: 3000, Page: "f.html", Name: "Reach", Heavy: true}}}},
		Behind:   []page.Bar{{From: 4000, To: 5000}},
		Counters: []page.Change{{X: 6000, Words: "counter replaced"}},
		Rows:     []page.BarRow{{Name: "1", Bars: []page.Bar{{From: 2000, To: 8000, Page: "a.html", Name: "H-1", Pulled: true, Beyond: true}}}}})
	x := xAxis(t, svg)
	const span = 8000
	bar := one(t, svg, `<rect class="bar" x="#" y="#" width="#"`)
	near(t, "the beginning", x.at(bar[0]), 2000, span)
	near(t, "the end", x.at(bar[0]+bar[2]), 8000, span)
	near(t, "the notch", x.at(one(t, svg, `<path class="notch" d="M# `)[0]), 8000, span)
	if out := one(t, svg, `<path class="val out" d="M# `); out[0] >= bar[0]+bar[2]-8 || out[0] < bar[0] {
		t.Errorf("the lozenge is at %g, the bar from %g, %g wide", out[0], bar[0], bar[2])
	}
	held := one(t, svg, `<rect class="bar heavy" x="#" y="#" width="#"`)
	near(t, "what held before the sheet", x.at(held[0]), 1000, span)
	near(t, "its end", x.at(held[0]+held[2]), 3000, span)
	band := one(t, svg, `<rect class="normal" x="#" y="#" width="#"`)
	near(t, "the band", x.at(band[0]), 4000, span)
	near(t, "the end of the band", x.at(band[0]+band[2]), 5000, span)
	near(t, "the replaced counter", x.at(one(t, svg, `<path class="counter" d="M# `)[0]), 6000, span)
}

// TestLifeStripReadBack reads the life of a part back by the hours of its axis: service periods, what was with it, readings, overhauls, its
// end, and the place from which it is seen; what leads nowhere is no link.
func TestLifeStripReadBack(t *testing.T) {
	svg := svgOf(page.LifeStrip{Of: "holder H-1", Span: page.XY{0, 8000}, Unit: "bar",
		Held: []page.BarRow{{Name: "cylinder", Bars: []page.Bar{{From: 0, To: 3000, Name: "ME1-1", Page: "a.html", Words: "words", Pulled: true}}},
			{Name: "PG-02", Bars: []page.Bar{{From: 1000, To: 2000, Heavy: true}}}},
		Points:  []page.Point{{X: 0, Y: 320, To: "p.html"}, {X: 3000, Y: 250, Found: true, Beyond: true}},
		Periods: [][2]page.XY{{{0, 320}, {3000, 250}}},
		Works:   []page.Work{{X: 3000, To: "b.html", Words: "overhaul", Pictures: true}, {X: 3000, To: "c.html", Words: "again"}},
		Here:    []page.Change{{X: 4000, Words: "you are here"}}, End: []page.Change{{X: 8000, Words: "condemned"}}})
	x := xAxis(t, svg)
	const span = 8000
	bar := one(t, svg, `<rect class="bar" x="#" y="#" width="#"`)
	near(t, "the beginning", x.at(bar[0]), 0, span)
	near(t, "the end", x.at(bar[0]+bar[2]), 3000, span)
	wrong := one(t, svg, `<rect class="bar heavy" x="#" y="#" width="#"`)
	near(t, "the gauge", x.at(wrong[0]), 1000, span)
	if wrong[1] <= bar[1] {
		t.Errorf("the second row is at %g, the first at %g", wrong[1], bar[1])
	}
	left := one(t, svg, `<circle class="left" cx="#" cy="#"`)
	found := one(t, svg, `<circle class="fnd" cx="#" cy="#"`)
	near(t, "as left", x.at(left[0]), 0, span)
	near(t, "as found", x.at(found[0]), 3000, span)
	if found[1] <= left[1] {
		t.Errorf("250 bar is at %g, 320 bar at %g", found[1], left[1])
	}
	if frame := one(t, svg, `<path class="frame" d="M# `); frame[0] != found[0] {
		t.Errorf("the frame is at %g, its value at %g", frame[0], found[0])
	}
	near(t, "the end of the part", x.at(one(t, svg, `<path class="ok" d="M# `)[0]), 8000, span)
	near(t, "here", x.at(one(t, svg, `<path class="trend" d="M# `)[0]), 4000, span)
	if works := all(t, svg, `<path class="notch" d="M# #h5v10`); len(works) != 2 || works[1][0] < works[0][0]+8 {
		t.Errorf("the overhauls are at %v, want two beside one another", works)
	}
	if n := strings.Count(svg, "<a href="); n != 4 {
		t.Errorf("%d links, want a bar, a reading and two overhauls: %s", n, svg)
	}
}

// TestValveCutReadBack reads a valve in section back: each part's line begins at its place, and its readings stand in their order beside
// it, as found and as left with the limit below; one that is beyond bears the lozenge.
func TestValveCutReadBack(t *testing.T) {
	svg := svgOf(page.ValveCut{Of: "x", Readings: []page.ValveReading{
		{Part: page.Spring, Name: "opens at", Found: "300 bar", Left: "320 bar", Limit: "315 bar"},
		{Part: page.Spring, Name: "spring", Found: "61 mm"},
		{Part: page.NeedleSeat, Name: "seat", Found: "drop", Limit: "damp", Beyond: true}}})
	lines := all(t, svg, `<path class="hair" d="M# #L132 #H142"`)
	if len(lines) != 2 {
		t.Fatalf("%d lines, want one for each part", len(lines))
	}
	for i, part := range []page.ValvePart{page.Spring, page.NeedleSeat} {
		if at := valvePlaces[part]; lines[i][0] != at[0] || lines[i][1] != at[1] {
			t.Errorf("the line of part %d begins at %v", part, lines[i])
		}
	}
	last := 0.0
	for _, words := range []string{"opens at 300 bar → 320 bar", "315 bar", "spring 61 mm", "seat drop", "damp"} {
		at := one(t, svg, `<text(?: class="lab")? x="#" y="#">`+words+`<`)
		if at[1] < last+valveStep {
			t.Errorf("%s stands at %g, under %g", words, at[1], last)
		}
		last = at[1]
	}
	if out := one(t, svg, `<path class="val out" d="M# #`); out[1] < lines[1][2]-valveStep || out[1] > lines[1][2]+valveStep {
		t.Errorf("the lozenge is at %v, the seat at %v", out, lines[1])
	}
}
