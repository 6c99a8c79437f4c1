package main

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode"
)

// hearsay are phrases that say who told us a fact, instead of its source.
var hearsay = regexp.MustCompile(`(?i)\b(as told|(we|us|makers of this tool|authors) (were|was|are|have been) told|told (us|the makers)|source: told|seed\s+doc\w*|according to the brief)\b`)

// realPlaces are ports and bunkering places that everybody knows, by the word of their name that is like no other; from memory. The demo,
// help, messages and tests invent theirs.
var realPlaces = strings.Fields(`Algeciras Gibraltar Singapore Rotterdam Antwerp Fujairah Houston Busan Shanghai Zhoushan Kong Piraeus Istanbul Valletta
	Palmas Tenerife Lisbon Sines Valencia Barcelona Genoa Marseille Havre Hamburg Bremerhaven Kiel Gothenburg Copenhagen Skaw Aarhus Oslo Bergen
	Stavanger Gdansk Tallinn Riga Helsinki Petersburg Odessa Constanta Novorossiysk Durban Mombasa Lagos Dakar Santos Montevideo Callao Valparaiso
	Vancouver Seattle Savannah Halifax Felixstowe Southampton Liverpool Aberdeen Falmouth Dubai Jeddah Salalah Mumbai Kandla Colombo Chennai Klang
	Batam Manila Kaohsiung Yokohama Tokyo Ulsan Melbourne Brisbane Auckland Galloway Immingham Dunkirk Zeebrugge Vlissingen`)

// zone is a name of the public time zone database.
var zone = regexp.MustCompile(`\b(Africa|America|Asia|Atlantic|Australia|Europe|Pacific)/[A-Z]\w+`)

// Nothing in code, tests, help, texts or demo names a real place or leaves a fact to hearsay.
func TestEverythingIsInvented(t *testing.T) {
	read, places := 0, map[string]bool{}
	for _, p := range realPlaces {
		places[p] = true
	}
	err := filepath.WalkDir(filepath.Join("..", ".."), func(name string, e fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case e.IsDir() && e.Name() == ".git":
			return fs.SkipDir
		case e.IsDir() || e.Name() == "invented_test.go":
			return nil
		}
		src, err := os.ReadFile(name)
		if err != nil || bytes.IndexByte(src, 0) >= 0 || filepath.Ext(name) == ".sum" {
			return err
		}
		read++
		for word := range strings.FieldsFuncSeq(string(src), func(r rune) bool { return !unicode.IsLetter(r) }) {
			if places[word] && strings.Contains(zone.ReplaceAllString(string(src), ""), word) {
				t.Errorf("%s: %q is a real place", filepath.ToSlash(name), word)
			}
		}
		if !bytes.Contains(src, []byte("told")) && !bytes.Contains(src, []byte("seed doc")) && !bytes.Contains(src, []byte("the brief")) {
			return nil
		}
		for _, found := range hearsay.FindAllString(string(src), -1) {
			t.Errorf("%s: %q is no source", filepath.ToSlash(name), found)
		}
		return nil
	})
	if err != nil || read < 500 {
		t.Errorf("%d files read, %v", read, err)
	}
}
