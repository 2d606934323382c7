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

// wear makes a run of a whole stretch as a dressing finds it: old boards stay where it
// has no trim.
func (r *run) wear(t *stretch, trimmed bool) {
	r.stretch, r.parts, r.from, r.to, r.sun = t, t.parts, int(t.from), int(t.to), t.sun.at(allBands)
	if !trimmed && t.kept != nil {
		r.parts = t.kept
	}
}

// restore gives the old boards of a stretch back from the photo where they stay: a
// picture that is painted over may wear trim there.
func (b *brush) restore(r *run) {
	if b.clothes.trimmed || r.kept == nil {
		return
	}
	from, to := b.strip.left+r.from, b.strip.left+r.to
	was := b.p.photo.Image
	copy(b.out.Pix[b.out.PixOffset(from, int(r.row)):b.out.PixOffset(to, int(r.row))], was.Pix[was.PixOffset(from, int(r.row)):])
}
