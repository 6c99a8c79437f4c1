package main

import (
	"cmp"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/edit"
)

// renaming is what becomes of the pictures with an unfit name.
type renaming struct {
	files, made, kept int
}

// renamePhotos gives pictures with an unfit name a fit one, after the record or the part that names them. The new file
// is there before a record names it, and the old one goes when none does any more: a power cut leaves one too many.
func (p *program) renamePhotos(o *opened, within func(string) bool, write bool) (done renaming, err error) {
	var unfit []string
	for _, x := range o.book.Problems {
		if x.Slip == logbook.SlipPictureName && !slices.Contains(unfit, x.Found) {
			unfit = append(unfit, x.Found)
		}
	}
	if len(unfit) == 0 {
		return done, nil
	}
	named, err := o.naming(unfit)
	if err != nil {
		return done, err
	}
	seen := o.countersigned()
	for _, was := range unfit {
		by := named[was]
		if !slices.ContainsFunc(by, within) {
			continue
		}
		if i := slices.IndexFunc(by, func(name string) bool { return seen[name] != "" }); i >= 0 {
			done.kept++
			fmt.Fprintf(p.out, "%s\n  not touched: %s names it and is countersigned in %s\n", was, by[i], seen[by[i]])
			continue
		}
		if err := p.renamePhoto(o, was, by, write); err != nil {
			return done, err
		}
		done.made++
		done.files += len(by)
	}
	return done, nil
}

// naming are the Markdown files of the book that name each of some pictures, in values or in remarks: those of records
// and parts first.
func (o *opened) naming(pictures []string) (map[string][]string, error) {
	by := map[string][]string{}
	for _, name := range o.book.Files {
		if path.Ext(name) != ".md" {
			continue
		}
		src, err := budget.ReadFile(o.files, name, budget.MaxFile)
		if err != nil {
			return nil, err
		}
		for _, picture := range pictures {
			if edit.Names(src, picture) {
				by[picture] = append(by[picture], name)
			}
		}
	}
	for _, names := range by {
		slices.SortStableFunc(names, func(x, y string) int {
			return cmp.Compare(strings.Count(y, "/"), strings.Count(x, "/"))
		})
	}
	return by, nil
}

// renamePhoto renames one picture, and has the files that name it name the new one.
func (p *program) renamePhoto(o *opened, was string, by []string, write bool) error {
	at := func(name string) string { return filepath.Join(o.dir, filepath.FromSlash(name)) }
	src, err := budget.Read(at(was), largestPhoto)
	if err != nil {
		return err
	}
	stem := strings.TrimSuffix(path.Base(by[0]), ".md")
	if !write {
		fmt.Fprintf(p.out, "%s\n  renamed to photos/%s-…%s, in %s too\n", was, stem, o.book.FitEnding(was),
			strings.Join(by, ", "))
		return nil
	}
	is, _, err := p.putPhoto(o, stem, o.book.FitEnding(was), src)
	if err != nil {
		return err
	}
	for _, name := range by {
		text, err := budget.Read(at(name), budget.MaxFile)
		if err != nil {
			return err
		}
		renamed, err := edit.Renamed(text, was, is)
		if err != nil {
			return use("%s: %v", name, err)
		}
		if err := edit.Replace(at(name), text, renamed); err != nil {
			return fmt.Errorf("could not write %q: %w", name, err)
		}
	}
	if err := os.Remove(at(was)); err != nil {
		return err
	}
	fmt.Fprintf(p.out, "%s\n  renamed to %s, in %s too\n", was, is, strings.Join(by, ", "))
	return nil
}
