package colour

import (
	"cmp"
	"errors"
	"math"
	"slices"
)

// Stock is one colour that can be had.
type Stock struct {
	ID  string
	Lab Lab // under D65
}

// Patch is what a camera saw of an even surface, as light, all three in one
// photo: the mean over its pixels and the standard deviation of one pixel.
type Patch struct {
	Mean, Deviation Linear
	Pixels          int
}

// PatchOf sums pixels up. The deviation is 0 for fewer than two.
func PatchOf(pixels []Linear) Patch {
	p := Patch{Pixels: len(pixels)}
	for i := range p.Mean {
		var sum, squares float64
		for _, c := range pixels {
			sum += c[i]
		}
		mean := sum / max(1, float64(len(pixels)))
		for _, c := range pixels {
			squares += (c[i] - mean) * (c[i] - mean)
		}
		p.Mean[i], p.Deviation[i] = mean, math.Sqrt(squares/max(1, float64(len(pixels)-1)))
	}
	return p
}

// Sample is a colour read from a photo: L*a*b* under D65, and how uncertain it is:
// the root mean square of the error in CIEDE2000.
type Sample struct {
	Lab         Lab
	Uncertainty float64
}

// CameraDoubt is how far a phone's colours are off after a correction by one
// neutral reference, one standard deviation in CIEDE2000. Assumed: a camera's
// filters are not the eye's, and no figure for phones in general was found.
const CameraDoubt = 3.0

// ErrPatch is matched where a photo cannot give a colour.
var ErrPatch = errors.New("the photo gives no colour there")

// FromPhoto reads an owner's sample that lies beside a reference of known
// reflectance, in the same light: reflectance = sample / reference x known. The
// uncertainty joins CameraDoubt with the noise of both means and the doubt of the
// reference (known, one standard deviation as a share of it). Errors match
// ErrPatch: no pixels, clipped or black ones.
func FromPhoto(sample, reference Patch, known Linear, knownShare float64) (Sample, error) {
	for _, p := range []Patch{sample, reference} {
		for _, v := range p.Mean {
			if p.Pixels == 0 || v > 0.98 {
				return Sample{}, ErrPatch
			}
		}
	}
	for i := range known {
		if reference.Mean[i] < 0.002 || known[i] <= 0 {
			return Sample{}, ErrPatch
		}
	}
	mid := sample.Mean.Over(reference.Mean).Times(known)
	out := Sample{Lab: mid.Lab()}
	variance := CameraDoubt * CameraDoubt
	for i := range mid { // first order: move one channel by its deviation
		moved := mid
		moved[i] += math.Hypot(sample.doubt(i), mid[i]/reference.Mean[i]*reference.doubt(i)) + 1e-9
		d := Difference(out.Lab, moved.Lab())
		variance += d * d
	}
	all := Difference(out.Lab, mid.Scale(1+knownShare).Lab())
	out.Uncertainty = math.Sqrt(variance + all*all)
	return out, nil
}

// doubt is the standard error of one channel's mean, never below a twelfth of an
// 8-bit step's variance, which averaging does not take away where noise is small.
func (p Patch) doubt(i int) float64 {
	step := (Decode(min(1, Encode(p.Mean[i])+1.0/255)) - p.Mean[i]) / math.Sqrt(12)
	return math.Hypot(p.Deviation[i]/math.Sqrt(float64(max(1, p.Pixels))), step)
}

// Match is one stock colour beside a sample.
type Match struct {
	Stock  Stock
	Off    float64 // CIEDE2000
	Chance float64 // that this is the nearest of the list, 0 to 1
}

// Nearest sorts stock colours by their difference from a sample, nearest first.
// Chance is honest about the sample: with the doubt spread as a normal distribution
// in L*a*b* of the sample's size, how often each stock colour would come out
// nearest. It is worked out on a fixed lattice, so that the answer is always the
// same.
func Nearest(s Sample, stock []Stock) []Match {
	out := make([]Match, len(stock))
	for i, k := range stock {
		out[i] = Match{Stock: k, Off: Difference(s.Lab, k.Lab)}
	}
	if len(stock) == 0 {
		return out
	}
	var total float64
	for _, d := range lattice(s) {
		best := 0
		for i := range stock {
			if Difference(d.at, stock[i].Lab) < Difference(d.at, stock[best].Lab) {
				best = i
			}
		}
		out[best].Chance += d.weight
		total += d.weight
	}
	for i := range out {
		out[i].Chance /= total
	}
	slices.SortStableFunc(out, func(a, b Match) int { return cmp.Compare(a.Off, b.Off) })
	return out
}

type weighted struct {
	at     Lab
	weight float64
}

// lattice gives places around a sample with the weights of a normal distribution
// whose spread over all three axes is the sample's, in the units in which CIEDE2000
// counts there.
func lattice(s Sample) []weighted {
	axis := s.Uncertainty / math.Sqrt(3)
	unit := func(d Lab) float64 { return axis / max(Difference(s.Lab, d), 1e-9) }
	l := unit(Lab{s.Lab.L + 1, s.Lab.A, s.Lab.B})
	a := unit(Lab{s.Lab.L, s.Lab.A + 1, s.Lab.B})
	b := unit(Lab{s.Lab.L, s.Lab.A, s.Lab.B + 1})
	const n = 6 // places to each side, out to 2.4 deviations
	var out []weighted
	for i := -n; i <= n; i++ {
		for j := -n; j <= n; j++ {
			for k := -n; k <= n; k++ {
				x, y, z := float64(i)*0.4, float64(j)*0.4, float64(k)*0.4
				out = append(out, weighted{Lab{s.Lab.L + x*l, s.Lab.A + y*a, s.Lab.B + z*b}, math.Exp(-(x*x + y*y + z*z) / 2)})
			}
		}
	}
	return out
}
