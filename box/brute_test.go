package box_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"coilwright/box"
	"coilwright/measure"
)

// brute tries every division of every strip that the rules allow, and packs each
// choice exactly: the fewest sections, then the fewest joints of any plan; ok is
// false where no division keeps the rules.
type brute struct {
	strips           []box.Strip
	section          measure.Length
	rules            box.Rules
	cuts             [][]measure.Length // joints chosen so far, by strip
	packed           map[string]int
	sections, joints int
	fewestJoints     int
	ok               bool
}

func (b *brute) run(i int) {
	if i == len(b.strips) {
		b.count()
		return
	}
	b.divide(i, nil)
}

func (b *brute) divide(i int, at []measure.Length) {
	s, r := b.strips[i], b.rules
	least := fewest(s.Length, b.section, r.Lap)
	from := measure.Length(0)
	if len(at) > 0 {
		from = at[len(at)-1] - r.Lap
	}
	if n := len(at) + 1; s.Length-from <= b.section && (n == 1 || s.Length-from >= r.Shortest) && n <= least+r.Extra && (n == 1 || least > 1) {
		b.cuts[i] = at
		b.run(i + 1)
	}
	if least == 1 || len(at)+1 >= least+r.Extra {
		return
	}
	for x := from + r.Shortest; x <= from+b.section && x < s.Length; x += r.Step {
		if b.stands(i, x) {
			b.divide(i, append(slices.Clone(at), x))
		}
	}
}

// stands says whether a joint at x keeps clear of corners and earlier strips' joints.
func (b *brute) stands(i int, x measure.Length) bool {
	s := b.strips[i]
	for _, c := range s.Corners {
		if s.Start+x-b.rules.Lap < c+b.rules.Clear && s.Start+x > c-b.rules.Clear {
			return false
		}
	}
	for j, o := range b.strips[:i] {
		beside := o.Start < s.Start+s.Length && s.Start < o.Start+o.Length
		if next := o.Course == s.Course+1 || o.Course == s.Course-1; !next || !beside || o.Wall != s.Wall || o.Zone != s.Zone {
			continue
		}
		for _, y := range b.cuts[j] {
			if (s.Start + x - o.Start - y).Abs() < b.rules.Stagger {
				return false
			}
		}
	}
	return true
}

func (b *brute) count() {
	var pieces []measure.Length
	joints := 0
	for i, s := range b.strips {
		from := measure.Length(0)
		for _, x := range b.cuts[i] {
			pieces = append(pieces, x-from)
			from = x - b.rules.Lap
			joints++
		}
		pieces = append(pieces, s.Length-from)
	}
	slices.Sort(pieces)
	slices.Reverse(pieces)
	key := fmt.Sprint(pieces)
	n, ok := b.packed[key]
	if !ok {
		for n = 1; !fits(pieces, make([]measure.Length, n), b.section); n++ {
		}
		b.packed[key] = n
	}
	if !b.ok || n < b.sections || n == b.sections && joints < b.joints {
		b.sections, b.joints = n, joints
	}
	if !b.ok || joints < b.fewestJoints {
		b.fewestJoints = joints
	}
	b.ok = true
}

// fits says whether pieces, longest first, go into sections filled so far.
func fits(pieces, filled []measure.Length, section measure.Length) bool {
	if len(pieces) == 0 {
		return true
	}
	for k := range filled {
		if filled[k]+pieces[0] > section {
			continue
		}
		filled[k] += pieces[0]
		if fits(pieces[1:], filled, section) {
			return true
		}
		if filled[k] -= pieces[0]; filled[k] == 0 {
			return false
		}
	}
	return false
}

// tiny is a few short courses on a coarse grid, some with an opening's corner, on
// one wall or two.
func tiny(r *rand.Rand) []box.Strip {
	var out []box.Strip
	for k := range 2 + r.IntN(2) {
		s := box.Strip{ID: fmt.Sprint("s", k), Wall: r.IntN(5) / 4, Course: k + 1, Start: measure.Length(r.IntN(4)), Length: measure.Length(2 + r.IntN(18))}
		if r.IntN(3) == 0 {
			s.Corners = append(s.Corners, s.Start+measure.Length(r.IntN(20)))
		}
		out = append(out, s)
	}
	return out
}

// On tiny walls the plan is as good as the best of all plans, and its bounds are
// never above it.
func TestAgainstEveryPlan(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	rules := box.Rules{Step: 1, Lap: 1, Stagger: 3, Clear: 1, Shortest: 3, Extra: 1, Work: 5000}
	met, joints, impossible := 0, 0, 0
	const cases = 400
	for range cases {
		strips, section := tiny(r), measure.Length(9+r.IntN(4))
		rules.Stagger, rules.Clear = measure.Length(3+r.IntN(3)), measure.Length(1+r.IntN(3))
		p := lay(t, strips, section, rules)
		if t.Failed() {
			t.Fatalf("%v in %d by %+v", strips, section, rules)
		}
		b := &brute{strips: strips, section: section, rules: rules, cuts: make([][]measure.Length, len(strips)), packed: map[string]int{}}
		b.run(0)
		if b.ok != (len(p.Compromises) == 0) {
			t.Fatalf("%v in %d by %+v: possible %v, but %v", strips, section, rules, b.ok, p.Compromises)
		}
		if !b.ok {
			impossible++
			continue
		}
		if p.Bound > b.sections || p.FewestJoints > b.fewestJoints || len(p.Sections) < b.sections || len(p.Sections) == b.sections && p.Joints < b.joints {
			t.Fatalf("%v in %d: best %d sections, %d joints; plan %d of %d, %d of %d", strips, section,
				b.sections, b.joints, len(p.Sections), p.Bound, p.Joints, p.FewestJoints)
		}
		if len(p.Sections) == b.sections {
			met++
			if p.Joints == b.joints {
				joints++
			}
		}
	}
	t.Logf("of %d tiny walls %d cannot keep the rules; of the others %d have the fewest sections, %d the fewest joints too", cases, impossible, met, joints)
	if met < (cases-impossible)*99/100 || joints < (cases-impossible)*97/100 {
		t.Errorf("the search misses the best plan too often")
	}
}
