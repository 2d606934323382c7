package job

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/photo"
	"coilwright/plane"
)

// PhotoDrawing is how walls measured in photos come into the job file.
type PhotoDrawing struct {
	Walls []string
	Ops   []PatchOp
	Kept  []KeptNumber
	Notes []string
}

// KeptNumber is a tape number that a photo's did not take the place of. Agrees says
// that the two lie within both plus-minus.
type KeptNumber struct {
	Wall, Opening, What, Kept, Photo string
	Agrees                           bool
}

// DrawFromPhotos puts measured walls into the job: a wall of the job of that id is
// renewed, another is added. Tape numbers stay. data is the job's own text; only
// restricts the walls, nil takes all that were measured.
func (j *Job) DrawFromPhotos(data []byte, solved []Solved, only []string) (PhotoDrawing, error) {
	var raw rawJob
	if err := json.Unmarshal(data, &raw); err != nil {
		return PhotoDrawing{}, fmt.Errorf("the job's text: %w", err)
	}
	d := &photoDrawer{job: j, raw: raw, units: j.Units, walls: len(raw.House.Walls), took: map[string]bool{}}
	for _, s := range solved {
		for _, w := range s.Solution.Walls {
			if (only == nil || slices.Contains(only, w.ID)) && !d.took[w.ID] {
				d.took[w.ID] = true
				d.wall(s, w)
			}
		}
		d.corners(s)
	}
	return d.out, nil
}

// rawJob is what the job's text holds, whether or not it can be read as a job.
type rawJob struct {
	House struct {
		Walls   []rawWall
		Corners []struct{ Between []string }
	}
}

type rawWall struct {
	ID       string
	Outline  []json.RawMessage
	Openings []struct {
		ID       string
		At, Size json.RawMessage
	}
}

// photoDrawer writes the patch.
type photoDrawer struct {
	job     *Job
	raw     rawJob
	units   measure.Units
	walls   int // in the job, with those added so far
	corner  bool
	took    map[string]bool
	out     PhotoDrawing
	current string
}

func (d *photoDrawer) op(op, path string, value any) {
	d.out.Ops = append(d.out.Ops, PatchOp{op, path, value})
}

func (d *photoDrawer) note(text string, args ...any) {
	d.out.Notes = append(d.out.Notes, d.current+": "+fmt.Sprintf(text, args...))
}

func (d *photoDrawer) wall(s Solved, w photo.Wall) {
	d.current = w.ID
	d.out.Walls = append(d.out.Walls, w.ID)
	marks := marksOfWall(s, w.ID)
	numbers := d.outline(s, w, marks)
	at := slices.IndexFunc(d.raw.House.Walls, func(r rawWall) bool { return r.ID == w.ID })
	if at < 0 {
		d.added(s, w, numbers, marks)
		return
	}
	ring := d.renewed(s, w, at, numbers)
	d.openings(w, at, ring, numbers[0][1].at, marks)
}

// wallMarks is a wall's marks on one photo, with that photo's lengths.
type wallMarks struct {
	wall    photo.MarkedWall
	lengths []photo.KnownLength
}

func marksOfWall(s Solved, id string) []wallMarks {
	var out []wallMarks
	for _, p := range s.Photos {
		for _, w := range p.Marks.Walls {
			if w.ID == id {
				out = append(out, wallMarks{w, p.Marks.Lengths})
			}
		}
	}
	return out
}

// taped finds a length that was measured between two corners, named by their
// number in what names gives of each photo's marks.
func taped(all []wallMarks, names func(photo.MarkedWall) []string, a, b int) (photo.KnownLength, bool) {
	for _, m := range all {
		n := names(m.wall)
		for _, l := range m.lengths {
			if a < len(n) && b < len(n) && (l.Between == [2]string{n[a], n[b]} || l.Between == [2]string{n[b], n[a]}) {
				return l, true
			}
		}
	}
	return photo.KnownLength{}, false
}

func outlineNames(w photo.MarkedWall) []string { return w.Outline }

// outline gives each corner's numbers. Heights count from the house's level line,
// which is where the first wall that was measured with this one begins.
func (d *photoDrawer) outline(s Solved, w photo.Wall, marks []wallMarks) [][2]photoNumber {
	raised := d.raised(s, w)
	out := make([][2]photoNumber, len(w.Corners))
	for k, c := range w.Corners {
		out[k] = [2]photoNumber{d.number(c[0]), d.number(c[1])}
		out[k][1].at += raised
	}
	n := len(w.Corners)
	for axis := range 2 {
		a, b := 0, 1 // the base, or the left end
		if axis == 1 {
			b = n - 1
		}
		l, ok := taped(marks, outlineNames, a, b)
		if !ok || w.Corners[b][1-axis].Value != w.Corners[a][1-axis].Value {
			continue // not measured, or not along the axis
		}
		for k, c := range w.Corners {
			if k != a && c[axis].Value == w.Corners[b][axis].Value { // the same plumb or level line
				out[k][axis] = photoNumber{out[a][axis].at + l.Length, house.Pedigree{By: house.Tape, PlusMinus: tapePlusMinus(l.PlusMinus)}}
			}
		}
	}
	return out
}

func tapePlusMinus(plusMinus measure.Length) measure.Length {
	if plusMinus <= 0 {
		return -1
	}
	return plusMinus
}

// raised is how far the wall's first corner stands over the level line: over a tape
// number of the job, or over the first wall of the photos. What lies within what is
// known of heights counts as level.
func (d *photoDrawer) raised(s Solved, w photo.Wall) measure.Length {
	for i, h := range d.job.House.Walls {
		if h.ID == w.ID && i < len(d.raw.House.Walls) && len(h.Outline) == len(w.Corners) && keeps(h.Readings[0][1]) {
			return h.Outline[0].Y
		}
	}
	first := s.Solution.Walls[0]
	known := 0.0
	for _, c := range append(slices.Clone(first.Corners), w.Corners...) {
		known = max(known, c[1].PlusMinus())
	}
	off := w.Plane.Origin.Z - first.Plane.Origin.Z
	if off < known && off > -known {
		return 0
	}
	return measure.FromInches(off).RoundTo(d.units.Step())
}

// keeps says whether a number is better than a photo's can be.
func keeps(p house.Pedigree) bool { return p.By.Rank() > house.Photo.Rank() }

// added puts a new wall into the job.
func (d *photoDrawer) added(s Solved, w photo.Wall, numbers [][2]photoNumber, marks []wallMarks) {
	ring := ringOf(numbers)
	worst := measure.Length(0)
	for _, n := range numbers {
		worst = max(worst, n[0].known.PlusMinus, n[1].known.PlusMinus)
	}
	wall := map[string]any{
		"id": w.ID, "outline": d.written(numbers), "edges": edgeKinds(s, w),
		// What a photo shows of a house that is still clad.
		"over": string(house.OldCladding), "measured": pedigreeText(house.Pedigree{By: house.Photo, PlusMinus: worst}, d.units),
	}
	boxes := d.boxes(w, ring, numbers[0][1].at, marks)
	d.fit(boxes, ring)
	openings := []any{}
	for _, b := range boxes {
		openings = append(openings, b.whole(d.units))
	}
	wall["openings"] = openings
	d.op("add", "/house/walls/-", wall)
	d.walls++
}

// renewed writes the outline of a wall that the job has, and gives it as it then is.
func (d *photoDrawer) renewed(s Solved, w photo.Wall, at int, numbers [][2]photoNumber) plane.Ring {
	path := fmt.Sprintf("/house/walls/%d", at)
	have := d.house(at)
	if len(have.Outline) != len(numbers) || len(have.Outline) != len(d.raw.House.Walls[at].Outline) {
		if slices.ContainsFunc(have.Readings, func(r [2]house.Pedigree) bool { return keeps(r[0]) || keeps(r[1]) }) {
			d.note("its outline has %d corners by tape and %d on the photo: the tape's stays as it is", len(have.Outline), len(numbers))
			return have.Outline
		}
		d.op("replace", path+"/outline", d.written(numbers))
		d.op("replace", path+"/edges", edgeKinds(s, w))
		return ringOf(numbers)
	}
	ring := ringOf(numbers)
	for k, n := range numbers {
		for axis, name := range []string{"x", "y"} {
			old := [2]measure.Length{have.Outline[k].X, have.Outline[k].Y}[axis]
			if !keeps(have.Readings[k][axis]) || n[axis].known.By == house.Tape {
				d.op("replace", fmt.Sprintf("%s/outline/%d/%d", path, k, axis), n[axis].value(d.units))
				continue
			}
			if axis == 0 {
				ring[k].X = old
			} else {
				ring[k].Y = old
			}
			d.keep("", fmt.Sprintf("%s of corner %d", map[string]string{"x": "place", "y": "height"}[name], k+1), old, have.Readings[k][axis], n[axis])
		}
	}
	return ring
}

// house gives the job's wall as read, empty where it could not be.
func (d *photoDrawer) house(at int) house.Wall {
	if at < len(d.job.House.Walls) {
		return d.job.House.Walls[at]
	}
	return house.Wall{}
}

// keep notes a tape number that stays. What both say alike is not worth a word.
func (d *photoDrawer) keep(opening, what string, old measure.Length, known house.Pedigree, n photoNumber) {
	if old == n.at {
		return
	}
	agrees := (old - n.at).Abs() <= max(known.PlusMinus, 0)+max(n.known.PlusMinus, 0)
	d.out.Kept = append(d.out.Kept, KeptNumber{d.current, opening, what, old.Text(d.units), n.text(d.units), agrees})
}

// corners joins walls as they are joined in the photos, where the job does not yet.
func (d *photoDrawer) corners(s Solved) {
	wallOf := func(edge string) string { return edge[:max(0, strings.LastIndexByte(edge, '.'))] }
	for _, p := range s.Photos {
		for _, c := range p.Marks.Corners {
			a, b := wallOf(c.Between[0]), wallOf(c.Between[1])
			joined := slices.ContainsFunc(d.raw.House.Corners, func(k struct{ Between []string }) bool {
				return len(k.Between) == 2 && (wallOf(k.Between[0]) == a && wallOf(k.Between[1]) == b || wallOf(k.Between[0]) == b && wallOf(k.Between[1]) == a)
			})
			if joined || !d.took[a] || !d.took[b] {
				continue
			}
			d.raw.House.Corners = append(d.raw.House.Corners, struct{ Between []string }{c.Between[:]})
			kind := map[bool]string{true: "outside", false: "inside"}[c.Outside]
			d.join(map[string]any{"between": c.Between, "kind": kind})
		}
	}
}

func (d *photoDrawer) join(corner any) {
	if len(d.raw.House.Corners) == 1 && !d.corner { // the list may be missing
		d.op("add", "/house/corners", []any{corner})
	} else {
		d.op("add", "/house/corners/-", corner)
	}
	d.corner = true
}
