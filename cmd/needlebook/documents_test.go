package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/pflag"
)

// documents are the texts for people that lie in the source: README.md, DEVELOPERS.md and the chapters of the manual,
// by their paths from the top.
func documents(t *testing.T) map[string]string {
	t.Helper()
	top := os.DirFS(filepath.Join("..", ".."))
	names, err := fs.Glob(top, "site/manual/*.md")
	if err != nil || len(names) < 6 {
		t.Fatalf("chapters of the manual: %v, %v", names, err)
	}
	all := map[string]string{}
	for _, name := range append(names, "README.md", "DEVELOPERS.md") {
		text, err := fs.ReadFile(top, name)
		if err != nil {
			t.Fatal(err)
		}
		all[name] = string(text)
	}
	return all
}

// The two documents at the top stay short enough to be read, and the README begins with the job in one paragraph.
func TestDocumentsAreShort(t *testing.T) {
	all := documents(t)
	for name, most := range map[string]int{"README.md": 2000, "DEVELOPERS.md": 2500} {
		if n := len(strings.Fields(all[name])); n > most {
			t.Errorf("%s has %d words, at most %d: what is longer belongs to the manual or to a package's documentation",
				name, n, most)
		}
	}
	first := strings.Split(all["README.md"], "\n\n")[1]
	for _, job := range []string{"fuel injection valve overhauls", "ships' engineers", "Markdown", "checker", "limits",
		"static site", "signed git commit"} {
		if !strings.Contains(first, job) {
			t.Errorf("the README's first paragraph does not say %q: %s", job, first)
		}
	}
}

var (
	fencedText = regexp.MustCompile("(?ms)^```.*?^```$")
	inlineCode = regexp.MustCompile("`[^`\n]+`")
	aLink      = regexp.MustCompile(`\]\(([^)\s]+)\)`)
	aHeading   = regexp.MustCompile(`(?m)^#+ (.+)$`)
	noAnchor   = regexp.MustCompile(`[^\p{L}\p{N} _-]`)
)

// Every link and picture of the documents leads to something there, and a heading that one names is in its file.
func TestLinksOfDocuments(t *testing.T) {
	all := documents(t)
	seen := 0
	for name, text := range all {
		prose := inlineCode.ReplaceAllString(fencedText.ReplaceAllString(text, ""), "")
		for _, m := range aLink.FindAllStringSubmatch(prose, -1) {
			seen++
			target, heading, _ := strings.Cut(m[1], "#")
			if strings.HasPrefix(target, "https://") {
				continue
			}
			file := name
			if target != "" {
				file = filepath.ToSlash(filepath.Join(filepath.Dir(name), target))
			}
			if _, err := os.Stat(filepath.Join("..", "..", filepath.FromSlash(file))); err != nil {
				t.Errorf("%s: the link to %s leads nowhere", name, m[1])
			} else if heading != "" && !slices.Contains(anchors(all[file]), heading) {
				t.Errorf("%s: the link to %s leads to no heading; there are %v", name, m[1], anchors(all[file]))
			}
		}
	}
	if seen < 15 {
		t.Errorf("only %d links were found", seen)
	}
	pictures, err := os.ReadDir(filepath.Join("..", "..", "site", "tour"))
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range pictures {
		if !strings.Contains(all["README.md"], "](site/tour/"+p.Name()+")") {
			t.Errorf("site/tour/%s is used nowhere", p.Name())
		}
	}
}

// anchors are the names of a file's headings, as git hosts make them.
func anchors(text string) []string {
	var all []string
	for _, m := range aHeading.FindAllStringSubmatch(fencedText.ReplaceAllString(text, ""), -1) {
		all = append(all, strings.ReplaceAll(noAnchor.ReplaceAllString(strings.ToLower(m[1]), ""), " ", "-"))
	}
	return all
}

var (
	aCommand = regexp.MustCompile("(?m)(?:`|^\\$? ?)needlebook ([^`\n]+)")
	aWord    = regexp.MustCompile(`"[^"]*"|\S+`)
	aFormat  = regexp.MustCompile(`^\S+ \d$`) // the name of an output format
)

// Every command in the documents is one that the program takes: the verb is there, and so are its flags.
func TestCommandsOfDocuments(t *testing.T) {
	seen := 0
	for name, text := range documents(t) {
		text = console.ReplaceAllString(text, "```\n$$ needlebook $1\n```")
		code := strings.Join(append(fencedText.FindAllString(text, -1), inlineCode.FindAllString(text, -1)...), "\n")
		for _, m := range aCommand.FindAllStringSubmatch(code, -1) {
			if aFormat.MatchString(m[1]) {
				continue
			}
			words := aWord.FindAllString(m[1], -1)
			root := (&program{}).root()
			root.InitDefaultHelpCmd()
			root.InitDefaultCompletionCmd()
			c, rest, err := root.Find(words)
			if err != nil || !c.HasParent() && !strings.HasPrefix(words[0], "-") {
				t.Errorf("%s: needlebook %s: no such verb (%v)", name, m[1], err)
				continue
			}
			c.InitDefaultHelpFlag()
			for _, w := range rest {
				flag, _, _ := strings.Cut(strings.TrimLeft(w, "-"), "=")
				if known := lookUp(c.Flags(), c.InheritedFlags(), flag); strings.HasPrefix(w, "-") && flag != "" && !known {
					t.Errorf("%s: needlebook %s: %s has no flag %s", name, m[1], c.Name(), w)
				}
			}
			seen++
		}
	}
	if seen < 60 {
		t.Errorf("only %d commands were found", seen)
	}
}

func lookUp(own, inherited *pflag.FlagSet, name string) bool {
	for _, set := range []*pflag.FlagSet{own, inherited} {
		if set.Lookup(name) != nil || len(name) == 1 && set.ShorthandLookup(name) != nil {
			return true
		}
	}
	return false
}
