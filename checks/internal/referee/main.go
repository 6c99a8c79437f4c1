package referee

import (
	"flag"
	"os"
	"testing"

	_ "pgregory.net/rapid" // whose flags are set here
)

// Main runs a package's tests with every property tried on the same draws, so that a failure is the same on every
// machine. A seed given on the command line goes first; fuzzing and a longer run (-rapid.checks) work as ever.
func Main(m *testing.M) {
	flag.Parse()
	if seed := flag.Lookup("rapid.seed"); seed.Value.String() == "0" {
		if err := seed.Value.Set("20240624"); err != nil {
			panic("referee: " + err.Error())
		}
	}
	os.Exit(m.Run())
}
