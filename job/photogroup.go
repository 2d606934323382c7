package job

import (
	"errors"
	"slices"

	"coilwright/photo"
	"coilwright/problem"
)

// MarkedPhoto is the marks of one photo of a job.
type MarkedPhoto struct {
	ID    string
	Marks photo.Marks
}

// Solved is photos that see common walls, measured together.
type Solved struct {
	Photos   []MarkedPhoto
	Solution photo.Solution
}

// Lacking says why a photo gives no sizes yet: what is wrong with its marks or
// missing in them.
type Lacking struct {
	Photo             string
	Where, What, Mend string
}

// SolvePhotos measures a job's photos: those that see the same walls together, the
// others each for itself, so that a photo just begun takes no size away from one
// that is done. A photo whose marks do not suffice is left out, and is said.
func SolvePhotos(photos []MarkedPhoto) (solved []Solved, lacking []Lacking) {
	for _, group := range together(photos) {
		for len(group) > 0 {
			s, err := photo.Solve(marksOf(group)...)
			if err == nil {
				solved = append(solved, Solved{group, s})
				break
			}
			var bad *photo.MarksError
			if !errors.As(err, &bad) {
				bad = &photo.MarksError{Where: "points", What: err.Error(), Mend: "check the marks"}
			}
			at := min(max(bad.Photo, 0), len(group)-1)
			lacking = append(lacking, Lacking{group[at].ID, bad.Where, bad.What, bad.Mend})
			group = slices.Delete(slices.Clone(group), at, at+1)
		}
	}
	return solved, lacking
}

// together groups photos that a chain of common walls joins, each group in the
// photos' order.
func together(photos []MarkedPhoto) [][]MarkedPhoto {
	group := make([]int, len(photos)) // by photo, its group's first
	for i := range photos {
		group[i] = i
		for k := range i {
			if from, to := group[k], group[i]; from != to && sees(photos[k], photos[i]) {
				for m := range i + 1 {
					if group[m] == to {
						group[m] = from
					}
				}
			}
		}
	}
	var out [][]MarkedPhoto
	for first := range photos {
		var all []MarkedPhoto
		for i, g := range group {
			if g == first {
				all = append(all, photos[i])
			}
		}
		if len(all) > 0 {
			out = append(out, all)
		}
	}
	return out
}

// sees says whether two photos show a common wall.
func sees(a, b MarkedPhoto) bool {
	return slices.ContainsFunc(a.Marks.Walls, func(w photo.MarkedWall) bool {
		return slices.ContainsFunc(b.Marks.Walls, func(v photo.MarkedWall) bool { return v.ID == w.ID })
	})
}

func marksOf(photos []MarkedPhoto) []photo.Marks {
	out := make([]photo.Marks, len(photos))
	for i, p := range photos {
		out[i] = p.Marks
	}
	return out
}

// MostMarks bounds what is solved at once: a house of forty walls and openings on
// ten photos has fewer.
const MostMarks = 1500

// Few refuses marks that are more than can be solved while somebody waits.
func Few(photos []MarkedPhoto) error {
	count := 0
	for _, p := range photos {
		count += len(p.Marks.Points)
		for _, w := range p.Marks.Walls {
			count += len(w.Openings) + len(w.Level) + len(w.Plumb)
		}
		count += len(p.Marks.Lengths) + len(p.Marks.Straight) + len(p.Marks.Corners)
	}
	if count <= MostMarks {
		return nil
	}
	return &problem.Failure{Problems: problem.List{{
		Severity: problem.Error, Where: "photos", What: "there are more marks than are solved at once", Mend: "keep to a thousand corners, lines and lengths on all photos together",
	}}}
}
