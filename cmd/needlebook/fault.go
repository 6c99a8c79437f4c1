package main

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"runtime"

	"needlebook/checks"
	"needlebook/logbook/budget"
	"needlebook/logbook/fault"
)

// faults tells what this program could not do though nothing in the book or the command stands in the way, and what to
// report. The rest of the work goes on; the exit status says that it was not all done.
func (p *program) faults(errs ...error) {
	p.telling.Lock()
	defer p.telling.Unlock()
	for _, err := range errs {
		fmt.Fprintf(p.err, "needlebook: %v\n", err)
	}
	if len(errs) > 0 && !p.faulty {
		p.faulty = true
		fmt.Fprintf(p.err, "needlebook: this is a fault of the program, not of the book; please report the line above with "+
			"this one:\n    %s, %s\n", p.verb, built())
	}
}

// notLookedAt tells which checks and which files this program failed at.
func (p *program) notLookedAt(r *checks.Report) {
	var errs []error
	for _, f := range r.Failed() {
		errs = append(errs, errors.New(f.Message))
	}
	p.faults(errs...)
}

// said tells an error: of a fault also what to report.
func (p *program) said(err error) {
	if isFault(err) {
		p.faults(err)
		return
	}
	fmt.Fprintf(p.err, "needlebook: %v\n", err)
}

// isFault says that an error is this program's own.
func isFault(err error) bool {
	var broken *fault.Fault
	return errors.As(err, &broken)
}

// built says which program this is: its name with the release, its commit, its system, and the digest of its file, as
// the list of checksums has it.
func built() string {
	return fmt.Sprintf("%s, commit %s, %s/%s, program SHA-256 %s", programName(), madeFrom(), runtime.GOOS,
		runtime.GOARCH, ownDigest())
}

// ownDigest is the digest of this program's file.
func ownDigest() string {
	name, err := os.Executable()
	if err != nil {
		return "not known"
	}
	file, err := budget.Open(name, math.MaxInt64)
	if err != nil {
		return "not known"
	}
	defer file.Close()
	h := sha256.New()
	if _, err := io.Copy(h, file); err != nil {
		return "not known"
	}
	return fmt.Sprintf("%.6x", h.Sum(nil))
}
