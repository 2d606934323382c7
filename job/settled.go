package job

import (
	"math"
	"slices"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/survey"
)

// mostSettled is how many numbers of a house are adjusted as one to be offered back
// (assumed): a dozen walls with forty openings have some 250.
const mostSettled = 600

// settled is the adjustment of a house: with everything but blunders, and with what
// is as good as each source alone.
type settled struct {
	n     *network
	whole survey.Adjustment
	alone map[house.Source]survey.Adjustment
	wrong map[int]bool // readings that do not fit, and those that may be at fault instead
}

// settle adjusts the house with its misread numbers set aside.
func (n *network) settle() (settled, error) {
	if len(n.Unknowns) > mostSettled {
		return settled{}, tooMany{}
	}
	found, _, err := n.misreads()
	if err != nil {
		return settled{}, err
	}
	s := settled{n: n, alone: map[house.Source]survey.Adjustment{}, wrong: map[int]bool{}}
	var aside []int
	for _, m := range found {
		aside = append(aside, m.reading)
		s.wrong[m.reading] = true
		for _, a := range m.alike {
			s.wrong[a] = true
		}
	}
	s.whole, err = survey.Adjust(n.Without(aside...))
	return s, err
}

// from is the adjustment of readings of one source or better, without blunders and
// without rules, which nobody read.
func (s *settled) from(by house.Source) (survey.Adjustment, error) {
	if a, ok := s.alone[by]; ok {
		return a, nil
	}
	var aside []int
	only := s.n.Network
	only.Readings = slices.Clone(only.Readings)
	for i, k := range s.n.notes {
		switch {
		case s.n.mute(k) || k.datum:
		case k.rule() || k.pedigree.By.Rank() < by.Rank():
			only.Readings[i].Sigma = silent
			aside = append(aside, i)
		case s.wrong[i]:
			aside = append(aside, i)
		}
	}
	joints := only.Joints
	only.Joints = nil
	for _, j := range joints {
		if s.n.notes[j.Of[0]].pedigree.By.Rank() >= by.Rank() {
			only.Joints = append(only.Joints, j)
		}
	}
	for _, i := range aside {
		if only.Readings[i].Sigma != silent {
			only = only.Without(i)
		}
	}
	a, err := survey.Adjust(only)
	s.alone[by] = a
	return a, err
}

// bears is by how much the plus-minus of one source's readings alone may be wider
// than that of all for a number to rest on that source.
const bears = 1.1

// pedigree is how reading i's number is known after the adjustment: by the best
// source whose readings alone give it about as well as all do, and its plus-minus
// from these.
func (s *settled) pedigree(i int) (house.Pedigree, error) {
	of := s.n.sum(i)
	whole := s.whole.Sigma(of...)
	for r := len(house.Sources) - 1; r > 0; r-- {
		a, err := s.from(house.Sources[r])
		if err != nil {
			return house.Pedigree{}, err
		}
		if sigma := a.Sigma(of...); sigma <= bears*whole && sigma < silent/10 {
			return house.Pedigree{By: house.Sources[r], PlusMinus: halfWidth(sigma), Adjusted: true}, nil
		}
	}
	return house.Pedigree{By: house.Assumed, PlusMinus: halfWidth(whole), Adjusted: true}, nil
}

// halfWidth is 1.96 sigma, rounded up to the tape's own finest.
func halfWidth(sigma float64) measure.Length {
	return measure.FromInches(min(1.96*sigma, 1e5)).CeilTo(finest)
}

// cut is the pedigree that a number taken over from the adjustment counts with where
// steel is to be cut. Redundant numbers narrow a plus-minus only on paper unless a
// misreading among them would be noticed, so:
//
//   - photos, plans and rules have no say in it: only readings of the shop's source
//     give the plus-minus, whatever else agrees with them;
//   - it is the wider of two: the 95 % that those readings give, and what the largest
//     misreading of any one of them that data snooping would miss one time in five
//     does to the number (Baarda's external reliability). Where nothing checks a
//     reading that the number rests on, that is without bound, and the number is not
//     fit to cut however narrow its plus-minus;
//   - a number that was read directly counts at least as well as that reading did
//     alone: the adjustment lies within its plus-minus and can only be better;
//   - a number of which a reading is called misread, or may be, is not fit.
func (s *settled) cut(i int, by house.Source) (house.Pedigree, error) {
	of := s.n.sum(i)
	unfit := house.Pedigree{By: house.Assumed, PlusMinus: -1, Adjusted: true}
	a, err := s.from(by)
	if err != nil {
		return unfit, err
	}
	value, _ := s.whole.Expected(of)
	direct := measure.Length(math.MaxInt64)
	widest := 1.96 * a.Sigma(of...)
	for r, k := range s.n.notes {
		if s.n.mute(k) || k.rule() || k.pedigree.By.Rank() < by.Rank() {
			continue
		}
		sign := alikeSums(s.n.sum(r), of)
		switch {
		case sign != 0 && s.wrong[r]:
			return unfit, nil
		case s.wrong[r]: // set aside
			continue
		case sign != 0 && k.pedigree.PlusMinus >= 0 && math.Abs(sign*s.n.Readings[r].Value-value) <= k.pedigree.PlusMinus.Inches():
			direct = min(direct, k.pedigree.PlusMinus)
		}
		widest = max(widest, a.Undetected(r, of))
	}
	out := house.Pedigree{By: by, PlusMinus: direct, Adjusted: true}
	if widest < 1e4 {
		out.PlusMinus = min(direct, measure.FromInches(widest).CeilTo(finest))
	}
	if out.PlusMinus == math.MaxInt64 {
		return unfit, nil
	}
	return out, nil
}
