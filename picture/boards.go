package picture

import (
	"math"

	"coilwright/house"
)

// Sizes of trim as it is seen, in inches, where the book has none (assumed).
const (
	channelFace = 0.5  // of a J-channel, around an opening
	postFace    = 3.0  // of a corner post, on each of its two walls
	seam        = 1.5  // of transition trim between two zones
	trimDepth   = 0.75 // of trim's front over the sheathing
)

// BoardKind is what a board of trim is.
type BoardKind string

// The kinds of boards.
const (
	Channel    BoardKind = "channel"     // around openings, along rakes and eaves
	Post       BoardKind = "corner post" // one face of it
	Frieze     BoardKind = "frieze"
	Transition BoardKind = "transition" // between a zone and one over it
)

// Board is one flat piece of trim on a wall: its outline in the wall's inches and how
// far its front stands over the sheathing. Edge is the wall's edge that it runs along,
// -1 for none.
type Board struct {
	Kind  BoardKind
	Ring  Ring
	Depth float64
	Edge  int
}

// Reach is the board widened to the right of its edge's way, which is out of the wall: a
// post reaches so around an outside corner.
func (b Board) Reach(by float64) Ring {
	r := append(Ring(nil), b.Ring...)
	d := unit(r[0], r[1])
	for i := range 2 {
		r[i] = XY{r[i].X + by*d.Y, r[i].Y - by*d.X}
	}
	return r
}

// Boards are the trim of a wall as it is seen: channels around openings and along
// rakes and eaves, corner posts, frieze, transitions between zones. They may overlap.
func (o Outfit) Boards(w int) (out []Board) {
	put := func(k BoardKind, edge int, rings ...Ring) {
		for _, r := range rings {
			out = append(out, Board{k, r, trimDepth, edge})
		}
	}
	wall := o.House.Walls[w]
	for _, h := range wall.Openings {
		put(Channel, -1, frame(ringOf(h.Outline), channelFace)...)
	}
	for i, kind := range wall.Edges {
		a, b := wall.Edge(i)
		switch kind {
		case house.OutsideCorner, house.InsideCorner:
			put(Post, i, board(xy(a), xy(b), postFace))
		case house.Rake, house.Eave, house.Abuts:
			put(Channel, i, board(xy(a), xy(b), channelFace))
		}
	}
	for _, f := range o.Layout.Friezes {
		if f.Wall == w {
			put(Frieze, -1, rings(f.Region)...)
		}
	}
	put(Transition, -1, o.transitions(w)...)
	return out
}

// trim is the new trim of a wall, drawn only where the scheme gives it a colour.
func (o Outfit) trim(w int) (out []Zone) {
	if o.Scheme.TrimColour == "" {
		return nil
	}
	for _, b := range o.Boards(w) { // one by one: where two meet they do not cancel
		out = append(out, Zone{Region: []Ring{b.Ring}, Face: Flat(b.Depth), Finish: o.Finish(o.Scheme.TrimColour), Trim: true})
	}
	return out
}

// frame is the four boards around a ring, outside it.
func frame(r Ring, wide float64) (out []Ring) {
	for i, a := range r {
		b := r[(i+1)%len(r)]
		d := unit(a, b)
		out = append(out, board(XY{b.X + wide*d.X, b.Y + wide*d.Y}, XY{a.X - wide*d.X, a.Y - wide*d.Y}, wide))
	}
	return out
}

// board is a strip along a line, on its left.
func board(a, b XY, wide float64) Ring {
	d := unit(a, b)
	return Ring{a, b, {b.X - wide*d.Y, b.Y + wide*d.X}, {a.X - wide*d.Y, a.Y + wide*d.X}}
}

func unit(a, b XY) XY {
	l := max(1e-9, math.Hypot(b.X-a.X, b.Y-a.Y))
	return XY{(b.X - a.X) / l, (b.Y - a.Y) / l}
}

// transitions are strips along the level lines at which one zone sits on another.
func (o Outfit) transitions(w int) (out []Ring) {
	type level struct{ x0, x1, y float64 }
	var tops, bottoms []level
	for _, z := range o.Layout.Zones {
		if z.Wall != w {
			continue
		}
		for _, r := range rings(z.Region) {
			for i, a := range r {
				if b := r[(i+1)%len(r)]; a.Y == b.Y && a.X < b.X {
					bottoms = append(bottoms, level{a.X, b.X, a.Y})
				} else if a.Y == b.Y {
					tops = append(tops, level{b.X, a.X, a.Y})
				}
			}
		}
	}
	for _, t := range tops {
		for _, b := range bottoms {
			if x0, x1 := max(t.x0, b.x0), min(t.x1, b.x1); math.Abs(t.y-b.y) < 1e-6 && x1 > x0 {
				out = append(out, board(XY{x0, t.y}, XY{x1, t.y}, seam))
			}
		}
	}
	return out
}
