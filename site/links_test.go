package site

import (
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// links follows every link, picture and stylesheet of every page: the page must exist, and hold the place.
func links(t *testing.T, dir string) {
	t.Helper()
	ids := map[string]map[string]bool{}
	type link struct{ from, to string }
	var all []link
	for _, name := range pagesIn(t, dir) {
		ids[name] = map[string]bool{}
		for _, n := range nodes(t, filepath.Join(dir, name)) {
			for _, a := range n.Attr {
				switch a.Key {
				case "id":
					if ids[name][a.Val] {
						t.Errorf("%s: id %q twice", name, a.Val)
					}
					ids[name][a.Val] = true
				case "href", "src":
					all = append(all, link{name, a.Val})
				case "aria-labelledby":
				case "style":
					t.Errorf("%s: style attribute on <%s>", name, n.Data)
				default:
					if strings.HasPrefix(a.Key, "on") {
						t.Errorf("%s: attribute %s on <%s>", name, a.Key, n.Data)
					}
				}
			}
		}
	}
	for _, l := range all {
		u, err := url.Parse(l.to)
		if err != nil {
			t.Errorf("%s: link %q: %v", l.from, l.to, err)
			continue
		}
		if u.Scheme != "" || u.Host != "" {
			if u.Scheme != "https" && u.Scheme != "http" && u.Scheme != "mailto" {
				t.Errorf("%s: link to %q", l.from, l.to)
			}
			continue
		}
		page := u.Path
		if page == "" {
			page = l.from
		}
		if _, err := os.Stat(filepath.Join(dir, page)); err != nil {
			t.Errorf("%s: link to %q, which does not exist", l.from, l.to)
			continue
		}
		if u.Fragment != "" && !ids[page][u.Fragment] {
			t.Errorf("%s: link to %q: the page has no such place", l.from, l.to)
		}
	}
}

func pagesIn(t testing.TB, dir string) []string {
	t.Helper()
	entries, err := fs.ReadDir(os.DirFS(dir), ".")
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), ".html") {
			names = append(names, e.Name())
		}
	}
	return names
}

func nodes(t testing.TB, file string) []*html.Node {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	root, err := html.Parse(f)
	if err != nil {
		t.Fatal(err)
	}
	var all []*html.Node
	for n := range root.Descendants() {
		if n.Type == html.ElementNode {
			all = append(all, n)
		}
	}
	return all
}
