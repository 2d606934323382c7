package job

import (
	"math"
	"slices"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/photo"
	"coilwright/plane"
	"coilwright/survey"
)

// silent is the sigma, in inches, of a number that has no say of its own: wide beside
// any house, narrow enough that places nothing else reads stay settled.
const silent = 1e4

// seenWall is how a marked wall lies on the house's: corner k of the marks is corner
// (k + shift) of the outline.
type seenWall struct {
	wall, shift int
	whole       bool // it has the outline's corners
}

// distance is how far apart two points are, in inches.
func distance(a, b plane.Point) float64 {
	return math.Hypot((b.X - a.X).Inches(), (b.Y - a.Y).Inches())
}

// seenWalls finds the house's walls in a sight. Marks begin at some corner: the one
// from which the outline fits best.
func (j *Job) seenWalls(s sight) map[string]seenWall {
	shapes := map[string][][2]float64{}
	for i, c := range s.joint.Coordinates {
		if c.Opening != "" {
			continue
		}
		for len(shapes[c.Wall]) <= c.Corner {
			shapes[c.Wall] = append(shapes[c.Wall], [2]float64{})
		}
		shapes[c.Wall][c.Corner][c.Axis] = s.joint.Values[i]
	}
	out := map[string]seenWall{}
	for id, shape := range shapes {
		i := j.wall(id)
		if i < 0 {
			continue
		}
		r := j.House.Walls[i].Outline
		out[id] = seenWall{i, bestShift(r, shape), len(shape) == len(r)}
	}
	return out
}

// bestShift is the corner of the outline at which a shape begins.
func bestShift(r plane.Ring, shape [][2]float64) int {
	best, least := 0, math.Inf(1)
	for shift := range r {
		sum := 0.0
		for k, p := range shape {
			at, first := r[(k+shift)%len(r)], r[shift]
			sum += math.Pow((at.X-first.X).Inches()-p[0], 2) + math.Pow((at.Y-first.Y).Inches()-p[1]+shape[0][1], 2)
		}
		if sum < least*(1-1e-9) {
			best, least = shift, sum
		}
	}
	return best
}

// glimpse is one number of a sight: how far a place lies beyond another, as a sum of
// the sight's coordinates.
type glimpse struct {
	from, to Place
	of       survey.Sum
	kind     noteKind // of the house's number that it is beside
}

// glimpses are what a sight says of the house's places.
func (j *Job) glimpses(s sight) []glimpse {
	walls := j.seenWalls(s)
	var level Place // of the first marked wall's first corner
	first, leveled := walls[s.joint.Coordinates[0].Wall]
	leveled = leveled && first.whole
	if leveled {
		level = Place{first.wall, -1, 1, j.House.Walls[first.wall].Outline[first.shift].Y}
	}
	sides := map[[2]string]map[photo.Side]int{}
	var out []glimpse
	for i, c := range s.joint.Coordinates {
		w, ok := walls[c.Wall]
		if !ok {
			continue
		}
		if c.Opening != "" {
			key := [2]string{c.Wall, c.Opening}
			if sides[key] == nil {
				sides[key] = map[photo.Side]int{}
			}
			sides[key][c.Side] = i
		}
		to, ok := j.seenPlace(w, c)
		if !ok || !w.whole || c.Axis == 1 && !leveled {
			continue
		}
		from := level
		if c.Axis == 0 {
			from = Place{w.wall, -1, 0, j.House.Walls[w.wall].Outline[w.shift].X}
		}
		out = append(out, glimpse{from, to, survey.Size(i), noteKind(c.Axis)})
	}
	for i, c := range s.joint.Coordinates { // openings of walls that are drawn otherwise
		low := map[photo.Side]photo.Side{photo.Right: photo.Left, photo.Head: photo.Sill}[c.Side]
		w, ok := walls[c.Wall]
		if low == photo.NoSide || !ok || w.whole && (c.Axis == 0 || leveled) {
			continue
		}
		lower := c
		lower.Side = low
		from, ok1 := j.seenPlace(w, lower)
		to, ok2 := j.seenPlace(w, c)
		if ok1 && ok2 {
			out = append(out, glimpse{from, to, survey.Level(sides[[2]string{c.Wall, c.Opening}][low], i), size})
		}
	}
	return out
}

// seenPlace is the house's place that a coordinate is of.
func (j *Job) seenPlace(w seenWall, c photo.Coordinate) (Place, bool) {
	wall := j.House.Walls[w.wall]
	if c.Opening == "" {
		return Place{w.wall, -1, c.Axis, coordinate(wall.Outline[(c.Corner+w.shift)%len(wall.Outline)], c.Axis)}, true
	}
	o := j.opening(w.wall, c.Opening)
	if o < 0 {
		return Place{}, false
	}
	box := wall.Openings[o].Outline.Box()
	at := map[photo.Side]measure.Length{photo.Left: box.Min.X, photo.Right: box.Max.X, photo.Sill: box.Min.Y, photo.Head: box.Max.Y}[c.Side]
	return Place{w.wall, o, c.Axis, at}, true
}

// look adds what the photos say: all coordinates of one sight together, with their
// covariance, and each tape number written on a photo that is not among the house's
// own already.
func (n *network) look(j *Job) {
	for _, s := range j.seen {
		kept, values, cov := n.conditioned(j, s)
		var of []int
		for i, g := range kept {
			sigma := math.Sqrt(cov[i][i])
			of = append(of, len(n.Readings))
			k := note{kind: pictured, place: g.to, entry: s.photos[0], of: g.kind, pedigree: house.Pedigree{By: house.Photo, PlusMinus: measure.FromInches(1.96 * sigma)}}
			n.add(k, n.between(g.from, g.to), measure.FromInches(values[i]), sigma)
			n.shown[home(n.one, g.to)] = true
		}
		if len(of) > 0 {
			n.Joints = append(n.Joints, survey.Together(of, func(i, k int) float64 { return cov[i][k] }))
		}
		n.writtenOn(j, s)
	}
}

// conditioned gives a sight's glimpses of the house's places, their values and their
// covariance, given that places which the house draws as one are one: where a photo
// sees both ends of a level foot, both say how high it lies. Where the photo says
// otherwise beyond chance (Baarda's bound), the drawing is not taken for granted.
func (n *network) conditioned(j *Job, s sight) (kept []glimpse, values []float64, cov [][]float64) {
	all := j.glimpses(s)
	values, cov = make([]float64, len(all)), make([][]float64, len(all))
	for i, g := range all {
		cov[i] = make([]float64, len(all))
		for _, t := range g.of {
			values[i] += t.By * s.joint.Values[t.At]
		}
		for k, h := range all {
			cov[i][k] = s.joint.Cov.Form(g.of, h.of)
		}
	}
	var at []int
	for b, g := range all {
		if len(n.between(g.from, g.to)) > 0 {
			at = append(at, b)
			continue
		}
		if miss := values[b]; math.Abs(miss) < survey.Critical*math.Sqrt(cov[b][b]) {
			given(values, cov, b)
		}
	}
	keptCov := make([][]float64, len(at))
	var keptValues []float64
	for i, p := range at {
		kept, keptValues = append(kept, all[p]), append(keptValues, values[p])
		for _, q := range at {
			keptCov[i] = append(keptCov[i], cov[p][q])
		}
	}
	return kept, keptValues, keptCov
}

// given is values and covariance once number b is known to be 0.
func given(values []float64, cov [][]float64, b int) {
	share, own, miss := slices.Clone(cov[b]), cov[b][b], values[b]
	if own <= 0 {
		return
	}
	for i := range values {
		values[i] -= share[i] * miss / own
		for k := range values {
			cov[i][k] -= share[i] * share[k] / own
		}
	}
}

// writtenOn adds the tape numbers that are written on photos.
func (n *network) writtenOn(j *Job, s sight) {
	walls := j.seenWalls(s)
	for _, t := range s.taped[:s.stated] {
		w, ok := walls[t.Ends[0].Wall]
		if !ok {
			continue
		}
		var of survey.Sum
		var ends [2]Place
		for axis, by := range [2]float64{t.Across, t.Up} {
			if math.Abs(by) < 0.02 { // a degree: level or plumb
				continue
			}
			for end, sign := range [2]float64{-1, 1} {
				p, known := j.spotPlace(w, t.Ends[end], axis)
				ok = ok && known
				ends[end] = p
				of = append(of, n.terms(p, sign*by)...)
			}
		}
		if !ok || ends[0] == ends[1] {
			continue
		}
		if math.Abs(t.Across) < 0.02 || math.Abs(t.Up) < 0.02 {
			from, to := ends[0], ends[1]
			if from.At > to.At {
				from, to = to, from
			}
			of = n.between(from, to)
		}
		k := note{kind: written, place: ends[1], entry: s.photos[t.Photo], first: t.Index, pedigree: house.Pedigree{By: house.Tape, PlusMinus: measure.FromInches(1.96 * t.Sigma)}}
		if value := measure.FromInches(t.Inches); !n.has(of, value) {
			n.add(k, of, value, max(t.Sigma, survey.Sigma(finest)))
		}
	}
}

// spotPlace is the house's place of a marked corner.
func (j *Job) spotPlace(w seenWall, s photo.Spot, axis int) (Place, bool) {
	c := photo.Coordinate{Wall: s.Wall, Opening: s.Opening, Corner: s.Corner, Axis: axis}
	if s.Opening == "" {
		if !w.whole {
			return Place{}, false
		}
		return j.seenPlace(w, c)
	}
	c.Side = [2][4]photo.Side{{photo.Left, photo.Right, photo.Right, photo.Left}, {photo.Sill, photo.Sill, photo.Head, photo.Head}}[axis][s.Corner]
	return j.seenPlace(w, c)
}

// same is how near two notes of one tape number lie: people round what they copy.
const same = measure.Inch / 32

// has says whether a tape number is a reading already: written on the photo and in
// the house it is still one reading.
func (n *network) has(of survey.Sum, value measure.Length) bool {
	for i, k := range n.notes {
		if k.pedigree.By == house.Tape && !k.rule() && k.kind != pictured && (n.value(i)-value).Abs() <= same && alikeSums(n.sum(i), of) > 0 {
			return true
		}
	}
	return false
}

// alikeSums says whether two sums are one and the same, 1, or its negative, -1; else 0.
func alikeSums(a, b survey.Sum) float64 {
	if len(a) != len(b) {
		return 0
	}
	for _, sign := range [2]float64{1, -1} {
		alike := 0
		for _, t := range a {
			t.By *= sign
			if slices.Contains(b, t) {
				alike++
			}
		}
		if alike == len(a) {
			return sign
		}
	}
	return 0
}
