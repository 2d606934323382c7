package course

import (
	"math/rand/v2"
	"reflect"
	"testing"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
)

// row stands several random walls beside each other, under the first one's scheme.
func row(r *rand.Rand, walls int) Input {
	j := randomHouse(r)
	for len(j.House.Walls) < walls {
		w := randomHouse(r).House.Walls[0]
		w.ID = string(rune('a' + len(j.House.Walls)))
		j.House.Walls = append(j.House.Walls, w)
	}
	for i := range j.Scheme.Zones {
		for w := 1; w < walls; w++ {
			j.Scheme.Zones[i].Walls = append(j.Scheme.Zones[i].Walls, w)
		}
	}
	return j
}

// edits are what people change between two layouts, each on a house of its own.
var edits = []struct {
	name string
	do   func(r *rand.Rand, j *Input)
}{
	{"an opening moves", func(r *rand.Rand, j *Input) {
		w := &j.House.Walls[r.IntN(len(j.House.Walls))]
		if len(w.Openings) == 0 {
			return
		}
		w.Openings = append([]house.Opening{}, w.Openings...)
		o := &w.Openings[0]
		by := plane.Point{X: measure.Length(r.IntN(5)-2) * in / 16, Y: measure.Length(r.IntN(5)-2) * in / 16}
		ring := plane.Ring{}
		for _, p := range o.Outline {
			ring = append(ring, p.Add(by))
		}
		o.Outline = ring
	}},
	{"nothing", func(*rand.Rand, *Input) {}},
	{"how a wall was measured", func(r *rand.Rand, j *Input) {
		j.House.Walls[r.IntN(len(j.House.Walls))].Measured.PlusMinus += in
	}},
	{"the datum's range", func(r *rand.Rand, j *Input) { j.Scheme.Datum.High += measure.Length(r.IntN(9)) * in / 4 }},
	{"the datum is fixed", func(r *rand.Rand, j *Input) { j.Scheme.Datum.High = j.Scheme.Datum.Low }},
	{"a wall is taken out", func(r *rand.Rand, j *Input) {
		i := r.IntN(len(j.House.Walls))
		j.House.Walls = append(j.House.Walls[:i:i], j.House.Walls[i+1:]...)
		for z := range j.Scheme.Zones {
			j.Scheme.Zones[z].Walls = j.Scheme.Zones[z].Walls[:len(j.House.Walls)]
		}
	}},
	{"the book's sliver", func(r *rand.Rand, j *Input) { b := *j.Book; b.Sliver += in / 2; j.Book = &b }},
	{"the book's gap", func(r *rand.Rand, j *Input) { b := *j.Book; b.Gap.Min += in / 4; j.Book = &b }},
	{"a zone's texture", func(r *rand.Rand, j *Input) { j.Scheme.Zones[0].Texture += "x" }},
	{"the frieze", func(r *rand.Rand, j *Input) { j.Scheme.Frieze += in }},
}

// TestAfterIsLay: what was laid before changes nothing of what comes out.
func TestAfterIsLay(t *testing.T) {
	took := 0
	for seed := range uint64(30) {
		r := rand.New(rand.NewPCG(seed, 11))
		raw := seed%3 == 0
		j := row(r, 4)
		before := lay(t, j, raw)
		for range 6 {
			e := edits[r.IntN(len(edits))]
			next := j
			next.House.Walls = append([]house.Wall{}, j.House.Walls...)
			next.Scheme.Zones = append(next.Scheme.Zones[:0:0], j.Scheme.Zones...)
			if len(next.House.Walls) < 2 && e.name == "a wall is taken out" {
				continue
			}
			e.do(r, &next)
			want, err := Lay(next, raw)
			if err != nil {
				continue // an opening that left its wall: the house would be refused
			}
			got, err := LayAfter(next, raw, before)
			if err != nil {
				t.Fatalf("seed %d, %s: %v", seed, e.name, err)
			}
			for i := range next.House.Walls {
				if got.Stayed(before, i) {
					took++
				}
			}
			free, err := LookAtHeights(next, before)
			if err != nil || !reflect.DeepEqual(free.Datum, want.Datum) {
				t.Fatalf("seed %d, %s: heights %+v, %v; want %+v", seed, e.name, free.Datum, err, want.Datum)
			}
			before, j = got, next
			g, w := *got, *want
			g.kept, w.kept = nil, nil
			if !reflect.DeepEqual(g, w) {
				t.Fatalf("seed %d, %s: the layout after another is not the layout by itself: %+v, want %+v", seed, e.name, g.Totals, w.Totals)
			}
		}
	}
	if took < 100 {
		t.Errorf("only %d walls were taken over: the test shows little", took)
	}
}
