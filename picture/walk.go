package picture

// walk reads the sun's share along a stretch, as grid.sample does, in steps.
type walk struct {
	x, y, dx, dy        float32 // cells, at the first pixel and from pixel to pixel
	run, rise, standoff float32 // cells that sunlight moves for an inch of depth; the face plane's depth
	w, h                int
	shine               []float32
}

func (b brush) walk(t *stretch) walk {
	d := b.p.light[b.strip.wall]
	g := d.cells
	k := float32(1 / g.pitch)
	run, rise := d.shift()
	return walk{
		x: (t.a[0]-float32(g.low.X))*k - 0.5, y: (t.a[1]-float32(g.low.Y))*k - 0.5,
		dx: (t.b[0] - t.a[0]) * k / span, dy: (t.b[1] - t.a[1]) * k / span,
		run: float32(run) * k, rise: float32(rise) * k, standoff: float32(d.wall.Standoff),
		w: g.w, h: g.h, shine: d.shine,
	}
}

// at is the sun's share at pixel k on a face at depth z.
func (w *walk) at(k, z float32) float32 {
	out := w.standoff - z
	x := min(float32(w.w)-1.01, max(0, w.x+k*w.dx+out*w.run))
	y := min(float32(w.h)-1.01, max(0, w.y+k*w.dy+out*w.rise))
	i, j := int(x), int(y)
	tx, ty := x-float32(i), y-float32(j)
	low := w.shine[j*w.w+i : j*w.w+i+2]
	high := w.shine[(j+1)*w.w+i : (j+1)*w.w+i+2]
	a, c := low[0]+tx*(low[1]-low[0]), high[0]+tx*(high[1]-high[0])
	return a + ty*(c-a)
}
