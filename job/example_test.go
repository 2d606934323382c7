package job_test

import (
	"io/fs"
	"math"
	"math/big"
	"slices"
	"testing"

	"coilwright/examples"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/steel"
)

// area is the signed area of a ring in square metres by the shoelace rule, exact
// until the last step: it shares no code with package plane.
func area(r plane.Ring) float64 {
	sum := new(big.Int)
	for i, p := range r {
		q := r[(i+1)%len(r)]
		sum.Add(sum, new(big.Int).Mul(big.NewInt(int64(p.X)), big.NewInt(int64(q.Y))))
		sum.Sub(sum, new(big.Int).Mul(big.NewInt(int64(q.X)), big.NewInt(int64(p.Y))))
	}
	f, _ := new(big.Rat).SetFrac(sum, big.NewInt(2e18)).Float64()
	return f
}

// net is a wall's area less its openings.
func net(w house.Wall) float64 {
	a := area(w.Outline)
	for _, o := range w.Openings {
		a -= area(o.Outline)
	}
	return a
}

// The net areas that the published models state (AC11-FZK-Haus, IfcElementQuantity
// of its ground-floor outside walls) or hold (CityGML LOD3 sample house, outer
// rings less inner rings).
func TestPublishedNetAreas(t *testing.T) {
	for name, want := range map[string]map[string]float64{
		"fzk-house.json":     {"ERDG-1": 20.1699, "ERDG-2": 25.2, "ERDG-3": 22.2, "ERDG-4": 22.82625},
		"citygml-house.json": {"south": 27, "north": 30, "east": 18, "west": 20},
	} {
		j := read(t, name)
		for _, w := range j.House.Walls {
			if got := net(w); math.Abs(got-want[w.ID]) > 1e-9 {
				t.Errorf("%s: wall %s has %.9f m2, the model %.9f", name, w.ID, got, want[w.ID])
			}
			delete(want, w.ID)
		}
		if len(want) > 0 {
			t.Errorf("%s: walls missing: %v", name, want)
		}
	}
}

// Every outline of the examples is simple and counter-clockwise, every opening lies
// in its wall's box, and the corners' edges are equally high.
func TestExamplesAreSound(t *testing.T) {
	all, _ := fs.Glob(examples.Files, "*.json")
	for _, name := range all {
		j := read(t, name)
		for _, w := range j.House.Walls {
			if fault, a, b := w.Outline.Check(); fault != plane.Sound || area(w.Outline) <= 0 {
				t.Errorf("%s: wall %s: fault %v at %d, %d; area %f", name, w.ID, fault, a, b, area(w.Outline))
			}
			box := w.Outline.Box()
			for k, o := range w.Openings {
				b := o.Outline.Box()
				for _, other := range w.Openings[:k] {
					if b.Overlaps(other.Outline.Box()) {
						t.Errorf("%s: openings %s and %s of wall %s overlap", name, other.ID, o.ID, w.ID)
					}
				}
				if area(o.Outline) <= 0 || b.Min.X < box.Min.X || b.Min.Y < box.Min.Y || b.Max.X > box.Max.X || b.Max.Y > box.Max.Y {
					t.Errorf("%s: opening %s of wall %s sticks out or has no area", name, o.ID, w.ID)
				}
			}
		}
		for k, c := range j.House.Corners {
			if a, b := heights(j.House, c.Between[0]), heights(j.House, c.Between[1]); a != b {
				t.Errorf("%s: corner %d joins %v and %v", name, k, a, b)
			}
		}
	}
}

func heights(h house.House, e house.EdgeRef) [2]measure.Length {
	a, b := h.Walls[e.Wall].Edge(e.Edge)
	return [2]measure.Length{min(a.Y, b.Y), max(a.Y, b.Y)}
}

func TestDemoIsWhatItSays(t *testing.T) {
	j := read(t, "alder.json")
	south := j.House.Walls[0]
	if got := south.Outline[2]; got != (plane.Point{X: 414 * measure.Inch, Y: 109 * measure.Inch}) {
		t.Errorf("south wall ends at %v", got)
	}
	if got := south.Openings[2].Outline[2]; got != (plane.Point{X: 313*measure.Inch + 14*measure.Sixteenth, Y: 93*measure.Inch + 10*measure.Sixteenth}) {
		t.Errorf("S3 ends at %v", got)
	}
	tape := house.Pedigree{By: house.Tape, PlusMinus: measure.Inch / 8}
	if got := south.Openings[0].Readings; len(got) != 4 || got[2] != [2]house.Pedigree{tape, tape} {
		t.Errorf("readings of S1: %v", got)
	}
	if !slices.Equal(south.Overhang, []measure.Length{0, 0, 16 * measure.Inch, 0}) {
		t.Errorf("overhang %v", south.Overhang)
	}
	if c := j.House.Corners[0]; c.Between != [2]house.EdgeRef{{Wall: 0, Edge: 1}, {Wall: 1, Edge: 4}} || !c.Outside {
		t.Errorf("first corner %v", c)
	}
	if d := j.Schemes[0].Datum; d.Low != -measure.Inch || d.High != measure.Inch {
		t.Errorf("datum %v", d)
	}
	if p, ok := j.Book.Panel("dutch-double-5"); !ok || p.Cover() != 10*measure.Inch || p.Kind != steel.Horizontal {
		t.Errorf("dutch-double-5: %v", p)
	}
}
