package guillotine

import "encoding/binary"

// abreast is a blank of one size alone, side by side.
func (s *slitter) abreast(k, count int) load {
	_, holds := s.alone(k, count)
	b, one := load{holds: holds}, make([]int, len(s.sizes))
	one[k] = 1
	for range holds[k] {
		b.lanes = append(b.lanes, lane{s.sizes[k].lane, one})
	}
	s.shorten(&b)
	return b
}

// key is equal for equal blanks.
func key(cost int64, holds []int) string {
	b := binary.AppendVarint(make([]byte, 0, 8+len(holds)), cost)
	for _, n := range holds {
		b = binary.AppendVarint(b, int64(n))
	}
	return string(b)
}

// whole turns duals of rows into whole numbers that add up safely.
func (s *slitter) whole(y []float64, rows, count []int) (out []int64, scale float64) {
	total := 1.0
	for i, k := range rows {
		y[i] = max(0, y[i])
		total += y[i] * float64(count[k])
	}
	scale = min(1<<20, float64(1<<60)/total)
	out = make([]int64, len(s.sizes))
	for i, k := range rows {
		out[k] = int64(y[i] * scale)
	}
	return out, scale
}
