package steel

import (
	"math/big"

	"coilwright/measure"
)

// AlphaOfSteel is the linear expansion of carbon steel per degree Fahrenheit,
// 6.5e-6 (AISC Manual, from memory; handbooks print 6.4e-6 to 7.2e-6).
func AlphaOfSteel() *big.Rat { return big.NewRat(65, 10_000_000) }

// Movement is how much a length grows with a change of temperature, exact, in
// nanometres, negative when it shrinks: dL = alpha L dT. Alpha and dT are per and
// in one kind of degree, Fahrenheit throughout this program.
func Movement(alpha *big.Rat, length measure.Length, dT *big.Rat) *big.Rat {
	m := new(big.Rat).Mul(alpha, dT)
	return m.Mul(m, rat(length))
}
