package job

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"coilwright/examples"
)

// The answer to a spoiled piece of the demo house fits its schema, and the number on the
// piece serves as well as its id.
func TestRecutOfTheDemo(t *testing.T) {
	j, found := Parse("alder.json", examples.Demo, nil)
	if found.Fatal() {
		t.Fatal(found)
	}
	r, err := j.Run("A")
	if err != nil {
		t.Fatal(err)
	}
	p := r.Layout.Pieces[3]
	byID, err := j.Recut(r, []string{p.ID}, "")
	if err != nil {
		t.Fatal(err)
	}
	byNumber, err := j.Recut(r, []string{p.Number}, p.Number)
	if err != nil || len(byID.Given) != 1 || byID.Given[0] != byNumber.Given[0] {
		t.Errorf("%+v, %+v, %v", byID.Given, byNumber.Given, err)
	}
	data, err := json.Marshal(j.RecutAnswer(byID))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "recut.json")
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	if out := validate(t, "recut="+path); out != "" {
		t.Error(out)
	}
}
