package job

import (
	"context"

	"coilwright/course"
	trims "coilwright/trim"
)

// slitSteps bounds the work on one slitting plan: well under a second on a quiet core.
const slitSteps = 400_000_000

// Slit plans the flat coil that the trim of a layout is bent from: one plan for each
// coil colour and thickness; none where the shop's book bends nothing.
func (j *Job) Slit(l *course.Layout) ([]trims.Slitting, error) {
	s, err := j.Scheme(l.Scheme)
	if err != nil {
		return nil, err
	}
	lines := trims.Quantities(j.House, j.Schemes[s], &j.Book, l)
	return trims.Slit(context.Background(), j.House, j.Schemes[s], &j.Book, j.Units, lines, slitSteps), nil
}
