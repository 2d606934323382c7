package job

import (
	"math"
	"math/big"

	"coilwright/measure"
)

// lengthFromWeight is weight / (density x thickness x width), rounded down: what
// is surely on the coil. weight in lb, density in lb per cubic inch.
func lengthFromWeight(weight, density *big.Rat, thickness, width measure.Length) measure.Length {
	inch := big.NewRat(int64(measure.Inch), 1)
	section := new(big.Rat).Mul(big.NewRat(int64(thickness), int64(measure.Inch)), big.NewRat(int64(width), int64(measure.Inch)))
	l := new(big.Rat).Quo(weight, section.Mul(section, density))
	l.Mul(l, inch)
	n := new(big.Int).Quo(l.Num(), l.Denom())
	if !n.IsInt64() {
		return math.MaxInt64
	}
	return measure.Length(n.Int64())
}

// lengthFromDiameters is pi (OD^2 - ID^2) / (4 t), rounded down (common coil
// formula; the winding's air is not in it).
func lengthFromDiameters(outer, inner, thickness measure.Length) measure.Length {
	od, id, t := outer.Inches(), inner.Inches(), thickness.Inches()
	l := math.Pi * (od - id) * (od + id) / (4 * t) * float64(measure.Inch)
	if l > float64(2*measure.MaxCoil) {
		return math.MaxInt64
	}
	return measure.Length(math.Floor(l))
}
