package tablet_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"needlebook/logbook"
	"needlebook/logbook/draft"
	"needlebook/logbook/rounds"
	"needlebook/logbook/tablet"
)

func files(vessel string) fstest.MapFS {
	var fitted strings.Builder
	for c := 1; c <= 7; c++ {
		fmt.Fprintf(&fitted, "    - {engine: ME1, cylinder: %d, holder: \"H-%d\", nozzle: \"N-%d\", counter: 1000 h, since: 0 h, left: 330 kgf/cm²}\n", c, c, c)
	}
	return fstest.MapFS{"book.md": {Data: []byte("---\nvessel: " + vessel + "\nengines:\n  - {id: ME1, type: T, cylinders: [1, 2, 3, 4, 5, 6, 7], numbered_from: free end, limits: t}\nopening:\n  date: 2024-01-01\n  fitted:\n" + fitted.String() + "---\n")},
		"limits/t.md": {Data: []byte("---\ntype: T\nrevisions:\n  - from: 2024-01-01\n    source: invented\n    opening_pressure: {used: 330 +10/-0 kgf/cm², new: 345 +10/-0 kgf/cm²}\n    holes: {count: 9}\n---\n")}}
}

func written(t *testing.T, vessel, language string, changed ...func(*logbook.Book, *tablet.Page)) (*logbook.Book, string) {
	t.Helper()
	b, err := logbook.Read(files(vessel))
	if err != nil {
		t.Fatal(err)
	}
	day, _ := logbook.ParseDay("2024-06-01")
	p := tablet.Page{Vessel: b.Vessel.Name.Written, Engine: "ME1", Day: "2024-06-01", Language: language}
	for _, pos := range b.Positions() {
		s, err := draft.At(b, pos, day)
		if err != nil {
			t.Fatal(err)
		}
		p.Seats = append(p.Seats, rounds.Seat{Sheet: s, InHolder: s.Holder, InNozzle: s.Nozzle})
	}
	for _, change := range changed {
		change(b, &p)
	}
	var one, two bytes.Buffer
	if err := tablet.Write(&one, p); err != nil {
		t.Fatal(err)
	}
	if err := tablet.Write(&two, p); err != nil || one.String() != two.String() {
		t.Errorf("a second page has other bytes: %v", err)
	}
	return b, one.String()
}

// Style and script are allowed by their digests, nothing else is, and no text of the book ends its element. Source: W3C, Content Security
// Policy Level 3.
func TestPolicy(t *testing.T) {
	_, text := written(t, `"</script><script>alert(1)</script>"`, "")
	policy := regexp.MustCompile(`Content-Security-Policy" content="([^"]*)"`).FindStringSubmatch(text)[1]
	for _, element := range []string{"style", "script"} {
		all := regexp.MustCompile(`(?s)<`+element+`>(.*?)</`+element+`>`).FindAllStringSubmatch(text, -1)
		if len(all) != 1 {
			t.Fatalf("%d elements %s", len(all), element)
		}
		sum := sha256.Sum256([]byte(all[0][1]))
		if !strings.Contains(policy, element+"-src 'sha256-"+base64.StdEncoding.EncodeToString(sum[:])+"'") {
			t.Errorf("%s is not allowed by its digest: %s", element, policy)
		}
	}
	if !strings.HasPrefix(policy, "default-src 'none';") || strings.Contains(policy, "unsafe") || strings.Contains(policy, "http") || strings.Contains(text, "alert(1)</script>") {
		t.Errorf("the policy is %s", policy)
	}
	_, es := written(t, "V", "es")
	if !strings.Contains(es, `<html lang="es">`) || !strings.Contains(es, `"dry"`) || !strings.Contains(es, `"seco"`) {
		t.Error("the page in Spanish has not both the word of the record and the reader's")
	}
}

// tab is a browser with one page.
type tab struct {
	ctx context.Context
	t   *testing.T
}

func newTab(t *testing.T) *tab {
	t.Helper()
	if os.Getenv("NEEDLEBOOK_WIDER") != "1" {
		t.Skip("NEEDLEBOOK_WIDER is not 1")
	}
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Fatal("the wider tests want chromium: ", err)
	}
	ctx, cancel := chromedp.NewContext(context.Background(), chromedp.WithAllocatorOptions(chromedp.ExecPath(browser), chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("no-sandbox", true), chromedp.Flag("disable-gpu", true), chromedp.Flag("disable-quic", true), chromedp.Flag("no-first-run", true),
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true)))
	t.Cleanup(cancel)
	if _, err := chromedp.Run(ctx, chromedp.Evaluate[string](`"it is there"`)); err != nil { // the browser lasts as long as this
		t.Fatal(err)
	}
	return &tab{ctx, t}
}

func run[T any](b *tab, a chromedp.Action[T]) T {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, time.Minute)
	defer cancel()
	v, err := chromedp.Run(ctx, a)
	if err != nil {
		b.t.Fatal(err)
	}
	return v
}

func (b *tab) js(code string) string {
	b.t.Helper()
	return run(b, chromedp.Evaluate[string](code, chromedp.EvalAwaitPromise))
}

// before runs code in each page before its own.
func (b *tab) before(code string) {
	b.t.Helper()
	run(b, func(ctx context.Context, s *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, s, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: code})
		return chromedp.Void{}, err
	})
}

// typed puts a text into the box of a column, as somebody who types does.
func (b *tab) typed(column, text string) {
	b.t.Helper()
	got := b.js(fmt.Sprintf(`(() => { const r = JSON.parse(document.getElementById("round").textContent), f = r.fields.find((f) => f.key === %q);
const e = document.getElementById("f" + f.column + "-0"); e.focus(); e.select(); return document.activeElement === e ? "there" : "no box"; })()`, column))
	if got != "there" {
		b.t.Fatalf("%s: %s", column, got)
	}
	run(b, chromedp.KeyEvent(text))
}

// pressed presses a button of a field by its name, with the keyboard.
func (b *tab) pressed(column, name string) {
	b.t.Helper()
	got := b.js(fmt.Sprintf(`(() => { const r = JSON.parse(document.getElementById("round").textContent), f = r.fields.find((f) => f.key === %q);
const e = [...document.querySelectorAll("#s" + f.column + " button")].find((e) => e.textContent === %q); if (!e) return "no button"; e.focus(); return "there"; })()`, column, name))
	if got != "there" {
		b.t.Fatalf("%s, %s: %s", column, name, got)
	}
	run(b, chromedp.KeyEvent("\r"))
}

// saved is the file that the page hands back.
func (b *tab) saved() []byte {
	b.t.Helper()
	return []byte(b.js(`(async () => { let made; const real = URL.createObjectURL; URL.createObjectURL = (x) => { made = x; return real.call(URL, x); };
document.getElementById("save").click(); URL.createObjectURL = real; return await made.text(); })()`))
}

// A round is filled in by keyboard alone, survives a reload, and its file is taken into records; no address is asked. No outside source.
func TestWiderRoundOnATablet(t *testing.T) {
	b := newTab(t)
	book, text := written(t, "Try", "")
	name := filepath.Join(t.TempDir(), "round.html")
	if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	b.before(`window.against = []; document.addEventListener("securitypolicyviolation", (e) => against.push(e.violatedDirective));`)
	for _, width := range []int64{360, 820} {
		run(b, chromedp.EmulateViewport(width, 1000))
		run(b, chromedp.Navigate("file://"+filepath.ToSlash(name)))
		if got := b.js(`document.documentElement.scrollWidth + " of " + innerWidth + " " + [...document.querySelectorAll("button, input[type=text]")].filter((e) => e.getBoundingClientRect().height < 38).length + " low"`); got != fmt.Sprintf("%d of %[1]d 0 low", width) {
			t.Errorf("at %d px: %s", width, got)
		}
	}
	keys := 0
	for c := 1; c <= 7; c++ {
		b.js(fmt.Sprintf(`(document.querySelectorAll("nav button")[%d].click(), "")`, c-1))
		for column, value := range map[string]string{"removed.counter": "1500", "as_found.opening_pressure": "306,5", "as_found.leak_down.time": "9,6", "measured.lift.value": "0,74"} {
			b.typed(column, value)
			keys += len(value) + 1
		}
		b.pressed("as_found.seat.state", "dry")
		b.pressed("as_found.spray.weak", "3")
		b.pressed("as_found.spray.weak", "4")
		b.pressed("as_found.spray.weak", "4") // again: it is blocked
		b.pressed("measured.holder_wear.value", "not measured because")
		run(b, chromedp.KeyEvent("gauge away"))
		keys += 5 + len("gauge away")
	}
	b.pressed("as_left.leak_down.time", "start")
	run(b, chromedp.Navigate("file://"+filepath.ToSlash(name))) // closed and opened again while the watch runs
	b.pressed("as_left.leak_down.time", "stop")
	var shot bytes.Buffer
	jpeg.Encode(&shot, image.NewGray(image.Rect(0, 0, 2000, 1500)), nil)
	photo := filepath.Join(t.TempDir(), "tip.jpg")
	os.WriteFile(photo, shot.Bytes(), 0o666)
	run(b, chromedp.SetUploadFiles("input[type=file]", []string{photo}))
	for range 100 {
		if b.js(`String(document.querySelectorAll("main img").length)`) == "1" {
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	file := b.saved()
	if got := b.js(`JSON.stringify(against)`); got != "[]" {
		t.Errorf("against the policy: %s", got)
	}
	if got := b.js(`(async () => { const s = document.createElement("script"); s.textContent = "window.strange = 1"; document.body.append(s);
let asked = "asked"; try { await fetch("http://127.0.0.1:9/"); } catch { asked = "refused"; } await new Promise((r) => setTimeout(r, 200)); return String(window.strange) + " " + asked + " " + against.join(" "); })()`); !strings.HasPrefix(got, "undefined refused") || !strings.Contains(got, "connect-src") {
		t.Errorf("a strange script and an address: %s", got)
	}
	table, err := rounds.Read(file)
	if err != nil {
		t.Fatalf("%v in %.300s", err, file)
	}
	r, err := rounds.Take(book, table, func(string) ([]byte, error) { return nil, fs.ErrNotExist }, func(string) string { return "" })
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Records) != 7 || len(r.Doubts) > 0 || len(table.Photos) != 1 || table.Photos[0].Cylinder != "7" {
		t.Fatalf("%d records, %d photos, doubts %+v", len(r.Records), len(table.Photos), r.Doubts)
	}
	if c, err := jpeg.DecodeConfig(bytes.NewReader(table.Photos[0].Data)); err != nil || c.Width != 1600 {
		t.Errorf("the photo is %d wide: %v", c.Width, err)
	}
	for _, rec := range r.Records {
		for _, want := range []string{"counter: 1500 h", "[306.5 kgf/cm²]", "time: 9.6 s", "state: dry", "open: 8, weak: [3]", `holder_wear: {value: "not measured (gauge away)"`, "value: 0.74 mm"} {
			if !strings.Contains(string(rec.Is), want) {
				t.Errorf("%s does not hold %q:\n%s", rec.Path, want, rec.Is)
			}
		}
	}
	if last := string(r.Records[6].Is); !regexp.MustCompile(`as_left:(.|\n)*time: [0-9]+\.[0-9] s`).MatchString(last) {
		t.Errorf("the watch that ran on through a reload is not in the record:\n%s", last)
	}
	t.Logf("%d keys for seven cylinders, without those that choose a field", keys)
}

// Where the browser keeps nothing, the page says so and offers its file every five minutes. No outside source.
func TestWiderTabletKeepsNothing(t *testing.T) {
	b := newTab(t)
	_, text := written(t, "Try", "")
	name := filepath.Join(t.TempDir(), "round.html")
	if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	b.before(`Object.defineProperty(window, "localStorage", { get() { throw new Error("refused"); } });
window.every = {}; const real = setInterval; window.setInterval = (f, ms) => { every[ms] = f; return real(f, ms); };`)
	run(b, chromedp.Navigate("file://"+filepath.ToSlash(name)))
	said := func() string { return b.js(`document.getElementById("note").textContent`) }
	if !strings.Contains(said(), "keeps nothing between two visits") {
		t.Errorf("it says %q", said())
	}
	b.typed("removed.counter", "1500")
	b.js(`(every[300000](), "")`)
	if !strings.Contains(said(), "Five minutes have passed") || b.js(`document.activeElement.id`) != "save" {
		t.Errorf("after five minutes it says %q", said())
	}
	var page rounds.Page
	if err := json.Unmarshal(b.saved(), &page); err != nil || page.Format != rounds.Format {
		t.Errorf("%v, %q", err, page.Format)
	}
	b.js(`(every[300000](), "")`)
	if strings.Contains(said(), "Five minutes have passed") {
		t.Error("it offers a file that is saved already")
	}
}

// Where the browser keeps cells and no photos, the page says that as long as it is so, and offers its file. Broken on purpose by asking
// about the cells alone. No outside source.
func TestWiderTabletKeepsNoPhotos(t *testing.T) {
	b := newTab(t)
	_, text := written(t, "Try", "")
	dir := t.TempDir()
	name, photo := filepath.Join(dir, "round.html"), filepath.Join(dir, "tip.jpg")
	var shot bytes.Buffer
	jpeg.Encode(&shot, image.NewGray(image.Rect(0, 0, 20, 15)), nil)
	if err := errors.Join(os.WriteFile(name, []byte(text), 0o666), os.WriteFile(photo, shot.Bytes(), 0o666)); err != nil {
		t.Fatal(err)
	}
	b.before(`Object.defineProperty(window, "indexedDB", { get() { throw new Error("refused"); } });
window.every = {}; const real = setInterval; window.setInterval = (f, ms) => { every[ms] = f; return real(f, ms); };`)
	run(b, chromedp.Navigate("file://"+filepath.ToSlash(name)))
	said := func() string { return b.js(`document.getElementById("note").textContent`) }
	b.typed("removed.counter", "1500")
	if said() != "Kept in this browser." {
		t.Errorf("without photos it says %q", said())
	}
	run(b, chromedp.SetUploadFiles("input[type=file]", []string{photo}))
	b.shown("main img", 1)
	b.typed("removed.counter", "1501")
	if !strings.Contains(said(), "Photos are not kept") {
		t.Errorf("with a photo it says %q", said())
	}
	b.js(`(every[300000](), "")`)
	if !strings.Contains(said(), "Five minutes have passed, and photos") {
		t.Errorf("after five minutes it says %q", said())
	}
	var p rounds.Page
	if err := json.Unmarshal(b.saved(), &p); err != nil || len(p.Photos) != 1 {
		t.Errorf("%v, %d photos", err, len(p.Photos))
	}
}

// row is the cells of a row of a page's file by the names of their columns, units left out.
func row(t *testing.T, p *rounds.Page, of string) map[string]string {
	t.Helper()
	for _, cells := range p.Rows {
		all := map[string]string{}
		for i, text := range cells {
			name, _, _ := strings.Cut(p.Columns[i], " [")
			all[name] = text
		}
		if all["cylinder"]+" "+all["holder"] == of {
			return all
		}
	}
	t.Fatalf("no row %s", of)
	return nil
}

// shown waits until the page shows so many of something.
func (b *tab) shown(what string, n int) {
	b.t.Helper()
	for range 400 {
		if b.js(`String(document.querySelectorAll("`+what+`").length)`) == fmt.Sprint(n) {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	b.t.Fatalf("not %d of %s", n, what)
}

// A page that is closed and written again with another plan keeps what was typed with the valve that it was typed for, more photos than the
// small store of a browser holds, and both times of the seat test; what an earlier plan filled in is not taken over, and no figure is offered
// for another valve. No outside source.
func TestWiderTabletWrittenAgain(t *testing.T) {
	b := newTab(t)
	_, first := written(t, "Try", "")
	_, second := written(t, "Try", "", func(book *logbook.Book, p *tablet.Page) {
		day, _ := logbook.ParseDay(p.Day)
		p.Seats[0].Sheet = draft.Read(book, p.Seats[0].Sheet.Position, "H-9", day)
		p.Seats[2].InHolder = "H-99"
	})
	dir := t.TempDir()
	name := filepath.Join(dir, "round.html")
	open := func(text string) {
		t.Helper()
		if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		run(b, chromedp.Navigate("file://"+filepath.ToSlash(name)))
	}
	open(first)
	b.typed("removed.counter", "1500")
	b.typed("as_found.gauge", "PG-1")
	b.typed("as_found.opening_pressure", "306,5")
	b.js(`(document.querySelectorAll("nav button")[1].click(), "")`)
	b.pressed("as_found.gauge", "PG-1")
	if got := b.js(`String([...document.querySelectorAll("fieldset button")].filter((e) => e.textContent === "306,5").length)`); got != "0" {
		t.Error("a figure of another valve is offered")
	}
	for _, press := range []string{"start", "first drop", "stop"} {
		b.pressed("as_found.seat.for", press)
	}
	b.pressed("as_found.spray.weak", "all open")
	noise, random := image.NewRGBA(image.Rect(0, 0, 1600, 1200)), uint32(1)
	for i := range noise.Pix {
		random = random*1664525 + 1013904223
		noise.Pix[i] = byte(random >> 24)
	}
	var shots []string
	for i := range 5 {
		noise.Pix[0] = byte(i)
		var shot bytes.Buffer
		jpeg.Encode(&shot, noise, nil)
		shots = append(shots, filepath.Join(dir, fmt.Sprintf("tip-%d.jpg", i)))
		os.WriteFile(shots[i], shot.Bytes(), 0o666)
	}
	run(b, chromedp.SetUploadFiles("input[type=file]", shots))
	b.shown("main img", 5)
	b.js(`([...document.querySelectorAll("figure button")][2].click(), "")`)
	b.shown("figure.out", 1) // it is kept that it is left out
	open(second)
	b.shown("main img", 5)
	var p rounds.Page
	if err := json.Unmarshal(b.saved(), &p); err != nil {
		t.Fatal(err)
	}
	size := 0
	for _, x := range p.Photos {
		size += len(x.Data)
	}
	if len(p.Photos) != 4 || size < 5<<20 || len(p.Rows) != 8 {
		t.Errorf("%d photos of %d bytes, %d rows", len(p.Photos), size, len(p.Rows))
	}
	if r := row(t, &p, "1 H-1"); r["removed.counter"] != "1500" || r["as_found.gauge"] != "PG-1" || r["nozzle.found"] != "N-1" {
		t.Errorf("of the valve that another plan had: %v", r)
	}
	if r := row(t, &p, "1 H-9"); r["removed.counter"] != "" || r["as_found.opening_pressure 1"] != "" {
		t.Errorf("of the valve of this plan: %v", r)
	}
	if r := row(t, &p, "3 H-3"); r["fitted.holder"] != "H-99" {
		t.Errorf("what goes in is %q", r["fitted.holder"])
	}
	r := row(t, &p, "2 H-2")
	if !regexp.MustCompile(`^[0-9.]+ # first drop [0-9.]+ s$`).MatchString(r["as_found.seat.for"]) || r["as_found.gauge"] != "PG-1" || r["as_found.spray.weak"] != "none" ||
		r["as_found.spray.open"] != "9" {
		t.Errorf("of cylinder 2: %v", r)
	}
	if got := b.js(`document.querySelectorAll("nav button")[7].textContent`); got != "1 H-1" {
		t.Errorf("the row of an earlier plan is called %q", got)
	}
}

func call[P, R any](b *tab, c cdp.Command[P, R], params P) {
	b.t.Helper()
	run(b, func(ctx context.Context, s *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, s, c, params)
		return chromedp.Void{}, err
	})
}

// at is the middle of a button of a field by its name, brought into view; a name of a cylinder where the column is empty.
func (b *tab) at(column, name string) (x, y float64) {
	b.t.Helper()
	got := b.js(fmt.Sprintf(`(() => { const r = JSON.parse(document.getElementById("round").textContent), f = r.fields.find((f) => f.key === %q);
const e = [...document.querySelectorAll(f ? "#s" + f.column + " button" : "nav button")].find((e) => e.textContent === %q); if (!e) return "no button"; e.scrollIntoView({ block: "center", inline: "center" });
const q = e.getBoundingClientRect(), x = q.x + q.width / 2, y = q.y + q.height / 2, top = document.elementFromPoint(x, y); return top === e ? x + " " + y : "covered by " + (top && top.tagName + " " + top.textContent); })()`, column, name))
	if _, err := fmt.Sscan(got, &x, &y); err != nil {
		b.t.Fatalf("%s, %s: %s", column, name, got)
	}
	return x, y
}

// touched taps a button with a finger, clicked with a mouse.
func (b *tab) touched(column, name string) {
	b.t.Helper()
	x, y := b.at(column, name)
	call(b, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: input.DispatchTouchEventTypeTouchStart, TouchPoints: []*input.TouchPoint{{X: x, Y: y}}})
	call(b, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: input.DispatchTouchEventTypeTouchEnd, TouchPoints: []*input.TouchPoint{}})
}

func (b *tab) clicked(column, name string) {
	b.t.Helper()
	x, y := b.at(column, name)
	for _, kind := range []input.DispatchMouseEventType{input.DispatchMouseEventTypeMousePressed, input.DispatchMouseEventTypeMouseReleased} {
		call(b, input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: kind, X: x, Y: y, Button: input.MouseButtonLeft, ClickCount: 1})
	}
}

// The same by finger and by mouse, at the width of a telephone and of a tablet; by keyboard alone each field comes into view in the order of
// the work, under neither the cylinders nor the bar. No outside source.
func TestWiderTabletByTouchMouseAndKeyboard(t *testing.T) {
	b := newTab(t)
	_, text := written(t, "Try", "")
	name := filepath.Join(t.TempDir(), "round.html")
	if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	b.before(`localStorage.clear()`)
	var files []string
	for _, width := range []int64{360, 820} {
		run(b, chromedp.EmulateViewport(width, 700))
		for _, way := range []func(column, name string){b.touched, b.clicked} {
			call(b, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: len(files)%2 == 0, MaxTouchPoints: 5})
			run(b, chromedp.Navigate("file://"+filepath.ToSlash(name)))
			way("", "3")
			way("as_found.seat.state", "dry")
			for range 2 {
				way("as_found.spray.weak", "7")
			}
			way("as_found.spray.weak", "2")
			way("measured.lift.value", "not measured because")
			run(b, chromedp.KeyEvent("gauge away"))
			way("as_left.leak_down.time", "start")
			way("as_left.leak_down.time", "stop")
			way("", "4")
			way("", "3")
			var p rounds.Page
			if err := json.Unmarshal(b.saved(), &p); err != nil {
				t.Fatal(err)
			}
			var said []string
			for i, c := range p.Columns {
				switch {
				case strings.HasPrefix(c, "as_left.leak_down.time"):
					if !regexp.MustCompile(`^[0-9]+\.[0-9]$`).MatchString(p.Rows[2][i]) {
						t.Errorf("the watch says %q", p.Rows[2][i])
					}
				case p.Rows[2][i] != "":
					said = append(said, c+" "+p.Rows[2][i])
				}
			}
			files = append(files, strings.Join(said, "\n"))
		}
	}
	for _, holds := range []string{"as_found.seat.state dry", "as_found.spray.weak 2", "as_found.spray.open 8", "measured.lift.value [mm] not measured (gauge away)"} {
		if !strings.Contains(files[0], holds) {
			t.Errorf("no %q in\n%s", holds, files[0])
		}
	}
	for i, f := range files {
		if f != files[0] {
			t.Errorf("way %d says\n%s, the first\n%s", i, f, files[0])
		}
	}
	run(b, chromedp.EmulateViewport(360, 700))
	run(b, chromedp.Navigate("file://"+filepath.ToSlash(name)))
	b.js(`(document.body.focus(), window.seen = [], "")`)
	last, steps := "", 0
	for ; steps < 1500; steps++ {
		run(b, chromedp.KeyEvent("\t"))
		got := b.js(`(() => { const e = document.activeElement, q = e.getBoundingClientRect(), nav = document.querySelector("nav").getBoundingClientRect(), bar = document.querySelector(".bar").getBoundingClientRect();
if (e.id === "save" || e === document.body) return "end"; if (e.closest("nav")) return ""; return q.top < nav.bottom - 1 || q.bottom > bar.top + 1 ? "hidden: " + e.tagName + " " + (e.getAttribute("aria-label") || e.textContent) + " " + [q.top, nav.bottom, q.bottom, bar.top] : ""; })()`)
		if last = got; got != "" {
			break
		}
	}
	if last != "end" || steps < 100 {
		t.Errorf("after %d fields: %s", steps, last)
	}
}
