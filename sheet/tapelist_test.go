package sheet_test

import (
	"strings"
	"testing"
	"time"

	"coilwright/examples"
	"coilwright/job"
	"coilwright/sheet"
)

// What is left to measure stands on a paper of its own, high places marked; what is
// cut all the same stands on the run sheet with the name of who answers for it.
func TestTapeListAndWord(t *testing.T) {
	text := strings.Replace(string(examples.Demo), `"plus_minus": "1/8 in"`, `"plus_minus": "1 in"`, 1)
	j, found := job.Parse("demo.json", []byte(text), nil)
	if found.Fatal() || text == string(examples.Demo) {
		t.Fatal(found)
	}
	r, err := j.RunOnWord("A", "Robin Invented")
	if err != nil {
		t.Fatal(err)
	}
	in, err := sheet.Of(&j, "A", r, nil)
	if err != nil {
		t.Fatal(err)
	}
	in.Date = time.Unix(0, 0)
	files := papers(t, in)
	list := pdfText(t, files["tape-list.pdf"])
	for _, want := range []string{"GROUND", "POWER LINES", "If you read only one", "the width of wall south", "(HIGH)", "Read by"} {
		if !strings.Contains(list, want) {
			t.Errorf("the tape list lacks %q", want)
		}
	}
	if n := len(in.Tape.Readings); n == 0 || strings.Count(list, "wall south") < n/3 {
		t.Errorf("%d numbers", n)
	}
	run := pdfText(t, files["run-sheet.pdf"])
	if !strings.Contains(run, "CUT ON THE WORD OF ROBIN INVENTED") || !strings.Contains(run, "on the word of") {
		t.Error("the run sheet does not name who answers")
	}
	whole, found := job.Parse("demo.json", examples.Demo, nil)
	if found.Fatal() {
		t.Fatal(found)
	}
	if r, err = whole.Run("A"); err != nil {
		t.Fatal(err)
	}
	if in, err = sheet.Of(&whole, "A", r, nil); err != nil {
		t.Fatal(err)
	}
	if _, there := papers(t, in)["tape-list.pdf"]; there {
		t.Error("a tape list of nothing")
	}
}
