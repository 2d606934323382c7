package picture

import (
	"errors"
	"fmt"
	"image"
	"math"
	"slices"

	"coilwright/colour"
	"coilwright/house"
	"coilwright/mask"
	"coilwright/photo"
	"coilwright/plane"
)

// standoff is how far casings and corner boards, whose corners are marked, stand
// over the sheathing: nominal one-inch boards are 3/4 in thick.
const standoff = 0.75

// ErrNoWall is matched where a photo shows no wall of the house.
var ErrNoWall = errors.New("the photo's marks name no wall of the house: give a marked wall the id that the job gives it")

// Taken is a photo joined to a house: ready to be prepared.
type Taken struct {
	Photo Photo
	Walls []int    // for each of the photo's walls, its index in the house
	Notes []string // what was assumed, for a person
}

// Take joins a photo, upright, with its solved camera and walls to the house: walls
// are those of one id, their sizes the house's own, laid on the photo's by corners
// and openings. made, a mask, may be nil. Errors match ErrNoWall.
func Take(im *image.RGBA, made *image.Gray, camera photo.Camera, solved []photo.Wall, h house.House, f Facts) (Taken, error) {
	out := Taken{Photo: Photo{Image: im, Camera: camera, Mask: made, References: f.References}}
	if err := fits(made, im.Rect); err != nil {
		return Taken{}, err
	}
	for _, s := range solved {
		for i, w := range h.Walls {
			if w.ID == s.ID {
				out.Photo.Walls = append(out.Photo.Walls, place(w, s, camera))
				out.Walls = append(out.Walls, i)
			}
		}
	}
	if len(out.Walls) == 0 {
		return Taken{}, ErrNoWall
	}
	out.Photo.closeCorners()
	out.sun(f, h)
	out.old(f)
	if err := out.mask(f.Strokes); err != nil {
		return Taken{}, err
	}
	out.colour(f)
	return out, nil
}

// mask finds what stands in front: by the mask that somebody made, else guessed, and by
// strokes drawn over either; and which of what is left are old boards.
func (t *Taken) mask(strokes []mask.Stroke) error {
	p := &t.Photo
	if p.Mask != nil && len(strokes) == 0 {
		return nil
	}
	where := *p
	where.Mask = nil
	field := where.fieldMap()
	covered, boards := p.Mask, []oldBoard(nil)
	if covered == nil {
		covered, boards = where.guess(field)
		p.evenEdges(covered, field, nil)
		t.Notes = append(t.Notes, "nobody made a mask of what stands in front of the wall: it is guessed from colours")
	}
	seen := covered
	if len(strokes) > 0 {
		asked := image.NewGray(p.Image.Rect)
		for i, w := range field {
			if w >= 0 {
				asked.Pix[i] = 255
			}
		}
		var err error
		if covered, err = mask.Refine(p.Image, covered, asked, strokes); err != nil {
			return fmt.Errorf("strokes of the photo: %w", err)
		}
		held := mask.Front(p.Image.Rect.Size(), strokes)
		trimBulges(covered, seen, strokes, held)
		giveBack(covered, seen, held)
		p.closeLaps(covered, field, held)
		p.keepBoards(covered, seen, field, boards, held)
		fillSpecks(covered, field, held)
		if p.Mask == nil {
			p.evenEdges(covered, field, held)
		}
	}
	p.Mask, p.Boards = where.parted(covered, field, boards)
	if len(strokes) > 0 {
		p.Own = surely(p.Mask, seen)
	}
	return nil
}

// surely is what of a matte was seen as cladding before strokes said so, and lies no nearer
// than the matte's blur to what was not: the line along which a lintel ends is no wall that
// tells of the light because it looks like one.
func surely(matte, seen *image.Gray) *image.Gray {
	w, h := matte.Rect.Dx(), matte.Rect.Dy()
	drawn := grid{XY{}, 1, w, h}.zeros()
	for i, v := range matte.Pix {
		if v > 127 && seen.Pix[i] <= 127 {
			drawn[i] = 1
		}
	}
	g := grid{XY{}, 1, w, h}
	g.boxRows(drawn, blurOf(w))
	g.boxColumns(drawn, blurOf(w))
	out := image.NewGray(matte.Rect)
	for i := range out.Pix {
		if drawn[i] == 0 {
			out.Pix[i] = min(matte.Pix[i], seen.Pix[i])
		}
	}
	return out
}

// fits says whether a mask, which may be nil, is of a photo's size.
func fits(mask *image.Gray, photo image.Rectangle) error {
	if mask != nil && mask.Rect.Size() != photo.Size() {
		return fmt.Errorf("the mask is %v and the photo %v: save the mask at the photo's size", mask.Rect.Size(), photo.Size())
	}
	return nil
}

// place lays a wall of the house on the wall that the photo shows.
func place(w house.Wall, s photo.Wall, c photo.Camera) Wall {
	out := Wall{ID: w.ID, Standoff: standoff}
	out.Outline = ringOf(w.Outline)
	out.Field = []Ring{out.Outline}
	for _, o := range w.Openings {
		out.Field = append(out.Field, ringOf(o.Outline))
	}
	for i, depth := range w.Overhang {
		if a, b := w.Edge(i); depth > 0 {
			out.Overhangs = append(out.Overhangs, Overhang{xy(a), xy(b), depth.Inches()})
		}
	}
	own, seen := pairs(w, s)
	k, shift := fitPlane(own, seen)
	// The photo's inches become the house's: seen from the camera nothing moves.
	p := s.Plane
	p.Origin = p.At(shift.X, shift.Y)
	p.Origin = c.Centre().Add(p.Origin.Sub(c.Centre()).Scale(1 / k))
	out.Plane = p
	return out
}

// pairs lists corners that house and photo share: the house's place, the photo's.
func pairs(w house.Wall, s photo.Wall) (own, seen []XY) {
	if len(w.Outline) == len(s.Corners) {
		for i, p := range w.Outline {
			own, seen = append(own, xy(p)), append(seen, XY{s.Corners[i][0].Value, s.Corners[i][1].Value})
		}
	}
	for _, o := range w.Openings {
		for _, t := range s.Openings {
			if o.ID != t.ID || len(o.Outline) != 4 {
				continue
			}
			for i, p := range o.Outline {
				own, seen = append(own, xy(p)), append(seen, XY{t.Corners[i][0].Value, t.Corners[i][1].Value})
			}
		}
	}
	return own, seen
}

// fitPlane finds the scale k and the shift with seen = k own + shift, least squares.
func fitPlane(own, seen []XY) (k float64, shift XY) {
	if len(own) == 0 {
		return 1, XY{}
	}
	a, b := mean(own), mean(seen)
	var top, bottom float64
	for i := range own {
		dx, dy := own[i].X-a.X, own[i].Y-a.Y
		top += dx*(seen[i].X-b.X) + dy*(seen[i].Y-b.Y)
		bottom += dx*dx + dy*dy
	}
	if bottom == 0 || top <= 0 {
		return 1, XY{b.X - a.X, b.Y - a.Y}
	}
	k = top / bottom
	return k, XY{b.X - k*a.X, b.Y - k*a.Y}
}

func mean(all []XY) (m XY) {
	for _, p := range all {
		m.X, m.Y = m.X+p.X/float64(len(all)), m.Y+p.Y/float64(len(all))
	}
	return m
}

func xy(p plane.Point) XY { return XY{p.X.Inches(), p.Y.Inches()} }

func ringOf(r plane.Ring) (out Ring) {
	for _, p := range r {
		out = append(out, xy(p))
	}
	return out
}

// sun turns the facts about the sun into a direction of the camera's world.
func (t *Taken) sun(f Facts, h house.House) {
	if f.Overcast {
		return
	}
	if f.Sun == nil {
		t.Notes = append(t.Notes, "nobody said where the sun stood: a sun half way up, a little to the left of whoever looks at the first wall, is assumed")
		t.Photo.Sun = t.Photo.Walls[0].assumedSun()
		return
	}
	for i, k := range t.Walls {
		if faces := h.Walls[k].FacesDeg; faces != nil {
			t.Photo.Sun = t.Photo.Walls[i].world(f.Sun.Towards(*faces))
			return
		}
	}
	t.Notes = append(t.Notes, "no wall in the photo says where it faces (faces_deg): the sun's place cannot be used, one is assumed")
	t.Photo.Sun = t.Photo.Walls[0].assumedSun()
}

// world turns a direction of a frame whose X runs along the wall, Z up and Y away from
// the wall's viewer into the camera's world.
func (w Wall) world(d photo.Vec) photo.Vec {
	p := w.Plane
	return p.X.Scale(d.X).Add(p.Y.Scale(d.Z)).Add(p.Normal().Scale(-d.Y))
}

// assumedSun stands 45 degrees up and 35 degrees to the left of a wall's viewer.
func (w Wall) assumedSun() photo.Vec {
	side, up := math.Sincos(math.Pi / 4)
	left, out := math.Sincos(35 * math.Pi / 180)
	return w.Plane.X.Scale(-left * up).Add(w.Plane.Normal().Scale(out * up)).Add(w.Plane.Y.Scale(side))
}

// old finds what is not known of the old cladding.
func (t *Taken) old(f Facts) {
	p := &t.Photo
	pixels := decode(p.Image)
	exposure, datum, found := f.Exposure, 0.0, true
	if exposure == 0 || f.Datum == nil {
		e, d, ok := p.levelLaps(pixels, f.Exposure)
		exposure, datum, found = e, d, ok || f.Exposure > 0
	}
	if f.Datum != nil {
		datum = *f.Datum
	}
	butt := f.Butt
	if butt == 0 {
		butt = 0.5 // assumed: common lap siding stands out by about half an inch
	}
	p.Old = Old{Face: Flat(0.4), Datum: datum}
	if found {
		p.Old.Face = Bevel(exposure, 0.2+butt, 0.2)
		t.Notes = append(t.Notes, fmt.Sprintf("the old cladding is taken to have laps of %.2f in", exposure))
	} else {
		t.Notes = append(t.Notes, "no laps were found in the old cladding: it is taken as even")
	}
}

// colour finds the old cladding's reflectance.
func (t *Taken) colour(f Facts) {
	p := &t.Photo
	p.Old.Colour = oldColour(p, decode(p.Image))
	if f.Colour != nil {
		p.Old.Colour = *f.Colour
	} else if len(f.References) == 0 {
		t.Notes = append(t.Notes, "nothing in the photo is of known colour (references): white balance and exposure are taken as the camera chose them")
	}
}

// paper is how bright a white wall in full light comes out where a camera chose the
// exposure itself (assumed).
const paper = 0.9

// oldColour guesses the old cladding's reflectance from how bright it came out in the
// full light, on the wall that got most of it.
func oldColour(p *Photo, pixels *decoded) (out colour.Linear) {
	for i := range p.Walls {
		if c := p.fullLight(i, pixels); c.Luminance() > out.Luminance() {
			out = c
		}
	}
	for c := range out {
		out[c] = min(0.9, max(0.02, out[c]/paper))
	}
	return out
}

// patchSize is what a wall's light is meant over, in inches: bricks and their joints,
// boards and their shadow lines fall together.
const patchSize = 8.0

// fullLight is a wall's cladding where the light is full: in the sun, where there are
// sun and shade; else the brighter part.
func (p *Photo) fullLight(wall int, pixels *decoded) colour.Linear {
	all := p.patches(wall, pixels)
	logs := make([]float64, len(all))
	for i, v := range all {
		logs[i] = math.Log(max(1e-4, v.Luminance()))
	}
	share := 0.7
	if cut, two := twoHeaps(logs); two {
		all = slices.DeleteFunc(all, func(v colour.Linear) bool { return math.Log(max(1e-4, v.Luminance())) < cut })
		share = 0.5
	}
	return quantiles(all, share)
}

// patches are the mean lights of a wall's cladding by squares of a patch's size.
func (p *Photo) patches(wall int, pixels *decoded) (out []colour.Linear) {
	low, high := p.Walls[wall].box()
	g := newGrid(low, high, patchSize)
	sum, n := make([]colour.Linear, g.w*g.h), make([]float64, g.w*g.h)
	p.claddingOf(wall, 40_000, func(x, y float64, v colour.Linear) {
		k := g.cell(x, y)
		sum[k], n[k] = sum[k].Plus(v), n[k]+1
	}, pixels)
	for k := range sum {
		if n[k] > 0 {
			out = append(out, sum[k].Scale(1/n[k]))
		}
	}
	return out
}
