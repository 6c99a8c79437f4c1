package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// asProgram makes the test binary the program itself, for tests that need a process of its own.
const asProgram = "NEEDLEBOOK_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if _, set := os.LookupEnv("NEEDLEBOOK_CACHE"); !set {
		os.Setenv("NEEDLEBOOK_CACHE", "") // a test leaves nothing in the developer's own
	}
	if os.Getenv(asProgram) != "" {
		main()
	}
	// No test reads or writes what the person who runs it remembers of his books: one that needs a memory names its own.
	if os.Getenv("NEEDLEBOOK_MEMORY") == "" {
		os.Setenv("NEEDLEBOOK_MEMORY", filepath.Join(os.DevNull, "none"))
	}
	testscript.Main(tests{m}, map[string]func(){
		"needlebook": main,
	})
}

// Each script is one use of the program, with its files in the same text.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{Dir: "testdata/script", Cmds: map[string]func(*testscript.TestScript, bool, []string){
		"status": status,
	}, Setup: ownMemory})
}

// ownMemory gives each script a memory and a cache of its own.
func ownMemory(e *testscript.Env) error {
	e.Setenv("NEEDLEBOOK_CACHE", filepath.Join(e.WorkDir, ".tmp", "own"))
	e.Setenv("NEEDLEBOOK_MEMORY", filepath.Join(e.WorkDir, ".memory"))
	return nil
}

// status runs the program and compares the exit status: status 2 check --fail-on never.
func status(ts *testscript.TestScript, neg bool, args []string) {
	want := args[0]
	err := ts.Exec("needlebook", args[1:]...)
	got := "0"
	if err != nil {
		got = err.Error()[len("exit status "):]
	}
	if got != want {
		ts.Fatalf("needlebook %v: exit status %s, want %s", args[1:], got, want)
	}
}
