package picture

import (
	"math"

	"coilwright/colour"
)

// underside is the light that a wall sends up to the soffit over it, before and now, by
// nodes: along the soffit first, then from the wall out. New siding takes that part of the
// soffit's light along; what the ground sends stays.
type underside struct {
	along, out int
	change     []colour.Linear // the soffit's light now, beside what the photo shows
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

// undersideOf works out the light under an overhang of wall d, its trim once of the given
// colour, for what the wall wears.
func (d *daylight) undersideOf(o Overhang, span [2]float64, trim, old colour.Linear, dress Dressing, l *labels) *underside {
	from, to := span[0], span[1]
	u := &underside{along: 2 + int((to-from)/undersideStep), out: undersideOut}
	e := unit(o.To, o.From)
	for i := range u.along {
		s := from + (to-from)*float64(i)/float64(u.along-1)
		edge := XY{o.To.X + s*e.X, o.To.Y + s*e.Y}
		for k := range u.out {
			away := o.Depth * (float64(k) + 0.5) / undersideOut
			was, now, ground := d.fromWall(edge, XY{e.Y, -e.X}, away, trim, old, dress, l)
			u.change = append(u.change, undersideChange(d.light.ground.Scale(ground), was, now))
		}
	}
	return u
}

// undersideChange is the change of light where the wall sends now instead of was, beside
// the rest.
func undersideChange(rest, was, now colour.Linear) (c colour.Linear) {
	for k := range c {
		c[k] = min(undersideMost, max(1/undersideMost, (rest[k]+now[k])/max(1e-9, rest[k]+was[k])))
	}
	return c.Scale(math.Pow(c.Luminance(), undersideDims-1))
}

// fromWall is what a place under an overhang, so far out from the wall's edge, gets from
// the old wall and the new one, and the share of the half space below that is neither:
// each strip of a wall square to the soffit counts for the difference of the sines of its
// angles from straight down, halved (textbook view factor of a long strip).
func (d *daylight) fromWall(edge, down XY, away float64, trim, old colour.Linear, dress Dressing, l *labels) (was, now colour.Linear, rest float64) {
	const share = 0.5 / undersideStrips / 3
	rest = 0.5
	for k := range undersideStrips {
		sine := (float64(k) + 0.5) / undersideStrips
		far := away / sine
		deep := math.Sqrt(far*far - away*away)
		for aside := -undersideAside; aside <= undersideAside; aside += undersideAside {
			at := XY{edge.X + deep*down.X - aside*far*down.Y, edge.Y + deep*down.Y + aside*far*down.X}
			if !inside([]Ring{d.wall.Outline}, at.X, at.Y) {
				rest += share
				continue
			}
			zone := l.at(at.X, at.Y)
			if zone < 0 || !inside(d.wall.Field, at.X, at.Y) {
				continue // glass and doors stay, and are dark
			}
			light := d.plain(at.X, at.Y).Plus(d.sun.Scale(d.cells.sample(d.shine, at.X, at.Y))).Scale(share)
			before := old
			if dress[zone].Trim {
				before = trim
			}
			was, now = was.Plus(light.Times(before)), now.Plus(light.Times(dress[zone].Finish.Colour))
		}
	}
	return was, now, rest
}

// Places of a soffit that are told apart, along it and out from the wall: neighbours differ
// by less than the eye sees.
const (
	undersideAlong  = 64
	undersideAcross = 32
	undersidePlaces = undersideAlong * undersideAcross
)

// places is the change at all of them, those one behind the other out from the wall first.
func (u *underside) places() *[undersidePlaces]colour.Linear {
	var out [undersidePlaces]colour.Linear
	for n := range out {
		out[n] = u.at(float64(n/undersideAcross)/(undersideAlong-1), float64(n%undersideAcross)/(undersideAcross-1))
	}
	return &out
}

// at is the change at a place: along and out as shares of the soffit.
func (u *underside) at(along, out float64) (c colour.Linear) {
	x := along * float64(u.along-1)
	y := min(float64(u.out-1), max(0, out*float64(u.out)-0.5))
	i, k := min(u.along-2, int(x)), min(u.out-2, int(y))
	a, b := x-float64(i), y-float64(k)
	row, next := u.change[i*u.out+k:], u.change[(i+1)*u.out+k:]
	for n := range c {
		c[n] = (1-a)*((1-b)*row[0][n]+b*row[1][n]) + a*((1-b)*next[0][n]+b*next[1][n])
	}
	return c
}
