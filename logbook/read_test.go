package logbook

import (
	"os"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"
)

// good is one record as an engineer writes it; each case below breaks one thing in it.
func good(t testing.TB) string {
	src, err := os.ReadFile("testdata/good.md")
	if err != nil {
		t.Fatal(err)
	}
	return string(src)
}

const goodPath = "overhauls/me2/c3/2024-04-02-h-115.md"

func TestGoodRecord(t *testing.T) {
	o, problems := ReadOverhaul(goodPath, []byte(good(t)))
	for _, p := range problems {
		t.Error(p)
	}
	for _, c := range []struct{ got, want string }{
		{o.Stem, "2024-04-02-h-115"},
		{o.Holder.Written, "H-115"},
		{o.Removed.Counter.String(), "57705 h"},
		{o.AsFound.Opening.Median().String(), "300 bar"},
		{o.AsFound.Opening.Each[2].Key, "as_found.opening_pressure[2]"},
		{o.AsFound.LeakDown.Time.Place.String(), goodPath + ":13:49"},
		{o.Measured.Lift.Value.String(), "0.76 mm"},
		{o.Measured.SeatDiameter.Why, "no gauge aboard"},
		{o.Inspected.Tip.Not, "not looked at"},
		{o.Fitted.LeakCheck.Written, "cold warm loaded"},
		{o.Corrections[0].Was.Written, "0.67 mm"},
		{strings.TrimSpace(o.Remarks), "All in order."},
		{o.Opening.String(), goodPath + ":1:1"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
	if o.Measured.Lift.Value.Decimals() != 2 {
		t.Errorf("0.76 mm kept %d decimals, want 2", o.Measured.Lift.Value.Decimals())
	}
}

// TestWriting breaks one thing at a time: what is met is read rightly, or found with its line and what to type.
func TestWriting(t *testing.T) {
	lift := func(o *Overhaul) string { return o.Measured.Lift.Value.Quantity.String() }
	leak := func(o *Overhaul) string { return o.AsFound.LeakDown.Time.Quantity.String() }
	for _, c := range []struct {
		name     string
		old, new string // replacement in the good record; new alone when old is empty
		slip     string // "" for none
		line     int
		typed    string
		value    func(*Overhaul) string
		want     string
	}{
		{name: "G01 no closing dashes", old: "---\n\nAll", new: "\nAll", slip: SlipNotClosed, line: 1},
		{name: "G02 no front matter", new: "Just words.\n", slip: SlipNoFrontMatter, line: 1},
		{name: "empty file", new: "", slip: SlipNoFrontMatter, line: 1},
		{name: "G03 three dots at the end", old: "---\n\nAll", new: "...\n\nAll", slip: SlipNotClosed, line: 1},
		{name: "G04 a byte-order mark", old: "---\nholder", new: "\ufeff---\nholder", slip: SlipByteOrderMark, line: 1, value: lift, want: "0.76 mm"},
		{name: "G07 blank lines first", old: "---\nholder", new: "\n\n---\nholder", slip: SlipDelimiter, line: 1, value: lift, want: "0.76 mm"},
		{name: "G08 trailing blanks behind the dashes", old: "---\nholder", new: "---  \nholder", value: lift, want: "0.76 mm"},
		{name: "indented dashes", old: "---\nholder", new: "  ---\nholder", slip: SlipDelimiter, line: 1},
		{name: "G10 dashes inside a block of text", old: "by: m.oyelaran\n", new: "by: |\n  x\n  ---\n  y\n", slip: SlipDelimiter, line: 38},
		{name: "G11 TOML", new: "+++\nholder = 'H-1'\n+++\n", slip: SlipNoFrontMatter, line: 1},
		{name: "G12 JSON", new: "{\"holder\": \"H-1\"}\n", slip: SlipNoFrontMatter, line: 1},
		{name: "G13 typed dashes", old: "---\nholder", new: "---yaml\nholder", slip: SlipNoFrontMatter, line: 1},
		{name: "G14 repeated key", old: "by: m.oyelaran\n", new: "by: m.oyelaran\nby: a.other\n", slip: SlipRepeatedKey, line: 37},
		{name: "repeated value is not believed", old: "time: 11.2 s", new: "time: 11.2 s, time: 9.1 s", slip: SlipRepeatedKey, line: 13, value: leak, want: ""},
		{name: "G15 unknown key", old: "by: m.oyelaran", new: "bye: m.oyelaran", slip: SlipUnknownKey, line: 36, typed: "by"},
		{name: "G16 key in other case", old: "oil: 21 °C", new: "Oil: 21 °C", slip: SlipUnknownKey, line: 9, typed: "oil"},
		{name: "key with dashes", old: "opening_pressure: [300", new: "opening-pressure: [300", slip: SlipUnknownKey, line: 11, typed: "opening_pressure"},
		{name: "G17 look-alike key", old: "oil: 21 °C", new: "оil: 21 °C", slip: SlipUnknownKey, line: 9, typed: "oil"},
		{name: "G18 zero-width key", old: "oil: 21 °C", new: "oil\u200b: 21 °C", slip: SlipHidden, line: 9},
		{name: "G19 leading zero", old: "time: 11.2 s", new: "time: 011.2 s", slip: "leading-zero", line: 13, typed: "11.2 s", value: leak, want: ""},
		{name: "G20 octal", old: "counter: 57705 h", new: "counter: 0o340 h", slip: "number-form", line: 4},
		{name: "G22 hexadecimal", old: "counter: 57705 h", new: "counter: 0x10 h", slip: "number-form", line: 4},
		{name: "G23 minutes and seconds", old: "time: 11.2 s", new: "time: 3:20", slip: "colon-in-number", line: 13, value: leak, want: ""},
		{name: "G24 underscore", old: "counter: 57705 h", new: "counter: 57_705 h", slip: "number-form", line: 4, typed: "57705 h"},
		{name: "G25 decimal comma", old: "{value: 0.76 mm", new: "{value: \"0,76 mm\"", slip: "decimal-comma", line: 20, typed: "0.76 mm", value: lift, want: "0.76 mm"},
		{name: "G25 decimal comma that YAML cuts", old: "{value: 0.76 mm", new: "{value: 0,76 mm", slip: "decimal-comma", line: 20, typed: "0.76 mm", value: lift, want: "0.76 mm"},
		{name: "G25 decimal comma at the end", old: "time: 11.2 s}", new: "time: 11,2 s}", slip: "decimal-comma", line: 13, typed: "11.2 s", value: leak, want: "11.2 s"},
		{name: "thousands that YAML cuts", old: "counter: 57705 h,", new: "counter: 57,705 h,", slip: "thousands-separator", line: 4},
		{name: "thousands separator", old: "counter: 57705 h", new: "counter: \"57,705 h\"", slip: "thousands-separator", line: 4},
		{name: "G26 no unit", old: "time: 11.2 s", new: "time: 11.2", slip: "unit-missing", line: 13, typed: "11.2 s", value: leak, want: ""},
		{name: "wrong unit", old: "time: 11.2 s", new: "time: 11.2 bar", slip: "unit-unknown", line: 13, value: leak, want: ""},
		{name: "G29 not a number", old: "time: 11.2 s", new: "time: .nan", slip: "number-form", line: 13, value: leak, want: ""},
		{name: "G30 infinity", old: "time: 11.2 s", new: "time: .inf", slip: "number-form", line: 13, value: leak, want: ""},
		{name: "G28 exponent", old: "time: 11.2 s", new: "time: 1e400", slip: "number-form", line: 13, value: leak, want: ""},
		{name: "G33 twenty digits", old: "time: 11.2 s", new: "time: 12345678901234567890 s", slip: "number-form", line: 13, value: leak, want: ""},
		{name: "G38 typographic minus", old: "oil: 21 °C", new: "oil: −21 °C", slip: "foreign-digits", line: 9, typed: "-21 °C"},
		{name: "G40 full-width digits", old: "time: 11.2 s", new: "time: １１.2 s", slip: "foreign-digits", line: 13, typed: "11.2 s", value: leak, want: "11.2 s"},
		{name: "G39 no-break space", old: "time: 11.2 s", new: "time: 11.2\u00a0s", value: leak, want: "11.2 s"},
		{name: "G36 quoted quantity", old: "time: 11.2 s", new: "time: \"11.2 s\"", value: leak, want: "11.2 s"},
		{name: "G35 empty value", old: "time: 11.2 s", new: "time: ", value: leak, want: ""},
		{name: "tilde", old: "time: 11.2 s", new: "time: ~", slip: SlipReason, line: 13, value: leak, want: ""},
		{name: "null", old: "time: 11.2 s", new: "time: null", slip: SlipReason, line: 13, value: leak, want: ""},
		{name: "no holder", old: `holder: "H-115"`, new: "holder: ~", slip: SlipReason, line: 2, value: func(o *Overhaul) string { return o.Holder.Written }, want: ""},
		{name: "serial like a number", old: `holder: "H-115"`, new: "holder: 12E4", slip: SlipUnquoted, line: 2, typed: `"12E4"`, value: func(o *Overhaul) string { return o.Holder.Written }, want: "12E4"},
		{name: "curly quotes around a serial", old: `holder: "H-115"`, new: "holder: “H-115”", slip: SlipCurly, line: 2, typed: `"H-115"`, value: func(o *Overhaul) string { return o.Holder.Written }, want: "H-115"},
		{name: "curly quotes around a reading", old: "time: 11.2 s", new: "time: „11.2 s“", slip: SlipCurly, line: 13, typed: `"11.2 s"`, value: leak, want: "11.2 s"},
		{name: "curly quotes in a text", old: "why: all within", new: "why: “all within”"},
		{name: "identity that YAML takes for a remark", old: `holder: "H-115"`, new: "holder: #115", slip: SlipShape, line: 2, typed: `"#115"`},
		{name: "remark behind a key", old: "oil: 21 °C", new: "oil:      # not taken"},
		{name: "pressure below nought", old: "[300 bar, 300 bar, 305 bar]", new: "[300 bar, -300 bar, 305 bar]", slip: "number-form", line: 11, typed: "300 bar"},
		{name: "a further key too far in", old: "  oil: 21 °C", new: "      oil: 21 °C", slip: SlipYAML, line: 9},
		{name: "a dash for a value", old: "oil: 21 °C", new: "oil: -", slip: SlipYAML, line: 9},
		{name: "quote not closed", old: `holder: "H-115"`, new: `holder: "H-115`, slip: SlipYAML, line: 2, typed: `holder: "H-115"`, value: lift, want: "0.76 mm"},
		{name: "last quote not closed", old: "by: m.oyelaran\n", new: "by: 'm.oyelaran\n", slip: SlipYAML, line: 36, typed: `by: 'm.oyelaran'`, value: lift, want: "0.76 mm"},
		{name: "colon left out", old: "oil: 21 °C", new: "oil 21 °C", slip: SlipYAML, line: 9, typed: "oil: 21 °C", value: lift, want: "0.76 mm"},
		{name: "serial with leading zero", old: `holder: "H-115"`, new: "holder: 0451", slip: SlipUnquoted, line: 2, typed: `"0451"`, value: func(o *Overhaul) string { return o.Holder.Written }, want: "0451"},
		{name: "serial with the decimals of a spreadsheet", old: `holder: "H-115"`, new: "holder: 3.0", slip: SlipUnquoted, line: 2, typed: `"3"`, value: func(o *Overhaul) string { return o.Holder.Written }, want: "3.0"},
		{name: "G34 serial like a truth value", old: `holder: "H-115"`, new: "holder: no", slip: SlipUnquoted, line: 2, typed: `"no"`, value: func(o *Overhaul) string { return o.Holder.Written }, want: "no"},
		{name: "serial in quotes", old: `holder: "H-115"`, new: `holder: "12E4"`, value: func(o *Overhaul) string { return o.Holder.Written }, want: "12E4"},
		{name: "G41 day that does not exist", old: "date: 2024-04-04\n  gauge", new: "date: 2024-02-30\n  gauge", slip: SlipDate, line: 29},
		{name: "G42 day first, ambiguous", old: "date: 2024-04-04\n  gauge", new: "date: 02-03-2024\n  gauge", slip: SlipDate, line: 29, typed: ""},
		{name: "day first, clear", old: "date: 2024-04-04\n  gauge", new: "date: 24.4.2024\n  gauge", slip: SlipDate, line: 29, typed: "2024-04-24"},
		{name: "G43 tab", old: "  gauge: PG-01\n  oil", new: "\tgauge: PG-01\n  oil", slip: SlipTab, line: 8, value: lift, want: "0.76 mm"},
		{name: "G44 anchor", old: "oil: 21 °C", new: "oil: &a 21 °C", slip: SlipAnchor, line: 9},
		{name: "G45 merge key", old: "oil: 21 °C", new: "<<: {oil: 21 °C}", slip: SlipAnchor, line: 9},
		{name: "G47 tag", old: "oil: 21 °C", new: "oil: !!binary aGVsbG8=", slip: SlipTag, line: 9},
		{name: "G49 custom tag", old: "oil: 21 °C", new: "oil: !oil 21 °C", slip: SlipTag, line: 9},
		{name: "G50 second document", old: "by: m.oyelaran\n", new: "by: m.oyelaran\n...\nx: 1\n", slip: SlipDocument, line: 37},
		{name: "G51 YAML directive", old: "holder: ", new: "%YAML 1.2\nholder: ", slip: SlipDocument, line: 2},
		{name: "G52 list where a value belongs", old: "oil: 21 °C", new: "oil: [21 °C]", slip: SlipShape, line: 9},
		{name: "value where a block belongs", old: "stored: {date: 2024-04-04, place: 3, capped: yes}", new: "stored: done", slip: SlipShape, line: 34},
		{name: "single reading", old: "[300 bar, 300 bar, 305 bar]", new: "300 bar", value: func(o *Overhaul) string { return o.AsFound.Opening.Median().String() }, want: "300 bar"},
		{name: "word with a capital", old: "state: damp}", new: "state: Damp}", slip: SlipWord, line: 12, typed: "damp", value: func(o *Overhaul) string { return o.AsFound.Seat.State.Written }, want: "damp"},
		{name: "word not known", old: "state: damp}", new: "state: ok}", slip: SlipWord, line: 12},
		{name: "no reason", old: "not looked at (lens broken)", new: "not looked at", slip: SlipReason, line: 18, typed: `"not looked at (why)"`},
		{name: "reason cut by a comma", old: "leak_down: {from: 275 bar, to: 215 bar, time: 11.2 s}", new: "leak_down: {from: 275 bar, to: 215 bar, time: not measured (watch broken, none spare)}", slip: SlipBrokenReason, line: 13, typed: `"not measured (watch broken, none spare)"`},
		{name: "whole block excused", old: "stored: {date: 2024-04-04, place: 3, capped: yes}", new: "stored: not done (fitted at once)", value: func(o *Overhaul) string { return o.Stored.Why }, want: "fitted at once"},
		{name: "G55 bidi override in a value", old: "why: all within", new: "why: all \u202ewithin", slip: SlipHidden, line: 23},
		{name: "G53 control character", old: "why: all within", new: "why: all \x01within", slip: SlipControl, line: 23},
		{name: "G08 a blank before the dashes", old: "---\nholder", new: " ---\nholder", slip: SlipDelimiter, line: 1},
		{name: "G09 dashes in the remarks", old: "All in order.", new: "Before\n\n---\n\nAfter", value: lift, want: "0.76 mm"},
		{name: "G21 a number that is no octal", old: "time: 11.2 s", new: "time: 08 s", slip: "leading-zero", line: 13, typed: "8 s", value: leak, want: ""},
		{name: "G27 small exponent", old: "time: 11.2 s", new: "time: 3e2 s", slip: "number-form", line: 13, value: leak, want: ""},
		{name: "G31 a fraction of a whole thing", old: "rings_out: 1", new: "rings_out: 1.5", slip: "number-form", line: 4},
		{name: "G32 zeros behind the point stay", old: "time: 11.2 s", new: "time: 340.0 s", value: leak, want: "340.0 s"},
		{name: "G34 yes and on are words of a text", old: "why: all within", new: "why: on", value: func(o *Overhaul) string { return o.Decided.Why.Written }, want: "on"},
		{name: "G35 a value left out", old: ", time: 11.2 s", new: "", value: leak, want: ""},
		{name: "G37 a plus sign", old: "time: 11.2 s", new: "time: +11.2 s", value: leak, want: "+11.2 s"},
		{name: "G37 nothing before the point", old: "time: 11.2 s", new: "time: .5 s", slip: "number-form", line: 13, typed: "0.5 s", value: leak, want: ""},
		{name: "G37 nothing behind the point", old: "time: 11.2 s", new: "time: 5. s", slip: "number-form", line: 13, typed: "5 s", value: leak, want: ""},
		{name: "G40 Arabic digits", old: "time: 11.2 s", new: "time: \u0661\u0661.2 s", slip: "foreign-digits", line: 13, typed: "11.2 s", value: leak, want: "11.2 s"},
		{name: "G44 alias", old: "oil: 21 °C", new: "oil: *a", slip: SlipYAML, line: 9},
		{name: "G46 an anchor that holds itself", old: "oil: 21 °C", new: "oil: &a [*a]", slip: SlipAnchor, line: 9},
		{name: "G48 a standard tag", old: "oil: 21 °C", new: "oil: !!str 21 °C", slip: SlipTag, line: 9},
		{name: "G53 a NUL byte", old: "why: all within", new: "why: all \x00within", slip: SlipControl, line: 23},
		{name: "marks of a merge", old: "  oil: 21 °C", new: "<<<<<<< here\n  oil: 21 °C\n=======\n  oil: 22 °C\n>>>>>>> there", slip: SlipYAML, line: 9, value: lift, want: "0.76 mm"},
		{name: "broken YAML leaves the rest", old: "stored: {date: 2024-04-04, place: 3, capped: yes}", new: "stored: {date: 2024-04-04", slip: SlipYAML, line: 34, value: lift, want: "0.76 mm"},
		{name: "quote never closed, shown where it opens", old: "oil: 21 °C", new: "oil: \"21 °C", slip: SlipYAML, line: 9, typed: `oil: "21 °C"`, value: lift, want: "0.76 mm"},
		{name: "day and time in another order", old: "date: 2024-04-02\n", new: "date: 17.4.2024 9:05\n", slip: SlipDate, typed: "2024-04-17 09:05", value: lift, want: "0.76 mm"},
		{name: "colon in a text", old: "by: m.oyelaran\n", new: "by: m.oyelaran\nround: spring: second set\n", slip: SlipYAML, line: 37, typed: `round: "spring: second set"`, value: lift, want: "0.76 mm"},
	} {
		t.Run(c.name, func(t *testing.T) {
			src := c.new
			if c.old != "" {
				src = strings.Replace(good(t), c.old, c.new, 1)
				if src == good(t) {
					t.Fatal("the case changes nothing")
				}
			}
			o, problems := ReadOverhaul(goodPath, []byte(src))
			if c.slip == "" && len(problems) > 0 {
				t.Errorf("problems %v, want none", problems)
			}
			if c.slip != "" {
				var p *Problem
				for i := range problems {
					if problems[i].Slip == c.slip {
						p = &problems[i]
					}
				}
				switch {
				case p == nil:
					t.Fatalf("problems %v, want one of slip %s", problems, c.slip)
				case c.line != 0 && p.Place.Line != c.line:
					t.Errorf("%v, want it on line %d", *p, c.line)
				case p.Type != c.typed && c.typed != "":
					t.Errorf("to type %q, want %q", p.Type, c.typed)
				case p.Expected == "" || p.Found == "":
					t.Errorf("%+v says too little", *p)
				}
			}
			if c.value != nil && c.value(o) != c.want {
				t.Errorf("value %q, want %q", c.value(o), c.want)
			}
		})
	}
}

// TestEncodings reads one record saved in other ways: the values stay the same.
func TestEncodings(t *testing.T) {
	utf16 := func(big bool) []byte {
		out := []byte{0xff, 0xfe}
		if big {
			out = []byte{0xfe, 0xff}
		}
		for _, r := range good(t) {
			if big {
				out = append(out, byte(r>>8), byte(r))
			} else {
				out = append(out, byte(r), byte(r>>8))
			}
		}
		return out
	}
	for _, c := range []struct {
		name string
		src  []byte
		slip string
	}{
		{"G05 CRLF", []byte(strings.ReplaceAll(good(t), "\n", "\r\n")), ""},
		{"G06 CR", []byte(strings.ReplaceAll(good(t), "\n", "\r")), ""},
		{"byte-order mark and CRLF", []byte("\ufeff" + strings.ReplaceAll(good(t), "\n", "\r\n")), SlipByteOrderMark},
		{"UTF-16, little end first", utf16(false), SlipEncoding},
		{"UTF-16, big end first", utf16(true), SlipEncoding},
	} {
		o, problems := ReadOverhaul(goodPath, c.src)
		if o.Measured.Lift.Value.String() != "0.76 mm" || o.AsFound.LeakDown.Time.Place.Line != 13 {
			t.Errorf("%s: lift %q, leak-down on line %d", c.name, o.Measured.Lift.Value, o.AsFound.LeakDown.Time.Place.Line)
		}
		if c.slip == "" && len(problems) > 0 || c.slip != "" && (len(problems) != 1 || problems[0].Slip != c.slip) {
			t.Errorf("%s: problems %v, want slip %q", c.name, problems, c.slip)
		}
	}
	latin := []byte(strings.Replace(good(t), "°", "\xb0", 1))
	if _, problems := ReadOverhaul(goodPath, latin); len(problems) != 1 || problems[0].Slip != SlipEncoding || problems[0].Place.Line != 9 {
		t.Errorf("G54, a Latin-1 degree sign: %v, want one problem of encoding on line 9", problems)
	}
	huge := make([]byte, 50<<20)
	if _, problems := ReadOverhaul(goodPath, huge); len(problems) != 1 || problems[0].Slip != SlipTooLarge {
		t.Errorf("50 MB: %v", problems)
	}
}

// TestCutAnywhere (G58) cuts the record at every byte: no value may come out other than it was written.
func TestCutAnywhere(t *testing.T) {
	whole := good(t)
	want := map[string]string{}
	for _, v := range Values([]byte(whole)) {
		want[v.Path] = v.Written
	}
	for i := range whole {
		_, problems := ReadOverhaul(goodPath, []byte(whole[:i]))
		if len(problems) > 0 {
			continue // the cut is seen
		}
		for _, v := range Values([]byte(whole[:i])) {
			if v.Path != "remarks" && want[v.Path] != v.Written {
				t.Fatalf("cut at byte %d: %s reads %q, want %q", i, v.Path, v.Written, want[v.Path])
			}
		}
	}
}

// Bombs and depth (G56, G57) are refused, not read.
func TestBombs(t *testing.T) {
	bomb := "---\na: &a [x,x,x,x,x,x,x,x,x]\n"
	for i := 'b'; i < 'k'; i++ {
		p := string(i - 1)
		bomb += string(i) + ": &" + string(i) + " [*" + strings.Join([]string{p, p, p, p, p, p, p, p, p}, ",*") + "]\n"
	}
	if _, problems := ReadOverhaul(goodPath, []byte(bomb+"---\n")); len(problems) == 0 {
		t.Error("an alias bomb was read in silence")
	}
	deep := "---\nx: " + strings.Repeat("[", 10000) + strings.Repeat("]", 10000) + "\n---\n"
	if _, problems := ReadOverhaul(goodPath, []byte(deep)); len(problems) == 0 {
		t.Error("nesting of 10,000 was read in silence")
	}
}

func TestTables(t *testing.T) {
	rows, problems := readTable[Reading]("hours/me1.csv", []byte("date,counter_h,note\n2022-09-04,0,replaced: old counter ended at 50196\n2022-10-14,\"1,398\",\n2022-13-01,5,\nx,1,,\n"))
	if len(rows) != 4 {
		t.Fatalf("%d rows, want 4", len(rows))
	}
	if ended, ok := rows[0].Replaced(); !ok || ended != 50196 {
		t.Errorf("old counter ended at %v, %v", ended, ok)
	}
	var got []string
	for _, p := range problems {
		got = append(got, p.Place.String()+" "+p.Slip)
	}
	want := "hours/me1.csv:3:12 thousands-separator; hours/me1.csv:4:1 date-form; hours/me1.csv:5:1 table-row; hours/me1.csv:5:1 date-form"
	if strings.Join(got, "; ") != want {
		t.Errorf("problems %s, want %s", strings.Join(got, "; "), want)
	}
	semi, problems := readTable[CrewPeriod]("crew.csv", []byte("id;name;rank;from;to\na.b;A. B;chief engineer;2020-01-01;\n"))
	if len(semi) != 1 || semi[0].Rank.Written != "chief engineer" || len(problems) != 1 || problems[0].Slip != SlipHeader {
		t.Errorf("semicolons: %v %v", semi, problems)
	}
	_, problems = readTable[CrewPeriod]("crew.csv", []byte("id,nmae,rank,from,to\n"))
	if len(problems) != 1 || problems[0].Type != "name" {
		t.Errorf("misspelt column: %v", problems)
	}
}

// A broken book is read as far as it goes; only without a book.md is there none.
func TestBrokenBooks(t *testing.T) {
	if _, err := Read(fstest.MapFS{}); err != ErrNoBook {
		t.Errorf("empty folder: %v, want ErrNoBook", err)
	}
	if _, err := Read(fstest.MapFS{"book.md/x": {}}); err == nil {
		t.Error("a folder named book.md was read as a book")
	}
	b, err := Read(fstest.MapFS{
		"book.md":                    {Data: []byte("---\nvessel: X\n---\n")},
		"overhauls/me1/c1/x.md":      {Data: []byte("nothing")},
		"overhauls/me1/c1/y.txt":     {Data: []byte("nothing")},
		"overhauls/me1/c2/x.md":      {Data: []byte("---\nholder: \"H-1\"\n---\n")},
		"limits/a.md":                {Data: []byte("---\nrevisions:\n  - {from: 2022-01-01}\n  - {from: 2021-01-01}\n---\n")},
		"somewhere/else.md":          {Data: []byte("---\n---\n")},
		"overhauls/me1/c3/gone.md/z": {Data: []byte("a folder named like a record")},
	})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, p := range b.Problems {
		got = append(got, p.Place.Path+" "+p.Slip)
	}
	want := []string{"limits/a.md revision-order", "overhauls/me1/c1/x.md no-front-matter", "overhauls/me1/c1/y.txt stray-file", "overhauls/me1/c2/x.md record-twice",
		"overhauls/me1/c3/gone.md/z stray-file", "somewhere/else.md stray-file"}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("problems\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// Any bytes: reading never panics, and every place lies inside the file.
func FuzzReadOverhaul(f *testing.F) {
	f.Add([]byte(good(f)))
	f.Add([]byte("---\na: [\n---\n"))
	f.Add([]byte("\ufeff---\r\nholder: 0451\r\n---"))
	f.Add([]byte("---\nmeasured: {lift: not measured (a, b), x}\n---\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		o, problems := ReadOverhaul(goodPath, src)
		lines := 1 + strings.Count(strings.ReplaceAll(string(src), "\r", "\n"), "\n")
		if !utf8.Valid(src) {
			lines = 1 << 30
		}
		for _, p := range problems {
			if p.Place.Line > lines+1 || p.Place.Line < 0 {
				t.Errorf("%v lies outside the %d lines of the file", p, lines)
			}
		}
		if o.Measured.Lift.Value.Place.Line > lines {
			t.Errorf("lift at %v of %d lines", o.Measured.Lift.Value.Place, lines)
		}
		Values(src)
	})
}
