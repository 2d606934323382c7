package job

import (
	"slices"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/survey"
)

// settleAdjusted gives the numbers that were taken over from an adjustment the
// pedigree that the job's readings give them now, whatever the file says: a reading
// may have been struck out or corrected since. Photos are not looked at: nothing is
// cut from them.
func (j *Job) settleAdjusted() {
	if !j.anyAdjusted() {
		return
	}
	n := j.network()
	s, err := n.settle()
	now := map[int]house.Pedigree{}
	for i, k := range n.notes {
		if !k.drawn() || !k.pedigree.Adjusted {
			continue
		}
		p := house.Pedigree{By: house.Assumed, PlusMinus: -1, Adjusted: true}
		if value, _ := s.expected(err, n.sum(i)); err == nil && (value-n.value(i)).Abs() <= j.Units.Step() {
			p = belowCut(k.pedigree, house.Source(j.Book.FitToCut.By))
			if cut, err := s.cut(i, house.Source(j.Book.FitToCut.By)); err == nil && cut.PlusMinus >= 0 {
				p = cut
			}
		}
		now[i] = p
	}
	for i, p := range now {
		j.regrade(n.notes[i], p)
	}
}

func (j *Job) anyAdjusted() bool {
	is := func(known [2]house.Pedigree) bool { return known[0].Adjusted || known[1].Adjusted }
	for i, w := range j.House.Walls {
		if slices.ContainsFunc(w.Readings, is) {
			return true
		}
		for k, o := range w.Openings {
			if slices.ContainsFunc(o.Readings, is) || is(j.sizes[owner{i, k}]) {
				return true
			}
		}
	}
	return false
}

// belowCut is a pedigree no better than the source next below the shop's.
func belowCut(p house.Pedigree, cut house.Source) house.Pedigree {
	if r := cut.Rank(); p.By.Rank() >= r && r > 0 {
		p.By = house.Sources[r-1]
	}
	return p
}

func (s *settled) expected(err error, of survey.Sum) (measure.Length, bool) {
	if err != nil {
		return 0, false
	}
	value, _ := s.whole.Expected(of)
	return measure.FromInches(value), true
}

// regrade sets how a number of the house is known, in all corners that it stands in.
func (j *Job) regrade(k note, p house.Pedigree) {
	w := &j.House.Walls[k.place.Wall]
	ring, known := w.Outline, w.Readings
	if k.place.Opening >= 0 {
		o := &w.Openings[k.place.Opening]
		ring, known = o.Outline, o.Readings
		if sizes, boxed := j.sizes[owner{k.place.Wall, k.place.Opening}]; boxed {
			j.regradeBox(k, p, known, sizes)
			return
		}
	}
	for c := range ring {
		if coordinate(ring[c], k.place.Axis) == k.place.At && known[c][k.place.Axis].Adjusted {
			known[c][k.place.Axis] = p
		}
	}
}

// regradeBox does so for an opening written as place and size: its far side is as
// good as the worse of the two.
func (j *Job) regradeBox(k note, p house.Pedigree, known [][2]house.Pedigree, sizes [2]house.Pedigree) {
	axis := k.place.Axis
	near, far := [2][2]int{{0, 3}, {0, 1}}[axis], [2][2]int{{1, 2}, {2, 3}}[axis]
	if k.kind == size {
		sizes[axis] = p
		j.sizes[owner{k.place.Wall, k.place.Opening}] = sizes
	} else {
		known[near[0]][axis], known[near[1]][axis] = p, p
	}
	for _, c := range far {
		known[c][axis] = house.Worse(known[near[0]][axis], sizes[axis])
	}
}
