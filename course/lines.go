package course

import (
	"errors"
	"fmt"

	"coilwright/measure"
	"coilwright/plane"
	"coilwright/scheme"
	"coilwright/steel"
)

// ErrTooManyCourses is matched when a panel's cover is absurdly small for its wall.
var ErrTooManyCourses = errors.New("too many courses")

const mostCourses = 20_000

// grid is the lines of a zone on a wall: lines ascend in the strip's own
// coordinates, and number gives the course of each band.
type grid struct {
	lines  []measure.Length
	number func(band int) int
}

// levelGrid lays course lines from origin over [low, high].
func levelGrid(origin, cover, low, high measure.Length) (grid, error) {
	if cover <= 0 || int64((high-low)/cover) > mostCourses {
		return grid{}, fmt.Errorf("%w: cover %s over %s", ErrTooManyCourses, cover.Text(measure.Imperial), (high - low).Text(measure.Imperial))
	}
	first := (low - origin).FloorTo(cover) + origin
	var g grid
	for y := first; ; y += cover {
		g.lines = append(g.lines, y)
		if y >= high {
			break
		}
	}
	k := int((first-origin)/cover) + 1
	g.number = func(band int) int { return k + band }
	return g, nil
}

// uprightGrid lays panel lines over [x0, x1] of a wall, in turned coordinates
// (the strip's y is -x), numbered from the left.
func uprightGrid(x0, x1, cover measure.Length, balance scheme.Balance) (grid, error) {
	w := x1 - x0
	if cover <= 0 || int64(w/cover) > mostCourses {
		return grid{}, fmt.Errorf("%w: cover %s over %s", ErrTooManyCourses, cover.Text(measure.Imperial), w.Text(measure.Imperial))
	}
	n := int(w.CeilTo(cover) / cover)
	xs := make([]measure.Length, n+1)
	for i := range xs {
		xs[i] = x0 + measure.Length(i)*cover
	}
	shift := measure.Length(0)
	if w%cover != 0 && n > 1 {
		switch balance {
		case scheme.Left:
		case scheme.Right:
			shift = w - measure.Length(n)*cover
		default:
			shift = (w-measure.Length(n-2)*cover)/2 - cover
		}
	}
	for i := 1; i < n; i++ {
		xs[i] += shift
	}
	xs[n] = x1
	g := grid{number: func(band int) int { return n - band }}
	for i := n; i >= 0; i-- {
		g.lines = append(g.lines, -xs[i])
	}
	return g, nil
}

// startsItself says whether the share's courses count from its own lowest line.
func (sh share) startsItself(z scheme.Zone, others []share) bool {
	switch z.Start {
	case scheme.StartZone:
		return true
	case scheme.StartHouse:
		return false
	}
	for _, e := range levelEdges(sh.rings) {
		if e.From.Y == sh.low && e.To.X > e.From.X && e.Tag == zoneTag && borders(e, sh, others) {
			return true
		}
	}
	return false
}

// borders says whether another zone of the wall lies right under level edge e.
func borders(e plane.Edge, sh share, others []share) bool {
	for _, o := range others {
		if o.zone == sh.zone {
			continue
		}
		for _, f := range levelEdges(o.rings) {
			if f.From.Y == e.From.Y && f.To.X < f.From.X && f.To.X < e.To.X && f.From.X > e.From.X {
				return true
			}
		}
	}
	return false
}

func levelEdges(rings []plane.TaggedRing) []plane.Edge {
	var out []plane.Edge
	for _, r := range rings {
		for i := range r.Points {
			if e := r.Edge(i); e.From.Y == e.To.Y {
				out = append(out, e)
			}
		}
	}
	return out
}

// cut cuts a share into its raw parts, in strip coordinates.
func (sh share) cut(z scheme.Zone, p steel.Panel, origin measure.Length) ([]plane.Part, grid, error) {
	rings := sh.rings
	var g grid
	var err error
	if p.Kind == steel.Vertical {
		box := sh.region.Box()
		rings = turned(rings)
		g, err = uprightGrid(box.Min.X, box.Max.X, p.Cover(), z.Balance)
	} else {
		g, err = levelGrid(origin, p.Cover(), sh.low, sh.high)
	}
	if err != nil {
		return nil, g, err
	}
	return plane.Bands(rings, g.lines), g, nil
}
