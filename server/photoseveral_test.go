package server_test

import (
	"fmt"
	"strings"
	"testing"
)

// TestSeveralPhotos: two photos of one wall are measured together and know more than
// one; a photo just begun takes nothing away from one that is done; walls of photos
// that have nothing in common each need a tape number of their own.
func TestSeveralPhotos(t *testing.T) {
	s := here(t)
	job, file := s.scene("alder")
	s.withPhoto(job, "P2", fileOf(t, "scenes", "alder", "before.jpg"))
	one, two := sceneMarks(t, "alder", file, 0.5), sceneMarks(t, "alder", file, 0)
	ask := func(second map[string]any) map[string]any {
		return s.want(200, "POST", job+"/photos/measure", fmt.Sprintf(`{"photos":[{"photo":"P1","marks":%s},{"photo":"P2","marks":%s}]}`, text(t, one), text(t, second)))
	}
	base := func(got map[string]any) float64 { return at(got, "sizes", 0, "plus_minus_in").(float64) }
	alone := s.want(200, "POST", job+"/photos/measure", measured(text(t, one)))
	both := ask(two)
	photos := map[any]int{}
	for _, r := range both["residuals"].([]any) {
		photos[at(r, "photo")]++
	}
	if photos["P1"] != 20 || photos["P2"] != 20 || len(both["walls"].([]any)) != 1 || base(both) >= base(alone) {
		t.Errorf("together: residuals %v, plus-minus %.2f, alone %.2f", photos, base(both), base(alone))
	}
	begun := sceneMarks(t, "alder", file, 0)
	w := at(begun, "walls", 0).(map[string]any)
	w["outline"] = w["outline"].([]any)[:2]
	got := ask(begun)
	if at(got, "lacking", 0, "photo") != "P2" || len(got["lacking"].([]any)) != 1 || base(got) != base(alone) {
		t.Errorf("one just begun: lacking %v, plus-minus %.2f, alone %.2f", got["lacking"], base(got), base(alone))
	}
	other := sceneMarks(t, "alder", file, 0)
	at(other, "walls", 0).(map[string]any)["id"] = "back"
	delete(other, "lengths")
	got = ask(other)
	if what, _ := at(got, "lacking", 0, "what").(string); !strings.Contains(what, "no known length") || len(got["walls"].([]any)) != 1 {
		t.Errorf("a wall of its own without a tape number: %v", got["lacking"])
	}
}
