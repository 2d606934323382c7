package picture

// sunTable holds the sun's share for painting: column by column, since strips are painted
// from the top down, in 1/32767.
type sunTable struct {
	w, h  int
	share []uint16
}

const sunFull = 32767

func (d *daylight) sunTable() *sunTable {
	t := &sunTable{w: d.cells.w, h: d.cells.h, share: make([]uint16, len(d.shine))}
	const block = 32 // cells turned at a time
	parallel((t.h+block-1)/block, func(n int) {
		for i := 0; i < t.w; i += block {
			for j := n * block; j < min(t.h, (n+1)*block); j++ {
				for k, v := range d.shine[j*t.w+i : j*t.w+min(t.w, i+block)] {
					t.share[(i+k)*t.h+j] = uint16(min(1, max(0, v))*sunFull + 0.5)
				}
			}
		}
	})
	return t
}

// walk reads the sun's share along a stretch, as grid.sample does, in steps; places are
// in 1/256 of a cell.
type walk struct {
	x, y, dx, dy           float32 // at the first pixel and from pixel to pixel
	bowX, bowY             float32 // see stretch
	run, rise, dRun, dRise float32 // how far sight and sunlight move for an inch of depth, and how that changes
	table                  *sunTable
	lastX, lastY           int // of the places between cells' middles
}

func (b brush) walk(t *stretch) walk {
	d := b.p.light[b.strip.wall]
	g := d.cells
	k := float32(256 / g.pitch)
	at := func(e [2]float32, z float64) (x, y float32) {
		across, up := d.drawn(float64(e[0]), float64(e[1]), anchor, z)
		return (e[0]-t.bow[0]*meanBow+float32(across-g.low.X))*k - 127.5, (e[1]-t.bow[1]*meanBow+float32(up-g.low.Y))*k - 127.5
	}
	w := walk{bowX: t.bow[0] * k, bowY: t.bow[1] * k, table: d.painted, lastX: 256*(g.w-1) - 1, lastY: 256*(g.h-1) - 1}
	w.x, w.y = at(t.a, 0)
	endX, endY := at(t.b, 0)
	deepX, deepY := at(t.a, 1)
	farX, farY := at(t.b, 1)
	w.dx, w.dy = (endX-w.x)/span, (endY-w.y)/span
	w.run, w.rise = deepX-w.x, deepY-w.y
	w.dRun, w.dRise = (farX-endX-w.run)/span, (farY-endY-w.rise)/span
	return w
}

// at is the sun's share at pixel k on a face at depth z.
func (w *walk) at(k, z float32) float32 {
	bent := k * (span - k)
	x := min(w.lastX, max(0, int(w.x+k*w.dx+bent*w.bowX+z*(w.run+k*w.dRun))))
	y := min(w.lastY, max(0, int(w.y+k*w.dy+bent*w.bowY+z*(w.rise+k*w.dRise))))
	tx, ty := uint32(x&255), uint32(y&255)
	first := (x>>8)*w.table.h + y>>8
	left := w.table.share[first : first+2]
	right := w.table.share[first+w.table.h:][:2]
	a := uint32(left[0])*(256-ty) + uint32(left[1])*ty
	c := uint32(right[0])*(256-ty) + uint32(right[1])*ty
	return float32(a*(256-tx)+c*tx) * (1.0 / sunFull / 65536)
}
