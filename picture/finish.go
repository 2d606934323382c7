package picture

import (
	"math"

	"coilwright/colour"
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
func (f Finish) highlight(n, light, view photo.Vec) float64 {
	nl, nv := n.Dot(light), n.Dot(view)
	if nl <= 0 || nv <= 0 {
		return 0
	}
	h := light.Add(view).Unit()
	a2 := math.Pow(f.Roughness, 4)
	nh := n.Dot(h)
	d := nh*nh*(a2-1) + 1
	smith := func(c float64) float64 { return 2 * c / (c + math.Sqrt(a2+(1-a2)*c*c)) }
	fresnel := f.Gloss + (1-f.Gloss)*math.Pow(1-light.Dot(h), 5)
	return a2 / (d * d) * smith(nl) * smith(nv) * fresnel / (4 * nl * nv)
}

// sheen is the share of the light around that a surface sends back mirror-like to a
// viewer at cosine nv: the fit of B. Karis, "Physically based shading on mobile"
// (2014), to the integral of the model above.
func (f Finish) sheen(nv float64) float64 {
	r := f.Roughness
	x, y, z, w := 1-r, 0.0425-0.0275*r, 1.04-0.572*r, 0.022*r-0.04
	a := min(x*x, math.Exp2(-9.28*nv))*x + y
	return max(0, f.Gloss*(z-1.04*a)+w+1.04*a)
}
