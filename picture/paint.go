package picture

import (
	"image"
	"math"

	"coilwright/colour"
	"coilwright/photo"
)

// Prepared is a photo whose light has been found.
type Prepared struct {
	photo Photo
	light []*daylight
	owner []uint8 // wall of each pixel + 1, 0 for none
}

// Prepare finds the light of a photo.
func Prepare(p Photo) *Prepared {
	out := &Prepared{photo: p, light: solve(&p)}
	return out
}

// Paint dresses the walls, one dressing for each, plainly: pixel by pixel.
func (p *Prepared) Paint(dress []Dressing) *image.RGBA {
	b := p.photo.Image.Rect
	out := image.NewRGBA(b)
	copy(out.Pix, p.photo.Image.Pix)
	pixels := decode(p.photo.Image)
	for i, d := range p.light {
		w := d.wall
		eye := w.eye(p.photo.Camera)
		low, high := w.box()
		owner := p.photo.owner(i)
		var tables []*rows
		for _, z := range dress[i].Zones {
			if z.Vertical {
				tables = append(tables, newRows(d, z, skyDome(d.towards, true), eye, low.X, high.X, (low.Y+high.Y)/2))
			} else {
				tables = append(tables, newRows(d, z, d.dome, eye, low.Y, high.Y, (low.X+high.X)/2))
			}
		}
		for v := b.Min.Y; v < b.Max.Y; v++ {
			for u := b.Min.X; u < b.Max.X; u++ {
				alpha := 255.0
				if p.photo.Mask != nil {
					alpha = float64(p.photo.Mask.GrayAt(u, v).Y)
				}
				if alpha == 0 || !owner(u, v) {
					continue
				}
				c, ok := p.spot(d, dress[i], tables, u, v)
				if !ok {
					continue
				}
				if alpha < 255 {
					c = blend(c, pixels.at(u, v), p.light[i].was(p, u, v), alpha/255)
				}
				s := c.SRGB()
				k := out.PixOffset(u, v)
				out.Pix[k], out.Pix[k+1], out.Pix[k+2] = s[0], s[1], s[2]
			}
		}
	}
	return out
}

func (p *Prepared) spot(d *daylight, dress Dressing, tables []*rows, u, v int) (colour.Linear, bool) {
	at := photo.Pixel{U: float64(u) + 0.5, V: float64(v) + 0.5}
	run, rise := d.shift()
	for _, s := range dress.Strips {
		x, y, ok := p.photo.Camera.OnPlane(at, d.wall.at(s.Depth))
		if ok && inside(s.Region, x, y) {
			out := d.wall.Standoff - s.Depth
			shine := d.cells.sample(d.shine, x+out*run, y+out*rise)
			return s.Finish.Colour.Times(d.sun.Scale(shine).Plus(d.plain(x, y))), true
		}
	}
	for i, z := range dress.Zones {
		plane := d.wall.at(tables[i].reference)
		x, y, ok := p.photo.Camera.OnPlane(at, plane)
		if !ok || !inside(z.Region, x, y) {
			continue
		}
		x2, y2, _ := p.photo.Camera.OnPlane(photo.Pixel{U: at.U, V: at.V + 1}, plane)
		along := y
		width := math.Abs(y2 - y)
		if z.Vertical {
			x2, y2, _ = p.photo.Camera.OnPlane(photo.Pixel{U: at.U + 1, V: at.V}, plane)
			along, width = x, math.Abs(x2-x)
		}
		_ = y2
		g := tables[i].mean(along, max(Sharpness*width, 0.02))
		out := d.wall.Standoff - g.z
		shine := d.cells.sample(d.shine, x+out*run, y+out*rise)
		return d.sun.Scale(shine).Times(g.sun).Plus(d.plain(x, y).Times(g.ambient)), true
	}
	return colour.Linear{}, false
}

// was is the old cladding's light at a pixel, as it is known by now.
func (d *daylight) was(p *Prepared, u, v int) colour.Linear {
	at := photo.Pixel{U: float64(u) + 0.5, V: float64(v) + 0.5}
	x, y, ok := p.photo.Camera.OnPlane(at, d.wall.at(d.old.reference))
	if !ok {
		return colour.Linear{}
	}
	o := d.old.at(y)
	out := d.wall.Standoff - o.z
	run, rise := d.shift()
	shine := 0.0
	if o.lit || !o.shaded {
		shine = d.cells.sample(d.shine, x+out*run, y+out*rise) * o.sun
	}
	return d.sun.Scale(shine).Plus(d.plain(x, y).Scale(o.ambient)).Times(p.photo.Old.Colour).Scale(d.coarse.sample(d.own, x, y))
}

// blend puts the new cladding in where the old one had the share a of a pixel: what
// stands in front is the pixel less the old cladding's part. A pixel that looks like
// cladding alone is cladding, whatever the mask's edge says: a joint, or noise.
func blend(fresh, seen, was colour.Linear, a float64) colour.Linear {
	if near(seen, was) {
		return fresh
	}
	for k := range seen {
		fresh[k] = a*fresh[k] + min(1-a, max(0, seen[k]-a*was[k]))
	}
	return fresh
}

// near says whether two lights differ by less than a fifth in every channel.
func near(a, b colour.Linear) bool {
	for k := range a {
		if math.Abs(a[k]-b[k]) > 0.2*b[k] {
			return false
		}
	}
	return true
}

// Sharpness is the width of the filter in pixels.
var Sharpness = 1.0
