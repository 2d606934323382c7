package picture

import (
	"math"

	"coilwright/colour"
)

// underside is what a soffit sees of the wall below and of the ground, by nodes: along the
// soffit first, then from the wall out.
type underside struct {
	along, out int
	views      []wallView
}

// wallView is one node's: places of the wall, and the light that the rest sends up.
type wallView struct {
	looks []wallLook
	rest  colour.Linear
}

// wallLook is a place of the wall and what a node would get from it if it were white.
type wallLook struct {
	at    XY
	light colour.Linear
}

// Nodes of an underside, and how the wall below is looked at from each: in strips of
// equal share, each at places to the left, straight below and to the right.
const (
	undersideOut    = 4
	undersideStep   = 12.0 // inches between nodes along
	undersideStrips = 8
	undersideAside  = 0.6 // of the distance to the strip (assumed: the middle of either half)
	undersideMost   = 4.0 // times brighter or darker at most
)

// undersideDims is how much of a change of brightness, as a logarithm, is believed: what a
// soffit gets from elsewhere is known badly, the change's tint well (assumed; the open scenes
// are met best with it).
const undersideDims = 0.3

// undersideOf looks from the soffit of an overhang at wall d, over a span of its edge.
func (d *daylight) undersideOf(o Overhang, span [2]float64) *underside {
	u := &underside{along: 2 + int((span[1]-span[0])/undersideStep), out: undersideOut}
	e := unit(o.To, o.From)
	for i := range u.along {
		s := span[0] + (span[1]-span[0])*float64(i)/float64(u.along-1)
		edge := XY{o.To.X + s*e.X, o.To.Y + s*e.Y}
		for k := range u.out {
			u.views = append(u.views, d.fromUnder(edge, XY{e.Y, -e.X}, o.Depth*(float64(k)+0.5)/undersideOut))
		}
	}
	return u
}

// changes is how the soffit's light changes with what the wall wears, beside what the photo
// shows, by place: new siding takes the wall's part along, the ground's stays. trim and old
// are the colours of the old trim and of the old cladding.
func (u *underside) changes(trim, old colour.Linear, dress Dressing, l *labels) *[undersidePlaces]colour.Linear {
	nodes := make([]colour.Linear, len(u.views))
	for n := range u.views {
		v := &u.views[n]
		was, now := v.rest, v.rest
		for _, look := range v.looks {
			zone := l.at(look.at.X, look.at.Y)
			if zone < 0 {
				continue
			}
			before := old
			if dress[zone].Trim {
				before = trim
			}
			was, now = was.Plus(look.light.Times(before)), now.Plus(look.light.Times(dress[zone].Finish.Colour))
		}
		nodes[n] = undersideChange(was, now)
	}
	var out [undersidePlaces]colour.Linear
	for n := range out {
		out[n] = u.between(nodes, float64(n/undersideAcross)/(undersideAlong-1), float64(n%undersideAcross)/(undersideAcross-1))
	}
	return &out
}

// undersideChange is the change of light from what a node got to what it gets.
func undersideChange(was, now colour.Linear) (c colour.Linear) {
	for k := range c {
		c[k] = min(undersideMost, max(1/undersideMost, now[k]/max(1e-9, was[k])))
	}
	return c.Scale(math.Pow(c.Luminance(), undersideDims-1))
}

// fromUnder is what a place under an overhang, so far out from the wall's edge, sees: each
// strip of a wall square to the soffit counts for the difference of the sines of its angles
// from straight down, halved (textbook view factor of a long strip). Glass and doors stay,
// and are dark.
func (d *daylight) fromUnder(edge, down XY, away float64) (v wallView) {
	const share = 0.5 / undersideStrips / 3
	ground := 0.5
	for k := range undersideStrips {
		far := away / (float64(k) + 0.5) * undersideStrips
		deep := math.Sqrt(far*far - away*away)
		for _, aside := range [3]float64{-undersideAside * far, 0, undersideAside * far} {
			at := XY{edge.X + deep*down.X - aside*down.Y, edge.Y + deep*down.Y + aside*down.X}
			if !inside([]Ring{d.wall.Outline}, at.X, at.Y) {
				ground += share
			} else if inside(d.wall.Field, at.X, at.Y) {
				light := d.plain(at.X, at.Y).Plus(d.sun.Scale(d.cells.sample(d.shine, at.X, at.Y)))
				v.looks = append(v.looks, wallLook{at, light.Scale(share)})
			}
		}
	}
	v.rest = d.light.ground.Scale(ground)
	return v
}

// Places of a soffit that are told apart, along it and out from the wall, those one behind
// the other first: neighbours differ by less than the eye sees.
const (
	undersideAlong  = 64
	undersideAcross = 32
	undersidePlaces = undersideAlong * undersideAcross
)

// between is the value between nodes: along and out as shares of the soffit.
func (u *underside) between(nodes []colour.Linear, along, out float64) (c colour.Linear) {
	x := along * float64(u.along-1)
	y := min(float64(u.out-1), max(0, out*float64(u.out)-0.5))
	i, k := min(u.along-2, int(x)), min(u.out-2, int(y))
	a, b := x-float64(i), y-float64(k)
	row, next := nodes[i*u.out+k:], nodes[(i+1)*u.out+k:]
	for n := range c {
		c[n] = (1-a)*((1-b)*row[0][n]+b*row[1][n]) + a*((1-b)*next[0][n]+b*next[1][n])
	}
	return c
}
