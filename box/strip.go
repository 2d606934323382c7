package box

import (
	"coilwright/course"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
)

// Like is what pieces must share to be cut from one section.
type Like struct {
	Panel, Texture, Colour string
	Thickness              measure.Length
}

// Strip is what one formed piece covers, to be covered with sections instead. It
// runs from Start over Length along the strip, in the wall's own x (y for an
// upright panel); Length is a multiple of the step. Corners are the places along it of the corners of openings that
// its course holds or touches.
type Strip struct {
	ID                 string
	Like               Like
	Wall, Zone, Course int
	Start, Length      measure.Length
	Corners            []measure.Length
}

// Strips gives the strips of a layout in hanging order. The layout must be one
// without planned joints: see WithoutJoints.
func Strips(h house.House, l *course.Layout) []Strip {
	var out []Strip
	for _, z := range l.Zones {
		for _, i := range z.Pieces {
			p := l.Pieces[i]
			if p.Length <= 0 {
				continue
			}
			s := Strip{ID: p.ID, Like: Like{p.Panel, p.Texture, p.Colour, p.Thickness},
				Wall: p.Wall, Zone: p.Zone, Course: p.Course, Start: along(p.At, p.Vertical), Length: p.Length}
			for _, b := range z.Bands {
				if b.K == p.Course {
					s.Corners = corners(h.Walls[p.Wall], b, p.Vertical)
				}
			}
			out = append(out, s)
		}
	}
	return out
}

// WithoutJoints is in without the shop's longest piece, so that every piece of its
// layout is one whole strip.
func WithoutJoints(in course.Input) course.Input {
	b := *in.Book
	b.LongestPiece = 0
	in.Book = &b
	return in
}

func along(p plane.Point, upright bool) measure.Length {
	if upright {
		return p.Y
	}
	return p.X
}

// corners lists where the corners of openings lie along a band that holds or
// touches them.
func corners(w house.Wall, b course.Band, upright bool) []measure.Length {
	var out []measure.Length
	for _, o := range w.Openings {
		for _, p := range o.Outline {
			if across := along(p, !upright); across >= b.Low && across <= b.High {
				out = append(out, along(p, upright))
			}
		}
	}
	return out
}

// neighbours says whether the joints of two strips must be staggered: courses next
// to each other in one zone of one wall, side by side for some of their length.
func (s Strip) neighbours(t Strip) bool {
	if d := s.Course - t.Course; d != 1 && d != -1 || s.Wall != t.Wall || s.Zone != t.Zone {
		return false
	}
	return s.Start < t.Start+t.Length && t.Start < s.Start+s.Length
}
