package course

import (
	"slices"

	"coilwright/measure"
	"coilwright/plane"
)

// chooseDatum finds the height in the scheme's range, a multiple of the step, at
// which the house has the fewest slivers, then the fewest rips and notches at
// heads and sills, then the least steel; ties go to the height nearest the middle
// of the range, then to the lower one.
//
// It is exact though it looks at few heights. As the datum rises, slivers, rips
// and notches change only where a course line passes a corner of a region, or
// comes within a sliver of one; between two such heights the steel is linear in
// the datum, so that its least value stands at one of them. Looked at are
// therefore the multiples of the step at and on either side of each such height,
// the ends of the range, and the middle for the ties.
func (l *layer) chooseDatum() (DatumChoice, error) {
	d := l.in.Scheme.Datum
	c := DatumChoice{Datum: d.Middle(), Plain: d.Middle()}
	if !d.Free() {
		return c, nil
	}
	heights := l.heights()
	if len(heights) == 0 {
		return c, nil
	}
	c.Chosen, c.Looked = true, len(heights)
	var err error
	if c.AtPlain, err = l.scoreAt(c.Plain); err != nil {
		return c, err
	}
	for i, h := range heights {
		s, err := l.scoreAt(h)
		if err != nil {
			return c, err
		}
		c.Heights = append(c.Heights, HeightScore{h, s})
		if i == 0 || s.Less(c.Best) || !c.Best.Less(s) && nearer(h, c.Datum, c.Plain) {
			c.Datum, c.Best = h, s
		}
		if i == 0 || c.Worst.Less(s) {
			c.WorstDatum, c.Worst = h, s
		}
	}
	return c, nil
}

// nearer says whether a lies nearer to the middle than b, or as near and lower.
func nearer(a, b, middle measure.Length) bool {
	da, db := (a - middle).Abs(), (b - middle).Abs()
	return da < db || da == db && a < b
}

// scoreAt judges every share that counts from the house's datum.
func (l *layer) scoreAt(datum measure.Length) (Score, error) {
	var sum Score
	for i := range l.walls {
		s, err := l.scoreOf(i, datum)
		if err != nil {
			return sum, err
		}
		sum = sum.add(s)
	}
	return sum, nil
}

// scoreOf judges one wall, unless it was judged at that height before.
func (l *layer) scoreOf(wall int, datum measure.Length) (sum Score, err error) {
	w, old := l.walls[wall], l.old[wall]
	if old != nil {
		if s, ok := old.scores[datum]; ok {
			w.scores[datum] = s
			return s, nil
		}
	}
	for _, sh := range w.onDatum {
		p := l.panels[sh.zone]
		g, err := levelGrid(datum, p.Cover(), sh.low, sh.high)
		if err != nil {
			return sum, err
		}
		parts := l.cutter.Bands(sh.rings, g.lines)
		sum = sum.add(l.judging.judge(parts, g, sh.bounds, p, l.in.Book.Sliver))
	}
	w.scores[datum] = sum
	return sum, nil
}

// heights lists the heights worth looking at, ascending.
func (l *layer) heights() []measure.Length {
	d, step := l.in.Scheme.Datum, l.step
	seen := map[measure.Length]bool{}
	add := func(h measure.Length) {
		for _, x := range [...]measure.Length{h.FloorTo(step) - step, h.FloorTo(step), h.CeilTo(step), h.CeilTo(step) + step} {
			if x >= d.Low && x <= d.High {
				seen[x] = true
			}
		}
	}
	add(d.Low)
	add(d.High)
	add(d.Middle())
	for _, w := range l.walls {
		for _, sh := range w.onDatum {
			cover := l.panels[sh.zone].Cover()
			for _, y := range cornerHeights(sh.rings) {
				for _, v := range [...]measure.Length{y, y - l.in.Book.Sliver, y + l.in.Book.Sliver} {
					for h := d.Low + modulo(v-d.Low, cover); h <= d.High; h += cover {
						add(h)
					}
				}
			}
		}
	}
	out := make([]measure.Length, 0, len(seen))
	for h := range seen {
		out = append(out, h)
	}
	slices.Sort(out)
	return out
}

func modulo(a, m measure.Length) measure.Length { return a - a.FloorTo(m) }

func cornerHeights(rings []plane.TaggedRing) []measure.Length {
	var out []measure.Length
	for _, r := range rings {
		for _, p := range r.Points {
			out = append(out, p.Y)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
