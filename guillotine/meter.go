package guillotine

import "context"

// DefaultSteps is some ten seconds of work on one core of a common machine.
const DefaultSteps = 10_000_000_000

// meter counts elementary steps, so that a limit gives the same plan on every
// machine; it looks at the context now and then.
type meter struct {
	ctx  context.Context
	left int64
	next int64 // steps until the context is looked at
	done bool
}

const lookEvery = 1 << 22

func newMeter(ctx context.Context, steps int64) *meter {
	if steps <= 0 {
		steps = DefaultSteps
	}
	return &meter{ctx: ctx, left: steps, next: lookEvery, done: ctx.Err() != nil}
}

// spend takes n steps and says whether work may go on.
func (m *meter) spend(n int) bool {
	m.left -= int64(n)
	if m.next -= int64(n); m.next < 0 {
		m.next = lookEvery
		m.done = m.done || m.ctx.Err() != nil
	}
	m.done = m.done || m.left < 0
	return !m.done
}

// spentBy is how many steps work takes.
func (m *meter) spentBy(work func()) int64 {
	was := m.left
	work()
	return was - m.left
}
