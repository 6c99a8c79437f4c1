package logbook

import (
	"fmt"
	"regexp"
	"strings"

	"needlebook/logbook/fault"
)

// Slips of typing that the YAML parser notices only a line later, or names in words of its own.
var (
	colonJoined  = regexp.MustCompile(`^( *(?:- )?)([a-z_]+):([^ ].*)$`)
	colonLeftOut = regexp.MustCompile(`^( *(?:- )?)([a-z_]+)(?: +([^:]*))?$`)
	quoteOpened  = regexp.MustCompile(`^( *(?:- )?)[a-z_]+: +(?:"[^"]*|'[^']*)$`)
	bareDash     = regexp.MustCompile(`^( *(?:- )?)[a-z_]+: +-$`)
	hashInGroup  = regexp.MustCompile(`([{\[,:] *)(#[^\s,}\]]+)(.*[}\]])$`)
	nothingThere = regexp.MustCompile(`^#(#+|N/A|REF!|VALUE!|DIV/0!|NAME\?|NUM!|NULL!)$`)
	keyLine      = regexp.MustCompile(`^ *(?:- )?[a-z_]+:(?: |$)`)
	keyed        = regexp.MustCompile(`^( *)([a-z_]+):(?: +([^\s{\[|>#].*))?$`)
)

// blame looks for the slip of typing behind an error of the parser at a line, from 1, there and above it. It gives the
// line and the indent of the slip, and what to say of it; line is 0 where none is known.
func blame(lines []string, at int) (line, indent int, found, expected, typed string) {
	say := func(i int, before, expected, typed string) (int, int, string, string, string) {
		return i, len(before), strings.TrimSpace(lines[i-1]), expected, typed
	}
	for i, seen := at, 0; i > 0 && seen < 3; i-- {
		text := strings.TrimRight(lines[i-1], " ")
		if text == "" {
			continue
		}
		seen++
		if m := colonJoined.FindStringSubmatch(text); m != nil && keyNames()[m[2]] {
			return say(i, m[1], "a blank behind the colon", strings.TrimLeft(m[1]+m[2]+": "+m[3], " "))
		}
		if m := colonLeftOut.FindStringSubmatch(text); m != nil && keyNames()[m[2]] {
			return say(i, m[1], "a colon behind the key", strings.TrimSpace(m[1]+m[2]+": "+m[3]))
		}
		if m := bareDash.FindStringSubmatch(text); m != nil {
			return say(i, m[1], "a value, nothing, or why there is none: not measured (why)", "")
		}
		if m := hashInGroup.FindStringSubmatch(text); m != nil {
			if nothingThere.MatchString(m[2]) {
				return say(i, text[:len(text)-len(strings.TrimLeft(text, " "))],
					"the value: "+m[2]+" is what a spreadsheet shows for none", "")
			}
			return say(i, text[:len(text)-len(strings.TrimLeft(text, " "))],
				"quotes around a value that begins with #: without them the rest of the line is a remark",
				strings.TrimSpace(hashInGroup.ReplaceAllString(text, `${1}"${2}"${3}`)))
		}
	}
	below := ""
	for i := len(lines); i > at; i-- {
		if strings.TrimSpace(lines[i-1]) != "" {
			below = lines[i-1]
		}
	}
	// an open quote runs on until the next one: the line to correct is where it opens, above a further key
	for i := at; i > 0; i-- {
		if m := quoteOpened.FindStringSubmatch(lines[i-1]); m != nil && (below == "" || keyLine.MatchString(below)) {
			text := strings.TrimSpace(lines[i-1])
			quote := text[strings.IndexAny(text, `"'`)]
			if strings.Contains(text, " #") { // does a remark begin there, or does the value go on?
				return say(i, m[1], "the quote that closes it", "")
			}
			return say(i, m[1], "the quote that closes it", text+string(quote))
		}
		if strings.TrimSpace(lines[i-1]) != "" {
			below = lines[i-1]
		}
	}
	if m := keyed.FindStringSubmatch(lines[at-1]); m != nil {
		for i := at - 1; i > 0; i-- {
			above := keyed.FindStringSubmatch(lines[i-1])
			if above == nil && strings.TrimSpace(lines[i-1]) == "" {
				continue
			}
			if above != nil && above[3] != "" && len(above[1]) != len(m[1]) && len(m[1]) > 0 {
				return say(at, m[1], fmt.Sprintf("%s before it, as many as before %s above, or as before the keys of "+
					"its own group", Counted(len(above[1]), "blank"), above[2]), "")
			}
			break
		}
	}
	return 0, 0, "", "", ""
}

// keyNames are the keys of every kind of file.
var keyNames = fault.Shared(func() map[string]bool {
	names := map[string]bool{}
	for _, k := range Kinds() {
		if !k.Table {
			k.Walk(func(_ string, f Field) { names[f.Key] = true })
		}
	}
	return names
})
