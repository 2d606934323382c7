package job

import (
	"coilwright/house"
	"coilwright/measure"
)

// AdjustedAnswer is one number of the house as all readings together give it.
type AdjustedAnswer struct {
	Where    string   `json:"where"` // its place in the job
	Wall     string   `json:"wall"`
	What     string   `json:"what"`
	BeforeIn float64  `json:"before_in"`
	Before   string   `json:"before"`
	Known    string   `json:"known"` // how the number is known now
	AfterIn  float64  `json:"after_in"`
	After    string   `json:"after"`
	By       string   `json:"by"` // the weakest source that it rests on
	PMIn     float64  `json:"plus_minus_in"`
	PM       string   `json:"plus_minus"`
	FitToCut bool     `json:"fit_to_cut"` // taken over, the shop may cut from it
	Also     []string `json:"also"`       // other places of the same number
}

// gains says whether an adjusted number is worth taking over: it lies a step or more
// elsewhere, or is known clearly better, and by no weaker source, than a number that
// is not fit to cut yet.
func (j *Job) gains(before, after measure.Length, was, is house.Pedigree) bool {
	if was.PlusMinus < 0 {
		was.PlusMinus = unstated(was.By)
	}
	better := !was.Adjusted && !j.fit(was) && is.By.Rank() >= was.By.Rank() && is.PlusMinus.Inches() < 0.9*was.PlusMinus.Inches()
	return (after-before).Abs() >= j.Units.Step() || better
}

// offered is an adjusted number with what a patch needs.
type offered struct {
	answer        AdjustedAnswer
	reading       int
	before, after measure.Length // in the file's own terms
	is            house.Pedigree
}

// adjusted lists the numbers that draw the house and that the adjustment would
// better. Numbers called misread are measured again instead, and are not listed.
func (j *Job) adjusted(n *network) ([]offered, error) {
	s, err := n.settle()
	if err != nil {
		return nil, err
	}
	var all []offered
	moved := map[Place]bool{}
	for i, k := range n.notes {
		if !k.drawn() || s.wrong[i] || k.kind == height && home(n.one, k.place) == n.level {
			continue
		}
		o := offered{reading: i, before: j.inFile(n, i)}
		o.after = j.after(&s, i)
		if o.is, err = s.pedigree(i); err != nil {
			return nil, err
		}
		if j.gains(o.before, o.after, k.pedigree, o.is) {
			j.move(n, i, moved)
		}
		all = append(all, o)
	}
	j.moveAlong(n, all, moved)
	var out []offered
	for _, o := range all {
		k := n.notes[o.reading]
		if moved[home(n.one, k.place)] && (o.after != o.before || j.gains(o.before, o.after, k.pedigree, o.is)) {
			if err := j.answer(&s, &o); err != nil {
				return nil, err
			}
			out = append(out, o)
		}
	}
	return out, nil
}

// lower is the left side or sill of the opening that a place is on.
func (j *Job) lower(p Place) Place {
	box := j.House.Walls[p.Wall].Openings[p.Opening].Outline.Box()
	p.At = coordinate(box.Min, p.Axis)
	return p
}

// move notes the places that taking a number over moves: of an opening written as
// place and size, both its sides.
func (j *Job) move(n *network, reading int, moved map[Place]bool) bool {
	k := n.notes[reading]
	places := []Place{k.place}
	if k.place.Opening >= 0 && j.boxed(k.place) {
		box := j.House.Walls[k.place.Wall].Openings[k.place.Opening].Outline.Box()
		low, high := k.place, k.place
		low.At, high.At = coordinate(box.Min, k.place.Axis), coordinate(box.Max, k.place.Axis)
		places = []Place{low, high}
	}
	any := false
	for _, p := range places {
		p = home(n.one, p)
		any = any || !moved[p]
		moved[p] = true
	}
	return any
}

// moveAlong moves what hangs on places that move, until nothing more does: places
// that are drawn touching stay so.
func (j *Job) moveAlong(n *network, all []offered, moved map[Place]bool) {
	for again := true; again; {
		again = false
		for _, o := range all {
			if moved[home(n.one, n.notes[o.reading].place)] && j.move(n, o.reading, moved) {
				again = true
			}
		}
	}
}

// inFile is a number as it stands in the file.
func (j *Job) inFile(n *network, reading int) measure.Length {
	k := n.notes[reading]
	if k.kind == across {
		return n.value(reading) + n.zero[k.place.Wall]
	}
	return n.value(reading)
}

// after is a number as adjusted, on a grid of a quarter of a step. A size is the
// difference of its two sides on that grid, so that what touches goes on touching.
func (j *Job) after(s *settled, reading int) measure.Length {
	k := s.n.notes[reading]
	if k.kind == size {
		return j.settledAt(s, k.place) - j.settledAt(s, j.lower(k.place))
	}
	return j.settledAt(s, k.place)
}

// settledAt is where a place lies as adjusted, in the file's own terms.
func (j *Job) settledAt(s *settled, p Place) measure.Length {
	from := s.n.origin(p)
	value, _ := s.whole.Expected(s.n.terms(p, 1))
	return from.At + measure.FromInches(value).RoundTo(j.Units.Step()/4)
}

// answer says a number that is offered.
func (j *Job) answer(s *settled, o *offered) error {
	k := s.n.notes[o.reading]
	fit, err := s.cut(o.reading, house.Source(j.Book.FitToCut.By))
	if err != nil {
		return err
	}
	all := j.numberPaths(k)
	o.answer = AdjustedAnswer{Where: all[0], Wall: j.House.Walls[k.place.Wall].ID, What: j.noteText(k), BeforeIn: o.before.Inches(), Before: j.near(o.before), Known: j.known(k.pedigree),
		AfterIn: o.after.Inches(), After: o.after.Text(j.Units), By: string(o.is.By), PMIn: o.is.PlusMinus.Inches(), PM: o.is.PlusMinus.Text(j.Units),
		FitToCut: j.fit(fit) && !j.overOld(k.place.Wall), Also: append([]string{}, all[1:]...)}
	return nil
}

// numberPaths are the places in the file where a number of the house stands: an
// outline's corners may share it.
func (j *Job) numberPaths(k note) []string {
	if _, boxed := j.sizes[owner{k.place.Wall, k.place.Opening}]; boxed && k.place.Opening >= 0 {
		return []string{j.notePath(k)}
	}
	ring := j.House.Walls[k.place.Wall].Outline
	if k.place.Opening >= 0 {
		ring = j.House.Walls[k.place.Wall].Openings[k.place.Opening].Outline
	}
	var out []string
	for c, p := range ring {
		if coordinate(p, k.place.Axis) == k.place.At {
			k.first = c
			out = append(out, j.notePath(k))
		}
	}
	return out
}
