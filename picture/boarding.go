package picture

import "image"

// Covered is the share of each pixel that a scheme may paint: 255 for nothing but
// cladding and the old boards that new trim covers.
func (p *Prepared) Covered() *image.Gray {
	c := cutter{p: p}
	out := image.NewGray(p.Bounds())
	for v := out.Rect.Min.Y; v < out.Rect.Max.Y; v++ {
		for u := out.Rect.Min.X; u < out.Rect.Max.X; u++ {
			out.Pix[out.PixOffset(u, v)] = c.share(u, v)
		}
	}
	return out
}

// worn is the stretch as a dressing finds it: old boards stay where it has no trim.
func (t *stretch) worn(trimmed bool) *stretch {
	if trimmed || t.kept == nil {
		return t
	}
	out := *t
	out.parts, out.stays = t.kept, true
	return &out
}

// restore gives the old boards of a stretch back from the photo where they stay: a
// picture that is painted over may wear trim there.
func (b brush) restore(t *stretch) {
	if !t.stays {
		return
	}
	from, to := b.strip.left+int(t.from), b.strip.left+int(t.to)
	was := b.p.photo.Image
	copy(b.out.Pix[b.out.PixOffset(from, int(t.row)):b.out.PixOffset(to, int(t.row))], was.Pix[was.PixOffset(from, int(t.row)):])
}
