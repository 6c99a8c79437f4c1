// Package draw makes the tests that draw their cases at random draw the same ones in every run: a submission never
// fails by chance. NEEDLEBOOK_LONG=1, RAPID_SEED and -rapid.seed draw others. A test that draws imports it for that
// alone.
package draw

import (
	"flag"
	"os"

	_ "pgregory.net/rapid" // whose flag is set: it has to be there
)

func init() {
	if os.Getenv("NEEDLEBOOK_LONG") == "1" || os.Getenv("RAPID_SEED") != "" {
		return
	}
	if err := flag.Set("rapid.seed", "1"); err != nil {
		panic("draw: " + err.Error())
	}
}
