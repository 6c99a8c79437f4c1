package main

import (
	"fmt"
	"path/filepath"

	"needlebook/logbook"
	"needlebook/logbook/fault"
	"needlebook/site"
	"needlebook/site/fleet"
)

// pagesOfShips builds the pages of each book below one folder and joins them. A book that cannot be read stands on the
// front page with the reason, and the rest is built all the same.
func (p *program) pagesOfShips(a pagesAsk, books []string) error {
	switch {
	case p.bookDir != "":
		return use("--book names one book; name several as arguments")
	case a.out == "":
		return use("name a folder for the pages of several ships with -o")
	case a.at != "" || a.since != "":
		return use("--at and --since belong to one book; build each ship by itself and --join them")
	}
	if _, err := site.Join(nil, a.out); err != nil { // says first whether the folder may be used
		return err
	}
	taken := map[string]bool{}
	var ships []fleet.Ship
	for i, book := range books {
		proof, err := a.proof(i, len(books))
		if err != nil {
			return err
		}
		folder := filepath.Join(a.out, fleet.Folder(absolute(book), taken))
		said := ""
		err = fault.Catch("make the pages of "+book, func() (err error) {
			said, err = p.oneShip(a, book, folder, proof)
			return err
		})
		if err != nil {
			p.status = exitFailed
			p.said(fmt.Errorf("%s: %w", book, err))
			ships = append(ships, fleet.Ship{Name: filepath.Base(absolute(book)), Why: err.Error()})
			continue
		}
		fmt.Fprintf(p.out, "%s: %s\n", folder, said)
		ships = append(ships, fleet.In(folder, a.out))
	}
	return p.join(a.out, ships)
}

func (p *program) oneShip(a pagesAsk, book, folder, proof string) (string, error) {
	alone := program{bookDir: book}
	dir, err := alone.findBook()
	if err != nil {
		return "", err
	}
	return p.buildAsked(a, dir, folder, proof)
}

// joinShips makes the front page from folders of pages that were built before.
func (p *program) joinShips(out string, folders []string) error {
	if out == "" {
		return use("--join: name the folder of the front page with -o")
	}
	var ships []fleet.Ship
	for _, f := range folders {
		ship := fleet.In(f, out)
		if ship.Summary == nil {
			p.status = exitFailed
			fmt.Fprintf(p.err, "needlebook: %s: %s\n", f, ship.Why)
		}
		ships = append(ships, ship)
	}
	return p.join(out, ships)
}

func (p *program) join(out string, ships []fleet.Ship) error {
	if _, err := site.Join(ships, out); err != nil {
		return err
	}
	read := 0
	for _, s := range ships {
		if s.Summary != nil {
			read++
		}
	}
	fmt.Fprintf(p.out, "%d of %s\nopen %s\n", read, logbook.Counted(len(ships), "ship"), filepath.Join(out, "index.html"))
	return nil
}

func absolute(dir string) string {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return dir
	}
	return abs
}
