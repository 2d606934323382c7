package photo

import (
	"fmt"
	"strings"

	"coilwright/measure"
)

// Marks is what a person drew on one photo. Places are named, so that one point
// can serve several walls.
type Marks struct {
	// Width and Height of the picture in pixels, after its orientation is applied.
	Width, Height int
	// Focal is the focal length in pixels, 0 where unknown; FocalSigma its standard
	// deviation, 0 for the usual one of a stated focal length.
	Focal, FocalSigma float64
	Points            map[string]Pixel
	Walls             []MarkedWall
	Lengths           []KnownLength
	Straight          [][]string // points of one straight edge each, for the lens
	Corners           []MarkedCorner
}

// MarkedWall is a wall's outline, counter-clockwise seen from outside, its first
// point the wall's (0, 0). Level and Plumb list points that lie on one level or
// plumb line of the wall. Free says that the outline's sides are neither level
// nor plumb even where they look so.
type MarkedWall struct {
	ID           string
	Outline      []string
	Level, Plumb [][]string
	Openings     []MarkedOpening
	Free         bool
}

// MarkedOpening is four corners from the lower left, counter-clockwise; its sides
// are level and plumb unless Free.
type MarkedOpening struct {
	ID, Kind string
	Corners  []string
	Free     bool
}

// KnownLength is a length that was measured between two marked points. PlusMinus
// is its 95 % half-width.
type KnownLength struct {
	Between           [2]string
	Length, PlusMinus measure.Length
}

// MarkedCorner joins two walls along upright edges, named as in "south.right",
// "east.left", "north.edge[3]". Square says that they stand at a right angle.
type MarkedCorner struct {
	Between [2]string
	Outside bool
	Square  bool
}

// MarksError says what is wrong with marks or missing in them: the place, the
// matter and the mend. Photo counts from 0.
type MarksError struct {
	Photo             int
	Where, What, Mend string
}

func (e *MarksError) Error() string { return fmt.Sprintf("%s: %s; %s", e.Where, e.What, e.Mend) }

func wrong(photo int, where, mend, what string, args ...any) error {
	return &MarksError{photo, where, fmt.Sprintf(what, args...), mend}
}

// largestSide bounds the pixels of a picture's side and so those of a mark.
const largestSide = 100_000

// check finds marks that no solution could use.
func (m Marks) check(photo int) error {
	if m.Width < 1 || m.Height < 1 || m.Width > largestSide || m.Height > largestSide {
		return wrong(photo, "photo", "give the photo's file, or its width and height in pixels", "the picture's size is not known")
	}
	if m.Focal < 0 || m.Focal > 100*float64(m.Width+m.Height) || m.Focal != m.Focal {
		return wrong(photo, "photo.focal_px", "leave it out, or give it in pixels", "a focal length of %g pixels is none", m.Focal)
	}
	for name, at := range m.Points {
		// A mark may lie outside the picture, where a corner is cut off, but not far.
		if !(within(at.U, m.Width) && within(at.V, m.Height)) {
			return wrong(photo, "points."+name, "mark it again on this photo", "(%g, %g) lies far outside the picture", at.U, at.V)
		}
	}
	if len(m.Walls) == 0 {
		return wrong(photo, "walls", "mark a wall's corners", "no wall is marked")
	}
	for _, w := range m.Walls {
		if err := m.checkWall(photo, w); err != nil {
			return err
		}
	}
	for i, s := range m.Straight {
		where := fmt.Sprintf("straight[%d]", i)
		if err := m.named(photo, where, s...); err != nil {
			return err
		}
		if len(s) < 3 {
			return wrong(photo, where, "mark three or more points along the edge", "two points are always straight")
		}
	}
	for i, l := range m.Lengths {
		where := fmt.Sprintf("lengths[%d]", i)
		if err := m.named(photo, where, l.Between[:]...); err != nil {
			return err
		}
		if l.Length <= 0 || l.PlusMinus < 0 {
			return wrong(photo, where, "write a length above 0", "%s is not a length between two points", l.Length.Text(measure.Imperial))
		}
		if l.Between[0] == l.Between[1] {
			return wrong(photo, where, "name two points", "both its ends are %q", l.Between[0])
		}
	}
	return nil
}

func within(v float64, side int) bool {
	s := float64(side)
	return v >= -2*s && v <= 3*s
}

func (m Marks) checkWall(photo int, w MarkedWall) error {
	where := "walls." + w.ID
	if err := m.named(photo, where, w.Outline...); err != nil {
		return err
	}
	if len(w.Outline) < 3 {
		return wrong(photo, where, "mark every corner of the wall, counter-clockwise", "an outline needs three corners or more, this has %d", len(w.Outline))
	}
	if area := m.area(w.Outline); area <= 0 {
		return wrong(photo, where, "mark its corners counter-clockwise as seen on the photo, not on one line", "the outline runs clockwise or has no area")
	}
	for _, list := range append(append([][]string{}, w.Level...), w.Plumb...) {
		if err := m.named(photo, where, list...); err != nil {
			return err
		}
	}
	for _, o := range w.Openings {
		where := where + "." + o.ID
		if err := m.named(photo, where, o.Corners...); err != nil {
			return err
		}
		if len(o.Corners) != 4 {
			return wrong(photo, where, "mark its four corners, from the lower left, counter-clockwise", "an opening needs four corners, this has %d", len(o.Corners))
		}
		if m.area(o.Corners) <= 0 {
			return wrong(photo, where, "mark its corners from the lower left, counter-clockwise, not on one line", "the corners run clockwise or have no area")
		}
	}
	return nil
}

// area is twice the signed area of marked points, positive where they run
// counter-clockwise on the picture (whose y runs down). Nearly none, beside the
// square of the longest side, counts as none.
func (m Marks) area(names []string) float64 {
	sum, longest := 0.0, 0.0
	for i, n := range names {
		p, q := m.Points[n], m.Points[names[(i+1)%len(names)]]
		sum += q.U*p.V - p.U*q.V
		longest = max(longest, (q.U-p.U)*(q.U-p.U)+(q.V-p.V)*(q.V-p.V))
	}
	if sum < 1e-3*longest && sum > -1e-3*longest {
		return 0
	}
	return sum
}

func (m Marks) named(photo int, where string, names ...string) error {
	var unknown []string
	for _, n := range names {
		if _, ok := m.Points[n]; !ok {
			unknown = append(unknown, fmt.Sprintf("%q", n))
		}
	}
	if len(unknown) > 0 {
		return wrong(photo, where, "add it to points, or name one that is there", "no point is named %s", strings.Join(unknown, ", "))
	}
	return nil
}
