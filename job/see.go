package job

import (
	"fmt"
	"slices"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/photo"
	"coilwright/problem"
)

// sight is photos of the house that were solved together: coordinates of what they
// show, and the tape numbers written on them.
type sight struct {
	photos []int // of Job.Photos
	joint  photo.Joint
	taped  []photo.Taped // Photo is the place in photos; those below stated are written there
	stated int
}

// See solves the marks of the job's photos, so that their sizes are weighed with all
// other readings of the house. Photos of one wall are solved together. open serves
// files of marks and the photos. What cannot be used is left out and said as a
// warning: a job can be worked without its photos.
func (j *Job) See(open Open) problem.List {
	var found problem.List
	j.seen = nil
	marks := make([]photo.Marks, len(j.Photos))
	var marked []int
	for i, p := range j.Photos {
		m, list := p.Marks(open)
		for _, f := range list {
			f.Severity = problem.Warning
			found = append(found, f)
		}
		if !list.Fatal() && len(m.Walls) > 0 {
			marks[i] = m
			marked = append(marked, i)
		}
	}
	for _, group := range sharing(marks, marked) {
		s, err := j.solve(group, marks)
		if err == nil {
			j.seen = append(j.seen, s)
			continue
		}
		for _, i := range group { // one may spoil the others
			if len(group) > 1 {
				s, err = j.solve([]int{i}, marks)
			}
			if err != nil {
				p := marksProblem(err, 1)
				found.Warnf(fmt.Sprintf("$.house.photos[%d].marks%s", i, p.Where[1:]), p.Mend, "photo %s gives no sizes: %s", j.Photos[i].ID, p.What)
				continue
			}
			j.seen = append(j.seen, s)
		}
	}
	for _, s := range j.seen {
		j.unknownWalls(s, &found)
	}
	return found
}

// sharing groups photos that show a wall in common.
func sharing(marks []photo.Marks, marked []int) [][]int {
	var groups [][]int
	for _, i := range marked {
		group := []int{i}
		var apart [][]int
		for _, g := range groups {
			if slices.ContainsFunc(g, func(k int) bool { return shareWall(marks[i], marks[k]) }) {
				group = append(group, g...)
			} else {
				apart = append(apart, g)
			}
		}
		slices.Sort(group)
		groups = append(apart, group)
	}
	slices.SortFunc(groups, func(a, b []int) int { return a[0] - b[0] })
	return groups
}

func shareWall(a, b photo.Marks) bool {
	return slices.ContainsFunc(a.Walls, func(w photo.MarkedWall) bool {
		return slices.ContainsFunc(b.Walls, func(v photo.MarkedWall) bool { return w.ID == v.ID })
	})
}

// solve solves photos together. Tape numbers between corners of one wall are left
// out of what the photos say, to be weighed once, beside the house's own; without any
// the house as drawn gives the photos a first scale.
func (j *Job) solve(group []int, all []photo.Marks) (sight, error) {
	marks := make([]photo.Marks, len(group))
	scaled := false
	for k, i := range group {
		marks[k] = all[i]
		scaled = scaled || len(all[i].Lengths) > 0
	}
	s := sight{photos: group}
	if !scaled {
		j.scale(marks)
	}
	solved, err := photo.Solve(marks...)
	if err != nil {
		return sight{}, err
	}
	s.taped = solved.Taped()
	if s.stated = len(s.taped); !scaled {
		s.stated = 0
	}
	s.joint, err = solved.Joint(s.taped)
	return s, err
}

// scale takes one length of the first marked wall that the house has from its
// drawing.
func (j *Job) scale(marks []photo.Marks) {
	for k, m := range marks {
		for _, w := range m.Walls {
			i := j.wall(w.ID)
			if i < 0 || len(w.Outline) < 2 {
				continue
			}
			if width := j.House.Walls[i].Outline.Box().Width(); width > 0 && len(j.House.Walls[i].Outline) == len(w.Outline) {
				marks[k].Lengths = append(slices.Clone(m.Lengths), photo.KnownLength{Between: [2]string{w.Outline[0], w.Outline[1]}, Length: j.firstEdge(i), PlusMinus: width / 8})
				return
			}
		}
	}
}

// firstEdge is how long the first edge of a wall's outline is drawn.
func (j *Job) firstEdge(wall int) measure.Length {
	a, b := j.House.Walls[wall].Edge(0)
	return measure.FromInches(distance(a, b))
}

// wall finds a wall by id; -1 for none.
func (j *Job) wall(id string) int {
	return slices.IndexFunc(j.House.Walls, func(w house.Wall) bool { return w.ID == id })
}

// unknownWalls says what a photo shows that the house has not, or has otherwise.
func (j *Job) unknownWalls(s sight, found *problem.List) {
	said := map[string]bool{}
	where := fmt.Sprintf("$.house.photos[%d].marks", s.photos[0])
	warn := func(key, mend, what string, args ...any) {
		if !said[key] {
			said[key] = true
			found.Warnf(where, mend, what, args...)
		}
	}
	corners := map[string]int{}
	for _, c := range s.joint.Coordinates {
		if c.Opening == "" {
			corners[c.Wall] = max(corners[c.Wall], c.Corner+1)
		}
	}
	for _, c := range s.joint.Coordinates {
		i := j.wall(c.Wall)
		switch {
		case i < 0:
			warn(c.Wall, "draw the wall, or give it the house's name for it", "photo %s shows wall %q, the house has none of that id", j.Photos[s.photos[0]].ID, c.Wall)
		case corners[c.Wall] != len(j.House.Walls[i].Outline):
			warn(c.Wall, "mark the corners that the house has", "photo %s shows %d corners of wall %s, the house has %d: only its openings' own sizes are used",
				j.Photos[s.photos[0]].ID, corners[c.Wall], c.Wall, len(j.House.Walls[i].Outline))
		case c.Opening != "" && j.opening(i, c.Opening) < 0:
			warn(c.Wall+"."+c.Opening, "draw it, or give it the house's name for it", "photo %s shows opening %q on wall %s, the house has none of that id", j.Photos[s.photos[0]].ID, c.Opening, c.Wall)
		}
	}
}

func (j *Job) opening(wall int, id string) int {
	return slices.IndexFunc(j.House.Walls[wall].Openings, func(o house.Opening) bool { return o.ID == id })
}
