package job

import (
	"slices"
	"strings"

	"coilwright/course"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/problem"
	"coilwright/survey"
)

// TapeAnswer is `tape --json`: what to read on the second visit, in walking order.
type TapeAnswer struct {
	Pieces   int           `json:"pieces"`  // of the schemes looked at
	Waiting  int           `json:"waiting"` // not fit to cut yet
	Readings []TapeReading `json:"readings"`
	Next     *TapeNext     `json:"next,omitempty"`
	// Misread are numbers that the others do not bear out.
	Misread []MisreadAnswer `json:"misread"`
	// Adjusted are numbers that all readings together give better than they stand in
	// the job; Patch (RFC 6902) takes them all over.
	Adjusted []AdjustedAnswer `json:"adjusted"`
	Patch    []PatchOp        `json:"patch"`
	Cautions []CautionAnswer  `json:"cautions"`
}

// MisreadAnswer is a number that does not fit the rest, in the trade's words.
type MisreadAnswer struct {
	Where string `json:"where"`
	Wall  string `json:"wall"`
	Text  string `json:"text"`
	Mend  string `json:"mend"`
}

// TapeReading is one number that pieces wait for; Where is its place in the job.
type TapeReading struct {
	Where    string   `json:"where"`
	Wall     string   `json:"wall"`
	What     string   `json:"what"`
	LengthIn float64  `json:"length_in"` // as it is now; 0 where the whole wall is meant
	Length   string   `json:"length"`
	Known    string   `json:"known"`
	High     bool     `json:"high"` // out of reach from the ground
	Pieces   []string `json:"pieces"`
	// Pointers (RFC 6901) are the places that the number is written to, none where a
	// whole wall is meant; Offset is what the file counts before the wall's left end,
	// "" for nothing.
	Pointers []string `json:"pointers"`
	Offset   string   `json:"offset"`
}

// TapeNext is the one reading that would do most for the cut list. Settled is how
// many pieces' lengths it would bring within the shop's plus-minus.
type TapeNext struct {
	Where   string `json:"where"`
	What    string `json:"what"`
	Settled int    `json:"settled"`
}

// waiting gathers what unfit pieces wait for: readings of the network, or whole
// walls where no number of theirs is at fault.
type waiting struct {
	n        *network
	readings map[int][]string
	walls    map[int][]string
	lengths  []survey.Sum // raw, of the pieces that wait
}

// Tape lists the numbers that keep pieces of the named schemes, of all where none is
// named, from being cut. Errors are those of Layout.
func (j *Job) Tape(schemes ...string) (TapeAnswer, error) {
	if len(schemes) == 0 {
		for _, s := range j.Schemes {
			schemes = append(schemes, s.ID)
		}
	}
	out := TapeAnswer{Readings: []TapeReading{}, Adjusted: []AdjustedAnswer{}}
	w := waiting{n: j.network(), readings: map[int][]string{}, walls: map[int][]string{}}
	for _, id := range schemes {
		l, err := j.Layout(id, false)
		if err != nil {
			return TapeAnswer{}, err
		}
		raw, err := j.Layout(id, true)
		if err != nil {
			return TapeAnswer{}, err
		}
		prefix := ""
		if len(schemes) > 1 {
			prefix = id + "/"
		}
		out.Pieces += len(l.Pieces)
		out.Waiting += j.gather(&w, l, raw, prefix)
	}
	order := j.walk(&w)
	for _, r := range order {
		out.Readings = append(out.Readings, r.answer)
	}
	out.Next = j.next(&w, order)
	out.Misread = j.misreadAnswers()
	out.Cautions = tapeCautions(out.Readings)
	adjusted, err := j.adjusted(w.n)
	if err != nil {
		out.Cautions = append(out.Cautions, CautionAnswer{"adjusted", "the readings cannot be adjusted as one: " + err.Error()})
	}
	for _, a := range adjusted {
		out.Adjusted = append(out.Adjusted, a.answer)
	}
	out.Patch = j.takeOver(w.n, adjusted)
	return out, nil
}

// gather finds what each unfit piece of a layout waits for, and counts them. raw is
// the same layout without set-backs: there a piece's edges lie on the lines that
// were measured.
func (j *Job) gather(w *waiting, l, raw *course.Layout, prefix string) int {
	type strip struct{ wall, zone, course int }
	strips := map[strip][]*course.Piece{}
	for i := range raw.Pieces {
		p := &raw.Pieces[i]
		strips[strip{p.Wall, p.Zone, p.Course}] = append(strips[strip{p.Wall, p.Zone, p.Course}], p)
	}
	givers := w.n.givers()
	frieze := j.friezeOf(l.Scheme)
	count := 0
	for i := range l.Pieces {
		p := &l.Pieces[i]
		if p.Fit {
			continue
		}
		count++
		unfit := map[int]bool{}
		for _, q := range strips[strip{p.Wall, p.Zone, p.Course}] {
			if !within(p, q) {
				continue
			}
			bounds := j.bounds(q, frieze)
			for _, b := range bounds {
				for _, at := range b.places() {
					for _, r := range givers[at] {
						unfit[r] = unfit[r] || !j.fit(w.n.notes[r].worst)
					}
				}
			}
			w.lengths = append(w.lengths, w.n.length(q, bounds))
		}
		w.wait(p.Wall, unfit, prefix+p.ID, j.overOld(p.Wall))
	}
	return count
}

// wait notes that a piece waits for the readings that are true, or for its wall.
func (w *waiting) wait(wall int, unfit map[int]bool, id string, old bool) {
	any := false
	for r, wrong := range unfit {
		if wrong {
			w.readings[r] = append(w.readings[r], id)
			any = true
		}
	}
	if !any || old {
		w.walls[wall] = append(w.walls[wall], id)
	}
}

func (j *Job) friezeOf(scheme string) measure.Length {
	for _, s := range j.Schemes {
		if s.ID == scheme {
			return s.Frieze
		}
	}
	return 0
}

func (j *Job) overOld(wall int) bool {
	return j.Book.FitToCut.Over == string(house.Substrate) && j.House.Walls[wall].Over == house.OldCladding
}

// fit says whether a number of this pedigree may be cut from.
func (j *Job) fit(p house.Pedigree) bool {
	f := j.Book.FitToCut
	return p.By.Rank() >= house.Source(f.By).Rank() && p.PlusMinus >= 0 && p.PlusMinus <= f.PlusMinus
}

// within says whether piece p was cut from the raw strip q.
func within(p, q *course.Piece) bool {
	a, b := p.OnWall().Outer.Box(), q.OnWall().Outer.Box()
	x, y := (a.Min.X+a.Max.X)/2, (a.Min.Y+a.Max.Y)/2
	return b.Min.X <= x && x <= b.Max.X && b.Min.Y <= y && y <= b.Max.Y
}

// givers are the readings that draw each place: its own number, or for an opening's
// right side and head the two that add up to it. Further readings draw nothing.
func (n *network) givers() map[Place][]int {
	out := map[Place][]int{}
	lower := map[[3]int]int{} // an opening's left side or sill
	for i, k := range n.notes {
		key := [3]int{k.place.Wall, k.place.Opening, k.place.Axis}
		switch k.kind {
		case across, height:
			out[k.place] = append(out[k.place], i)
			lower[key] = i
		case size: // follows its left side or sill
			out[k.place] = append(out[k.place], i, lower[key])
		}
	}
	return out
}

// entry is an entry of the list with what it is sorted by.
type entry struct {
	answer  TapeReading
	reading int // -1: the whole wall
	key     [5]int64
}

// walk puts what is waited for in walking order: round the house with the walls at
// one's left hand, each wall from its left end, the wall's own sizes before its
// openings'.
func (j *Job) walk(w *waiting) []entry {
	turn := make([]int64, len(j.House.Walls))
	for i, wall := range walkingOrder(&j.House) {
		turn[wall] = int64(i)
	}
	var out []entry
	for wall, pieces := range w.walls {
		out = append(out, entry{j.wholeWall(wall, pieces), -1, [5]int64{turn[wall], -1}})
	}
	for r, pieces := range w.readings {
		k := w.n.notes[r]
		e := entry{answer: j.tapeReading(w.n, r, pieces), reading: r, key: [5]int64{turn[k.place.Wall]}}
		if k.place.Opening >= 0 {
			left := j.House.Walls[k.place.Wall].Openings[k.place.Opening].Outline.Box().Min.X
			e.key = [5]int64{turn[k.place.Wall], 1, int64(left), int64(k.place.Opening)}
		}
		e.key[4] = int64(r)
		out = append(out, e)
	}
	slices.SortFunc(out, func(a, b entry) int { return slices.Compare(a.key[:], b.key[:]) })
	return out
}

// walkingOrder is the walls as one comes to them: ring by ring, other walls as they
// are listed.
func walkingOrder(h *house.House) []int {
	ringOf := map[int][]side{}
	for _, r := range rings(h) {
		for _, s := range r {
			ringOf[s.wall] = r
		}
	}
	var out []int
	for i := range h.Walls {
		switch r, ok := ringOf[i]; {
		case !ok:
			out = append(out, i)
		case r[0].wall == i:
			for _, s := range r {
				out = append(out, s.wall)
			}
		}
	}
	return out
}

// reachable is how high a tape is read standing on the ground (assumed).
const reachable = 78 * measure.Inch

func (j *Job) tapeReading(n *network, r int, pieces []string) TapeReading {
	k := n.notes[r]
	k.first = k.worstAt
	value := n.value(r)
	out := TapeReading{Where: j.notePath(k), Wall: j.House.Walls[k.place.Wall].ID, What: j.noteText(k),
		LengthIn: value.Inches(), Length: j.near(value), Known: j.known(k.worst), Pieces: pieces}
	high := k.place.At
	if k.place.Axis == 0 {
		high = 0
		if k.place.Opening >= 0 {
			high = j.House.Walls[k.place.Wall].Openings[k.place.Opening].Outline.Box().Min.Y
		}
	}
	out.High = high > reachable
	out.Pointers = []string{}
	for _, p := range j.numberPaths(k) {
		out.Pointers = append(out.Pointers, pointer(p))
	}
	if zero := n.zero[k.place.Wall]; k.kind == across && zero != 0 {
		out.Offset = zero.Text(j.Units)
	}
	slices.Sort(out.Pieces)
	return out
}

// known says how a number is known.
func (j *Job) known(p house.Pedigree) string {
	if p.PlusMinus < 0 {
		return string(p.By) + ", no +/- stated"
	}
	return string(p.By) + " +/- " + p.PlusMinus.Text(j.Units)
}

// wholeWall is the entry of a wall whose pieces wait for no number of their own.
func (j *Job) wholeWall(wall int, pieces []string) TapeReading {
	w := j.House.Walls[wall]
	out := TapeReading{Where: WallPath(wall) + ".measured", Wall: w.ID, What: "wall " + w.ID + " as a whole", Known: j.known(w.Measured), Pieces: pieces, Pointers: []string{}}
	if j.overOld(wall) {
		out.Where, out.What = WallPath(wall)+".over", "every size of wall "+w.ID+" again over the substrate, once the old cladding is off"
	}
	slices.Sort(out.Pieces)
	return out
}

// tapeCautions are what whoever takes the readings must mind.
func tapeCautions(list []TapeReading) []CautionAnswer {
	out := []CautionAnswer{}
	if len(list) > 0 {
		out = append(out, CautionAnswer{"readings", "measure from the ground where possible; keep tape, ladder and yourself clear of power lines; local safety rules win"})
	}
	if slices.ContainsFunc(list, func(r TapeReading) bool { return r.High }) {
		out = append(out, CautionAnswer{"readings", "those marked high are out of reach from the ground: take them from inside, by a laser from below, or from staging, never leaning out from a ladder"})
	}
	return out
}

// misreadAnswers are the findings of checkReadings.
func (j *Job) misreadAnswers() []MisreadAnswer {
	var found problem.List
	j.checkReadings(&found)
	out := []MisreadAnswer{}
	for _, p := range found {
		a := MisreadAnswer{Where: p.Where, Text: p.What, Mend: p.Mend}
		for i, w := range j.House.Walls {
			if strings.HasPrefix(p.Where, WallPath(i)) {
				a.Wall = w.ID
			}
		}
		out = append(out, a)
	}
	return out
}
