package course

import (
	"math"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/scheme"
)

// share is one zone's region on one wall, tagged.
type share struct {
	zone, wall int
	region     plane.Region
	rings      []plane.TaggedRing
	low, high  measure.Length // span of the rings
	bounds     *outline
	own        bool // its courses count from its own lowest line
}

// face is one wall divided among the frieze and the zones.
type face struct {
	wall   int
	frieze plane.Region
	shares []share
	bare   plane.Region // taken by no zone
}

// divideWall gives every zone its region on one wall, and the frieze its own.
func divideWall(w house.Wall, index int, s scheme.Scheme) (face, error) {
	f := face{wall: index}
	openings := make([]plane.Ring, len(w.Openings))
	for i, o := range w.Openings {
		openings[i] = o.Outline
	}
	base, err := plane.Punch(w.Outline, openings)
	if err != nil {
		return f, err
	}
	strips := friezeStrips(w, s.Frieze)
	left := base
	if len(strips) > 0 {
		board, err := boardRegion(strips)
		if err != nil {
			return f, err
		}
		if f.frieze, err = plane.Common(base, board); err != nil {
			return f, err
		}
		if left, err = plane.Minus(base, board); err != nil {
			return f, err
		}
	}
	return f, f.shareOut(w, left, s, newOutline(w, strips))
}

// shareOut lets the zones take, in order, what they describe of what is left.
func (f *face) shareOut(w house.Wall, left plane.Region, s scheme.Scheme, bounds *outline) error {
	for k, z := range s.Zones {
		if !takes(z, f.wall) || len(left) == 0 {
			continue
		}
		took, rest, err := take(z.Where, w, left)
		if err != nil {
			return err
		}
		left = rest
		if len(took) > 0 {
			sh := share{zone: k, wall: f.wall, region: took, rings: bounds.rings(took), bounds: bounds}
			sh.low, sh.high = span(sh.rings)
			f.shares = append(f.shares, sh)
		}
	}
	f.bare = left
	return nil
}

func takes(z scheme.Zone, wall int) bool {
	for _, i := range z.Walls {
		if i == wall {
			return true
		}
	}
	return false
}

// take parts a wall's region into what a zone describes and the rest.
func take(z scheme.Where, w house.Wall, left plane.Region) (took, rest plane.Region, err error) {
	b := w.Outline.Box()
	low, high := b.Min.Y, b.Max.Y
	switch z.Kind {
	case scheme.Below:
		high = z.Height
	case scheme.Above:
		low = z.Height
	case scheme.Gable:
		foot, ok := rakeFoot(w)
		if !ok {
			return nil, left, nil
		}
		low = foot
	case scheme.Outline:
		return within(z.Ring, left)
	}
	took, rest = left.Between(low, high)
	return took, rest, nil
}

// within parts a region by a ring, which may run either way.
func within(r plane.Ring, g plane.Region) (inside, rest plane.Region, err error) {
	if !r.CounterClockwise() {
		r = r.Reversed()
	}
	mask := plane.Region{{Outer: r}}
	if inside, err = plane.Common(g, mask); err != nil {
		return nil, nil, err
	}
	rest, err = plane.Minus(g, mask)
	return inside, rest, err
}

// rakeFoot is the height of the lowest end of the wall's rakes.
func rakeFoot(w house.Wall) (foot measure.Length, ok bool) {
	for i, kind := range w.Edges {
		if kind != house.Rake {
			continue
		}
		a, b := w.Edge(i)
		if y := min(a.Y, b.Y); !ok || y < foot {
			foot, ok = y, true
		}
	}
	return foot, ok
}

// friezeStrip is the board along one eave or rake: a quadrangle, or a triangle
// where its neighbours leave no lower line. from and to are the lower line.
type friezeStrip struct {
	edge     int
	from, to plane.Point
	ring     plane.Ring
}

// friezeStrips gives the board under every eave and rake, square to it, mitred
// where two meet; at another kind of edge it runs on to that edge, and at an
// inner corner it ends square.
func friezeStrips(w house.Wall, height measure.Length) []friezeStrip {
	if height <= 0 {
		return nil
	}
	n := len(w.Outline)
	crowned := func(i int) bool { return w.Edges[i] == house.Eave || w.Edges[i] == house.Rake }
	var out []friezeStrip
	for i := range n {
		if !crowned(i) {
			continue
		}
		before, after := (i+n-1)%n, (i+1)%n
		p, q := w.Edge(i)
		a := friezeEnd(w, before, i, crowned(before), height, false)
		b := friezeEnd(w, i, after, crowned(after), height, true)
		s := friezeStrip{edge: i, from: a, to: b, ring: plane.Ring{p, q, b, a}}
		if (b.X-a.X).Abs()+(b.Y-a.Y).Abs() == 0 || plane.Dot(b.Sub(a), q.Sub(p)) < 0 {
			s.ring = plane.Ring{p, q, plane.Crossing(p, a, q, b)}
		}
		out = append(out, s)
	}
	return out
}

// friezeEnd is the end of the lower line at the corner between edges in and leave;
// far says that the strip's own edge is in.
func friezeEnd(w house.Wall, in, leave int, both bool, height measure.Length, far bool) plane.Point {
	a, v := w.Edge(in)
	_, c := w.Edge(leave)
	e1, e2 := plane.Edge{From: a, To: v}, plane.Edge{From: v, To: c}
	own, d1, d2 := e2, measure.Length(0), height
	if far {
		own, d1, d2 = e1, height, 0
	}
	if both {
		d1, d2 = height, height
	}
	turn := plane.Turn(a, v, c)
	if turn == 0 || turn < 0 && !both {
		return v.Add(plane.Normal(own.To.Sub(own.From), height))
	}
	return plane.Mitre(e1, e2, d1, d2)
}

func boardRegion(strips []friezeStrip) (plane.Region, error) {
	var ps []plane.Polygon
	for _, s := range strips {
		if f, _, _ := s.ring.Check(); f == plane.Sound {
			ps = append(ps, plane.Polygon{Outer: s.ring})
		}
	}
	return plane.Union(ps)
}

// slope is the angle in degrees between an edge and the strip (the x axis), 0..90.
func slope(e plane.Edge) float64 {
	d := e.To.Sub(e.From)
	return math.Atan2(math.Abs(float64(d.Y)), math.Abs(float64(d.X))) * 180 / math.Pi
}
