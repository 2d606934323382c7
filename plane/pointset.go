package plane

import "math/bits"

// pointSet tells whether a corner was seen before: open addressing over a table at
// least twice as large as the number of corners. A slot holds a corner's index plus
// one, zero none.
type pointSet []int32

// emptied gives an empty set with room for n corners, in s where it has the room.
func (s pointSet) emptied(n int) pointSet { return zeroed(s, 1<<bits.Len(uint(2*n))) }

// add says whether the point of vertices[at] is in the set, and if not puts it there.
func (s pointSet) add(vertices []vertex, at int) bool {
	p := vertices[at].Point
	// Odd constants from the golden ratio and from pi; folding the product mixes
	// its high half in.
	hi, lo := bits.Mul64(uint64(p.X)*0x9e3779b97f4a7c15+uint64(p.Y), 0x243f6a8885a308d3)
	mask := uint64(len(s) - 1)
	for i := (hi ^ lo) & mask; ; i = (i + 1) & mask {
		if s[i] == 0 {
			s[i] = int32(at + 1)
			return false
		}
		if vertices[s[i]-1].Point == p {
			return true
		}
	}
}
