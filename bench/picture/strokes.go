package picture

import (
	"image"

	"coilwright/mask"
	"coilwright/picture"
)

// Overlap is how well a matte tells what stands in front of a wall's field: what both
// matte and truth have in front, over what either has (intersection over union), cut at
// one half; and the mean difference of the shares.
type Overlap struct{ IoU, Off float64 }

// overlap compares within the field.
func overlap(got, want *image.Gray, field []bool) (out Overlap) {
	var both, either, n float64
	for i, in := range field {
		if !in {
			continue
		}
		a, b := got.Pix[i] < 128, want.Pix[i] < 128
		if a && b {
			both++
		}
		if a || b {
			either++
		}
		d := float64(got.Pix[i]) - float64(want.Pix[i])
		out.Off += max(d, -d) / 255
		n++
	}
	out.IoU, out.Off = both/max(1, either), out.Off/max(1, n)
	return out
}

// fieldOf is where the scene's photo shows the walls' fields.
func fieldOf(p *picture.Photo) []bool {
	whole := *p
	whole.Mask = nil
	out, in := make([]bool, p.Image.Rect.Dx()*p.Image.Rect.Dy()), whole.InField()
	for i := range out {
		out[i] = in(i%p.Image.Rect.Dx(), i/p.Image.Rect.Dx())
	}
	return out
}

// asked is a field as a raster.
func asked(r image.Rectangle, field []bool) *image.Gray {
	out := image.NewGray(r)
	for i, in := range field {
		if in {
			out.Pix[i] = 255
		}
	}
	return out
}

// correction is the stroke that a person would draw next: along the longest level or
// upright run inside the largest patch that the matte has wrong. ok is false where no
// patch is worth one.
func correction(got, want *image.Gray, field []bool) (mask.Stroke, bool) {
	w, h := got.Rect.Dx(), got.Rect.Dy()
	wrong := make([]int, w*h) // 1: should be in front, 2: should be wall
	for i, in := range field {
		if in && want.Pix[i] < 64 && got.Pix[i] >= 128 {
			wrong[i] = 1
		} else if in && want.Pix[i] > 192 && got.Pix[i] < 128 {
			wrong[i] = 2
		}
	}
	patch := largest(wrong, w, h)
	if len(patch) < 150 {
		return mask.Stroke{}, false
	}
	kind := wrong[patch[0]]
	in := make([]bool, w*h)
	for _, i := range patch {
		in[i] = true
	}
	from, to := longestRun(in, w, h)
	at := func(i int) mask.Point { return mask.Point{U: float64(i%w) + 0.5, V: float64(i/w) + 0.5} }
	return mask.Stroke{Front: kind == 1, Width: 3, Points: []mask.Point{at(from), at(to)}}, true
}

// largest is the largest connected patch of one kind.
func largest(kind []int, w, h int) (best []int) {
	seen := make([]bool, len(kind))
	for start, k := range kind {
		if k == 0 || seen[start] {
			continue
		}
		patch := []int{start}
		seen[start] = true
		for n := 0; n < len(patch); n++ {
			i := patch[n]
			for _, j := range [4]int{i - 1, i + 1, i - w, i + w} {
				if j >= 0 && j < w*h && !seen[j] && kind[j] == k && (j/w == i/w || j%w == i%w) {
					seen[j] = true
					patch = append(patch, j)
				}
			}
		}
		if len(patch) > len(best) {
			best = patch
		}
	}
	return best
}

// longestRun is the longest level or upright run inside a set of pixels.
func longestRun(in []bool, w, h int) (from, to int) {
	length := 0
	look := func(first, step, count int) {
		run := 0
		for k := range count {
			i := first + k*step
			if !in[i] {
				run = 0
				continue
			}
			if run++; run > length {
				length, from, to = run, i-(run-1)*step, i
			}
		}
	}
	for y := range h {
		look(y*w, 1, w)
	}
	for x := range w {
		look(x, w, h)
	}
	return from, to
}
