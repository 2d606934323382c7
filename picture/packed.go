package picture

// packed is linear light in one word: red lowest, then green and blue, 21 bits each, so
// that all channels are mixed and lit at once. At rest a channel takes 13 bits; fine, it
// has 8 more below.
type packed uint64

const (
	lanes  = 0x1fff | 0x1fff<<21 | 0x1fff<<42 // of light at rest
	halves = 0x80 | 0x80<<21 | 0x80<<42       // half a step of it, fine
	lane   = 1<<21 - 1
	most   = 8191
	white  = 6143
	depths = 55 // the lowest bit of a glimmer's depth
)

// glimmer is an entry of a table as light: by the sun, with the depth of what is seen
// above it, and without.
type glimmer struct{ sun, own packed }

// depth is how a table counts depths, in inches: the least, and the steps from it.
type depth struct{ low, step float32 }

func depthOf(f Face) depth {
	low, high := f.Depths()
	return depth{float32(low), float32(max(1e-3, high-low) / 511)}
}

// bands are, by the number of a depth, the bit of its band.
func (d depth) bands(standoff float64) (out [512]uint8) {
	for i := range out {
		out[i] = 1 << bandOf(float64(d.low+d.step*float32(i)), standoff)
	}
	return out
}

// at is the depth of an entry.
func (d depth) at(g glimmer) float64 { return float64(d.low + d.step*float32(g.sun>>depths)) }

// pack is light by the sun and without it, at rest, with its depth; both lights together
// are held below 4/3 of white.
func (d depth) pack(l *[channels]float32) glimmer {
	own := [3]int{still(l[3]), still(l[4]), still(l[5])}
	sun := [3]int{min(most-1-own[0], still(l[0])), min(most-1-own[1], still(l[1])), min(most-1-own[2], still(l[2]))}
	z := int((l[6]-d.low)/d.step + 0.5)
	return glimmer{
		packed(sun[0] | sun[1]<<21 | sun[2]<<42 | min(511, max(0, z))<<depths),
		packed(own[0] | own[1]<<21 | own[2]<<42),
	}
}

// still is a channel at rest.
func still(v float32) int { return min(most-1, max(0, int(v*white+0.5))) }

// mix is m/256 of q in p, both at rest; the outcome is fine.
func mix(p, q, m packed) packed { return p<<8 + (q-p)*m }

// rest rounds fine light.
func (p packed) rest() packed { return (p + halves) >> 8 & lanes }

// times is so much of sunFull of light at rest; the outcome is fine.
func (p packed) times(share uint64) packed {
	return p*packed(share>>8) + p*packed(share&255)>>8&lanes
}

// raise lifts fine light by so many 1/256, held so that it can take more beside.
func (p packed) raise(lift uint32, beside packed) (out packed) {
	for c := 0; c < 63; c += 21 {
		v := uint64(p>>c&lane) * uint64(lift) >> 8
		out |= packed(min(v, (most-1)<<8-uint64(beside>>c&lane))) << c
	}
	return out
}

// lifted is raise for light that is known to stay below most.
func (p packed) lifted(lift int) packed { return p + (p>>8&lanes)*packed(lift-256) }

// peak is the brightest channel in the sun.
func (g glimmer) peak() int {
	all := g.sun&lanes + g.own
	return int(max(all&lane, all>>21&lane, all>>42&lane))
}

// floats are the channels of fine light.
func (p packed) floats() (out [3]float32) {
	for c := range out {
		out[c] = float32(p>>(21*c)&lane) / (white << 8)
	}
	return out
}

// mean of four fine lights.
func mean4(all *[4]packed) (out packed) {
	for c := 0; c < 63; c += 21 {
		var sum packed
		for _, p := range all {
			sum += p >> c & lane
		}
		out |= sum / 4 << c
	}
	return out
}

// spaced is light at rest as screen values in one word: 16 bits for each of red, blue,
// green and opaqueness, so that all are mixed at once.
func (e *encoder) spaced(p packed) uint64 {
	return uint64(e.to[p&most]) | uint64(e.to[p>>42&most])<<16 | uint64(e.to[p>>21&most])<<32 | 255<<48
}

// pixel is fine light as it lies in a picture. (Were it told that it is opaque, the
// compiler would write it byte by byte.)
func (e *encoder) pixel(p packed) uint32 {
	p += halves
	return uint32(e.to[p>>8&most]) | uint32(e.to[p>>29&most])<<8 | uint32(e.to[p>>50&most])<<16 | e.opaque
}

// before is share/255 of fine light behind a part's front.
func (e *encoder) before(p packed, f *part, c int) uint8 {
	v := uint64(p>>(21*c)&lane) * uint64(f.share) / 255
	return e.to[min(most, (v+0x80)>>8+uint64(f.front[c])*white/4095)]
}
