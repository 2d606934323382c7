package picture

import (
	"math"
	"slices"

	"coilwright/colour"
)

// claddingOf calls do for about n places spread over a wall's visible cladding.
func (p *Photo) claddingOf(i, n int, do func(x, y float64, v colour.Linear), pixels *decoded) {
	w := p.Walls[i]
	low, high := w.box()
	step := math.Sqrt((high.X - low.X) * (high.Y - low.Y) / float64(n))
	own := p.owner(i)
	for y := low.Y + step/2; y < high.Y; y += step {
		for x := low.X + step/2; x < high.X; x += step {
			if !inside(w.Field, x, y) {
				continue
			}
			at, ok := p.Camera.Project(w.Plane.At(x, y))
			if ok && p.pure(at) && own(int(at.U), int(at.V)) {
				do(x, y, pixels.between(at))
			}
		}
	}
}

func quantile(v []float64, share float64) float64 {
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	return v[min(len(v)-1, int(share*float64(len(v))))]
}

// quantiles are those of each channel.
func quantiles[C ~[3]float64](all []C, share float64) (out C) {
	v := make([]float64, len(all))
	for c := range 3 {
		for i, a := range all {
			v[i] = a[c]
		}
		out[c] = quantile(v, share)
	}
	return out
}

// The laps that are looked for, in inches.
const (
	leastLap = 2.5
	mostLap  = 14.0
	lapStep  = 0.0625 // spacing of the heights looked at
)

// findLaps finds the old cladding's exposure and where its courses start, from the
// dark lines below the butts: the mean darkness by height, over whole walls, repeats.
// A known exposure (else 0) leaves only the start to be found. ok is false where
// nothing repeats.
func findLaps(p *Photo, pixels *decoded, known float64) (exposure, datum float64, ok bool) {
	line, low := darkLines(p, pixels)
	if len(line) < int(3*leastLap/lapStep) {
		return known, 0, false
	}
	best := known
	if known == 0 {
		if best, ok = period(line); !ok {
			return 0, 0, false
		}
	}
	datum, strength := phase(line, best)
	return best, low + datum, ok || strength > 0
}

// FindLaps finds the exposure of the old cladding that a photo shows and a height at
// which a course starts, in inches; ok is false where nothing repeats.
func FindLaps(p *Photo) (exposure, datum float64, ok bool) { return findLaps(p, decode(p.Image), 0) }

// darkLines is how dark each height of the first wall is beside its neighbourhood.
func darkLines(p *Photo, pixels *decoded) (line []float64, low float64) {
	from, to := p.Walls[0].box()
	n := int((to.Y-from.Y)/lapStep) + 1
	sum, count := make([]float64, n), make([]float64, n)
	w := p.Walls[0]
	own := p.owner(0)
	for j := range n {
		y := from.Y + (float64(j)+0.5)*lapStep
		for x := from.X + 1; x < to.X; x += (to.X - from.X) / 300 {
			rises := y + w.Lean.at(x, y)
			at, ok := p.Camera.Project(w.Plane.At(x, rises))
			if !ok || !inside(w.Field, x, rises) || !p.pure(at) || !own(int(at.U), int(at.V)) {
				continue
			}
			sum[j] += math.Log(max(1e-3, pixels.between(at).Luminance()))
			count[j]++
		}
	}
	for j := range sum {
		if count[j] > 0 {
			sum[j] /= count[j]
		} else if j > 0 {
			sum[j] = sum[j-1]
		}
	}
	return highPassed(sum, int(4/lapStep)), from.Y
}

// highPassed takes the running mean over 2r+1 off, and holds outliers down.
func highPassed(v []float64, r int) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		a, b := max(0, i-r), min(len(v), i+r+1)
		var m float64
		for _, x := range v[a:b] {
			m += x / float64(b-a)
		}
		out[i] = min(0.2, max(-0.2, v[i]-m))
	}
	return out
}

// period is the lag at which a line is most like itself, by its autocorrelation; a
// whole fraction of it is preferred where that is nearly as good.
func period(line []float64) (float64, bool) {
	like := func(lag float64) float64 {
		var sum, a, b float64
		for i := 0; float64(i)+lag+1 < float64(len(line)); i++ {
			f := float64(i) + lag
			k := int(f)
			v := line[k] + (f-float64(k))*(line[k+1]-line[k])
			sum, a, b = sum+line[i]*v, a+line[i]*line[i], b+v*v
		}
		return sum / math.Sqrt(max(1e-12, a*b))
	}
	best, score := 0.0, 0.25 // below, nothing repeats
	for lag := leastLap / lapStep; lag <= min(mostLap/lapStep, float64(len(line))/2); lag += 0.25 {
		if s := like(lag); s > score {
			best, score = lag, s
		}
	}
	if best == 0 {
		return 0, false
	}
	for _, part := range []float64{3, 2} {
		if lag := best / part; lag*lapStep >= leastLap && like(lag) > 0.8*score {
			best = lag
			break
		}
	}
	return sharpened(line, best) * lapStep, true
}

// sharpened tells the period by the whole line at once: near a lag, that at which waves of
// the period, its half and its third are strongest together (a periodogram with harmonics).
func sharpened(line []float64, lag float64) float64 {
	const near, step, waves = 0.04, 0.0005, 3 // the first two of the lag
	best, power := lag, 0.0
	for at := (1 - near) * lag; at <= (1+near)*lag; at += step * lag {
		sum := 0.0
		for h := 1.0; h <= waves; h++ {
			var re, im float64
			for i, v := range line {
				sin, cos := math.Sincos(2 * math.Pi * h * float64(i) / at)
				re, im = re+v*cos, im+v*sin
			}
			sum += re*re + im*im
		}
		if sum > power {
			best, power = at, sum
		}
	}
	return best
}

// phase is where in the period the dark line lies that stands under a butt: the
// start of a course.
func phase(line []float64, exposure float64) (at, strength float64) {
	n := max(1, int(exposure/lapStep))
	sum, count := make([]float64, n), make([]float64, n)
	for i, v := range line {
		k := int(math.Mod(float64(i)*lapStep, exposure)/exposure*float64(n)) % n
		sum[k], count[k] = sum[k]+v, count[k]+1
	}
	best, dark := 0, math.Inf(1)
	for k := range sum {
		// the upper edge of the dark line is the butt
		m := 0.0
		for d := -1; d <= 1; d++ {
			j := (k + d + n) % n
			m += sum[j] / max(1, count[j])
		}
		if m < dark {
			best, dark = k, m
		}
	}
	return (float64(best) + 1.5) * exposure / float64(n), -dark
}
