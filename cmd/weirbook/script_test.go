package main

import (
	"fmt"
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestMain lets the command stories run this test binary as weirbook.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"weirbook": main,
	})
}

// TestStories runs the command stories of testdata/script; in short mode only
// the quick ones: the tests without -short have the others.
func TestStories(t *testing.T) {
	const dir = "../../testdata/script"
	p := testscript.Params{Dir: dir, Cmds: map[string]func(*testscript.TestScript, bool, []string){
		"status": status,
	}, Condition: func(cond string) (bool, error) {
		if cond == "root" { // may read everything
			return os.Geteuid() == 0, nil
		}
		return false, fmt.Errorf("unknown condition %q", cond)
	}}
	if testing.Short() {
		p.Dir = ""
		for _, story := range []string{"bad_input", "calc", "columns", "own_output", "units"} {
			p.Files = append(p.Files, dir+"/"+story+".txtar")
		}
	}
	testscript.Run(t, p)
}

// status runs weirbook and wants an exit status: status 2 weirbook run.
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status CODE weirbook ARGS...")
	}
	var want int
	switch args[0] {
	case "0", "1", "2", "3", "4":
		want = int(args[0][0] - '0')
	default:
		ts.Fatalf("status %s: not a status of this program", args[0])
	}
	err := ts.Exec(args[1], args[2:]...)
	got := 0
	if err != nil {
		got = -1
		var code interface{ ExitCode() int }
		if c, ok := err.(interface{ ExitCode() int }); ok {
			code = c
			got = code.ExitCode()
		}
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d: %v", got, want, err)
	}
}
