package picture

import (
	"math"
	"math/cmplx"
)

// How the lean of old courses is looked for: wall by wall in columns, each in chunks of so
// many courses; at the right end they may stand so much of an exposure higher or lower.
const (
	leanColumns = 24
	leanLooks   = 6 // places across a column
	leanChunk   = 4.0
	leanMost    = 0.75
	leanRounds  = 4
	leanSteps   = 24   // from level to most
	leanGain    = 1.15 // of what level lines give together, at least
	leanWhole   = 0.5  // of what all parts could give: bricks, and what repeats by chance, give a fifth
)

// levelLaps finds the old courses as findLaps does, and how their lines lean on each wall:
// marks are a pixel or two off, and turn a wall by as much.
func (p *Photo) levelLaps(pixels *decoded, known float64) (exposure, datum float64, ok bool) {
	exposure, datum, ok = findLaps(p, pixels, known)
	for range leanRounds {
		moved := false
		for i := range p.Walls {
			var lean Lean
			if ok {
				lean = p.lapLean(i, pixels, exposure)
			}
			moved = moved || lean != p.Walls[i].Lean
			p.Walls[i].Lean = lean
		}
		if !moved {
			break
		}
		exposure, datum, ok = findLaps(p, pixels, known) // leaning lines had blurred it
	}
	return exposure, datum, ok
}

// wave is the dark lines of a part of a wall as a wave of one exposure: its strength and
// phase, around a place.
type wave struct {
	at    XY
	value complex128
}

// lapLean is the lean at which the waves of all parts of a wall are strongest together.
func (p *Photo) lapLean(wall int, pixels *decoded, exposure float64) (best Lean) {
	waves := p.lapWaves(wall, pixels, exposure)
	together := func(l Lean) float64 {
		var sum complex128
		for _, w := range waves {
			sum += w.value * cmplx.Rect(1, 2*math.Pi*l.at(w.at.X, w.at.Y)/exposure)
		}
		return cmplx.Abs(sum)
	}
	low, high := p.Walls[wall].box()
	all := 0.0
	for _, w := range waves {
		all += cmplx.Abs(w.value)
	}
	most := max(leanGain*together(Lean{}), leanWhole*all)
	for i := -leanSteps; i <= leanSteps; i++ { // at the right end's foot
		for k := -leanSteps; k <= leanSteps; k++ { // and at its top
			foot, top := float64(i)/leanSteps*leanMost*exposure/high.X, float64(k)/leanSteps*leanMost*exposure/high.X
			l := Lean{Skew: (top - foot) / (high.Y - low.Y)}
			l.Tilt = foot - l.Skew*low.Y
			if v := together(l); v > most {
				best, most = l, v
			}
		}
	}
	return best
}

// lapWaves are the waves of a wall's parts.
func (p *Photo) lapWaves(wall int, pixels *decoded, exposure float64) (out []wave) {
	w := &p.Walls[wall]
	low, high := w.box()
	own := p.owner(wall)
	rows, chunk := int((high.Y-low.Y)/lapStep), int(leanChunk*exposure/lapStep)
	wide := (high.X - low.X) / leanColumns
	for c := range leanColumns {
		line, seen := make([]float64, rows), make([]bool, rows)
		for j := range line {
			y, n := low.Y+(float64(j)+0.5)*lapStep, 0.0
			for k := range leanLooks {
				x := low.X + wide*(float64(c)+(float64(k)+0.5)/leanLooks)
				at, ok := p.Camera.Project(w.Plane.At(x, y))
				if ok && inside(w.Field, x, y) && p.pure(at) && own(int(at.U), int(at.V)) {
					line[j], n = line[j]+math.Log(max(1e-3, pixels.between(at).Luminance())), n+1
				}
			}
			if seen[j] = n > 0; seen[j] {
				line[j] /= n
			} else if j > 0 {
				line[j] = line[j-1]
			}
		}
		line = highPassed(line, int(4/lapStep))
		for from := 0; from+chunk <= rows; from += chunk {
			v := wave{at: XY{low.X + wide*(float64(c)+0.5), low.Y + (float64(from)+float64(chunk)/2)*lapStep}}
			for j := from; j < from+chunk; j++ {
				if seen[j] {
					v.value += cmplx.Rect(line[j], -2*math.Pi*(float64(j)+0.5)*lapStep/exposure)
				}
			}
			out = append(out, v)
		}
	}
	return out
}
