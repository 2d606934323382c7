package picture

import (
	"encoding/binary"

	"coilwright/cores"
)

// sunTable holds the sun's share for painting in 1/65535, two bytes each, the lower first:
// column by column, since strips are painted from the top down.
type sunTable struct {
	h            int
	share        []byte
	lastX, lastY int // of the places between cells' middles, in 1/65536 of a cell
}

// sunFull is the sun's share where it is all there.
const sunFull = 1 << 16

func (d *daylight) sunTable() *sunTable {
	w, h := d.cells.w, d.cells.h
	t := &sunTable{h: h, share: make([]byte, 2*w*h+2*h+4), lastX: max(0, (w-1)<<16-1), lastY: max(0, (h-1)<<16-1)}
	const block = 32 // cells turned at a time
	cores.Bands(h, block, func(from, to int) {
		for i := 0; i < w; i += block {
			for j := from; j < to; j++ {
				for k, v := range d.shine[j*w+i : j*w+min(w, i+block)] {
					binary.LittleEndian.PutUint16(t.share[2*((i+k)*h+j):], uint16(min(1, max(0, v))*65535+0.5))
				}
			}
		}
	})
	return t
}

// along fills in the sun's share, of sunFull, along a leg whose entries are read off a
// table as told: as grid.sample has it. Two columns are mixed upwards at once.
func (t *sunTable) along(share []uint64, table []glimmer, at reader, l *leg) {
	const pairs = 0xffff<<32 | 0xffff
	h, lastX, lastY := 2*t.h, t.lastX, t.lastY
	x, y, dx, dy, run, rise := l.x, l.y, l.dx, l.dy, l.run, l.rise
	for k := range share {
		z := int(table[at.entry()].sun >> depths)
		u, v := min(lastX, max(0, x+z*run>>8)), min(lastY, max(0, y+z*rise>>8))
		x, y, dx, dy, run, rise = x+dx, y+dy, dx+l.ddx, dy+l.ddy, run+l.dRun, rise+l.dRise
		at.at += at.step
		first := u>>16*h + v>>16*2
		p := uint64(binary.LittleEndian.Uint32(t.share[first:])) | uint64(binary.LittleEndian.Uint32(t.share[first+h:]))<<32
		low := p & pairs
		up := low<<8 + (p>>16&pairs-low)*(uint64(v)>>8&255) // what the lower lane borrows, the sum gives back
		a := up & 0xffffffff
		s := a<<8 + (up>>32-a)*(uint64(u)>>8&255)
		share[k] = (s + s>>16 + 0x8000) >> 16
	}
}

// way is where the sunlight that a stretch shows passed the face plane, in 1/65536 of a
// cell of the sun's table.
type way struct {
	x, y, dx, dy           float32 // at the first pixel and from pixel to pixel
	bowX, bowY             float32 // see stretch
	run, rise, dRun, dRise float32 // how far sight and sunlight move for an inch of depth, and how that changes
}

// way of a stretch.
func (d *daylight) way(t *stretch) *way {
	g := d.cells
	k := float32(65536 / g.pitch)
	at := func(e [2]float32, z float64) (x, y float32) {
		across, up := d.drawn(float64(e[0]), float64(e[1]), anchor, z)
		return (e[0]-t.bow[0]*meanBow+float32(across-g.low.X))*k - 32768, (e[1]-t.bow[1]*meanBow+float32(up-g.low.Y))*k - 32768
	}
	w := &way{bowX: t.bow[0] * k, bowY: t.bow[1] * k}
	w.x, w.y = at(t.a, 0)
	endX, endY := at(t.b, 0)
	deepX, deepY := at(t.a, 1)
	farX, farY := at(t.b, 1)
	w.dx, w.dy = (endX-w.x)/span, (endY-w.y)/span
	w.run, w.rise = deepX-w.x, deepY-w.y
	w.dRun, w.dRise = (farX-endX-w.run)/span, (farY-endY-w.rise)/span
	return w
}

// leg goes along a way from some pixel on: the place there at a table's least depth, and
// the moves, which change from pixel to pixel too; run and rise are for a step of depth,
// in 1/256 of the others' unit.
type leg struct{ x, y, dx, dy, ddx, ddy, run, rise, dRun, dRise int }

func (w *way) leg(k float32, d depth) leg {
	x, dx, ddx := arc(k, w.x, w.dx, w.bowX, w.run, w.dRun, d.low)
	y, dy, ddy := arc(k, w.y, w.dy, w.bowY, w.rise, w.dRise, d.low)
	fine := 256 * d.step
	return leg{x, y, dx, dy, ddx, ddy, int((w.run + k*w.dRun) * fine), int((w.rise + k*w.dRise) * fine), int(w.dRun * fine), int(w.dRise * fine)}
}

// arc is one coordinate of a way at pixel k and the least depth: where it is, how far the
// next pixel is from it, and how that changes.
func arc(k, x, dx, bow, run, dRun, low float32) (at, move, change int) {
	return int(x + low*run + k*(dx+low*dRun+(span-k)*bow)), int(dx + low*dRun + (span-1-2*k)*bow), int(-2 * bow)
}
