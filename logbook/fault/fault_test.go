package fault

import (
	"errors"
	"regexp"
	"strings"
	"testing"
)

// none is empty, and nobody can tell before the program runs.
var none = strings.Fields("")

func first() string { return none[0] }

func minus(n int) int { return -n }

// Whatever panics is told by what could not be done, what went wrong, and a line of ours without a path of the machine.
func TestCatch(t *testing.T) {
	place := regexp.MustCompile(`^logbook/fault/fault_test\.go:\d+$`)
	for name, work := range map[string]func() error{
		"at once":       func() error { _ = first(); return nil },
		"in a library":  func() error { _ = strings.Repeat("x", minus(1)); return nil },
		"shared":        func() error { Shared(first)(); return nil },
		"side by side":  func() error { var g Group; g.Go(func() { _ = first() }); g.Wait(); return nil },
		"in an order":   func() error { return Catch("read one file", func() error { panic(caughtFirst()) }) },
		"with a reason": func() error { panic("two words\nand a line") },
	} {
		err := Catch("do this", work)
		var f *Fault
		if !errors.As(err, &f) {
			t.Errorf("%s: %v is no fault", name, err)
			continue
		}
		if !place.MatchString(f.Where) || f.What == "" || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func caughtFirst() error { return Catch("look at the first", func() error { _ = first(); return nil }) }

// All who ask for a shared value that could not be made are told of the same line.
func TestSharedFault(t *testing.T) {
	value := Shared(first)
	ask := func() error { return Catch("ask", func() error { value(); return nil }) }
	if one, two := ask(), ask(); one == nil || two == nil || one.Error() != two.Error() {
		t.Errorf("first %v, then %v", one, two)
	}
}

// What goes well is not touched: values, errors, and work beside.
func TestNoFault(t *testing.T) {
	if v := Shared(func() int { return 7 })(); v != 7 {
		t.Errorf("the shared value is %d", v)
	}
	want := errors.New("no such file")
	if err := Catch("read", func() error { return want }); err != want {
		t.Errorf("%v, want %v", err, want)
	}
	told := make(chan error)
	Go("look", func() error { return want }, func(err error) { told <- err })
	if err := <-told; err != want {
		t.Errorf("from beside: %v", err)
	}
	Go("look", func() error { _ = first(); return nil }, func(err error) { told <- err })
	if err := <-told; !strings.HasPrefix(err.Error(), "could not look: index out of range") {
		t.Errorf("from beside: %v", err)
	}
}
