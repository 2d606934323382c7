package job

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/survey"
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

// PatchOp is one operation of an RFC 6902 patch.
type PatchOp struct {
	Op    string `json:"op"`
	Path  string `json:"path"`
	Value any    `json:"value"`
}

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

// takeOver is the patch that puts adjusted numbers into the job. What was read of a
// number goes on as a further reading, so that nothing read is lost and the same
// adjustment follows from the job as patched.
func (j *Job) takeOver(n *network, all []offered) []PatchOp {
	out := []PatchOp{}
	listed := len(j.Readings) > 0
	for _, o := range all {
		k := n.notes[o.reading]
		if !n.mute(k) && k.pedigree.By != house.Assumed {
			if !listed {
				out = append(out, PatchOp{"add", "/house/readings", []any{}})
				listed = true
			}
			out = append(out, PatchOp{"add", "/house/readings/-", j.asReading(n, o.reading)})
		}
		measured := map[string]any{"by": string(o.is.By), "plus_minus": o.is.PlusMinus.Text(j.Units), "adjusted": true}
		for _, where := range append([]string{o.answer.Where}, o.answer.Also...) {
			out = append(out, PatchOp{"replace", pointer(where), map[string]any{"length": o.after.Text(j.Units), "measured": measured}})
		}
	}
	return out
}

// asReading writes a number of the house as an entry of house.readings.
func (j *Job) asReading(n *network, reading int) map[string]any {
	k := n.notes[reading]
	w := j.House.Walls[k.place.Wall]
	from, to := "level", ""
	if k.place.Opening >= 0 {
		low, high := [2]string{"left", "sill"}[k.place.Axis], [2]string{"right", "head"}[k.place.Axis]
		name := w.ID + "." + w.Openings[k.place.Opening].ID + "."
		to = name + high
		switch {
		case k.kind == size:
			from = name + low
		case j.boxed(k.place):
			to = name + low
		default:
			to = fmt.Sprintf("%s%s[%d]", name, [2]string{"across", "height"}[k.place.Axis], k.first)
		}
	} else {
		to = fmt.Sprintf("%s.%s[%d]", w.ID, [2]string{"across", "height"}[k.place.Axis], k.first)
	}
	if k.kind == across {
		from = w.ID + ".left"
	}
	length := n.value(reading)
	if length < 0 {
		from, to, length = to, from, -length
	}
	measured := map[string]any{"by": string(k.pedigree.By)}
	if k.pedigree.PlusMinus >= 0 {
		measured["plus_minus"] = k.pedigree.PlusMinus.Text(j.Units)
	}
	return map[string]any{"between": []any{from, to}, "length": length.Text(j.Units), "measured": measured}
}

func (j *Job) boxed(p Place) bool {
	_, ok := j.sizes[owner{p.Wall, p.Opening}]
	return ok
}

// pointer turns a path such as $.house.walls[0].at[1] into a JSON Pointer (RFC 6901).
func pointer(path string) string {
	var b strings.Builder
	for _, part := range strings.FieldsFunc(strings.TrimPrefix(path, "$"), func(r rune) bool { return r == '.' || r == '[' || r == ']' }) {
		b.WriteString("/" + strings.NewReplacer("~", "~0", "/", "~1").Replace(part))
	}
	return b.String()
}

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
