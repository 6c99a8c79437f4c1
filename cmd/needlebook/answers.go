package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"needlebook/logbook/budget"
)

// answers are what was answered to the questions of a verb. Each is kept in a file as soon as it was taken, so that a
// broken connection or Ctrl-C loses none; the next run takes them up. A line is a question, a tab and its answer; the
// last line of a question counts.
type answers struct {
	file  string
	given map[string]string // by question
}

// keptAnswers are those beside the folder that is to be made.
func keptAnswers(dir string) (*answers, error) {
	a := &answers{file: filepath.Clean(dir) + ".answers", given: map[string]string{}}
	text, err := budget.Read(a.file, budget.MaxFile)
	if errors.Is(err, fs.ErrNotExist) {
		return a, nil
	}
	if err != nil {
		return nil, fmt.Errorf("could not read the answers of an earlier run: %w", err)
	}
	for line := range strings.Lines(strings.TrimPrefix(string(text), "\ufeff")) { // an editor may have saved it
		if question, answer, whole := strings.Cut(strings.TrimRight(line, "\r\n"), "\t"); whole &&
			strings.HasSuffix(line, "\n") {
			a.given[question] = answer
		}
	}
	return a, nil
}

// keep adds an answer to the file, and returns when the disk has it. What a cut left of a line is ended first.
func (a *answers) keep(question, answer string) error {
	if err := os.MkdirAll(filepath.Dir(a.file), 0o777); err != nil {
		return fmt.Errorf("could not keep the answers: %w", err)
	}
	before, err := budget.Read(a.file, budget.MaxFile)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("could not keep the answers: %w", err)
	}
	end := ""
	if n := len(before); n > 0 && before[n-1] != '\n' {
		end = "\n"
	}
	f, err := os.OpenFile(a.file, os.O_CREATE|os.O_WRONLY|os.O_APPEND|budget.NeverWait, 0o600)
	if err != nil {
		return fmt.Errorf("could not keep the answers: %w", err)
	}
	_, err = fmt.Fprintf(f, "%s%s\t%s\n", end, question, answer)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return fmt.Errorf("could not keep the answers: %w", err)
	}
	a.given[question] = answer
	return nil
}

// exist says that there are answers to take up.
func (a *answers) exist() bool {
	_, err := os.Stat(a.file)
	return err == nil
}

// done takes the file away: what was answered has been used.
func (a *answers) done() error {
	if err := os.Remove(a.file); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("could not take away the answers: %w", err)
	}
	return nil
}
