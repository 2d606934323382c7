package pack

import "context"

// meter counts elementary steps against the work limit, so that a search cut
// short ends at the same place every time, and looks at the context now and then.
type meter struct {
	ctx   context.Context
	left  int64
	check int64
}

const checkEvery = 1 << 20 // about a millisecond of work

func newMeter(ctx context.Context, steps int64) *meter {
	if steps <= 0 {
		steps = DefaultSteps
	}
	return &meter{ctx: ctx, left: steps, check: checkEvery}
}

// spend takes n steps and says whether work may go on.
func (w *meter) spend(n int64) bool {
	w.left -= n
	w.check -= n
	if w.check <= 0 {
		w.check = checkEvery
		if w.ctx.Err() != nil {
			w.left = 0
		}
	}
	return w.left > 0
}

func (w *meter) done() bool { return w.left <= 0 }

// share is a meter of its own for a part of the work that must not eat it all.
func (w *meter) share(steps int64) *meter {
	return &meter{ctx: w.ctx, left: min(steps, w.left), check: checkEvery}
}
