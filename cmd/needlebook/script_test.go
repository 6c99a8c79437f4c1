package main

import (
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// asProgram makes the test binary the program itself, for tests that need a process of its own.
const asProgram = "NEEDLEBOOK_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
	}
	testscript.Main(m, map[string]func(){
		"needlebook": func() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

// Each script is one use of the program, with its files in the same text.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{Dir: "testdata/script", Cmds: map[string]func(*testscript.TestScript, bool, []string){
		"status": status,
	}})
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
