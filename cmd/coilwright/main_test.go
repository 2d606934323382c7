package main

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"coilwright": main})
}

// TestScripts runs the stories in testdata: each is one thing that a person does.
// -update refreshes what they expect.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:           "testdata",
		UpdateScripts: *update,
		Cmds:          map[string]func(*testscript.TestScript, bool, []string){"repeat": repeat, "sparse": sparse, "photo": drawPhoto, "jpeg": checkJPEG},
	})
}

// repeat NAME COUNT TEXT writes TEXT over and over: for deep or long files.
func repeat(ts *testscript.TestScript, _ bool, args []string) {
	n, err := strconv.Atoi(args[1])
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.Repeat(args[2], n)), 0o666))
}

// sparse NAME BYTES makes a file of that size which takes no room.
func sparse(ts *testscript.TestScript, _ bool, args []string) {
	n, err := strconv.ParseInt(args[1], 10, 64)
	ts.Check(err)
	f, err := os.Create(ts.MkAbs(args[0]))
	ts.Check(err)
	ts.Check(f.Truncate(n))
	ts.Check(f.Close())
}
