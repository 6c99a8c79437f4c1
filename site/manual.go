package site

import (
	"errors"
	"strings"

	"needlebook/site/address"
	"needlebook/site/content"
	"needlebook/site/look"
	"needlebook/site/manual"
	"needlebook/site/page"
)

const manualHead = "needlebook manual 1: the files below were written by the program and may be replaced or " +
	"removed by it"

// Manual writes the manual as one page into the folder out, which may hold nothing but an earlier one. The errors are
// those of [Build].
func Manual(out string) (Result, error) {
	f, err := openFor(out, manualHead)
	if err != nil {
		return Result{}, err
	}
	defer f.close()
	const title = "needlebook: the manual"
	p := &page.Page{Name: address.Vessel, Title: title, Kind: "guide", Head: "The manual"}
	var contents []page.Text
	for _, c := range manual.Chapters() {
		contents = append(contents, page.Link(chapterAt(c.File), c.Title))
	}
	p.Add(page.Para{Style: page.Lead, Text: page.Words("For engineers, superintendents and surveyors. On board the "+
		"program itself is the shortest help: ").In(page.Code, "needlebook --help").Say(", and ").
		In(page.Code, "--help").Say(" behind every verb.")}, page.List{Style: page.Groups, Items: page.Items(contents...)})
	for _, c := range manual.Chapters() {
		p.Add(page.Under(c.Title, &page.Box{Style: page.RemarksOf, Blocks: []page.Block{
			page.Remarks{From: c.File, Body: raised(c.Body)}}}).Named(chapterID(c.File)))
	}
	r := look.New(look.Frame{Name: title, First: address.Vessel, Foot: content.FleetFoot()[1:]}, chapters{})
	if err := errors.Join(f.assets("needlebook, the manual"), f.page(r, p)); err != nil {
		return Result{}, err
	}
	return f.result()
}

// chapterAt is the place of a chapter on the page of the manual.
func chapterAt(file string) page.Ref { return page.Ref("#" + chapterID(file)) }

func chapterID(file string) string { return strings.TrimSuffix(file, ".md") }

// raised raises the headings of a chapter by one rank: what is below a section's title begins with the first rank.
func raised(text string) string {
	var b strings.Builder
	fenced := false
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, "```") {
			fenced = !fenced
		}
		if !fenced && strings.HasPrefix(line, "##") {
			line = line[1:]
		}
		b.WriteString(line)
	}
	return b.String()
}

// chapters are the chapters as the files of a book: what one of them may link to.
type chapters struct{}

// PageOf is the place of a chapter; empty for none.
func (chapters) PageOf(path string) page.Ref {
	for _, c := range manual.Chapters() {
		if c.File == path {
			return chapterAt(path)
		}
	}
	return ""
}

// Has says that there is no file beside the chapters.
func (chapters) Has(string) bool { return false }

// Picture says that the manual has no pictures.
func (chapters) Picture(string) look.Picture { return look.Picture{Why: "not in the manual"} }
