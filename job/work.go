package job

import (
	"fmt"
	"slices"
	"strings"

	"coilwright/coil"
	"coilwright/course"
	"coilwright/measure"
	"coilwright/problem"
	"coilwright/scheme"
	trims "coilwright/trim"
)

// Scheme finds a scheme's index by id.
func (j *Job) Scheme(id string) (int, error) {
	var ids []string
	for i, s := range j.Schemes {
		if s.ID == id {
			return i, nil
		}
		ids = append(ids, s.ID)
	}
	return 0, fmt.Errorf("the job has no scheme %q; it has %v", id, ids)
}

func (j *Job) input(scheme int) course.Input {
	return course.Input{House: j.House, Scheme: j.Schemes[scheme], Book: &j.Book, Units: j.Units, InstallF: j.InstallTempF}
}

// Check judges a job that was read without error as a whole: the house's geometry,
// its readings against one another, and every scheme laid out on it.
func (j *Job) Check() problem.List {
	found := j.House.Check()
	if found.Fatal() {
		return found
	}
	j.checkReadings(&found)
	for s := range j.Schemes {
		l, err := course.Lay(j.input(s), false)
		if err != nil {
			found.Errorf(SchemePath(s), "check the sizes of the panels and the zones", "scheme %s cannot be laid out: %v", j.Schemes[s].ID, err)
			continue
		}
		for _, p := range j.placed(s, l) {
			if !slices.Contains(found, p) {
				found = append(found, p)
			}
		}
		j.checkPieces(s, l, &found)
	}
	return found
}

// placed is what a layout of scheme s found, with the scheme's place put before
// places that are given within it.
func (j *Job) placed(s int, l *course.Layout) problem.List {
	out := append(slices.Clone(l.Problems), course.LinesMeet(j.input(s), l)...)
	for i, p := range out {
		if !strings.HasPrefix(p.Where, "$") {
			out[i].Where = SchemePath(s) + "." + p.Where
		}
	}
	return out
}

// checkPieces turns the pieces' own warnings into findings, one for all that say
// the same of one zone.
func (j *Job) checkPieces(s int, l *course.Layout, found *problem.List) {
	type key struct {
		zone int
		text string
	}
	pieces := map[key][]string{}
	var order []key
	for _, p := range l.Pieces {
		for _, w := range p.Warnings {
			k := key{p.Zone, w}
			if pieces[k] == nil {
				order = append(order, k)
			}
			pieces[k] = append(pieces[k], p.ID)
		}
	}
	for _, k := range order {
		found.Warnf(ZonePath(s, k.zone), "see where with layout; another datum, zone height or panel may spare it", "scheme %s, zone %s, %s: %s",
			j.Schemes[s].ID, j.Schemes[s].Zones[k.zone].ID, byName(pieces[k]), k.text)
	}
}

// byName lists pieces by id, the first few of them.
func byName(ids []string) string {
	const few = 6
	n := len(ids)
	switch {
	case n == 1:
		return "piece " + ids[0]
	case n > few:
		return fmt.Sprintf("%d pieces, among them %s", n, strings.Join(ids[:few], ", "))
	}
	return "pieces " + strings.Join(ids[:n-1], ", ") + " and " + ids[n-1]
}

// Layout lays one scheme out. The house must be sound: see Check.
func (j *Job) Layout(id string, raw bool) (*course.Layout, error) { return j.LayoutAfter(id, raw, nil) }

// LayoutAfter is Layout where the scheme's layout before an edit is at hand: the answer
// is the same, sooner. nil is none.
func (j *Job) LayoutAfter(id string, raw bool, before *course.Layout) (*course.Layout, error) {
	s, err := j.Scheme(id)
	if err != nil {
		return nil, err
	}
	found := j.House.Check()
	if err := found.Err(); err != nil {
		return nil, err
	}
	l, err := course.LayAfter(j.input(s), raw, before)
	if err != nil {
		return nil, fmt.Errorf("scheme %s: %w", id, err)
	}
	l.Problems = append(found, j.placed(s, l)...)
	return l, nil
}

// HeightsWithin says what every height of the datum within a range would do, whatever
// range the scheme gives: a layout with a datum and no pieces.
func (j *Job) HeightsWithin(id string, within scheme.Datum, before *course.Layout) (*course.Layout, error) {
	s, err := j.Scheme(id)
	if err != nil {
		return nil, err
	}
	in := j.input(s)
	in.Scheme.Datum = within
	return course.LookAtHeights(in, before)
}

// RunResult is the machine's run of one scheme.
type RunResult struct {
	Layout  *course.Layout
	Input   coil.Input // what the plan was asked
	Plan    coil.Plan
	LeftOut []coil.LeftOut // not fit to cut, or no coil can give it
	OnWord  *OnWord        // who answers for pieces not fit to cut that are cut all the same

	Slitting []trims.Slitting // of the layout's flat coil; nil but where [Job.RunsFlats]
}

// Run lays a scheme out and plans the machine's run of the pieces that are fit to
// cut by the shop's rule.
func (j *Job) Run(id string) (*RunResult, error) { return j.RunWithin(id, coil.Thorough) }

// RunOnWord is Run with the pieces that are not fit to cut as well, on the word of the
// person named, who is recorded with them; "" is Run. The error may be ErrNoName.
func (j *Job) RunOnWord(id, name string) (*RunResult, error) {
	name, err := answerer(name)
	if err != nil {
		return nil, err
	}
	return j.lay(id, onAllOf(name), coil.Thorough)
}

// RunWithin is Run within a limit of work (coil.Quick, coil.Thorough): at the limit the
// best plan comes back with its honest bound.
func (j *Job) RunWithin(id string, steps int64) (*RunResult, error) {
	return j.lay(id, onAllOf(""), steps)
}

func (j *Job) lay(id string, words Words, steps int64) (*RunResult, error) {
	l, err := j.Layout(id, false)
	if err != nil {
		return nil, err
	}
	return j.run(l, words, nil, steps)
}

// RunOf is Run where the layout is at hand, with those pieces that are cut on somebody's
// word; and where the slitting of its flat coil is too: one that has to know it
// ([Job.RunsFlats]) and is given nil slits by itself.
func (j *Job) RunOf(l *course.Layout, words Words, slitting []trims.Slitting) (*RunResult, error) {
	return j.run(l, words, slitting, coil.Thorough)
}

func (j *Job) run(l *course.Layout, words Words, slitting []trims.Slitting, steps int64) (*RunResult, error) {
	r := &RunResult{Layout: l, Slitting: slitting}
	var cuts []coil.Cut
	length := map[string]measure.Length{}
	for _, p := range l.Pieces {
		word, given := Word{}, p.Fit
		if !p.Fit {
			word, given = words(j.House.Walls[p.Wall].ID, &p)
		}
		if !given {
			r.LeftOut = append(r.LeftOut, coil.LeftOut{ID: p.ID, Why: j.unfit(p)})
			continue
		}
		if p.Length <= 0 {
			r.LeftOut = append(r.LeftOut, coil.LeftOut{ID: p.ID, Why: "it is shorter than the shop's step"})
			continue
		}
		if !p.Fit {
			r.OnWord = r.OnWord.add(coil.LeftOut{ID: p.ID, Why: j.unfit(p)}, word)
		}
		cuts = append(cuts, j.cut(p))
		length[p.ID] = p.Length
	}
	if j.RunsFlats() {
		var err error
		if r.Slitting, err = j.SlittingOf(r); err != nil {
			return nil, err
		}
		cuts = append(cuts, j.flats(r.Slitting, length)...)
	}
	r.Input = j.coilInput(cuts, steps)
	r.Plan = coil.Make(r.Input)
	r.Plan.Time(&j.Book, length)
	r.LeftOut = append(r.LeftOut, r.Plan.LeftOut...)
	return r, nil
}

// cut is a piece as the machine sees it.
func (j *Job) cut(p course.Piece) coil.Cut {
	panel, _ := j.Book.Panel(p.Panel)
	return coil.Cut{ID: p.ID, Length: p.Length, Setup: coil.Setup{
		Panel: p.Panel, Texture: p.Texture, Colour: p.Colour, Thickness: p.Thickness, Width: panel.BlankWidth,
	}, Wall: j.House.Walls[p.Wall].ID}
}

// coilInput is what the coil plan is asked: the pieces, and which walls meet.
func (j *Job) coilInput(cuts []coil.Cut, steps int64) coil.Input {
	in := coil.Input{Cuts: cuts, Book: &j.Book, Steps: steps}
	for _, c := range j.House.Corners {
		in.Meet = append(in.Meet, [2]string{j.House.Walls[c.Between[0].Wall].ID, j.House.Walls[c.Between[1].Wall].ID})
	}
	return in
}

// unfit says why steel is not cut from a piece's numbers.
func (j *Job) unfit(p course.Piece) string {
	f := j.Book.FitToCut
	has := p.Measured.By.Word()
	if p.Measured.PlusMinus >= 0 {
		has += " +/- " + p.Measured.PlusMinus.Text(j.Units)
	} else {
		has += " with no +/- stated"
	}
	w := j.House.Walls[p.Wall]
	if w.Over == "old-cladding" && f.Over == "substrate" {
		has += " over the old cladding"
	}
	return fmt.Sprintf("%s; the shop cuts from %s, %s or better, over the %s", has, f.By, f.PlusMinus.Text(j.Units), f.Over)
}

// Trim counts the trim of a layout of scheme id, wall by wall.
func (j *Job) Trim(id string, l *course.Layout) ([]trims.Line, error) {
	lines, _, err := j.TrimAfter(id, l, nil)
	return lines, err
}

// TrimAfter is Trim where the borders of the layout before are at hand; nil is none.
func (j *Job) TrimAfter(id string, l *course.Layout, before *trims.Borders) ([]trims.Line, *trims.Borders, error) {
	s, err := j.Scheme(id)
	if err != nil {
		return nil, nil, err
	}
	lines, borders := trims.QuantitiesAfter(j.House, j.Schemes[s], &j.Book, l, before)
	return lines, borders, nil
}
