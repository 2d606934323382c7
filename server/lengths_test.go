package server

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coilwright/measure"
)

// TestPlainLengthsAreRead holds the page to what the server reads: a text that the page's
// own pattern calls plain is sent without being asked about first, so no such text may be
// refused here.
func TestPlainLengthsAreRead(t *testing.T) {
	source, err := os.ReadFile("../web/src/text/marks.ts")
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile(`(?s)export const plainLength =\s*/(\^.+?\$)/\n`).FindSubmatch(source)
	if found == nil {
		t.Fatal("the page's pattern plainLength is not in web/src/text/marks.ts")
	}
	pattern := strings.ReplaceAll(string(found[1]), `\/`, `/`)
	plain := regexp.MustCompile(pattern)
	for _, text := range []string{`10' 3"`, `7' 5 3/8"`, `36"`, `32'`, `2270 mm`, "0"} {
		if !plain.MatchString(text) {
			t.Errorf("%s is plain, and the page asks about it", text)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(pattern).Draw(t, "typed")
		for _, u := range []measure.Units{measure.Imperial, measure.Metric} {
			if v := sumOf([]Term{{Text: text, Times: "1"}}, u); v.Error != nil {
				t.Fatalf("%q: %s", text, v.Error.What)
			}
		}
	})
}
