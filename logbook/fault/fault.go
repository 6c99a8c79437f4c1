// Package fault keeps a mistake of this program from reaching a person as a crash: a panic in one page, one check or
// one file becomes an error that says what could not be done and at which line of ours, and the rest of the work goes
// on. Every room uses it, and nothing else recovers or starts a goroutine.
//
// Begin with [Catch].
package fault

import (
	"fmt"
	"path"
	"runtime"
	"strings"
	"sync"
)

// Fault is a failure of this program's own work.
type Fault struct {
	Doing string // what could not be done: "make the page charts.html"; empty where nobody has said it yet
	What  string // what went wrong, in the words of the machine
	Where string // file and line of ours, as site/drawings.go:236; never a path of a machine
}

// Error is one line: what could not be done, what went wrong, and where.
func (f *Fault) Error() string {
	doing := f.Doing
	if doing == "" {
		doing = "go on"
	}
	return fmt.Sprintf("could not %s: %s at %s", doing, f.What, f.Where)
}

// Catch does some work, and returns a [*Fault] where it panics. Doing says what could not be done then: "make the page
// due.html".
func Catch(doing string, work func() error) (err error) {
	defer func() {
		if f := caught(recover()); f != nil {
			err = &Fault{doing, f.What, f.Where}
		}
	}()
	return work()
}

// Shared is [sync.OnceValue], but for the place of a panic, which all who ask for the value are told.
func Shared[T any](work func() T) func() T {
	return sync.OnceValue(func() (v T) {
		defer raise()
		return work()
	})
}

// Go does some work beside the caller, who is told of a fault, from beside, where there is one.
func Go(doing string, work func() error, failed func(error)) {
	go func() {
		if err := Catch(doing, work); err != nil {
			failed(err)
		}
	}()
}

// Group is work done side by side. Its zero value is ready for use.
type Group struct {
	workers sync.WaitGroup
	mu      sync.Mutex
	first   *Fault
}

// Go does some work beside the caller.
func (g *Group) Go(work func()) { g.workers.Go(func() { g.Do(work) }) }

// Do does one piece of such work, so that its worker goes on to the next one, and whoever hands them out does not wait
// for ever.
func (g *Group) Do(work func()) {
	defer func() {
		if f := caught(recover()); f != nil {
			g.mu.Lock()
			defer g.mu.Unlock()
			if g.first == nil {
				g.first = f
			}
		}
	}()
	work()
}

// Wait waits until all is done. Where some of it panicked, Wait panics with the fault, in the goroutine of the caller.
func (g *Group) Wait() {
	g.workers.Wait()
	if g.first != nil {
		panic(g.first)
	}
}

// raise lets a panic go on as a fault that knows its place.
func raise() {
	if f := caught(recover()); f != nil {
		panic(f)
	}
}

// caught makes a fault of what recover gave; nil of nil.
func caught(r any) *Fault {
	switch r := r.(type) {
	case nil:
		return nil
	case *Fault:
		return r
	}
	what := strings.TrimPrefix(fmt.Sprint(r), "runtime error: ")
	return &Fault{What: strings.Join(strings.Fields(what), " "), Where: ours()}
}

// module is the path of this program's packages; its main package calls itself main.
const module, command = "needlebook/", "cmd/needlebook"

// ours is the innermost line of this program, outside of this package, on the stack of a panic.
func ours() string {
	var calls [64]uintptr
	frames := runtime.CallersFrames(calls[:runtime.Callers(0, calls[:])])
	for panicked := false; ; {
		f, more := frames.Next()
		if panicked {
			if at := place(f); at != "" {
				return at
			}
		}
		panicked = panicked || f.Function == "runtime.gopanic"
		if !more {
			return "a place outside of its own files"
		}
	}
}

// place is file and line of a frame of ours, by the package it belongs to, so that no path of the machine that built it
// shows.
func place(f runtime.Frame) string {
	end := strings.LastIndexByte(f.Function, '/') + 1
	name, _, _ := strings.Cut(f.Function[end:], ".")
	folder := strings.TrimPrefix(f.Function[:end]+name, module)
	switch {
	case folder == "main":
		folder = command
	case !strings.HasPrefix(f.Function, module), folder == "logbook/fault" && !strings.HasSuffix(f.File, "_test.go"):
		return ""
	}
	return fmt.Sprintf("%s/%s:%d", folder, path.Base(strings.ReplaceAll(f.File, `\`, "/")), f.Line)
}
