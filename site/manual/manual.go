// Package manual is the manual for people aboard and ashore: its chapters as Markdown, beside this file, so that they
// are read here, in a terminal and on the page that needlebook manual writes. What the program prints in them is held
// to the program by tests, and so is what a newcomer types. It knows text alone; package site makes the page.
//
// Begin with [Chapters].
package manual

import (
	"embed"
	"strings"
)

//go:embed *.md
var files embed.FS

// order are the chapters' files in the order in which they are read.
var order = []string{"tour.md", "day.md", "own-book.md", "comes-and-goes.md", "editor.md", "ships.md", "formats.md",
	"not-promised.md", "cautions.md", "before.md"}

// Chapter is one chapter: the name of its file, its title, and what is below the title, in Markdown.
type Chapter struct{ File, Title, Body string }

// Chapters are all chapters, in the order in which they are read.
func Chapters() []Chapter {
	all := make([]Chapter, len(order))
	for i, name := range order {
		all[i] = chapter(name)
	}
	return all
}

func chapter(name string) Chapter {
	text, err := files.ReadFile(name)
	if err != nil {
		panic("manual: " + err.Error()) // it is compiled in
	}
	first, rest, _ := strings.Cut(string(text), "\n")
	return Chapter{name, strings.TrimPrefix(first, "# "), strings.Trim(rest, "\n") + "\n"}
}

// Cautions are the cautions before work on a fuel valve, in the order of the work.
func Cautions() []string { return numbered("cautions.md") }

// NotPromised is what no signature can promise.
func NotPromised() []string { return numbered("not-promised.md") }

// Before says what comes before this logbook, and who decides.
func Before() string { return strings.TrimSpace(chapter("before.md").Body) }

// numbered are the items of a chapter that is one numbered list.
func numbered(name string) []string {
	var all []string
	for line := range strings.Lines(chapter(name).Body) {
		_, text, _ := strings.Cut(strings.TrimSpace(line), ". ")
		all = append(all, text)
	}
	return all
}
