package pack

import (
	"cmp"
	"slices"
)

// triple is a subset-row cut over three singles, ascending: at most one bin
// can hold two or more of them.
type triple [3]int

// active drops the cuts whose price has fallen to nothing.
func active(r *relaxation, cuts []triple) []triple {
	var out []triple
	for c, t := range cuts {
		if r.lp.y[len(r.part.elems)+c] > 1e-7 {
			out = append(out, t)
		}
	}
	return out
}

const (
	cutsPerRound = 25
	cutsPerItem  = 4
	cutsAtMost   = 250
	violation    = 0.03
)

// separate finds the triples that the solution violates most.
func separate(v *view, r *relaxation, have []triple) []triple {
	if len(have) >= cutsAtMost {
		return nil
	}
	x := r.values()
	type scored struct {
		t triple
		v float64
	}
	var found []scored
	known := map[triple]bool{}
	for _, t := range have {
		known[t] = true
	}
	in := r.holding(x)
	for center := range in {
		near := neighbours(r, in[center], center)
		for i, a := range near {
			for _, b := range near[i+1:] {
				t := triple{v.members[center][0], v.members[a][0], v.members[b][0]}
				slices.Sort(t[:])
				if known[t] {
					continue
				}
				known[t] = true
				if over := r.meeting(x, in, center, a, b) - 1; over > violation {
					found = append(found, scored{t, over})
				}
			}
		}
	}
	slices.SortFunc(found, func(a, b scored) int {
		return cmp.Or(cmp.Compare(b.v, a.v), slices.Compare(a.t[:], b.t[:]))
	})
	var out []triple
	uses := map[int]int{}
	for _, f := range found {
		if len(out) == cutsPerRound {
			break
		}
		if uses[f.t[0]] < cutsPerItem && uses[f.t[1]] < cutsPerItem && uses[f.t[2]] < cutsPerItem {
			out = append(out, f.t)
			for _, i := range f.t {
				uses[i]++
			}
		}
	}
	return out
}

// holding lists for each element the columns in use that hold it.
func (r *relaxation) holding(x []float64) [][]int {
	in := make([][]int, len(r.part.elems))
	for j, c := range r.cols {
		if x[j] < 1e-6 {
			continue
		}
		for _, e := range c.take {
			in[e.kind] = append(in[e.kind], j)
		}
	}
	return in
}

// neighbours are the elements that share a column in use with one.
func neighbours(r *relaxation, cols []int, center int) []int {
	var out []int
	for _, j := range cols {
		for _, e := range r.cols[j].take {
			if e.kind != center {
				out = append(out, e.kind)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// meeting is how much of the columns holds two or more of three elements.
func (r *relaxation) meeting(x []float64, in [][]int, a, b, c int) float64 {
	sum := 0.0
	two := func(j, skip1, skip2 int) bool {
		n := 0
		for _, e := range r.cols[j].take {
			if e.kind == a || e.kind == b || e.kind == c {
				n++
			}
		}
		return n >= 2
	}
	for _, j := range in[a] {
		if two(j, b, c) {
			sum += x[j]
		}
	}
	for _, j := range in[b] {
		if !r.holds(j, a) && two(j, a, c) {
			sum += x[j]
		}
	}
	return sum
}

func (r *relaxation) holds(j, elem int) bool {
	return slices.ContainsFunc(r.cols[j].take, func(e entry) bool { return e.kind == elem })
}
