package site

import (
	"fmt"
	"math"
	"math/big"
	"slices"

	"coilwright/course"
	"coilwright/job"
	"coilwright/measure"
	"coilwright/steel"
)

// gapRule turns the rule of course.ExpansionGap around: for each step of the gap, the
// coldest temperature at which it is still enough. Between two steps nothing changes,
// so that a page finds the gap of any temperature without reckoning.
type gapRule struct {
	j      *job.Job
	g      steel.Gap
	step   measure.Length
	least  measure.Length // the gap of a piece that will not grow any more
	steps  []measure.Length
	lowest float64
}

func newGapRule(j *job.Job, l *course.Layout, step measure.Length) gapRule {
	g := j.Book.Gap
	r := gapRule{j: j, g: g, step: step, least: max(g.Min, g.Allowance).CeilTo(step), lowest: math.Floor(float(g.ColdestF))}
	most := r.least
	for i := range l.Pieces {
		panel, _ := j.Book.Panel(l.Pieces[i].Panel)
		most = max(most, r.at(l.Pieces[i].Raw, share(panel), g.ColdestF))
	}
	for s := r.least; s <= most; s += step {
		r.steps = append(r.steps, s)
	}
	return r
}

// share is how much of its movement one end of a panel takes.
func share(p steel.Panel) *big.Rat {
	if p.Fixed == "top" && p.Kind == steel.Vertical {
		return big.NewRat(1, 1)
	}
	return big.NewRat(1, 2)
}

// at is the gap at a temperature, by the layout's own rule.
func (r gapRule) at(raw measure.Length, share, temp *big.Rat) measure.Length {
	if temp == nil || r.g.HottestF == nil || r.g.AlphaPerF == nil {
		return r.least
	}
	return course.ExpansionGap(r.g, raw, temp, share, r.step)
}

// of gives the step that a piece was cut for, from which temperature each step is
// enough for it, rounded up to whole degrees, and the temperature above which it could
// leave its receiver on the coldest day; nil where that is hotter than it ever gets.
func (r gapRule) of(p *course.Piece, panel steel.Panel) (cutFor int, from []float64, below *float64) {
	sh := share(panel)
	cutFor = slices.Index(r.steps, r.at(p.Raw, sh, r.j.InstallTempF))
	rate := r.rate(p.Raw, sh)
	for _, s := range r.steps {
		at := r.lowest
		if rate.Sign() > 0 {
			at = math.Max(r.lowest, r.enoughFrom(s, rate))
		}
		from = append(from, at)
		if at <= r.lowest {
			break
		}
	}
	return max(cutFor, 0), from, r.leaves(p, rate)
}

// rate is how much one end of a piece moves for each degree, in nanometres.
func (r gapRule) rate(raw measure.Length, share *big.Rat) *big.Rat {
	if r.g.AlphaPerF == nil || r.g.HottestF == nil {
		return new(big.Rat)
	}
	rate := new(big.Rat).Mul(r.g.AlphaPerF, share)
	return rate.Mul(rate, big.NewRat(int64(raw), 1))
}

// enoughFrom is hottest - (gap - allowance) / rate, rounded up to a whole degree, which
// is the safe side.
func (r gapRule) enoughFrom(gap measure.Length, rate *big.Rat) float64 {
	t := big.NewRat(int64(gap-r.g.Allowance), 1)
	t.Quo(t, rate).Sub(r.g.HottestF, t)
	up := new(big.Int).Neg(t.Num())
	up.Div(up, t.Denom()).Neg(up)
	f, _ := new(big.Float).SetInt(up).Float64()
	return f
}

// leaves is the contract's warning turned around: pocket + gap + rate (t - coldest) >
// cover. An end that is cut along a rake moves with the sine of its angle.
func (r gapRule) leaves(p *course.Piece, rate *big.Rat) *float64 {
	lowest := math.Inf(1)
	for _, e := range p.Ends {
		if e.Side != course.LeftEnd && e.Side != course.RightEnd || e.Receiver == course.Joint || rate.Sign() == 0 {
			continue
		}
		moves := float(rate) * math.Sin(min(max(e.Angle, 1), 90)*math.Pi/180)
		lowest = min(lowest, float(r.g.ColdestF)+float64(e.Cover-e.Pocket-e.Gap)/moves)
	}
	if lowest = math.Floor(lowest); lowest >= float(r.g.HottestF) {
		return nil
	}
	return &lowest
}

func (r gapRule) pack(m *maker) PackGap {
	out := PackGap{
		Steps: []PackLength{}, Shorten: []string{}, ShortenOne: []string{}, LowestF: r.lowest, HighestF: math.Ceil(float(r.g.HottestF)),
		Rule: fmt.Sprintf("gap = the greater of %s and %s + %g x length x (%g °F - temperature of the panel) x half, rounded up to %s",
			m.exact(r.g.Min), m.exact(r.g.Allowance), float(r.g.AlphaPerF), float(r.g.HottestF), m.exact(r.step)),
		Text: "Take the temperature of the panel itself: in the sun it is far hotter than the air. The panel maker's instructions win over this table.",
		Colder: fmt.Sprintf("Colder than %s the shop's book has no gap: do not hang; ask the panel maker.",
			m.temperature(r.g.ColdestF)),
	}
	for i, s := range r.steps {
		more := measure.Length(i) * r.step
		out.Steps = append(out.Steps, PackLength{s.Inches(), m.exact(s)})
		out.Shorten = append(out.Shorten, m.exact(2*more))
		out.ShortenOne = append(out.ShortenOne, m.exact(more))
	}
	return out
}
