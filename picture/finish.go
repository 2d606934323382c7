package picture

import (
	"math"

	"coilwright/colour"
	"coilwright/cores"
	"coilwright/photo"
)

// Finish is a painted surface: Colour its diffuse reflectance, Gloss its reflectance
// square on, Roughness from 0 (a mirror) to 1.
type Finish struct {
	Colour    colour.Linear
	Gloss     float64
	Roughness float64
}

// LowGloss is coil coating as siding comes (assumed: about 15 at 60 degrees).
func LowGloss(c colour.Linear) Finish { return Finish{Colour: c, Gloss: 0.04, Roughness: 0.5} }

// highlight is the mirror-like part of the BRDF times pi: the microfacet model with
// the GGX distribution (Walter, Marschner, Li and Torrance, Eurographics Symposium on
// Rendering 2007), Smith's shadowing and Schlick's Fresnel; vectors of length 1.
func (f *Finish) highlight(n, light, view photo.Vec) float64 {
	nl, nv := n.Dot(light), n.Dot(view)
	if nl <= 0 || nv <= 0 {
		return 0
	}
	h := light.Add(view).Unit()
	a2 := f.Roughness * f.Roughness
	a2 *= a2
	nh := n.Dot(h)
	d := nh*nh*(a2-1) + 1
	smith := func(c float64) float64 { return 2 * c / (c + math.Sqrt(a2+(1-a2)*c*c)) }
	graze := 1 - light.Dot(h)
	fresnel := f.Gloss + (1-f.Gloss)*graze*graze*graze*graze*graze
	return a2 / (d * d) * smith(nl) * smith(nv) * fresnel / (4 * nl * nv)
}

// lattice are half vectors drawn from a distribution: cosines to the normal and, around it, to
// the viewer's side, by a fixed lattice.
type lattice [24]struct{ up, out, around float64 }

func (f Finish) lattice() *lattice {
	var h lattice
	a2 := math.Pow(f.Roughness, 4)
	for i := range h {
		u := (float64(i) + 0.5) / float64(len(h))
		h[i].up = math.Sqrt((1 - u) / (1 + (a2-1)*u))
		h[i].out = math.Sqrt(1 - h[i].up*h[i].up)
		h[i].around = math.Cos(u * math.Pi)
	}
	return &h
}

// sheen is the share of an even light all around that a surface sends back
// mirror-like to a viewer at cosine nv: the integral of the same model over the
// hemisphere.
func (f Finish) sheen(nv float64, around *lattice) float64 {
	a2 := math.Pow(f.Roughness, 4)
	side := math.Sqrt(1 - nv*nv)
	smith := func(c float64) float64 { return 2 * c / (c + math.Sqrt(a2+(1-a2)*c*c)) }
	masked := smith(nv) / nv
	var sum float64
	for i := range around {
		h := &around[i]
		for j := range around {
			vh := side*h.out*around[j].around + nv*h.up
			nl := 2*vh*h.up - nv
			if vh <= 0 || nl <= 0 {
				continue
			}
			graze := 1 - vh
			fresnel := f.Gloss + (1-f.Gloss)*graze*graze*graze*graze*graze
			sum += fresnel * smith(nl) * masked * vh / h.up
		}
	}
	return sum / float64(len(around)*len(around))
}

// sheens remembers the sheen by cosine.
type sheens [33]float64

func (f Finish) sheens() *sheens {
	var s sheens
	around := f.lattice()
	cores.Each(len(s), func(i int) { s[i] = f.sheen(max(0.03, float64(i)/float64(len(s)-1)), around) })
	return &s
}

func (s *sheens) at(nv float64) float64 {
	x := min(1, max(0, nv)) * float64(len(s)-1)
	i := min(len(s)-2, int(x))
	return s[i] + (x-float64(i))*(s[i+1]-s[i])
}
