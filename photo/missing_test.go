package photo_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"coilwright/photo"
)

// TestWhatIsMissing: each lack is said with its place and mend.
func TestWhatIsMissing(t *testing.T) {
	b := box()
	good := func() photo.Marks {
		c := around(photo.Lens{Focal: 1200, CX: 800, CY: 600}, photo.Vec{X: 700, Y: -330, Z: 60}, photo.Vec{X: 192, Y: 146, Z: 50})
		m := taped(shot(t, c, b[0], b[1]), "south4", "south5", 36)
		m.Corners = []photo.MarkedCorner{corner("south", "east")}
		return m
	}
	if _, err := photo.Solve(good()); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		spoil func(*photo.Marks)
		where string
		says  string
	}{
		"no length":   {func(m *photo.Marks) { m.Lengths = nil }, "walls.south", "no known length"},
		"no corner":   {func(m *photo.Marks) { m.Corners = nil }, "walls.east", "no known length reaches"},
		"no walls":    {func(m *photo.Marks) { m.Walls = nil }, "walls", "no wall"},
		"no size":     {func(m *photo.Marks) { m.Width = 0 }, "photo", "size is not known"},
		"clockwise":   {func(m *photo.Marks) { o := m.Walls[0].Outline; o[1], o[3] = o[3], o[1] }, "walls.south", "clockwise"},
		"two corners": {func(m *photo.Marks) { m.Walls[0].Outline = m.Walls[0].Outline[:2] }, "walls.south", "three corners"},
		"collinear window": {func(m *photo.Marks) {
			p := m.Points["south4"]
			for k := 5; k < 8; k++ {
				m.Points[fmt.Sprintf("south%d", k)] = photo.Pixel{U: p.U + float64(10*k), V: p.V + float64(5*k)}
			}
		}, "walls.south.south1", "no area"},
		"unknown point":    {func(m *photo.Marks) { m.Walls[0].Outline[0] = "nowhere" }, "walls.south", `no point is named "nowhere"`},
		"far outside":      {func(m *photo.Marks) { m.Points["south0"] = photo.Pixel{U: 1e9} }, "points.south0", "far outside"},
		"not a number":     {func(m *photo.Marks) { m.Points["south0"] = photo.Pixel{U: math.NaN()} }, "points.south0", "far outside"},
		"length nowhere":   {func(m *photo.Marks) { m.Points["q"] = photo.Pixel{}; m.Lengths[0].Between[0] = "q" }, "lengths[0]", "no marked wall"},
		"length of one":    {func(m *photo.Marks) { m.Lengths[0].Between[0] = "south5" }, "lengths[0]", "both its ends"},
		"corner misnamed":  {func(m *photo.Marks) { m.Corners[0].Between[0] = "south.top" }, "corners[0].between[0]", "names no edge"},
		"corner of none":   {func(m *photo.Marks) { m.Corners[0].Between[0] = "attic.left" }, "corners[0].between[0]", "no wall is named"},
		"corner with self": {func(m *photo.Marks) { m.Corners[0].Between[0] = "east.right" }, "corners[0]", "does not meet itself"},
		"short line":       {func(m *photo.Marks) { m.Straight = [][]string{{"south0", "south1"}} }, "straight[0]", "always straight"},
		"no direction":     {func(m *photo.Marks) { m.Walls[1].Free, m.Walls[1].Openings = true, nil }, "walls.east", "which way the wall runs"},
	} {
		m := good()
		c.spoil(&m)
		_, err := photo.Solve(m)
		var bad *photo.MarksError
		if !errors.As(err, &bad) {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if bad.Where != c.where || !strings.Contains(bad.What, c.says) || bad.Mend == "" {
			t.Errorf("%s: %v", name, bad)
		}
	}
	if _, err := photo.Solve(); err == nil {
		t.Error("no photo at all")
	}
}

// TestContradictions: one mark on a wrong corner, and one tape that contradicts
// another, are named.
func TestContradictions(t *testing.T) {
	shots := fourShots(t, photo.Lens{Focal: 1200, CX: 800, CY: 600})
	m := shots[0]
	px := m.Points["south6"]
	m.Points["south6"] = photo.Pixel{U: px.U + 25, V: px.V}
	sol, err := photo.Solve(m)
	if err != nil {
		t.Fatal(err)
	}
	if len(sol.Doubts) == 0 || len(sol.Doubts) > 3 || !strings.HasPrefix(sol.Doubts[0].Where, "points.south") || sol.Factor <= 1 {
		t.Errorf("a mark 25 px off: factor %g, %v", sol.Factor, sol.Doubts)
	}
	m = taped(taped(fourShots(t, photo.Lens{Focal: 1200, CX: 800, CY: 600})[0], "south0", "south1", 384), "south7", "south6", 31)
	sol, err = photo.Solve(m)
	if err != nil {
		t.Fatal(err)
	}
	said := ""
	for _, d := range sol.Doubts {
		said += d.Where + " " + d.Text + "; "
	}
	// The window's own width, taped too, may be the wrong one as well.
	if !strings.Contains(said, "lengths[2] 2' 7\" does not fit the rest; about 3' would") || strings.Contains(said, "lengths[1]") {
		t.Errorf("a tape five inches short: %v", sol.Doubts)
	}
}
