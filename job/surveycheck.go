package job

import (
	"fmt"
	"math"
	"strings"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/problem"
	"coilwright/survey"
)

// mostTogether is how many numbers that check one another are weighed together
// (assumed; 30 walls and 120 openings with each place read twice have some 300): the
// work grows with the third power.
const mostTogether = 400

// mostNamed is how many misread numbers are named (assumed): where more do not fit,
// the rest is likely to follow from them.
const mostNamed = 30

// misread is a reading that the rest does not bear out, with its number in the
// network; alike are others that would explain it as well.
type misread struct {
	reading  int
	wouldFit measure.Length
	alike    []int
}

// misreads snoops every part of the network in which readings check one another.
// Parts that are too large are counted in left.
func (n *network) misreads() (found []misread, left int, err error) {
	parts, of := n.checked()
	for i, part := range parts {
		if len(part.Unknowns) > mostTogether {
			left++
			continue
		}
		blunders, _, err := survey.Snoop(part, survey.Critical)
		if err != nil {
			return nil, left, err
		}
		for _, b := range blunders {
			m := misread{reading: of[i][b.Reading], wouldFit: measure.FromInches(b.WouldFit)}
			for _, a := range b.Alike {
				m.alike = append(m.alike, of[i][a])
			}
			found = append(found, m)
		}
	}
	return found, left, nil
}

// checkReadings names the readings that the rest of the house does not bear out.
func (j *Job) checkReadings(found *problem.List) {
	n := j.network()
	wrong, left, err := n.misreads()
	if err != nil || left > 0 {
		found.Warnf("$.house", "leave out readings of what is read elsewhere", "the readings cannot be weighed against one another: %s", whyNot(err))
	}
	for i, m := range wrong {
		if i == mostNamed {
			found.Warnf("$.house", "measure those again first", "%d more readings do not fit the rest", len(wrong)-i)
			break
		}
		if n.notes[m.reading].kind != corner { // the house's own check names those
			j.warnMisread(n, m, found)
		}
	}
}

func whyNot(err error) string {
	if err != nil {
		return err.Error()
	}
	return fmt.Sprintf("more than %d places hang together", mostTogether)
}

func (j *Job) warnMisread(n *network, m misread, found *problem.List) {
	k := n.notes[m.reading]
	var alike []string
	for _, a := range m.alike {
		if o := n.notes[a]; o.rule() {
			alike = append(alike, j.ruleText(o))
		} else {
			alike = append(alike, fmt.Sprintf("%s (%s)", j.noteText(o), j.near(n.value(a))))
		}
	}
	also := ""
	if len(alike) > 0 {
		also = "; it may as well be that " + listed(alike) + " is wrong"
	}
	if k.kind == straight {
		found.Warnf(j.notePath(k), "look whether it is so, and measure both its ends again, from the ground where possible"+also,
			"%s does not fit the readings: its ends differ by %s", j.ruleText(k), j.near(n.off(m.reading)))
		return
	}
	if k.rule() {
		off := n.off(m.reading)
		found.Warnf(j.notePath(k), "measure the walls again, from the ground where possible, and state where each faces"+also,
			"the walls that begin with %s do not close: they miss by %s", j.House.Walls[k.entry].ID, j.near(off))
		return
	}
	if k.kind == pictured {
		found.Warnf(j.notePath(k), "mark it again on the photo, zoomed in, or tape it, from the ground where possible and clear of power lines"+also,
			"the photo's place for %s (%s) does not fit the rest; %s would", j.noteText(k), j.near(n.value(m.reading)), j.near(m.wouldFit))
		return
	}
	found.Warnf(j.notePath(k), "measure again, from the ground where possible and clear of power lines"+also,
		"the %s for %s (%s) does not fit the rest; %s would", sourceText(k.pedigree.By), j.noteText(k), j.near(n.value(m.reading)), j.near(m.wouldFit))
}

// value is what was read, in the file's own terms where it is a place across a wall
// whose left end is not 0.
func (n *network) value(i int) measure.Length { return measure.FromInches(n.Readings[i].Value) }

// off is by how much the house as drawn breaks a rule.
func (n *network) off(i int) measure.Length {
	sum := 0.0
	for _, t := range n.sum(i) {
		sum += t.By * n.Unknowns[t.At].Start
	}
	return measure.FromInches(math.Abs(sum - n.Readings[i].Value))
}

func (j *Job) near(l measure.Length) string { return l.Near(j.Units, j.Units.Step()) }

func listed(names []string) string {
	if len(names) == 1 {
		return names[0]
	}
	return strings.Join(names[:len(names)-1], ", ") + " or " + names[len(names)-1]
}

// sourceText is what a number of a source is called.
func sourceText(by house.Source) string {
	switch by {
	case house.Plan:
		return "plan's size"
	case house.Photo:
		return "photo's size"
	case house.Assumed:
		return "assumed size"
	}
	return string(by)
}

// ruleText says what a house is built by.
func (j *Job) ruleText(k note) string {
	switch k.kind {
	case ring:
		return "the house's being square"
	case straight:
		return fmt.Sprintf("edge %d of wall %s being %s", k.first, j.House.Walls[k.entry].ID, [2]string{"plumb", "level"}[k.place.Axis])
	}
	c := j.House.Corners[k.entry]
	return fmt.Sprintf("the level of walls %s and %s where they meet", j.House.Walls[c.Between[0].Wall].ID, j.House.Walls[c.Between[1].Wall].ID)
}

// noteText is what a reading is of, in the trade's words.
func (j *Job) noteText(k note) string {
	if k.kind == further {
		r := j.Readings[k.entry]
		return r.Names[0] + " to " + r.Names[1]
	}
	if k.kind == written {
		return fmt.Sprintf("length %d on photo %s", k.first+1, j.Photos[k.entry].ID)
	}
	if k.kind == pictured {
		k.kind = k.of
		if k.kind == size {
			return j.noteText(k)
		}
		return j.noteText(k) + ", on photo " + j.Photos[k.entry].ID
	}
	w := j.House.Walls[k.place.Wall]
	if k.place.Opening < 0 {
		return j.wallText(k, w)
	}
	o := w.Openings[k.place.Opening]
	box := o.Outline.Box()
	side := ""
	switch {
	case k.kind == size && k.place.Axis == 0:
		side = "width"
	case k.kind == size:
		side = "height"
	case k.place.Axis == 0:
		side = end(k.place.At, box.Min.X, box.Max.X, "left side", "right side")
	default:
		side = end(k.place.At, box.Min.Y, box.Max.Y, "sill", "head")
	}
	text := fmt.Sprintf("the %s of %s %s on wall %s", side, kindText(o.Kind), o.ID, w.ID)
	switch k.kind {
	case across:
		text += ", from the wall's left end"
	case height:
		text += ", from the level line"
	}
	return text
}

func kindText(k house.OpeningKind) string {
	if k == house.Other {
		return "opening"
	}
	return strings.ReplaceAll(string(k), "-", " ")
}

func end(at, low, high measure.Length, first, last string) string {
	switch at {
	case low:
		return first
	case high:
		return last
	}
	return "corner"
}

// wallText names a place of a wall's outline.
func (j *Job) wallText(k note, w house.Wall) string {
	box := w.Outline.Box()
	if k.place.Axis == 0 {
		if k.place.At == box.Max.X {
			return "the width of wall " + w.ID
		}
		return fmt.Sprintf("corner %d of wall %s, from the wall's left end", k.first, w.ID)
	}
	name := fmt.Sprintf("corner %d", k.first)
	switch k.place.At {
	case box.Min.Y:
		name = "the foot"
	case box.Max.Y:
		name = "the top"
	default:
		if w.Edges[k.first] == house.Eave || w.Edges[k.first] == house.Rake || w.Edges[(k.first+len(w.Edges)-1)%len(w.Edges)] == house.Rake {
			name = "the eave"
		}
	}
	return name + " of wall " + w.ID + ", from the level line"
}

// notePath is where a reading stands in the job file.
func (j *Job) notePath(k note) string {
	switch {
	case k.kind == further:
		return fmt.Sprintf("$.house.readings[%d].length", k.entry)
	case k.kind == pictured:
		return fmt.Sprintf("$.house.photos[%d].marks", k.entry)
	case k.kind == written:
		return fmt.Sprintf("$.house.photos[%d].marks.lengths[%d]", k.entry, k.first)
	case k.kind == straight:
		return fmt.Sprintf("%s.%s", WallPath(k.entry), [2]string{"plumb", "level"}[k.place.Axis])
	case k.kind == ring:
		return WallPath(k.entry)
	case k.kind == corner:
		return CornerPath(k.entry)
	case k.place.Opening < 0:
		return fmt.Sprintf("%s.outline[%d][%d]", WallPath(k.place.Wall), k.first, k.place.Axis)
	}
	where := OpeningPath(k.place.Wall, k.place.Opening)
	_, boxed := j.sizes[owner{k.place.Wall, k.place.Opening}]
	switch {
	case k.kind == size:
		return fmt.Sprintf("%s.size[%d]", where, k.place.Axis)
	case boxed:
		return fmt.Sprintf("%s.at[%d]", where, k.place.Axis)
	}
	return fmt.Sprintf("%s.outline[%d][%d]", where, k.first, k.place.Axis)
}
