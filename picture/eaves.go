package picture

import (
	"math"
	"slices"

	"coilwright/colour"
	"coilwright/cores"
	"coilwright/photo"
)

// eaveBoard is a soffit or a fascia that the photo shows where the house's overhangs say
// it is: a board in a plane of its own, repainted with trim in its own light.
type eaveBoard struct {
	wall   int
	pixels []eavePixel
	over   *Overhang     // whose soffit it is; nil: a fascia
	span   [2]float64    // along its edge, from where to where
	under  *underside    // what a soffit sees
	was    colour.Linear // its reflectance, as well as it is known
	light  colour.Linear // on white there, in the middle
	model  colourModel   // how it looks, in shadows too
}

// darkPaint is the reflectance below which a board's own light says too little of how
// another paint would look there: but for light and shade, the wall's light has to do.
const darkPaint = 0.2

// soffitLight is what an underside gets beside the board before it: light off the ground
// (assumed; it serves for dark paint alone).
const soffitLight = 0.35

// eavePixel is one pixel of it: its place in the photo's bytes, its share of 255, and the
// number of its place on the board, see underside.changes.
type eavePixel struct {
	at    int
	share uint8
	place uint16
}

// eaveStrip is where such a board is looked for: places (s, t) of a plane, s along the
// wall's edge from 0 to length and t across, in inches.
type eaveStrip struct {
	p            *Photo
	pixels       *decoded
	plane        photo.Plane
	length, wide float64
	from, to     float64 // along the edge: what the photo shows of it, the wall's ends passed
	model        colourModel
	low, high    float64 // across
	rim          float64 // by which more is looked at: a step, or a pixel where that is more
}

// Bounds of fascias in inches (assumed: boards of 4 to 12 in nominal), and how far one
// is followed past the wall's ends, where the model does not say how far it runs.
const (
	mostFascia  = 12.0
	leastFascia = 2.0
	mostReturn  = 60.0
	beyondBoard = 0.2  // where a line's brightness falls to such a share the board ends: a roof may look like its shade
	mostBand    = 2.5  // so far under a gutter's lip or the roof's edge the board may be shaded
	mostLip     = 2.0  // which is no higher
	again       = 0.8  // and has such a share of the board's light
	mostDrop    = 2.5  // a front hangs so far under its soffit
	drop        = 0.5  // which is darker than such a share of the front
	plainBoard  = 0.15 // most spread of a painted board's chromaticities, as logarithms
)

// eaves finds the soffits and fascias of all walls, and whose each of their pixels is.
func (p *Prepared) eaves() (out []eaveBoard, most map[int]claim) {
	pixels := decode(p.photo.Image)
	for i, w := range p.photo.Walls {
		for _, o := range w.Overhangs {
			fascia, soffit := p.photo.overhung(w, o, pixels)
			if !fascia.find(leastFascia) {
				continue
			}
			was, light := p.light[i].paint(fascia)
			out = append(out, eaveBoard{wall: i, pixels: fascia.matte(), was: was, light: light, model: fascia.model})
			if soffit.find(0.5 * soffit.wide) { // taken as painted like the fascia (assumed)
				soffit.high, soffit.from, soffit.to = soffit.wide, fascia.from, fascia.to
				out = append(out, eaveBoard{i, soffit.matte(), &o, [2]float64{soffit.from, soffit.to}, nil, was, light.Scale(soffitLight), soffit.model})
			}
		}
	}
	most = parcelOut(out)
	p.lightUnder(out)
	return out, most
}

// lightUnder finds what the soffits among boards see in the walls' light.
func (p *Prepared) lightUnder(boards []eaveBoard) {
	cores.Each(len(boards), func(i int) {
		if b := &boards[i]; b.over != nil {
			b.under = p.light[b.wall].undersideOf(*b.over, b.span)
		}
	})
}

// claim is how much of a pixel a board takes.
type claim struct {
	board int
	share uint8
}

// parcelOut leaves every pixel to one board, the first of those that take most of it, with
// the shares of all: so boards are painted at once, and in any order. It tells which.
func parcelOut(boards []eaveBoard) map[int]claim {
	most, sum := map[int]claim{}, map[int]int{}
	for i, b := range boards {
		for _, x := range b.pixels {
			sum[x.at] += int(x.share)
			if x.share > most[x.at].share {
				most[x.at] = claim{i, x.share}
			}
		}
	}
	for i := range boards {
		b := &boards[i]
		b.pixels = slices.DeleteFunc(b.pixels, func(x eavePixel) bool { return most[x.at].board != i })
		for k := range b.pixels {
			x := &b.pixels[k]
			x.share = uint8(min(255, sum[x.at]))
		}
	}
	return most
}

// overhung are the strips of an overhang: its front, from the edge up, and its
// underside, from the wall out.
func (p *Photo) overhung(w Wall, o Overhang, pixels *decoded) (fascia, soffit *eaveStrip) {
	on := w.overhung(o)
	strip := func(at, across photo.Vec, wide float64) *eaveStrip {
		return &eaveStrip{p: p, pixels: pixels, plane: photo.Plane{Origin: at, X: on.X, Y: across}, length: o.long(), wide: wide, to: o.long(), rim: max(boardStep, w.pixelSize(p.Camera))}
	}
	return strip(w.Plane.Off(o.To.X, o.To.Y, o.Depth), on.Y, mostFascia), strip(on.Origin, w.Plane.Normal(), o.Depth)
}

// look calls do for places of a strip, with the light there; it tells how many were seen.
func (e *eaveStrip) look(from, to, t float64, n int, do func(f [3]float64, c colour.Linear)) (seen int) {
	for k := range n {
		q, ok := e.p.Camera.Project(e.plane.At(from+(to-from)*(float64(k)+0.5)/float64(n), t))
		at := pixelOf(q)
		if !ok || !at.In(e.p.Image.Rect) {
			continue
		}
		if _, _, front := e.p.Camera.OnPlane(q, e.plane); !front {
			continue
		}
		seen++
		c := e.pixels.at(at.X, at.Y)
		do(features(c), c)
	}
	return seen
}

// find finds the board: its colours, how wide it is and how far it runs. False where
// the photo shows no board of one paint, at least so wide.
func (e *eaveStrip) find(least float64) bool {
	var all [][3]float64
	for t := 0.5; t < min(e.wide, 4); t += boardStep {
		e.look(0, e.length, t, 160, func(f [3]float64, _ colour.Linear) { all = append(all, f) })
	}
	if len(all) < 200 {
		return false
	}
	e.model = modelOf(all).plain()
	bright := 0.0
	if e.high = e.reach(0.5, beyondBoard, &bright); e.high < least {
		return false
	}
	e.high = max(e.high, e.lip(bright))
	for t := 0.0; t > -mostDrop && e.alike(0, e.length, t-boardStep) >= boardShare && e.brightness(t-boardStep) > drop*bright; t -= boardStep {
		e.low = t - boardStep/2
	}
	e.model = e.model.loose() // what lies within the board's bounds is its shadows too
	for e.from > -mostReturn && e.alike(e.from-1, e.from, e.high/2) >= boardShare {
		e.from--
	}
	for e.to < e.length+mostReturn && e.alike(e.to, e.to+1, e.high/2) >= boardShare {
		e.to++
	}
	return true
}

// reach is how far up from t lines look like the board and have such a share of the brightest
// one's light; 0 where not even the first does.
func (e *eaveStrip) reach(t, share float64, bright *float64) (high float64) {
	for ; t <= e.wide && e.alike(0, e.length, t) >= boardShare; t += boardStep {
		b := e.brightness(t)
		if *bright = max(*bright, b); b < share**bright {
			break
		}
		high = t + boardStep/2
	}
	return high
}

// lip is where a narrow band ends that is as bright as the board, a little further up than
// the board seemed to: a gutter's lip or the roof's edge, in whose shade the board goes on.
// 0 where there is none; what runs on is the sky.
func (e *eaveStrip) lip(bright float64) float64 {
	for t := e.high + boardStep; t < e.high+mostBand; t += boardStep {
		if high := e.reach(t, again, &bright); high > 0 {
			if high-t > mostLip {
				return 0
			}
			return high + boardStep // with its upper edge
		}
	}
	return 0
}

// alike is the share of the places along a line that look like the board.
func (e *eaveStrip) alike(from, to, t float64) float64 {
	n := max(8, min(160, int(to-from)))
	like := 0
	seen := e.look(from, to, t, n, func(_ [3]float64, c colour.Linear) {
		if e.model.likeness(c) > 0.5 {
			like++
		}
	})
	return float64(like) / max(1, float64(seen))
}

// brightness along a line where it is brightest, a quarter of it left aside.
func (e *eaveStrip) brightness(t float64) float64 {
	var all []float64
	e.look(0, e.length, t, 160, func(_ [3]float64, c colour.Linear) { all = append(all, c.Luminance()) })
	return quantile(all, 0.75)
}

// plain holds a model to the colours of one paint.
func (m colourModel) plain() colourModel {
	for _, l := range []*look{&m.shade, &m.lit} {
		l.spread[0], l.spread[1] = min(plainBoard, l.spread[0]), min(plainBoard, l.spread[1])
	}
	return m
}

// loose takes shadows and light off a lawn for the same paint.
func (m colourModel) loose() colourModel {
	for _, l := range []*look{&m.shade, &m.lit} {
		l.spread = [3]float64{2 * l.spread[0], 2 * l.spread[1], max(0.5, l.spread[2])}
	}
	return m
}

// paint is the reflectance of a fascia and the light on it, from the light on the wall
// below: that of a plain wall that no overhang shades, in the sun or out of it,
// whichever the board is nearer to.
func (d *daylight) paint(e *eaveStrip) (was, light colour.Linear) {
	light = d.flat(open)
	lit := light.Plus(d.sun)
	c := e.typical()
	if c.Luminance() > math.Sqrt(light.Luminance()*lit.Luminance()) {
		light = lit
	}
	was = c.Over(light)
	for k := range was {
		was[k] = min(0.9, max(0.02, was[k]))
	}
	return was, light
}

// typical is the board's light in the middle, where the sun plays on it: in the sun.
func (e *eaveStrip) typical() (out colour.Linear) {
	var all []colour.Linear
	for _, t := range []float64{0.3 * e.high, 0.5 * e.high, 0.7 * e.high} {
		e.look(0, e.length, t, 200, func(_ [3]float64, c colour.Linear) {
			if e.model.likeness(c) > 0.5 {
				all = append(all, c)
			}
		})
	}
	logs := make([]float64, len(all))
	for i, c := range all {
		logs[i] = features(c)[2]
	}
	if cut, two := twoHeaps(logs); two {
		all = slices.DeleteFunc(all, func(c colour.Linear) bool { return features(c)[2] < cut })
	}
	for k, v := range quantiles(all, 0.5) {
		out[k] = max(1e-4, v)
	}
	return out
}

// matte are the pixels of the board: what lies in it and looks like it, edges drawn to
// the photo's own.
func (e *eaveStrip) matte() (out []eavePixel) {
	const margin = 6
	low, high := e.box(margin)
	g := grid{XY{}, 1, high[0] - low[0], high[1] - low[1]}
	if g.w <= 0 || g.h <= 0 {
		return nil
	}
	like, guide, cover := g.zeros(), g.zeros(), g.zeros()
	cores.Each(g.h, func(j int) {
		for i := range g.w {
			k, u, v := j*g.w+i, low[0]+i, low[1]+j
			c := e.pixels.at(u, v)
			guide[k] = guideOf(c)
			if cover[k] = e.cover(u, v); cover[k] > 0 {
				like[k] = float32(e.model.likeness(c))
			}
		}
	})
	soft := g.zeros()
	g.guided(soft, like, guide, 2, edgeEps)
	for k := range soft {
		if s := uint8(255*float64(cover[k])*shareOf(soft[k]) + 0.5); s > 0 {
			u, v := low[0]+k%g.w, low[1]+k/g.w
			out = append(out, eavePixel{e.p.Image.PixOffset(u, v), s, e.place(u, v)})
		}
	}
	return out
}

// place is the number of a pixel's place on the board.
func (e *eaveStrip) place(u, v int) uint16 {
	s, t, _ := e.p.Camera.OnPlane(photo.Pixel{U: float64(u) + 0.5, V: float64(v) + 0.5}, e.plane)
	part := func(v float64, n int) int { return int(float64(n-1)*min(1, max(0, v)) + 0.5) }
	return uint16(part((s-e.from)/(e.to-e.from), undersideAlong)*undersideAcross + part(t/e.wide, undersideAcross))
}

// cover is the share of a pixel that the board's outline takes, by four places.
func (e *eaveStrip) cover(u, v int) (share float32) {
	for _, at := range fourths {
		s, t, ok := e.p.Camera.OnPlane(photo.Pixel{U: float64(u) + at[0], V: float64(v) + at[1]}, e.plane)
		if ok && s >= e.from && s <= e.to && t >= e.low-e.rim && t <= e.high+e.rim-boardStep {
			share += 0.25
		}
	}
	return share
}

// box bounds the board in pixels, within the photo.
func (e *eaveStrip) box(margin int) (low, high [2]int) {
	b := e.p.Image.Rect
	low, high = [2]int{b.Max.X, b.Max.Y}, [2]int{b.Min.X, b.Min.Y}
	for s := e.from; ; s = min(e.to, s+4) {
		for _, t := range [2]float64{e.low, e.high} {
			if q, ok := e.p.Camera.Project(e.plane.At(s, t)); ok {
				low = [2]int{min(low[0], int(max(-1e6, q.U))-margin), min(low[1], int(max(-1e6, q.V))-margin)}
				high = [2]int{max(high[0], int(min(1e6, q.U))+margin), max(high[1], int(min(1e6, q.V))+margin)}
			}
		}
		if s >= e.to {
			break
		}
	}
	low = [2]int{max(low[0], b.Min.X), max(low[1], b.Min.Y)}
	return low, [2]int{min(high[0], b.Max.X), min(high[1], b.Max.Y)}
}
