package main

import (
	"slices"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// Names that differ in their dashes alone are not taken for one another where the book spells one of them so.
func TestNamesAsTheBookSpellsThemComeFirst(t *testing.T) {
	b, err := logbook.Read(fstest.MapFS{"book.md": {Data: []byte(`---
vessel: V
engines:
  - {id: "1", type: T, cylinders: [1, 2, 11, 12], numbered_from: free end, limits: t}
  - {id: "11", type: T, cylinders: [1, 2], numbered_from: free end, limits: t}
opening:
  date: 2024-01-01
  fitted:
    - {engine: "1", cylinder: 12, holder: "A-1", nozzle: "N-1", counter: 10 h}
    - {engine: "11", cylinder: 2, holder: "A-2", nozzle: "N-2", counter: 10 h}
    - {engine: "1", cylinder: 1, holder: "112", nozzle: "N-3", counter: 10 h}
---
`)}})
	if err != nil {
		t.Fatal(err)
	}
	o := &opened{book: b}
	for what, holder := range map[string]string{"1-12": "A-1", "11-2": "A-2", "112": "112", "a1": "A-1"} {
		found, err := (&program{}).one(o, what, enterKinds...)
		if err != nil {
			t.Errorf("%s: %v", what, err)
			continue
		}
		sheets, err := o.sheets(found, b.Vessel.Opening.Date.Day)
		if err != nil || len(sheets) != 1 || sheets[0].Holder != holder {
			t.Errorf("%s: %v %v, want the valve of holder %s", what, sheets, err, holder)
		}
	}
}

func TestSignerWithAFileOnADrive(t *testing.T) {
	for spec, want := range map[string][]string{
		"a.berg:chief:berg.pub:A. Berg":         {"a.berg", "chief", "berg.pub", "A. Berg"},
		"a.berg:chief:berg.pub":                 {"a.berg", "chief", "berg.pub"},
		`a.berg:chief:C:\keys\berg.pub:A. Berg`: {"a.berg", "chief", `C:\keys\berg.pub`, "A. Berg"},
		`a.berg:chief:C:/keys/berg.pub`:         {"a.berg", "chief", "C:/keys/berg.pub"},
		"a.berg:chief:k:A. Berg":                {"a.berg", "chief", "k", "A. Berg"},
	} {
		if got := signerParts(spec); !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", spec, got, want)
		}
	}
}
