package picture

import (
	"encoding/binary"
	"math"
	"slices"

	"coilwright/colour"
	"coilwright/cores"
)

// paintEaves repaints soffits and fascias in the trim of each wall's dressing, or leaves
// them in their own paint where it has none. A soffit's light changes with the wall below.
// It tells how each board is painted.
func (p *Prepared) paintEaves(out []uint8, clothes []*clothes, e *encoder) []eavePaint {
	type lot struct {
		board  int
		pixels []eavePixel
	}
	var lots []lot
	for i := range p.boards {
		for pixels := range slices.Chunk(p.boards[i].pixels, eaveLot) {
			lots = append(lots, lot{i, pixels})
		}
	}
	paints := make([]eavePaint, len(p.boards))
	cores.Each(len(paints), func(i int) {
		b := &p.boards[i]
		c := clothes[b.wall]
		paints[i] = b.in(c.dress)
		if b.under != nil {
			paints[i].under = b.under.changes(b.was, p.photo.Old.Colour, c.dress, c.labels)
		}
	})
	cores.Each(len(lots), func(i int) { paints[lots[i].board].paint(out, p.photo.Image.Pix, lots[i].pixels, e) })
	return paints
}

// eaveLot is how many pixels of a board are painted at a time.
const eaveLot = 8192

// eavePaint is a board in a dressing.
type eavePaint struct {
	board *eaveBoard
	trim  bool          // it is painted, else it stays as it was
	coat  colour.Linear // then: its reflectance
	under *[undersidePlaces]colour.Linear
}

func (b *eaveBoard) in(dress Dressing) eavePaint {
	if k := dress.trim(); k >= 0 {
		return eavePaint{board: b, trim: true, coat: dress[k].Finish.Colour}
	}
	return eavePaint{board: b}
}

// gain is by what the photo's light is multiplied, but for a soffit's changes; false for
// a board that was dark, see coated.
func (e *eavePaint) gain() (gain [3]float32, ok bool) {
	gain = [3]float32{1, 1, 1}
	if !e.trim {
		return gain, true
	}
	for c := range gain {
		gain[c] = float32(e.coat[c] / e.board.was[c])
	}
	return gain, e.board.was.Luminance() >= darkPaint
}

// on is a place of the board so painted that the photo shows so.
func (e *eavePaint) on(seen colour.Linear, place uint16) colour.Linear {
	if gain, ok := e.gain(); ok {
		for c, v := range gain {
			seen[c] *= float64(v)
		}
	} else {
		seen = e.board.relit(seen, e.coat)
	}
	if e.under != nil {
		seen = seen.Times(e.under[place])
	}
	return seen
}

// paint paints some of the board's pixels.
func (e *eavePaint) paint(out, from []uint8, pixels []eavePixel, by *encoder) {
	gain, ok := e.gain()
	switch {
	case !e.trim && e.under == nil:
		for _, x := range pixels {
			binary.LittleEndian.PutUint32(out[x.at:], binary.LittleEndian.Uint32(from[x.at:]))
		}
		return
	case !ok:
		e.coated(out, from, pixels, by)
		return
	}
	for _, x := range pixels {
		now := gain
		if e.under != nil {
			for c, v := range &e.under[x.place] {
				now[c] *= float32(v)
			}
		}
		s := float32(x.share) / 255
		for c := range now {
			out[x.at+c] = by.one(by.from[from[x.at+c]] * (1 + s*(now[c]-1)))
		}
	}
}

// coated paints pixels of a board that was dark.
func (e *eavePaint) coated(out, from []uint8, pixels []eavePixel, by *encoder) {
	for _, x := range pixels {
		was := colour.Linear{float64(by.from[from[x.at]]), float64(by.from[from[x.at+1]]), float64(by.from[from[x.at+2]])}
		now := e.on(was, x.place)
		s := float64(x.share) / 255
		for c := range 3 {
			out[x.at+c] = by.one(float32(was[c] + s*(now[c]-was[c])))
		}
	}
}

// relit is a place of a board that was dark in another paint: its own light tells too little.
func (b *eaveBoard) relit(seen, paint colour.Linear) colour.Linear {
	shade := seen.Luminance() / max(1e-6, b.was.Luminance()*b.light.Luminance())
	return paint.Times(b.light).Scale(math.Sqrt(min(2, shade)))
}
