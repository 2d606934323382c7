package steel

import (
	"errors"
	"fmt"
	"math/big"

	"coilwright/measure"
)

// ErrStrip is matched by every error about a strip or a coil.
var ErrStrip = errors.New("not a strip of steel")

// StripError names the quantity that breaks a rule, the rule and the mend.
type StripError struct{ Place, Rule, Mend string }

func (e *StripError) Error() string { return e.Place + ": " + e.Rule + "; " + e.Mend }

// Unwrap makes errors.Is(err, ErrStrip) true.
func (e *StripError) Unwrap() error { return ErrStrip }

// DensityOfSteel is 0.2836 lb per cubic inch, which is 7850 kg/m3, the usual
// figure for carbon steel.
func DensityOfSteel() *big.Rat { return big.NewRat(2836, 10_000) }

// Thinnest and Thickest bound what CheckThickness believes: half of 30 gauge and
// 16 gauge of the Manufacturers' Standard table (assumed limits; a loose decimal
// point moves a thickness by ten).
const (
	Thinnest = 6 * measure.Inch / 1000
	Thickest = 60 * measure.Inch / 1000
)

// CheckThickness refuses a thickness that no siding strip has, as a misplaced
// decimal point gives; place says where it stands. Errors are *StripError.
func CheckThickness(place string, t measure.Length) error {
	if t < Thinnest || t > Thickest {
		return &StripError{place, fmt.Sprintf("a strip %s thick is outside 0.006 to 0.06 in", t.Text(measure.Imperial)),
			"write the measured decimal thickness, such as 0.0179 in, not a gauge"}
	}
	return nil
}

// pi to 40 places: coil lengths are worked out in fractions and rounded once.
func pi() *big.Rat {
	r, _ := new(big.Rat).SetString("3.1415926535897932384626433832795028841972")
	return r
}

func rat(l measure.Length) *big.Rat { return big.NewRat(int64(l), 1) }

// inInches is l in inches, exact.
func inInches(l measure.Length) *big.Rat { return big.NewRat(int64(l), int64(measure.Inch)) }

// floor rounds a count of nanometres down; false where it exceeds measure.MaxCoil.
func floor(nm *big.Rat) (measure.Length, bool) {
	n := new(big.Int).Div(nm.Num(), nm.Denom())
	if !n.IsInt64() || n.Int64() > int64(measure.MaxCoil) {
		return 0, false
	}
	return measure.Length(n.Int64()), true
}

// WeightPerFoot is the weight of one running foot of strip in lb, exact: density
// (lb per cubic inch) x thickness x width x 12 in. Paint is not in it.
func WeightPerFoot(thickness, width measure.Length, density *big.Rat) *big.Rat {
	w := inInches(thickness)
	w.Mul(w, inInches(width)).Mul(w, density)
	return w.Mul(w, big.NewRat(12, 1))
}

// CoilLengthFromWeight is weight / (density x thickness x width), rounded down to
// the nanometre: what is surely on the coil. Weight in lb, without reel and core;
// density in lb per cubic inch. Errors are *StripError.
func CoilLengthFromWeight(weight *big.Rat, thickness, width measure.Length, density *big.Rat) (measure.Length, error) {
	if err := positive("coil", thickness, width); err != nil {
		return 0, err
	}
	if weight.Sign() <= 0 || density.Sign() <= 0 {
		return 0, &StripError{"coil", "its weight or the steel's density is not above zero", "weigh it, and give 0.2836 lb/in3 for steel"}
	}
	feet := new(big.Rat).Quo(weight, WeightPerFoot(thickness, width, density))
	return coilLength(feet.Mul(feet, rat(measure.Foot)))
}

// CoilLengthFromDiameters is pi (OD^2 - ID^2) / (4 t), rounded down to the
// nanometre: the strip's length if no air lies between the turns. A wound coil
// holds 1 to 3 % less (common practice, no source): see Fill. Errors are
// *StripError. The formula equates the ring's area with length x thickness.
func CoilLengthFromDiameters(outer, inner, thickness measure.Length) (measure.Length, error) {
	if err := positive("coil", outer, inner, thickness); err != nil {
		return 0, err
	}
	if outer <= inner {
		return 0, &StripError{"coil", "its outer diameter is not larger than its inner one", "measure across the whole coil and across its eye"}
	}
	l := rat(outer + inner)
	l.Mul(l, rat(outer-inner)).Mul(l, pi())
	return coilLength(l.Quo(l, rat(4*thickness)))
}

// Fill is length times the share of a coil's ring that is steel, 0 < share <= 1,
// rounded down: the guess for a coil known by its diameters.
func Fill(length measure.Length, share *big.Rat) (measure.Length, error) {
	if share.Sign() <= 0 || share.Cmp(big.NewRat(1, 1)) > 0 {
		return 0, &StripError{"coil", "the share of its ring that is steel is not above 0 and at most 1", "use 1, or 0.98 for a loosely wound coil"}
	}
	return coilLength(new(big.Rat).Mul(rat(length), share))
}

// OuterDiameter is sqrt(ID^2 + 4 t L / pi), rounded down to the nanometre: how
// large a coil of that length is, tightly wound. Errors are *StripError.
func OuterDiameter(length, inner, thickness measure.Length) (measure.Length, error) {
	if err := positive("coil", length, inner, thickness); err != nil {
		return 0, err
	}
	ring := rat(length)
	ring.Mul(ring, rat(4*thickness)).Quo(ring, pi())
	core := rat(inner)
	ring.Add(ring, core.Mul(core, core))
	root := new(big.Int).Div(ring.Num(), ring.Denom())
	return coilLength(new(big.Rat).SetInt(root.Sqrt(root)))
}

// Wraps is the number of turns on a coil: (OD - ID) / (2 t), the part of the last
// one included. Thickness above zero.
func Wraps(outer, inner, thickness measure.Length) float64 {
	return float64(outer-inner) / (2 * float64(thickness))
}

func coilLength(nm *big.Rat) (measure.Length, error) {
	l, ok := floor(nm)
	if !ok {
		return 0, &StripError{"coil", "it would be longer than 100 km", "check its thickness and its weight or diameters"}
	}
	return l, nil
}

// positive refuses sizes that are not above zero or are longer than any coil.
func positive(place string, sizes ...measure.Length) error {
	for _, l := range sizes {
		if l <= 0 || l > measure.MaxCoil {
			return &StripError{place, "a size of it is not above zero, or is beyond 100 km", "give its sizes as measured"}
		}
	}
	return nil
}
