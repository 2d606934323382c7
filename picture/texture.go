package picture

import "math"

// Bounds of an old surface's texture.
const (
	mottled = 0.28 // mean step of the logarithm beside the surroundings: lap siding has up to 0.2, brick with its joints 0.35 and more
	calming = 2.5  // inches: about a brick's height
)

// mottled says whether samples are of brick, stone or the like.
func (d *daylight) mottled(s *samples) bool {
	logs := d.cells.zeros()
	for i, n := range s.n {
		if n > 0 {
			logs[i] = float32(math.Log(max(1e-4, s.luminance(i))))
		}
	}
	mean, weight := d.cells.spread(logs, s.n, calming, calming)
	var sum, n float64
	for i := range logs {
		if s.n[i] > 0 && weight[i] > 0 {
			sum += math.Abs(float64(logs[i] - mean[i]))
			n++
		}
	}
	return sum > mottled*n
}

// calm smooths the samples of a mottled surface, so that its pattern is not taken for
// sun and shade; shadows' edges blur with it by some inches.
func (d *daylight) calm(s *samples) {
	for c := range s.value {
		s.value[c], _ = d.cells.spread(s.value[c], s.n, calming, calming)
	}
}
