package job

import (
	"errors"
	"fmt"
	"math/big"
	"sync"

	"coilwright/box"
	"coilwright/coil"
	"coilwright/course"
	"coilwright/measure"
	"coilwright/steel"
)

// BoxSections are the lengths in which box siding is sold (common practice, no
// source).
var BoxSections = [...]measure.Length{10 * measure.Foot, 12 * measure.Foot, 12*measure.Foot + 6*measure.Inch}

// usableTail is what a coil must still hold, beyond one threading, to count as stock
// for another job: as much as the shortest box section (assumed).
const usableTail = 10 * measure.Foot

// Comparison is one scheme formed from coil on the spot beside the same strips of
// wall laid in box siding. Areas are sq ft of wall that a length would cover, so
// that both sides count alike: a length times the cover of its panel.
type Comparison struct {
	Scheme string
	Strips []box.Strip // what both must cover
	Rules  box.Rules
	Hung   float64 // sq ft that strips cover, less rips, notches and rake cuts
	Trim   float64 // sq ft of rips, notches and rake cuts: alike on both sides
	Formed Formed
	Box    []BoxSide // by BoxSections
}

// Formed is the site-formed side. Coil is all that is cut from coils: pieces, loss
// of each cut, and threading. Lengths are running lengths, Weight pounds.
type Formed struct {
	Plan                          coil.Plan
	Pieces, Joints, Coils         int
	Coil, Threading, CutLoss      measure.Length
	UsableTails, ShortTails       measure.Length
	Laps, Threads, Losses, Shorts float64 // sq ft
	Waste                         float64 // sq ft
	Weight                        *big.Rat
	Weighed                       bool // false: the book lacks a blank width
}

// BoxSide is one plan in box siding.
type BoxSide struct {
	*box.Plan
	Laps, Offcuts, Waste float64 // sq ft
	Weight               *big.Rat
	Weighed              bool
}

// Compare lays a scheme out, plans it from coil and lays the same strips in box
// siding. Pieces that are not fit to cut yet count on both sides alike.
func (j *Job) Compare(id string) (*Comparison, *course.Layout, error) {
	l, err := j.Layout(id, false)
	if err != nil {
		return nil, nil, err
	}
	s, _ := j.Scheme(id)
	in := j.input(s)
	whole := l
	if in.Book.LongestPiece > 0 {
		if whole, err = course.Lay(box.WithoutJoints(in), false); err != nil {
			return nil, nil, fmt.Errorf("scheme %s: %w", id, err)
		}
	}
	c := &Comparison{Scheme: id, Strips: box.Strips(j.House, whole), Rules: box.RulesOf(&j.Book, in.Step())}
	for _, p := range whole.Pieces {
		full := ft2(p.Length, p.Cover)
		hung := min(full, p.Shape.Area().SquareFeet()) // lengths are rounded down, shapes are not
		c.Hung, c.Trim = c.Hung+hung, c.Trim+full-hung
	}
	c.Formed = j.formed(l, c.Hung)
	plans, err := layAll(c.Strips, c.Rules)
	if err != nil {
		return nil, nil, fmt.Errorf("scheme %s: %w", id, err)
	}
	for _, p := range plans {
		c.Box = append(c.Box, j.boxSide(p, c))
	}
	return c, l, nil
}

// layAll lays strips in every length of section, all lengths at a time.
func layAll(strips []box.Strip, r box.Rules) ([]*box.Plan, error) {
	plans, errs := make([]*box.Plan, len(BoxSections)), make([]error, len(BoxSections))
	var all sync.WaitGroup
	for k, section := range BoxSections {
		all.Go(func() { plans[k], errs[k] = box.Lay(strips, section, r) })
	}
	all.Wait()
	return plans, errors.Join(errs...)
}

func ft2(length, cover measure.Length) float64 { return length.Feet() * cover.Feet() }

func (j *Job) cover(panel string) measure.Length {
	p, _ := j.Book.Panel(panel)
	return p.Cover()
}

// pounds adds the weight of a length of a panel's strip; false where the book has no
// blank width for it.
func (j *Job) pounds(sum *big.Rat, panel string, thickness, length measure.Length) bool {
	p, _ := j.Book.Panel(panel)
	density := j.Book.Steel.Density
	if density == nil || density.Sign() <= 0 {
		density = steel.DensityOfSteel()
	}
	w := steel.WeightPerFoot(thickness, p.BlankWidth, density)
	sum.Add(sum, w.Mul(w, big.NewRat(int64(length), int64(measure.Foot))))
	return p.BlankWidth > 0
}

// formed plans all pieces of a layout from coil and counts what that takes.
func (j *Job) formed(l *course.Layout, hung float64) Formed {
	f := Formed{Joints: l.Totals.Joints, Weight: new(big.Rat), Weighed: true}
	var cuts []coil.Cut
	byID := map[string]coil.Cut{}
	for _, p := range l.Pieces {
		if p.Length > 0 {
			c := j.cut(p)
			cuts, byID[c.ID] = append(cuts, c), c
		}
	}
	f.Pieces = len(cuts)
	f.Plan = coil.Make(j.coilInput(cuts, coil.Quick))
	for _, c := range cuts {
		f.Waste += ft2(c.Length, j.cover(c.Setup.Panel))
		f.cut(j, c)
	}
	f.Waste -= hung
	threaded := map[coil.Setup]bool{}
	for _, r := range f.Plan.Reels {
		f.Coils++
		for _, s := range setupsOf(r.Pieces, byID) {
			threaded[s] = true
			f.thread(j, s)
		}
		f.tail(j, r, byID)
	}
	for _, c := range cuts { // what no coil gives is threaded once all the same
		if !threaded[c.Setup] {
			threaded[c.Setup] = true
			f.thread(j, c.Setup)
		}
	}
	for _, p := range l.Pieces {
		for _, e := range p.Ends {
			if e.Receiver == course.Joint && e.Side == course.RightEnd {
				f.Laps += ft2(j.Book.Joint.Lap, p.Cover)
			}
		}
	}
	f.Waste += f.Threads + f.Losses + f.Shorts
	return f
}

// cut counts a piece and the loss of its cut.
func (f *Formed) cut(j *Job, c coil.Cut) {
	f.Coil += c.Length + j.Book.Machine.CutLoss
	f.CutLoss += j.Book.Machine.CutLoss
	f.Losses += ft2(j.Book.Machine.CutLoss, j.cover(c.Setup.Panel))
	f.weigh(j, c.Setup, c.Length+j.Book.Machine.CutLoss)
}

// thread counts the scrap of one threading.
func (f *Formed) thread(j *Job, s coil.Setup) {
	scrap := j.Book.Machine.ThreadingScrap
	f.Coil, f.Threading = f.Coil+scrap, f.Threading+scrap
	f.Threads += ft2(scrap, j.cover(s.Panel))
	f.weigh(j, s, scrap)
}

// tail counts what is left on a coil: stock for another job, or waste of this one.
func (f *Formed) tail(j *Job, r coil.Reel, byID map[string]coil.Cut) {
	if r.Tail >= usableTail+j.Book.Machine.ThreadingScrap {
		f.UsableTails += r.Tail
		return
	}
	s := byID[r.Pieces[len(r.Pieces)-1]].Setup
	f.ShortTails += r.Tail
	f.Shorts += ft2(r.Tail, j.cover(s.Panel))
	f.weigh(j, s, r.Tail)
}

func (f *Formed) weigh(j *Job, s coil.Setup, length measure.Length) {
	f.Weighed = j.pounds(f.Weight, s.Panel, s.Thickness, length) && f.Weighed
}

// setupsOf lists the set-ups that a reel is threaded for.
func setupsOf(pieces []string, byID map[string]coil.Cut) []coil.Setup {
	var out []coil.Setup
	seen := map[coil.Setup]bool{}
	for _, id := range pieces {
		if s := byID[id].Setup; !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	return out
}

// boxSide counts what a plan in box siding takes.
func (j *Job) boxSide(p *box.Plan, c *Comparison) BoxSide {
	b := BoxSide{Plan: p, Weight: new(big.Rat), Weighed: true}
	for _, g := range p.Groups {
		b.Laps += float64(g.Joints) * ft2(c.Rules.Lap, j.cover(g.Panel))
	}
	for _, s := range p.Sections {
		b.Offcuts += ft2(s.Left, j.cover(s.Like.Panel))
		b.Weighed = j.pounds(b.Weight, s.Like.Panel, s.Like.Thickness, p.Length) && b.Weighed
	}
	b.Waste = c.Trim + b.Laps + b.Offcuts
	return b
}
