package main

import (
	_ "embed"
	"regexp"
	"runtime"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"
)

//go:embed changes.md
var changeLog string

// commit is the one that the program was made from, set by the linker (.ci/build); a go build in a checkout has its own
// note of it.
var commit string

var releaseHead = regexp.MustCompile(`(?m)^## (\S+), (\d{4}-\d{2}-\d{2})$`)

// release is the number of the newest release in the list of changes, and its date.
func release() (number, date string) {
	m := releaseHead.FindStringSubmatch(changeLog)
	return m[1], m[2] // a test reads the list
}

// programName is the program with its release: "needlebook 0.2".
func programName() string {
	number, _ := release()
	return "needlebook " + number
}

// madeFrom is the commit that the program was made from, as far as it is known.
func madeFrom() string {
	if commit != "" {
		return commit
	}
	id, changed := "not known", ""
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			switch {
			case s.Key == "vcs.revision":
				id = s.Value
			case s.Key == "vcs.modified" && s.Value == "true":
				changed = ", and files that are not committed"
			}
		}
	}
	return id + changed
}

// version is what --version prints: the release, the commit, the compiler and the system.
func version() string {
	_, date := release()
	return programName() + ", " + date + "\ncommit " + madeFrom() + "\n" + runtime.Version() + ", " + runtime.GOOS + "/" +
		runtime.GOARCH + "\n"
}

func (p *program) changes() *cobra.Command {
	return &cobra.Command{
		Use:   "changes",
		Short: "What changed from release to release",
		Long: `Prints what somebody who uses the program notices of each release, the newest at
the top. needlebook --version tells which one this is.`,
		Example: "  needlebook changes",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			_, err := p.data.Write([]byte(strings.TrimSpace(changeLog) + "\n"))
			return err
		},
	}
}
