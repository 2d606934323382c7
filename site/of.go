package site

import (
	"fmt"
	"math"
	"math/big"
	"slices"

	"coilwright/coil"
	"coilwright/course"
	"coilwright/job"
	"coilwright/measure"
	"coilwright/steel"
)

// Of packs one scheme of a job: name is the job's id, which stands on every label, and
// revision the one that r was worked out of. r must be a run of j. No code is drawn
// here: a phone draws one when its label is shown.
func Of(name string, revision int64, j *job.Job, r *job.RunResult) (Pack, error) {
	n, err := j.Scheme(r.Layout.Scheme)
	if err != nil {
		return Pack{}, err
	}
	m := newMaker(name, j, n, r)
	p := Pack{
		Job: name, Title: j.Title, Scheme: r.Layout.Scheme, SchemeTitle: j.Schemes[n].Title, Revision: revision, Units: j.Units.String(),
		InstallTempF: float(j.InstallTempF), Temp: m.temperature(j.InstallTempF), HouseInvented: j.Book.Invented, Book: j.Book.Title,
		Machine: m.machine(), Coils: m.coils(), Gap: m.gaps.pack(m), Wind: m.wind(), Carry: m.carrying(), Cautions: Cautions[:],
		LeftOut: m.leftOut(), QR: PackQR{Prefix: m.prefix}, Release: PackRelease{State: "unsigned", Why: []string{}},
		Pieces: m.pieces(), Blanks: m.blanks(),
	}
	p.Setups, p.Walls, p.Bundles = m.setups(), m.walls(), m.bundles(p.Pieces)
	return p, nil
}

// maker is a pack in the making: what several parts of it look up.
type maker struct {
	j       *job.Job
	scheme  int
	r       *job.RunResult
	step    measure.Length
	prefix  string
	keys    Keys
	coilOf  map[string]string // by piece id
	setupOf map[string]string
	carry   steel.Carrying
	gaps    gapRule
	words   map[string]*PackWord // by piece id
}

func newMaker(name string, j *job.Job, scheme int, r *job.RunResult) *maker {
	m := &maker{j: j, scheme: scheme, r: r, step: j.Book.StepIn(j.Units), prefix: codePrefix(name), keys: KeysOf(j, r), coilOf: map[string]string{}, setupOf: map[string]string{}, carry: carryingOf(j.Book.Carrying)}
	for _, reel := range r.Plan.Reels {
		for _, id := range reel.Pieces {
			m.coilOf[id] = reel.ID
		}
	}
	for _, run := range r.Plan.Runs {
		for _, id := range run.Pieces {
			m.setupOf[id] = setupID(run.Setup)
		}
	}
	m.gaps = newGapRule(j, r.Layout, m.step)
	m.words = wordsOf(r)
	return m
}

// wordsOf are the words that pieces of a run are cut on.
func wordsOf(r *job.RunResult) map[string]*PackWord {
	out := map[string]*PackWord{}
	if r.OnWord != nil {
		for _, p := range r.OnWord.Pieces {
			out[p.ID] = &PackWord{p.Name, p.Reason, p.Why}
		}
	}
	return out
}

func float(r *big.Rat) float64 {
	if r == nil {
		return 0
	}
	f, _ := r.Float64()
	return f
}

// drawn rounds a place that is only drawn, in inches, to 1/10,000.
func drawn(l measure.Length) float64 { return math.Round(l.Inches()*1e4) / 1e4 }

// tenth rounds a figure that is only shown.
func tenth(x float64) float64 { return math.Round(x*10) / 10 }

func (m *maker) exact(l measure.Length) string { return l.Text(m.j.Units) }

// wide is a strip's width as the trade says it: in inches, though they make a foot.
func (m *maker) wide(l measure.Length) string {
	part := l % measure.Inch
	switch {
	case m.j.Units == measure.Metric || l < measure.Foot || part%(measure.Inch/64) != 0:
		return m.exact(l)
	case part == 0:
		return fmt.Sprintf("%d in", l/measure.Inch)
	}
	return fmt.Sprintf("%d %s", l/measure.Inch, m.exact(part))
}

func (m *maker) near(l measure.Length) string { return l.Near(m.j.Units, m.step) }

func (m *maker) temperature(f *big.Rat) string {
	if m.j.Units == measure.Metric {
		c := (float(f) - 32) * 5 / 9
		return fmt.Sprintf("%g °C", tenth(c))
	}
	return fmt.Sprintf("%g °F", tenth(float(f)))
}

func (m *maker) thick(l measure.Length) string {
	switch {
	case l <= 0:
		return "thickness not stated"
	case m.j.Units == measure.Metric:
		return fmt.Sprintf("%.2f mm", float64(l)/float64(measure.Millimetre))
	}
	return fmt.Sprintf("%.4f in", l.Inches())
}

func (m *maker) machine() PackMachine {
	b := m.j.Book.Machine
	return PackMachine{
		ThreadingScrapFt: b.ThreadingScrap.Feet(), ThreadingScrap: m.exact(b.ThreadingScrap), CutLossIn: b.CutLoss.Inches(), CutLoss: m.exact(b.CutLoss),
		FirstPieceWithin: PackLength{m.step.Inches(), m.exact(m.step)},
	}
}

func (m *maker) coils() []PackCoil {
	out := []PackCoil{}
	for _, c := range m.r.Plan.Reels {
		out = append(out, PackCoil{
			ID: c.ID, Name: m.coilName(c), Lot: c.Lot, Colour: c.Colour, Thickness: m.thick(c.Thickness), Width: m.wide(c.Width), Bought: c.Bought,
			LengthFt: c.Length.Feet(), PlusMinusFt: c.PlusMinus.Feet(), UsedFt: c.Used.Feet(), TailFt: c.Tail.Feet(), Pieces: len(c.Pieces),
		})
	}
	return out
}

// coilName is what is written on a coil; one to buy has only its colour, its length and,
// beside others alike, its number.
func (m *maker) coilName(c coil.Reel) string {
	if !c.Bought {
		return c.ID
	}
	name, long := "new coil", fmt.Sprintf("%.0f ft", c.Length.Feet())
	if c.Colour != "" {
		name = "new " + m.colour(c.Colour) + " coil"
	}
	if m.j.Units == measure.Metric {
		long = fmt.Sprintf("%.0f m", c.Length.Inches()*0.0254)
	}
	if c.Nth > 1 {
		long += fmt.Sprintf(", no. %d", c.Nth)
	}
	return name + ", " + long
}

// named is the name of a coil of the pack; of another, which a remedy takes in, its id.
func (p *Pack) named(id string) string {
	for _, c := range p.Coils {
		if c.ID == id {
			return c.Name
		}
	}
	return id
}

func (m *maker) leftOut() []PackLeftOut {
	out := []PackLeftOut{}
	unfit := map[string]bool{}
	for i := range m.r.Layout.Pieces {
		p := &m.r.Layout.Pieces[i]
		unfit[p.ID] = !p.Fit && p.Length > 0 && m.words[p.ID] == nil
	}
	for _, l := range m.r.LeftOut {
		out = append(out, PackLeftOut{m.keys.Of[l.ID], l.Why, unfit[l.ID]})
	}
	return out
}

// blanks are what the machine forms beside the layout's pieces.
func (m *maker) blanks() []PackBlank {
	out := []PackBlank{}
	for _, c := range m.flat() {
		key := m.keys.Of[c.ID]
		out = append(out, PackBlank{
			Key: key, ID: c.ID, Wall: c.Wall, Setup: m.setupOf[c.ID], Coil: m.coilOf[c.ID], Length: m.exact(c.Length), LengthIn: c.Length.Inches(),
			Label: fmt.Sprintf("%s · %s · flat · %s", c.ID, m.exact(c.Length), c.Setup.Colour),
		})
	}
	return out
}

func (m *maker) flat() []coil.Cut { return flatCuts(m.r) }

// flatCuts are the cuts of a run that are no pieces of its layout.
func flatCuts(r *job.RunResult) []coil.Cut {
	known := map[string]bool{}
	for _, p := range r.Layout.Pieces {
		known[p.ID] = true
	}
	return slices.DeleteFunc(slices.Clone(r.Input.Cuts), func(c coil.Cut) bool { return known[c.ID] })
}

// panel is a piece's panel of the book.
func (m *maker) panel(p *course.Piece) steel.Panel {
	panel, _ := m.j.Book.Panel(p.Panel)
	return panel
}
