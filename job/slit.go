package job

import (
	"context"

	"coilwright/coil"
	"coilwright/course"
	"coilwright/guillotine"
	"coilwright/measure"
	trims "coilwright/trim"
)

// slitSteps bounds the work on one slitting plan: most houses take some seconds, and the
// hardest may take a minute or two of a core. screenSteps is for somebody who waits at a
// screen: some ten seconds.
const slitSteps, screenSteps = 100_000_000_000, 8_000_000_000

// Slit plans the flat coil that the trim of a layout is bent from: one plan for each
// coil colour and thickness; none where the shop's book bends nothing.
func (j *Job) Slit(l *course.Layout) ([]trims.Slitting, error) { return j.SlitWithin(l, slitSteps) }

// SlitBy is Slit for a screen: with less work at most, and its question put to another
// slitter. It fails too where ctx ends.
func (j *Job) SlitBy(ctx context.Context, l *course.Layout, solve trims.Slitter) ([]trims.Slitting, error) {
	return j.slit(ctx, l, screenSteps, solve)
}

// SlitWithin is Slit with a limit of its own on the work (see guillotine.Coil).
func (j *Job) SlitWithin(l *course.Layout, steps int64) ([]trims.Slitting, error) {
	return j.slit(context.Background(), l, steps, guillotine.Slit)
}

func (j *Job) slit(ctx context.Context, l *course.Layout, steps int64, solve trims.Slitter) ([]trims.Slitting, error) {
	s, err := j.Scheme(l.Scheme)
	if err != nil {
		return nil, err
	}
	lines := trims.Quantities(j.House, j.Schemes[s], &j.Book, l)
	return trims.Slit(ctx, j.House, j.Schemes[s], &j.Book, j.Units, lines, steps, solve)
}

// flatPanel is what the machine forms of corner flats: nothing but the texture.
const flatPanel = "flat"

// RunsFlats says whether the shop's book takes corner flats from panel coil: their blanks
// are then cut by the machine, and no run is planned before they are.
func (j *Job) RunsFlats() bool { return j.Book.Trim.PostFlatFrom == trims.PanelCoil }

// SlittingOf is the slitting of a run's flat coil: the run's own where it knows it.
func (j *Job) SlittingOf(r *RunResult) ([]trims.Slitting, error) {
	if r.Slitting != nil {
		return r.Slitting, nil
	}
	return j.Slit(r.Layout)
}

// flats are the blanks that corner flats are slit from, as the machine cuts them: a run
// of their own.
func (j *Job) flats(plans []trims.Slitting, length map[string]measure.Length) (cuts []coil.Cut) {
	for _, p := range plans {
		if p.From != trims.PanelCoil {
			continue
		}
		for _, b := range p.Blanks {
			wall := p.Flats[b.Strips[0].Flats[0]].Wall
			cuts = append(cuts, coil.Cut{ID: b.PieceID(), Length: b.Length, Wall: j.House.Walls[wall].ID, Setup: coil.Setup{
				Panel: flatPanel, Texture: p.Texture, Colour: p.Colour, Thickness: p.Thickness, Width: p.Width,
			}})
			length[b.PieceID()] = b.Length
		}
	}
	return cuts
}
