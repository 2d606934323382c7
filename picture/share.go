package picture

// deviation is how the old surface differs from its mean colour round about, from
// dirt, fading and boards of another tint: found where the sun surely reaches it,
// since a plane wall gets the same sun everywhere.
func (d *daylight) deviation(s *samples, class []float32) []float32 {
	sun := float32(d.sun.Luminance())
	fine := newGrid(d.cells.low, d.cells.end(), 1) // what changes slowly needs no fine cells
	ratio, weight := fine.zeros(), fine.zeros()
	plain := d.plainLuminance()
	for i, n := range s.n {
		if n < 1 || class[i] != 1 {
			continue
		}
		at := d.cells.middle(i)
		k := fine.cell(at.X, at.Y)
		ratio[k] += float32(s.luminance(i)) / (sun*s.sun[i] + plain(at)*s.ambient[i])
		weight[k]++
	}
	full := float32(1 / (d.cells.pitch * d.cells.pitch))
	for k := range ratio {
		ratio[k] /= max(1, weight[k])
		weight[k] /= full
	}
	local, sum := fine.spread(ratio, weight, 8, 3)
	wide, some := fine.spread(ratio, weight, 30, 10)
	for i := range local {
		switch trust := sum[i] / (sum[i] + 0.05); {
		case some[i] == 0:
			local[i] = 1
		default:
			local[i] = trust*local[i] + (1-trust)*wide[i]
		}
	}
	out := d.cells.zeros()
	for i, n := range s.n {
		if n > 0 {
			at := d.cells.middle(i)
			out[i] = float32(fine.sample(local, at.X, at.Y))
		}
	}
	return out
}

// plainLuminance gives a quick look-up of plain's luminance.
func (d *daylight) plainLuminance() func(at XY) float32 {
	g := d.coarse
	v := g.zeros()
	for k := range v {
		at := g.middle(k)
		v[k] = float32(d.plain(at.X, at.Y).Luminance())
	}
	return func(at XY) float32 { return float32(g.sample(v, at.X, at.Y)) }
}

// share finds how much of the sun reaches each sample, given the old surface's
// deviation; class is updated by what comes out.
func (d *daylight) share(s *samples, class, own []float32) {
	sun := float32(d.sun.Luminance())
	look := d.plainLuminance()
	for i, n := range s.n {
		if n == 0 {
			continue
		}
		at := d.cells.middle(i)
		plain := look(at) * s.ambient[i]
		left := plain * d.reaching(at, 0)
		v := (float32(s.luminance(i))/own[i] - left) / (sun*max(0.05, s.sun[i]) + plain - left)
		d.shine[i] = v
		switch {
		case v > 0.8:
			class[i] = 1
		case v < 0.12:
			class[i] = 0
		default:
			class[i] = -1
		}
	}
}

// followShade lets the ambient light keep the gradations that the shaded cladding
// shows beside what sky, ground and overhangs explain.
func (d *daylight) followShade(s *samples, class, own []float32) {
	for c := range 3 {
		v, weight := d.coarse.cellsOf(d, s, class, own, c)
		mean, sum := d.coarse.spread(v, weight, 16, 8)
		for i := range mean {
			trust := sum[i] / (sum[i] + 0.5)
			d.scale[c][i] = 1 + trust*(mean[i]-1)
		}
	}
}

// cellsOf gathers, by coarse cell, what shaded samples have beside the model.
func (g grid) cellsOf(d *daylight, s *samples, class, own []float32, c int) (v, weight []float32) {
	v, weight = g.zeros(), g.zeros()
	for _, i := range d.core(s, class) {
		at := d.cells.middle(i)
		k := g.cell(at.X, at.Y)
		if k < 0 {
			continue
		}
		sky, ground := d.dome.flat(d.wall.eave(at.X, at.Y))
		plain := d.light.sky[c]*sky + d.light.ground[c]*ground
		shown := s.value[c][i] / s.ambient[i]
		if own != nil {
			shown /= own[i]
		}
		v[k] += shown / float32(max(1e-6, plain))
		weight[k]++
	}
	for i := range v {
		if weight[i] > 0 {
			v[i] /= weight[i]
			weight[i] = min(1, weight[i]/8)
		}
	}
	return v, weight
}

// settle turns the sun's shares into a map without holes: what is nearly all or
// nothing is all or nothing; a small dip in a stretch of full sun is a joint or a
// stain; what the old face's own shade hides is filled from around, and lies in the shade
// where overhangs throw it; what stands on the wall's face beside the field throws its shadow.
func (d *daylight) settle(p *Photo, s *samples) {
	weight := d.cells.zeros()
	for i, n := range s.n {
		if n > 0 {
			weight[i] = 1
			d.shine[i] = min(1, max(0, (d.shine[i]-0.04)/0.92))
		} else {
			d.shine[i] = 0
		}
	}
	wide := newGrid(d.cells.low, d.cells.end(), 0.5)
	around, some := wide.zeros(), wide.zeros()
	for i, v := range d.shine {
		at := d.cells.middle(i)
		k := wide.cell(at.X, at.Y)
		around[k] += v * weight[i]
		some[k] += weight[i]
	}
	for k := range around {
		around[k] /= max(1, some[k])
	}
	around, _ = wide.spread(around, some, 2.5, 2.5)
	for i := range d.shine {
		if weight[i] > 0 {
			at := d.cells.middle(i)
			calm := min(1, max(0, (float32(wide.sample(around, at.X, at.Y))-0.85)/0.1))
			d.shine[i] += calm * (1 - d.shine[i])
		}
	}
	under := p.underEaves(d)
	eaves := d.agree(under, weight)
	d.shine = d.cells.fill(d.shine, weight)
	for i := range d.shine {
		if eaves && weight[i] == 0 {
			d.shine[i] = min(d.shine[i], under[i])
		}
	}
	for i, share := range cover(d.wall.Field, d.cells) {
		d.shine[i] *= share
	}
}

// agree says whether the photo shows shade where overhangs throw it, or nothing of it: else
// the sun, or the overhangs, are not where they are said to be.
func (d *daylight) agree(under, weight []float32) bool {
	var lit, n float64
	for i, w := range weight {
		if w > 0 && under[i] == 0 {
			lit, n = lit+float64(d.shine[i]), n+1
		}
	}
	return lit <= 0.5*n
}

// cover is the share of each cell that lies inside the rings, by 3 x 3 places.
func cover(rings []Ring, g grid) []float32 {
	f := grid{g.low, g.pitch / 3, 3 * g.w, 3 * g.h}
	out := g.zeros()
	f.raster(rings, func(j, from, to int) {
		row := out[j/3*g.w:]
		for i := from; i < to; i++ {
			row[i/3] += 1.0 / 9
		}
	})
	return out
}
