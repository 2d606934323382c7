package colour

import "math"

// Difference is CIEDE2000 with all weights 1 (CIE 142; formulas as numbered by
// Sharma, Wu and Dalal, Color Research and Application 30 (2005), 21-30). About 1 is
// just seen side by side, 2 to 3 is seen, over 5 is another colour (from memory).
// Both colours under one illuminant.
func Difference(p, q Lab) float64 {
	g := greyShift((p.Chroma() + q.Chroma()) / 2)
	p.A, q.A = p.A*(1+g), q.A*(1+g)
	cp, cq := p.Chroma(), q.Chroma()
	hp, hq := hue(p), hue(q)
	dh, mean := hues(hp, hq, cp*cq == 0)
	dL, dC := q.L-p.L, cq-cp
	dH := 2 * math.Sqrt(cp*cq) * sin(dh/2)

	l, c := (p.L+q.L)/2, (cp+cq)/2
	t := 1 - 0.17*cos(mean-30) + 0.24*cos(2*mean) + 0.32*cos(3*mean+6) - 0.20*cos(4*mean-63)
	l50 := (l - 50) * (l - 50)
	sL := 1 + 0.015*l50/math.Sqrt(20+l50)
	sC, sH := 1+0.045*c, 1+0.015*c*t
	turn := 30 * math.Exp(-((mean-275)/25)*((mean-275)/25))
	rT := -sin(2*turn) * 2 * seventh(c)
	return math.Sqrt(dL/sL*dL/sL + dC/sC*dC/sC + dH/sH*dH/sH + rT*dC/sC*dH/sH)
}

// Difference76 is the plain distance in L*a*b* (ASTM D2244, 6.2.1).
func Difference76(p, q Lab) float64 {
	return math.Hypot(math.Hypot(p.L-q.L, p.A-q.A), p.B-q.B)
}

// greyShift is the G by which a* is stretched near grey.
func greyShift(chroma float64) float64 { return 0.5 * (1 - seventh(chroma)) }

// seventh is sqrt(c^7 / (c^7 + 25^7)).
func seventh(c float64) float64 {
	c7 := math.Pow(c, 7)
	return math.Sqrt(c7 / (c7 + 6103515625))
}

// hue in degrees, 0 to 360, 0 for grey.
func hue(c Lab) float64 {
	if c.A == 0 && c.B == 0 {
		return 0
	}
	h := math.Atan2(c.B, c.A) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	return h
}

// hues gives the difference of two hues the short way round and their mean, with
// the paper's rule for a colour without hue.
func hues(p, q float64, grey bool) (difference, mean float64) {
	switch d := q - p; {
	case grey:
		return 0, p + q
	case math.Abs(d) <= 180:
		return d, (p + q) / 2
	case p+q < 360:
		return d - math.Copysign(360, d), (p + q + 360) / 2
	default:
		return d - math.Copysign(360, d), (p + q - 360) / 2
	}
}

func sin(degrees float64) float64 { return math.Sin(degrees * math.Pi / 180) }
func cos(degrees float64) float64 { return math.Cos(degrees * math.Pi / 180) }
