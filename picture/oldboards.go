package picture

import (
	"image"
	"math"

	"coilwright/colour"
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
	unlike     = 0.35
)

// guessBoards looks along every edge of every wall for a board: a strip of one width
// that mostly has a colour of its own.
func (p *Photo) guessBoards(pixels *decoded, field []int16, like []float32) (out []oldBoard) {
	for i, w := range p.Walls {
		for k, a := range w.Outline {
			e := edgeStrip{p: p, pixels: pixels, field: field, like: like, wall: i, a: a, b: w.Outline[(k+1)%len(w.Outline)]}
			if o, ok := e.board(); ok {
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
	like   []float32
	wall   int
	a, b   XY
}

// at calls do for places along the edge at a distance into the wall, with the light
// and the likeness to cladding there.
func (e edgeStrip) at(distance float64, do func(c colour.Linear, like float32)) (places int) {
	const n, end = 160, 6 // from each end on other edges' boards may lie
	d, length := unit(e.a, e.b), math.Hypot(e.b.X-e.a.X, e.b.Y-e.a.Y)
	r := e.p.Image.Rect
	for k := range n {
		s := end + (length-2*end)*(float64(k)+0.5)/n
		if length <= 2*end {
			s = length / 2
		}
		q, ok := e.p.Camera.Project(e.p.Walls[e.wall].Plane.At(e.a.X+s*d.X-distance*d.Y, e.a.Y+s*d.Y+distance*d.X))
		u, v := int(math.Floor(q.U))-r.Min.X, int(math.Floor(q.V))-r.Min.Y
		if !ok || u < 0 || v < 0 || u >= r.Dx() || v >= r.Dy() || int(e.field[v*r.Dx()+u]) != e.wall {
			continue
		}
		places++
		do(e.pixels.at(u+r.Min.X, v+r.Min.Y), e.like[v*r.Dx()+u])
	}
	return places
}

// board finds the strip's colour near the edge and how far in it reaches.
func (e edgeStrip) board() (oldBoard, bool) {
	var seen [][3]float64
	places := 0
	for d := 0.75; d <= 2.5; d += boardStep {
		places += e.at(d, func(c colour.Linear, like float32) {
			if like < unlike {
				seen = append(seen, features(c))
			}
		})
	}
	out := oldBoard{wall: e.wall, a: e.a, b: e.b}
	if places < 200 || float64(len(seen)) < boardShare*float64(places) {
		return out, false
	}
	out.model = modelOf(seen).plain()
	for d := 0.75; d <= mostBoard; d += boardStep {
		alike := 0
		n := e.at(d, func(c colour.Linear, like float32) {
			if l := out.model.likeness(c); l > 0.5 && float32(l) > like {
				alike++
			}
		})
		if float64(alike) < boardShare*float64(n) || n == 0 {
			break
		}
		out.wide = d + boardStep/2
	}
	return out, out.wide >= leastBoard && out.wide < mostBoard
}

// into is how far a place lies in from the board's edge.
func (o *oldBoard) into(at XY) float64 {
	d := unit(o.a, o.b)
	return (at.Y-o.a.Y)*d.X - (at.X-o.a.X)*d.Y
}

// boardAt is the board that pixel (u, v) of the raster shows, nil for none.
func (p *Photo) boardAt(boards []oldBoard, wall, u, v int) *oldBoard {
	if wall < 0 || len(boards) == 0 {
		return nil
	}
	at, ok := p.onWall(wall, u, v)
	for i := range boards {
		if o := &boards[i]; ok && o.wall == wall {
			if d := o.into(at); d >= -0.5 && d <= o.wide {
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

// parted tells of what new siding covers which is cladding and which are old boards.
func (p *Photo) parted(covered *image.Gray, field []int16, boards []oldBoard) (mask, old *image.Gray) {
	r := covered.Rect
	mask, old = image.NewGray(r), image.NewGray(r)
	copy(mask.Pix, covered.Pix)
	soft := make([]float64, len(p.Walls)) // inches of a pixel, over which a board's edge is blurred
	for i, w := range p.Walls {
		soft[i] = w.pixelSize(p.Camera)
	}
	parallel(r.Dy(), func(v int) {
		for u := range r.Dx() {
			k := v*r.Dx() + u
			i := int(field[k])
			if i < 0 || covered.Pix[k] == 0 || len(boards) == 0 {
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
