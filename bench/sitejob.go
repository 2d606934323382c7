package bench

import (
	"encoding/json"
	"fmt"
)

// SiteJob is the text of an invented job whose scheme A has at least so many pieces: a
// row of three-storey walls with windows in every second course, taped and fit to cut.
func SiteJob(pieces int) []byte {
	var walls []any
	for n := 0; n*perWall < pieces; n++ {
		walls = append(walls, siteWall(n))
	}
	text, err := json.Marshal(map[string]any{
		"format": "coilwright/job@1", "title": "Long Row (invented)",
		"house": map[string]any{"walls": walls},
		"schemes": []any{map[string]any{
			"id": "A", "title": "Dutch lap",
			"zones": []any{map[string]any{"id": "field", "walls": "all", "where": "rest", "panel": "dutch-double-5", "texture": "grain", "colour": "slate"}},
		}},
		"shop": map[string]any{"use": "demo"},
	})
	if err != nil {
		panic(err) // maps of texts and numbers always encode
	}
	return text
}

// perWall is the fewest pieces of one wall: 35 courses, of which the windows' are cut
// into several.
const perWall = 70

func siteWall(n int) map[string]any {
	var openings []any
	for row := range 3 {
		for i := range 3 {
			openings = append(openings, map[string]any{
				"id": fmt.Sprintf("o%d", row*3+i+1), "kind": "window", "at": []any{60 + 140*i + n, 36 + 110*row}, "size": []any{36 + i, 50},
			})
		}
	}
	high := 350
	return map[string]any{
		"id": fmt.Sprintf("w%d", n+1), "outline": []any{[]int{0, 0}, []int{480 + n, 0}, []int{480 + n, high}, []int{0, high}},
		"edges": []string{"base", "outside-corner", "eave", "outside-corner"}, "openings": openings,
		"measured": map[string]any{"by": "tape", "plus_minus": "1/16 in"},
	}
}
