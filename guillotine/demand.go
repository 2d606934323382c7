package guillotine

// demand is what weights of the pieces of one width ask of its lanes: what the best
// strips of the lanes hold is at least all of the weight (a cut in the sense of Benders
// 1962, from memory). Whole numbers: weight of each size of the width, strip of each
// extent, need; in the programme they count in units, one being the strip of the longest
// extent.
type demand struct {
	width  int
	weight []int64
	strip  []int64
	need   int64
	unit   int64
}

// weightScale is what a piece as long as the longest blank weighs, about.
const weightScale = 1 << 30

// read takes what strips hold from the last row of their table.
func (d *demand) read(s *slitter, row []int64) {
	for _, x := range s.extents {
		d.strip = append(d.strip, row[x.cells])
	}
	d.unit = max(1, d.strip[len(d.strip)-1])
	s.meter.spend(2 * len(d.weight) * s.longest)
}

// rule is the demand as a row.
func (d *demand) rule() rule { return rule{kind: demands, width: d.width, sign: 1, demand: d} }

// firstDemands weigh pieces by their lengths, and count those that are so long that no
// strip holds two of them.
func (t *tree) firstDemands() (out []rule) {
	s := t.s
	for w := range s.widths {
		lo, hi := s.first[w], s.first[w+1]
		byLength, halves := make([]int64, hi-lo), make([]int64, hi-lo)
		any := false
		for k := lo; k < hi; k++ {
			byLength[k-lo] = int64(s.sizes[k].length) * weightScale / int64(s.longest)
			if t.count[k] > 0 && 2*s.sizes[k].length > s.longest {
				halves[k-lo], any = weightScale, true
			}
		}
		if d := t.fitters[w].demand(byLength); d.need > 0 {
			out = append(out, d.rule())
		}
		if any {
			out = append(out, t.fitters[w].demand(halves).rule())
		}
	}
	return out
}

// short is how far lanes fall short of a demand, in units.
func (d *demand) short(lanes []room) float64 {
	v := float64(d.need)
	for _, r := range lanes {
		v -= r.lanes * float64(d.strip[r.extent])
	}
	return v / float64(d.unit)
}

// room is how many lanes there are of an extent.
type room struct {
	extent int
	lanes  float64
}
