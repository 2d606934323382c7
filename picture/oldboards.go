package picture

import (
	"image"
	"math"

	"coilwright/colour"
	"coilwright/cores"
	"coilwright/photo"
)

// oldBoard is a board of another colour than the cladding that a photo shows along an
// edge of a wall: corner board, frieze, skirt. New trim takes its place.
type oldBoard struct {
	wall  int
	a, b  XY // the edge
	wide  float64
	model colourModel
}

// Bounds of old boards, in inches and shares (assumed: boards of 2 to 10 in nominal).
const (
	leastBoard = 1.25
	mostBoard  = 11.0
	boardStep  = 0.25
	boardShare = 0.5 // of the places along an edge that must look like the board
)

// guessBoards looks along every edge of every wall but its base, where dirt splashes,
// for a board: a strip of one width that mostly has a colour of its own.
func (p *Photo) guessBoards(pixels *decoded, field []int16) (out []oldBoard) {
	for i, w := range p.Walls {
		for k, a := range w.Outline {
			e := edgeStrip{p: p, pixels: pixels, field: field, wall: i, a: a, b: w.Outline[(k+1)%len(w.Outline)]}
			base := unit(e.a, e.b).X > 0.7
			if o, ok := e.board(); ok && !base {
				out = append(out, o)
			}
		}
	}
	return out
}

// edgeStrip looks at the photo along one edge of a wall, the wall on its left.
type edgeStrip struct {
	p      *Photo
	pixels *decoded
	field  []int16
	wall   int
	a, b   XY
}

// at calls do for places along the edge, numbered, at a distance into the wall, with the
// light there.
func (e edgeStrip) at(distance float64, do func(k int, c colour.Linear)) {
	const n, end = 160, 6 // from each end on other edges' boards may lie
	d, length := unit(e.a, e.b), math.Hypot(e.b.X-e.a.X, e.b.Y-e.a.Y)
	r := e.p.Image.Rect
	for k := range n {
		s := end + (length-2*end)*(float64(k)+0.5)/n
		if length <= 2*end {
			s = length / 2
		}
		q, ok := e.p.Camera.Project(e.p.Walls[e.wall].Plane.At(e.a.X+s*d.X-distance*d.Y, e.a.Y+s*d.Y+distance*d.X))
		at := pixelOf(q)
		if !ok || !at.In(r) || int(e.field[(at.Y-r.Min.Y)*r.Dx()+at.X-r.Min.X]) != e.wall {
			continue
		}
		do(k, e.pixels.at(at.X, at.Y))
	}
}

// board finds the strip's colour near the edge, beside that of the cladding further in
// at the same place, and how far in it reaches.
func (e edgeStrip) board() (oldBoard, bool) {
	out := oldBoard{wall: e.wall, a: e.a, b: e.b}
	inner := e.beyond()
	var all [][3]float64
	for d := 0.75; d <= 2.5; d += boardStep {
		e.at(d, func(k int, c colour.Linear) {
			if f, ok := inner[k]; ok {
				all = append(all, beside(features(c), f))
			}
		})
	}
	if len(all) < 200 {
		return out, false
	}
	m := quantiles(all, 0.5)
	if m[0]*m[0]+m[1]*m[1]+max(0, m[2])*max(0, m[2]) < 1 { // darker alone is an eave's shadow
		return out, false
	}
	var seen [][3]float64
	for d := 0.75; d <= mostBoard; d += boardStep {
		alike, n := 0, 0
		e.at(d, func(k int, c colour.Linear) {
			f, ok := inner[k]
			if !ok {
				return
			}
			n++
			if v := beside(features(c), f); 2*dot3(v, m) > dot3(m, m) {
				alike++
				seen = append(seen, features(c))
			}
		})
		if float64(alike) < boardShare*float64(n) || n == 0 {
			break
		}
		out.wide = d + boardStep/2
	}
	out.model = modelOf(seen).plain()
	return out, out.wide >= leastBoard && out.wide < mostBoard
}

// beyond is how the cladding looks by place along the edge, further in than any board:
// the middle of several looks, for a pipe may stand there.
func (e edgeStrip) beyond() map[int][3]float64 {
	seen := map[int][][3]float64{}
	for d := mostBoard + 1; d < 3*mostBoard; d += 2.5 {
		e.at(d, func(k int, c colour.Linear) { seen[k] = append(seen[k], features(c)) })
	}
	out := map[int][3]float64{}
	for k, all := range seen {
		out[k] = lookOf(all).middle
	}
	return out
}

// beside is how a colour differs from the cladding's, in units of what is worth seeing.
func beside(f, cladding [3]float64) [3]float64 {
	return [3]float64{(f[0] - cladding[0]) / 0.06, (f[1] - cladding[1]) / 0.06, (f[2] - cladding[2]) / 0.25}
}

func dot3(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// into is how far a place lies in from the board's edge.
func (o *oldBoard) into(at XY) float64 {
	d := unit(o.a, o.b)
	return (at.Y-o.a.Y)*d.X - (at.X-o.a.X)*d.Y
}

// keepBoards holds the boards as they were seen where strokes only spread to them: what
// stands before them often has their colour. Held pixels stay.
func (p *Photo) keepBoards(refined, seen *image.Gray, field []int16, boards []oldBoard, held []bool) {
	w := refined.Rect.Dx()
	cores.Each(refined.Rect.Dy(), func(v int) {
		for u := range w {
			if k := v*w + u; refined.Pix[k] < seen.Pix[k] && !held[k] && p.boardAt(boards, int(field[k]), u, v) != nil {
				refined.Pix[k] = seen.Pix[k]
			}
		}
	})
}

// boardAt is the board that pixel (u, v) of the raster shows, nil for none.
func (p *Photo) boardAt(boards []oldBoard, wall, u, v int) *oldBoard {
	if wall < 0 || len(boards) == 0 {
		return nil
	}
	at, ok := p.onWall(wall, u, v)
	for i := range boards {
		if o := &boards[i]; ok && o.wall == wall {
			if d := o.into(at); d >= -0.5 && d <= o.wide+boardStep {
				return o
			}
		}
	}
	return nil
}

// onWall is the place on a wall's face plane that pixel (u, v) of the raster shows.
func (p *Photo) onWall(wall, u, v int) (XY, bool) {
	r := p.Image.Rect
	x, y, ok := p.Camera.OnPlane(photo.Pixel{U: float64(r.Min.X+u) + 0.5, V: float64(r.Min.Y+v) + 0.5}, p.Walls[wall].Plane)
	return XY{x, y}, ok
}

// parted tells of what new siding covers which is cladding and which are old boards: nil
// where there are none, and then all of it is cladding.
func (p *Photo) parted(covered *image.Gray, field []int16, boards []oldBoard) (mask, old *image.Gray) {
	if len(boards) == 0 {
		return covered, nil
	}
	r := covered.Rect
	mask, old = image.NewGray(r), image.NewGray(r)
	copy(mask.Pix, covered.Pix)
	soft := make([]float64, len(p.Walls)) // inches of a pixel, over which a board's edge is blurred
	for i, w := range p.Walls {
		soft[i] = w.pixelSize(p.Camera)
	}
	cores.Each(r.Dy(), func(v int) {
		for u := range r.Dx() {
			k := v*r.Dx() + u
			i := int(field[k])
			if i < 0 || covered.Pix[k] == 0 {
				continue
			}
			at, _ := p.onWall(i, u, v)
			share := 0.0
			for n := range boards {
				if o := &boards[n]; o.wall == i {
					share = max(share, min(1, max(0, (o.wide-o.into(at))/soft[i]+0.5)))
				}
			}
			old.Pix[k] = uint8(share * float64(covered.Pix[k]))
			mask.Pix[k] = covered.Pix[k] - old.Pix[k]
		}
	})
	return mask, old
}
