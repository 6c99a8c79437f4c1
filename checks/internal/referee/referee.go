// Package referee asks R and SciPy for the numbers that our own arithmetic must give too. Only tests use it.
//
// Where the tool is missing the test is skipped, so that the module tests anywhere; with NEEDLEBOOK_WIDER=1 in the
// environment, as in the wider test run, a missing tool is a failure, so that the comparison cannot fall silent.
package referee

import (
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// R runs a script with R, package survival attached, and returns the numbers it printed, in order.
func R(t *testing.T, script string) []float64 {
	t.Helper()
	return ask(t, "R with package survival", []string{"Rscript"},
		[]string{"-e", "suppressMessages(library(survival))"}, ".R",
		"suppressMessages(library(survival)); options(digits=17, width=10000)\nsay <- function(...) cat(format(c(...), "+
			"digits=17), \"\\n\")\n"+script)
}

// SciPy runs a Python script with numpy as np and scipy.stats as st, and returns the numbers it printed, in order.
func SciPy(t *testing.T, script string) []float64 {
	t.Helper()
	return ask(t, "Python with SciPy", []string{"python3", "/usr/bin/python3"},
		[]string{"-c", "import scipy.stats"}, ".py",
		"import numpy as np, scipy.stats as st\ndef say(*a): print(*[repr(float(x)) for x in a])\n"+script)
}

// Vector writes numbers as the inside of R's c() or Python's list, with every digit.
func Vector(xs []float64) string {
	words := make([]string, len(xs))
	for i, x := range xs {
		words[i] = strconv.FormatFloat(x, 'g', -1, 64)
	}
	return strings.Join(words, ",")
}

// found holds the program that answered for each tool, so that one test binary looks once. Tests that ask do not run in
// parallel.
var found = map[string]string{}

func ask(t *testing.T, name string, programs, probe []string, suffix, script string) []float64 {
	t.Helper()
	program, known := found[name]
	if !known {
		for _, p := range programs {
			if program == "" && exec.Command(p, probe...).Run() == nil {
				program = p
			}
		}
		found[name] = program
	}
	if program == "" {
		if os.Getenv("NEEDLEBOOK_WIDER") == "1" {
			t.Fatalf("%s is not installed, and the wider run needs it", name)
		}
		t.Skipf("%s is not installed", name)
	}
	file := filepath.Join(t.TempDir(), "script"+suffix)
	if err := os.WriteFile(file, []byte(script), 0o600); err != nil {
		t.Fatal(err)
	}
	var complaints strings.Builder
	run := exec.Command(program, file)
	run.Stderr = &complaints
	out, err := run.Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s\nscript:\n%s", name, err, complaints.String(), script)
	}
	var numbers []float64
	for _, word := range strings.Fields(string(out)) {
		x, err := strconv.ParseFloat(word, 64)
		if err != nil {
			t.Fatalf("%s printed %q where a number was expected:\n%s", name, word, out)
		}
		numbers = append(numbers, x)
	}
	return numbers
}
