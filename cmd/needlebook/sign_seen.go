package main

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

// overSeen names the values that somebody countersigned and that are to be signed as other ones, or as none, without a
// line under corrections: once signed, each is a stop that stays. n counts them.
func (p *program) overSeen(o *opened, changes []exchange.Change) (n int, err error) {
	tip, err := trace.FS(o.dir, "")
	if err != nil {
		return 0, err
	}
	defer tip.Close()
	for _, c := range changes {
		who := o.countersignedBy(c.Path)
		if who == "" || c.Delete {
			continue
		}
		old, err := tip.ReadFile(c.Path)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return n, err
		}
		is, rec := valuesOf(c.Text), o.book.Overhaul(strings.TrimSuffix(path.Base(c.Path), ".md"))
		for _, v := range logbook.Values(old) {
			now := is[v.Path]
			goesOn := v.Path == "remarks" && strings.HasPrefix(now, v.Written+"\n")
			if v.Written == "" || now == v.Written || goesOn || rec != nil && rec.Strikes(v.Path) {
				continue // what was not there was not seen
			}
			if now == "" {
				now = "gone"
			}
			n++
			fmt.Fprintf(p.err, "%s: %s was %s, is %s, and %s had countersigned it\n", c.Path, v.Path, v.Written, now, who)
			fmt.Fprintf(p.err, "  under corrections: - {date: , by: , what: %s, was: %s, why: }\n", v.Path, v.Written)
		}
	}
	return n, nil
}
