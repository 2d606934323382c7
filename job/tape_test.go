package job_test

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coilwright/examples"
	"coilwright/job"
)

// step is one step of a path.
var step = regexp.MustCompile(`\.([a-z_]+)|\[(\d+)\]`)

// pedigreed sets how the number at a path is known.
func pedigreed(t interface{ Fatalf(string, ...any) }, doc any, path, by, plusMinus string) {
	steps := step.FindAllStringSubmatch(path, -1)
	for i, s := range steps {
		n, _ := strconv.Atoi(s[2])
		last := i == len(steps)-1
		switch d := doc.(type) {
		case map[string]any:
			doc = d[s[1]]
		case []any:
			if last {
				length := d[n]
				if o, ok := length.(map[string]any); ok {
					length = o["length"]
				}
				d[n] = map[string]any{"length": length, "measured": map[string]any{"by": by, "plus_minus": plusMinus}}
				return
			}
			doc = d[n]
		}
	}
	t.Fatalf("%s is no number of the job", path)
}

// alder is the example with its first scheme only.
func alder(t interface{ Fatalf(string, ...any) }) map[string]any {
	data, err := examples.Files.ReadFile("alder.json")
	if err != nil {
		t.Fatalf("%v", err)
	}
	var doc map[string]any
	if err := json.Unmarshal(data, &doc); err != nil {
		t.Fatalf("%v", err)
	}
	doc["schemes"] = doc["schemes"].([]any)[:1]
	return doc
}

func parsed(t interface{ Fatalf(string, ...any) }, doc any) *job.Job {
	text, err := json.Marshal(doc)
	if err != nil {
		t.Fatalf("%v", err)
	}
	j, found := job.Parse("alder.json", text, nil)
	if found.Fatal() {
		t.Fatalf("%v", found)
	}
	return &j
}

func tapeList(t interface{ Fatalf(string, ...any) }, doc any) job.TapeAnswer {
	a, err := parsed(t, doc).Tape()
	if err != nil {
		t.Fatalf("%v", err)
	}
	return a
}

// numbers are places of the example that some piece of scheme A depends on.
func numbers() []string {
	var out []string
	for wall, openings := range []int{4, 3, 5, 2} {
		at := fmt.Sprintf("$.house.walls[%d]", wall)
		out = append(out, at+".outline[1][0]", at+".outline[2][0]", at+".outline[2][1]")
		if wall%2 == 1 {
			out = append(out, at+".outline[3][0]", at+".outline[3][1]")
		}
		for k := range openings {
			for _, part := range []string{"at[0]", "at[1]", "size[0]", "size[1]"} {
				out = append(out, fmt.Sprintf("%s.openings[%d].%s", at, k, part))
			}
		}
	}
	return out
}

// The list is what the pieces wait for, neither more nor less: the layout's own
// grade of each piece is the judge.
func TestTapeListSettlesTheCutList(t *testing.T) {
	if a := tapeList(t, alder(t)); a.Waiting != 0 || len(a.Readings) != 0 || a.Next != nil || a.Pieces == 0 {
		t.Fatalf("%+v", a)
	}
	rapid.Check(t, func(t *rapid.T) {
		doc := alder(t)
		chosen := rapid.SliceOfNDistinct(rapid.SampledFrom(numbers()), 1, 6, rapid.ID).Draw(t, "numbers")
		for _, path := range chosen {
			pedigreed(t, doc, path, "photo", "1 in")
		}
		a := tapeList(t, doc)
		if a.Waiting == 0 || a.Next == nil {
			t.Fatalf("%v: %+v", chosen, a)
		}
		var listed []string
		for _, r := range a.Readings {
			listed = append(listed, r.Where)
			if len(r.Pieces) == 0 || !slices.Contains(chosen, r.Where) {
				t.Fatalf("%v: %+v", chosen, r)
			}
		}
		if !slices.Contains(listed, a.Next.Where) {
			t.Fatalf("%v: %+v", listed, a.Next)
		}
		skip := rapid.SampledFrom(listed).Draw(t, "left out")
		for round := 0; a.Waiting > 0 && round < 3; round++ {
			for _, r := range a.Readings {
				if r.Where != skip || round > 0 {
					pedigreed(t, doc, r.Where, "tape", "1/8 in")
				}
			}
			if a = tapeList(t, doc); round == 0 && a.Waiting == 0 {
				t.Fatalf("%v: nothing waits for %s", chosen, skip)
			}
		}
		if a.Waiting > 0 {
			t.Fatalf("%v: still %+v", chosen, a.Readings)
		}
	})
}

// One walks round the house with the walls at one's left hand, and each wall from
// its left end.
func TestTapeWalkingOrder(t *testing.T) {
	doc := alder(t)
	walls := doc["house"].(map[string]any)["walls"].([]any)
	walls[1], walls[2] = walls[2], walls[1] // listed south, north, east, west
	for _, w := range walls {
		w.(map[string]any)["measured"] = map[string]any{"by": "photo", "plus_minus": "1 in"}
	}
	a := tapeList(t, doc)
	var order []string
	for _, r := range a.Readings {
		if len(order) == 0 || order[len(order)-1] != r.Wall {
			order = append(order, r.Wall)
		}
	}
	if !slices.Equal(order, []string{"south", "east", "north", "west"}) {
		t.Errorf("walked %v", order)
	}
	if a.Waiting != a.Pieces || a.Readings[0].What != "the width of wall south" || a.Readings[0].Known != `photo +/- 1"` {
		t.Errorf("%+v", a.Readings[0])
	}
	text := fmt.Sprint(a.Cautions)
	for _, want := range []string{"from the ground where possible", "clear of power lines", "never leaning out from a ladder"} {
		if !strings.Contains(text, want) {
			t.Errorf("no caution says %q: %s", want, text)
		}
	}
}

// Of two numbers the one of the wider plus-minus is measured next; but not where a
// further reading gives it already. A wall over its old cladding waits as a whole.
func TestTapeNext(t *testing.T) {
	doc := alder(t)
	width, window := "$.house.walls[0].outline[1][0]", "$.house.walls[0].openings[1].size[0]"
	for path, plusMinus := range map[string]string{width: "2 in", "$.house.walls[0].outline[2][0]": "2 in", window: "3/8 in"} {
		pedigreed(t, doc, path, "photo", plusMinus)
	}
	walls := doc["house"].(map[string]any)
	delete(walls, "corners")
	if a := tapeList(t, doc); a.Next == nil || a.Next.Where != width || a.Next.Settled == 0 {
		t.Errorf("%+v", a.Next)
	}
	walls["readings"] = []any{map[string]any{"between": []any{"south.left", "south.right"}, "length": "34' 6\"", "measured": map[string]any{"plus_minus": "1/16 in"}}}
	if a := tapeList(t, doc); a.Next == nil || a.Next.Where != window || a.Next.Settled == 0 {
		t.Errorf("%+v", a.Next)
	}
	walls["walls"].([]any)[3].(map[string]any)["over"] = "old-cladding"
	a := tapeList(t, doc)
	if last := a.Readings[len(a.Readings)-1]; last.Where != "$.house.walls[3].over" || !strings.Contains(last.What, "over the substrate") || len(last.Pieces) == 0 {
		t.Errorf("%+v", last)
	}
}
