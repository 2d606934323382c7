package job

import (
	"slices"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/survey"
)

// unstated is what a number without a plus-minus is taken to be good to (95 %), so
// that it has a say without outvoting a reading. All assumed: a tape read in a
// hurry, a size scaled off a photo, a house built beside its plan, a guess.
func unstated(by house.Source) measure.Length {
	switch by {
	case house.Tape:
		return measure.Inch / 4
	case house.Photo:
		return 6 * measure.Inch
	case house.Plan:
		return 3 * measure.Inch
	}
	return 24 * measure.Inch
}

// finest is the smallest plus-minus that a reading is believed (assumed: the width
// of a tape's own marks).
const finest = measure.Inch / 64

// doubt is the standard deviation of a number of this pedigree, in inches.
func doubt(p house.Pedigree) float64 {
	if p.PlusMinus < 0 {
		p.PlusMinus = unstated(p.By)
	}
	return survey.Sigma(max(p.PlusMinus, finest))
}

// noteKind is what a reading of the network stands for.
type noteKind int

const (
	across   noteKind = iota // a place from its wall's left end
	height                   // a place from the level line
	size                     // an opening's own width or height
	further                  // an entry of house.readings
	pictured                 // what a photo says of a place
	written                  // a tape number written on a photo
	corner                   // two walls end at one height where they meet
	straight                 // an edge that a person found plumb or level
	ring                     // the walls come back to where they began
)

// note traces a reading of the network to the job: the place that it is of, and
// the entry of house.readings, house.photos or house.corners, or the wall a ring
// begins with.
type note struct {
	kind     noteKind
	of       noteKind // of the house's number that a photo's stands beside
	place    Place
	entry    int
	first    int  // the outline's corner that stands there first, or a photo's length
	datum    bool // the level line is drawn here
	pedigree house.Pedigree
	// worst is the least trustworthy pedigree that stands with this number, at the
	// outline's corner worstAt: pieces are as good as that.
	worst   house.Pedigree
	worstAt int
}

// rule says that nobody read this: houses are built so.
func (n note) rule() bool { return n.kind == corner || n.kind == ring || n.kind == straight }

// drawn says that this is one of the numbers that draw the house.
func (n note) drawn() bool { return n.kind == across || n.kind == height || n.kind == size }

// network is a house as readings: what each is of, in inches, and where it stands
// in the job.
type network struct {
	survey.Network
	notes []note
	at    map[Place]int // the unknown of each place that is no zero
	zero  []measure.Length
	house *house.House
	shown map[Place]bool  // by photos
	one   map[Place]Place // places that are drawn touching are one
	level Place           // where the level line is drawn
}

// mute says that a number which draws the house is no reading: it was worked out
// from them, or it is what photos show that have their own say.
func (n *network) mute(k note) bool {
	if !k.drawn() {
		return false
	}
	return !k.datum && (k.pedigree.Adjusted || k.pedigree.By == house.Photo && n.shown[home(n.one, k.place)])
}

// network gathers every number of the house. A wall's numbers across count from its
// left end, which is their zero and no reading; heights count from the level line.
// Corners of one outline at one number are one place. Rules come last: where a
// reading and a rule stand out alike, the reading is named.
func (j *Job) network() *network {
	n := &network{at: map[Place]int{}, house: &j.House, shown: map[Place]bool{}, one: map[Place]Place{}}
	for i, w := range j.House.Walls {
		touching(i, w, n.one)
		n.zero = append(n.zero, w.Outline.Box().Min.X)
		n.outline(i, -1, w.Outline, w.Readings, w.Measured)
		for k, o := range w.Openings {
			if sizes, ok := j.sizes[owner{i, k}]; ok {
				n.box(i, k, o, sizes)
			} else {
				n.outline(i, k, o.Outline, o.Readings, o.Measured)
			}
		}
	}
	for k, r := range j.Readings {
		from, to := r.Between[0], r.Between[1]
		if from.At > to.At {
			from, to = to, from
		}
		n.add(note{kind: further, place: to, entry: k, pedigree: r.Measured}, n.between(from, to), r.Length, doubt(r.Measured))
	}
	n.look(j)
	n.cornersMeet()
	n.ringsClose()
	n.edgesTrue()
	n.drawLevel()
	for i, k := range n.notes {
		if n.mute(k) {
			n.Readings[i].Sigma = silent
		}
	}
	return n
}

// outline reads each number of an outline once, at the better of its pedigrees.
func (n *network) outline(wall, opening int, r plane.Ring, known [][2]house.Pedigree, own house.Pedigree) {
	for axis := range 2 {
		best := map[measure.Length]note{}
		var order []measure.Length
		for c, p := range r {
			at, pedigree := p.X, own
			if axis == 1 {
				at = p.Y
			}
			if len(known) > 0 {
				pedigree = known[c][axis]
			}
			old, seen := best[at]
			switch {
			case !seen:
				order = append(order, at)
				best[at] = note{kind: noteKind(axis), place: Place{wall, opening, axis, at}, first: c, pedigree: pedigree, worst: pedigree, worstAt: c}
			case house.Worse(old.worst, pedigree) != old.worst:
				old.worst, old.worstAt = pedigree, c
				best[at] = old
			case pedigree != old.pedigree && house.Worse(old.pedigree, pedigree) == old.pedigree:
				old.pedigree, old.first = pedigree, c
				best[at] = old
			}
		}
		for _, at := range order {
			n.place(best[at])
		}
	}
}

// box reads an opening as it is written: left, sill, width, height.
func (n *network) box(wall, opening int, o house.Opening, sizes [2]house.Pedigree) {
	box := o.Outline.Box()
	for axis, span := range [2][2]measure.Length{{box.Min.X, box.Max.X}, {box.Min.Y, box.Max.Y}} {
		low, high := Place{wall, opening, axis, span[0]}, Place{wall, opening, axis, span[1]}
		n.place(note{kind: noteKind(axis), place: low, pedigree: o.Readings[0][axis], worst: o.Readings[0][axis]})
		n.add(note{kind: size, place: high, pedigree: sizes[axis], worst: sizes[axis]}, n.between(low, high), span[1]-span[0], doubt(sizes[axis]))
	}
}

// place adds the reading of a place by its own number.
func (n *network) place(k note) {
	from := n.origin(k.place)
	n.add(k, n.between(from, k.place), k.place.At-from.At, doubt(k.pedigree))
}

// origin is the zero that a place's number counts from.
func (n *network) origin(p Place) Place {
	if p.Axis == 1 {
		return levelLine
	}
	return Place{p.Wall, -1, 0, n.zero[p.Wall]}
}

// between is how far to lies beyond from; none for one and the same place.
func (n *network) between(from, to Place) survey.Sum {
	if home(n.one, from) == home(n.one, to) {
		return nil
	}
	return append(n.terms(to, 1), n.terms(from, -1)...)
}

// terms is a place's own number times by; none for a zero.
func (n *network) terms(p Place, by float64) survey.Sum {
	p = home(n.one, p)
	if p == levelLine || p.Axis == 0 && p.Opening < 0 && p.At == n.zero[p.Wall] {
		return nil
	}
	i, ok := n.at[p]
	if !ok {
		i = len(n.Unknowns)
		n.at[p] = i
		n.Unknowns = append(n.Unknowns, survey.Unknown{Start: (p.At - n.origin(p).At).Inches()})
	}
	return survey.Sum{{At: i, By: by}}
}

// add adds a reading; one of nothing but zeros says nothing.
func (n *network) add(k note, of survey.Sum, value measure.Length, sigma float64) {
	if len(of) == 0 {
		return
	}
	n.notes = append(n.notes, k)
	n.Readings = append(n.Readings, survey.Reading{By: string(k.pedigree.By), Of: of, Value: value.Inches(), Sigma: sigma})
}

// sum is what reading i reads: every reading of a house is of a sum.
func (n *network) sum(i int) survey.Sum { return n.Readings[i].Of.(survey.Sum) }

// checked gives the parts of the network in which readings check one another, each
// by itself, with the numbers of its readings in n. A place that only one reading
// reaches is given by that alone and checks nothing: both are left out, and so on
// until no such place is left. The readings' residuals are those of the whole.
func (n *network) checked() (parts []survey.Network, of [][]int) {
	kept := n.redundant()
	group := n.groups(kept)
	place := map[int]int{} // of a group
	local := make([]int, len(n.Unknowns))
	for i := range local {
		local[i] = -1
	}
	renumbered := make([]map[int]int, 0)
	for _, r := range kept {
		sum := n.sum(r)
		g := group(sum[0].At)
		if _, ok := place[g]; !ok {
			place[g] = len(parts)
			parts, of, renumbered = append(parts, survey.Network{}), append(of, nil), append(renumbered, map[int]int{})
		}
		part := &parts[place[g]]
		moved := make(survey.Sum, len(sum))
		for k, t := range sum {
			if local[t.At] < 0 {
				local[t.At] = len(part.Unknowns)
				part.Unknowns = append(part.Unknowns, n.Unknowns[t.At])
			}
			moved[k] = t
			moved[k].At = local[t.At]
		}
		reading := n.Readings[r]
		reading.Of = moved
		renumbered[place[g]][r] = len(part.Readings)
		part.Readings = append(part.Readings, reading)
		of[place[g]] = append(of[place[g]], r)
	}
	for i := range parts {
		for _, j := range n.Joints {
			if within := j.Within(renumbered[i]); len(within.Of) > 0 {
				parts[i].Joints = append(parts[i].Joints, within)
			}
		}
	}
	return parts, of
}

// redundant gives the readings that are left when places of a single reading are
// taken away, one after the other.
func (n *network) redundant() []int {
	touching := make([][]int, len(n.Unknowns))
	gone, left := make([]bool, len(n.Readings)), make([]int, len(n.Unknowns))
	for r := range n.Readings {
		if gone[r] = n.mute(n.notes[r]); gone[r] {
			continue
		}
		for _, t := range n.sum(r) {
			touching[t.At] = append(touching[t.At], r)
		}
	}
	var single []int
	for u, list := range touching {
		if left[u] = len(list); left[u] == 1 {
			single = append(single, u)
		}
	}
	for len(single) > 0 {
		u := single[len(single)-1]
		single = single[:len(single)-1]
		for _, r := range touching[u] {
			if gone[r] {
				continue
			}
			gone[r] = true
			for _, t := range n.sum(r) {
				if left[t.At]--; left[t.At] == 1 {
					single = append(single, t.At)
				}
			}
		}
	}
	var kept []int
	for r := range n.Readings {
		if !gone[r] {
			kept = append(kept, r)
		}
	}
	return kept
}

// groups finds which unknowns the given readings join, by themselves or by what they
// have in common: the same number for all of one group.
func (n *network) groups(readings []int) func(int) int {
	root := make([]int, len(n.Unknowns))
	for i := range root {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	kept := make([]bool, len(n.Readings))
	for _, r := range readings {
		kept[r] = true
		sum := n.sum(r)
		for _, t := range sum[1:] {
			root[find(t.At)] = find(sum[0].At)
		}
	}
	for _, j := range n.Joints {
		of := slices.DeleteFunc(slices.Clone(j.Of), func(r int) bool { return !kept[r] })
		for _, r := range of {
			root[find(n.sum(r)[0].At)] = find(n.sum(of[0])[0].At)
		}
	}
	return find
}
