package picture

import (
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"math"

	"coilwright/colour"
)

// ChipAsk is an owner's chip in a photo beside a reference of known reflectance, both
// as rectangles of the upright photo's pixels.
type ChipAsk struct {
	Chip, Reference image.Rectangle
	Known           colour.Linear
	// Doubt is how far the reference may be off, one standard deviation as a share.
	Doubt float64
}

// ChipAnswer is what the photo tells of the chip.
type ChipAnswer struct {
	Sample colour.Sample
	// Notes say, for a person, what makes the answer doubtful.
	Notes []string
}

// ErrChip is matched where the marks cannot give a colour.
var ErrChip = errors.New("mark the chip and the reference apart from one another, each over an even place of at least 8 by 8 pixels inside the photo")

// leastPatch is how many pixels a patch has at least to each side.
const leastPatch = 8

// ReadChip reads the chip's colour. profile is the photo's own ICC profile, nil for
// sRGB. Errors match ErrChip, or colour.ErrPatch where a patch is too bright or too
// dark to tell.
func ReadChip(im *image.RGBA, profile []byte, ask ChipAsk) (ChipAnswer, error) {
	if ask.Chip.Overlaps(ask.Reference) {
		return ChipAnswer{}, ErrChip
	}
	toSRGB, known := primaries(profile)
	var out ChipAnswer
	if !known {
		out.Notes = append(out.Notes, "The photo's colour profile is of another kind than a camera's usual ones; its colours were read as sRGB.")
	}
	chip, uneven, err := patch(im, ask.Chip, toSRGB)
	if err != nil {
		return ChipAnswer{}, err
	}
	if uneven {
		out.Notes = append(out.Notes, "The chip is unevenly lit or textured: mark an even part of it, or take the photo in open shade.")
	}
	reference, uneven, err := patch(im, ask.Reference, toSRGB)
	if err != nil {
		return ChipAnswer{}, err
	}
	if uneven {
		out.Notes = append(out.Notes, "The reference is unevenly lit: lay it flat beside the chip, in the same light.")
	}
	if ask.Doubt > 0.04 {
		out.Notes = append(out.Notes, fmt.Sprintf("The reference itself is known only to about %.0f %%: a grey card tells more than white trim or paper.", 100*ask.Doubt))
	}
	if apart(ask.Chip, ask.Reference) {
		out.Notes = append(out.Notes, "Chip and reference lie far apart: the light may differ between them.")
	}
	out.Sample, err = colour.FromPhoto(chip, reference, ask.Known, ask.Doubt)
	return out, err
}

// apart says whether two rectangles lie further from one another than three times the
// larger one's size.
func apart(a, b image.Rectangle) bool {
	mid := func(r image.Rectangle) XY { return XY{float64(r.Min.X+r.Max.X) / 2, float64(r.Min.Y+r.Max.Y) / 2} }
	p, q := mid(a), mid(b)
	size := max(a.Dx(), a.Dy(), b.Dx(), b.Dy())
	return math.Hypot(p.X-q.X, p.Y-q.Y) > 3*float64(size)
}

// mostUneven is how far the quarters of a patch may differ in light, as a share
// (assumed: twice what a steady hand and open shade give).
const mostUneven = 0.08

// patch reads the pixels of a rectangle, at most about 40,000 of them spread over it;
// uneven says that its quarters differ.
func patch(im *image.RGBA, r image.Rectangle, toSRGB func(colour.Linear) colour.Linear) (p colour.Patch, uneven bool, err error) {
	if r.Dx() < leastPatch || r.Dy() < leastPatch || !r.In(im.Rect) {
		return p, false, ErrChip
	}
	pixels := decode(im)
	step := max(1, int(math.Sqrt(float64(r.Dx())*float64(r.Dy())/40_000)))
	var all []colour.Linear
	var quarter [4]float64
	var count [4]float64
	for y := r.Min.Y; y < r.Max.Y; y += step {
		for x := r.Min.X; x < r.Max.X; x += step {
			raw := pixels.at(x, y)
			if max(raw[0], raw[1], raw[2]) > 0.98 {
				return p, false, colour.ErrPatch
			}
			c := toSRGB(raw)
			all = append(all, c)
			k := 0
			if x > (r.Min.X+r.Max.X)/2 {
				k++
			}
			if y > (r.Min.Y+r.Max.Y)/2 {
				k += 2
			}
			quarter[k] += c.Luminance()
			count[k]++
		}
	}
	low, high := math.Inf(1), 0.0
	for k := range quarter {
		m := quarter[k] / max(1, count[k])
		low, high = min(low, m), max(high, m)
	}
	return colour.PatchOf(all), high > (1+mostUneven)*low+0.002, nil
}

// primaries turns a photo's linear light into that of sRGB's primaries, by the three
// matrix columns of its ICC profile (ICC.1:2004, 8.3.3: XYZ under D50). Most cameras'
// profiles differ from sRGB in the primaries alone. known is false where the profile
// has no such columns.
func primaries(profile []byte) (to func(colour.Linear) colour.Linear, known bool) {
	same := func(c colour.Linear) colour.Linear { return c }
	if profile == nil {
		return same, true
	}
	var columns [3]colour.XYZ
	for i, tag := range []string{"rXYZ", "gXYZ", "bXYZ"} {
		c, ok := profileXYZ(profile, tag)
		if !ok {
			return same, false
		}
		columns[i] = c
	}
	return func(c colour.Linear) colour.Linear {
		var xyz colour.XYZ
		for i, col := range columns {
			for k := range xyz {
				xyz[k] += c[i] * col[k]
			}
		}
		return colour.Adapt(xyz, colour.D50, colour.D65).Linear()
	}, true
}

// profileXYZ reads one tag of the type XYZ.
func profileXYZ(profile []byte, tag string) (out colour.XYZ, ok bool) {
	const head, entry = 128, 12
	if len(profile) < head+4 {
		return out, false
	}
	n := int(binary.BigEndian.Uint32(profile[head:]))
	for i := 0; i < min(n, 200) && head+4+entry*(i+1) <= len(profile); i++ {
		e := profile[head+4+entry*i:]
		if string(e[:4]) != tag {
			continue
		}
		at := int(binary.BigEndian.Uint32(e[4:]))
		if at < 0 || at+20 > len(profile) || string(profile[at:at+4]) != "XYZ " {
			return out, false
		}
		for k := range out {
			out[k] = float64(int32(binary.BigEndian.Uint32(profile[at+8+4*k:]))) / 65536
		}
		return out, true
	}
	return out, false
}
