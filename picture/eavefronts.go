package picture

import (
	"coilwright/colour"
	"coilwright/cores"
)

// eaveFront is a pixel that cladding shares with a soffit or a fascia before it, whose part is
// painted like the board.
type eaveFront struct {
	stretch int32
	pixel   uint8 // of the stretch
	board   int16
	place   uint16 // on the board, see eavePixel
}

// eaveReach is how far from a board's pixels, in pixels, one may lie that shares it.
const eaveReach = 2

// findEaveFronts finds the pixels whose front is a board's: near its pixels, and of its colours.
func (p *Prepared) findEaveFronts(most map[int]claim) {
	if len(most) == 0 {
		return
	}
	places := map[int]uint16{}
	for i := range p.boards {
		for _, x := range p.boards[i].pixels {
			places[x.at] = x.place
		}
	}
	cores.Each(len(p.strips), func(i int) {
		s := &p.strips[i]
		for n := range s.stretches {
			t := &s.stretches[n]
			if t.parts == nil {
				continue
			}
			for k := t.from; k < t.to; k++ {
				if t.parts[k].kind() != shared {
					continue
				}
				at, ok := p.besideBoard(s.left+int(k), int(t.row), most)
				if c := most[at]; ok && p.boards[c.board].model.likeness(t.parts[k].whole()) > 0.5 {
					s.fronts = append(s.fronts, eaveFront{int32(n), k, int16(c.board), places[at]})
				}
			}
		}
	})
}

// besideBoard is the nearest pixel of a board's to (u, v) that the board takes for the
// greater part.
func (p *Prepared) besideBoard(u, v int, most map[int]claim) (at int, ok bool) {
	im := p.photo.Image
	near := eaveReach*eaveReach + 1
	for y := max(im.Rect.Min.Y, v-eaveReach); y <= min(im.Rect.Max.Y-1, v+eaveReach); y++ {
		for x := max(im.Rect.Min.X, u-eaveReach); x <= min(im.Rect.Max.X-1, u+eaveReach); x++ {
			k, far := im.PixOffset(x, y), (x-u)*(x-u)+(y-v)*(y-v)
			if far < near && most[k].share > 127 {
				near, at, ok = far, k, true
			}
		}
	}
	return at, ok
}

// whole is the light of a shared pixel's front, were it all front.
func (p *part) whole() (out colour.Linear) {
	for c, v := range p.front {
		out[c] = float64(v) / 4095 * 255 / float64(255-p.share)
	}
	return out
}

// paintEaveFronts repaints the boards' part of what the strip's stretches show, where they
// get another paint.
func (b *brush) paintEaveFronts() {
	e := b.clothes.encode
	var t run
	for _, x := range b.strip.fronts {
		paint := &b.eaves[x.board]
		if !paint.trim {
			continue
		}
		t.wear(&b.strip.stretches[x.stretch], b.clothes.trimmed)
		k := int(x.pixel)
		px, py := t.place(float64(k) / span)
		if t.parts[k].kind() != shared || b.clothes.labels.at(px, py) < 0 {
			continue
		}
		was := t.parts[k].whole()
		now := paint.on(was, x.place)
		pix := b.out.Pix[b.out.PixOffset(b.strip.left+k, int(t.row)):]
		for c := range now {
			pix[c] = e.one(e.from[pix[c]] + float32((now[c]-was[c])*float64(255-t.parts[k].share)/255))
		}
	}
}
