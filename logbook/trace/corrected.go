package trace

import (
	"fmt"
	"slices"
	"strings"

	"needlebook/logbook"
)

// strike finds for each value that was changed the line under corrections that says so: it names the value, or
// what the value is part of, and what stood there.
func strike(t told) {
	for path, s := range t.set {
		if len(s.Before) == 0 {
			continue
		}
		s.Correction = correction(t.set, path, s.Before)
		t.set[path] = s
	}
	for path, s := range t.gone {
		s.Correction = correction(t.set, path, s.Before)
		t.gone[path] = s
	}
}

func correction(set map[string]logbook.Setting, path string, before []logbook.Earlier) string {
	for i := 0; ; i++ {
		line := fmt.Sprintf("corrections[%d]", i)
		what, ok := set[line+".what"]
		if !ok {
			return ""
		}
		part := strings.HasPrefix(path, what.Written+".") || strings.HasPrefix(path, what.Written+"[")
		was := set[line+".was"].Written
		stood := func(e logbook.Earlier) bool { return e.Written == was }
		if what.Written != "" && (part || path == what.Written && (was == "" || slices.ContainsFunc(before, stood))) {
			return line
		}
	}
}
