package course

import (
	"math"
	"math/big"

	"coilwright/measure"
	"coilwright/steel"
)

// ExpansionGap is the room that one end of a piece needs: the greater of the
// shop's least gap and allowance + share * alpha * R * (hottest - install), rounded
// up to step. share is 1/2 for a piece that is free both ways, 1 where one end
// takes all the movement. Exact in rationals. The rule is the contract's; the law
// dL = alpha L dT is any physics text's.
func ExpansionGap(g steel.Gap, r measure.Length, installF *big.Rat, share *big.Rat, step measure.Length) measure.Length {
	rise := new(big.Rat).Sub(g.HottestF, installF)
	need := new(big.Rat)
	if rise.Sign() > 0 {
		need.Mul(rise, g.AlphaPerF)
		need.Mul(need, share)
		need.Mul(need, big.NewRat(int64(r), 1))
	}
	need.Add(need, big.NewRat(int64(g.Allowance), 1))
	if least := big.NewRat(int64(g.Min), 1); need.Cmp(least) < 0 {
		need = least
	}
	need.Quo(need, big.NewRat(int64(step), 1))
	up := new(big.Int).Add(need.Num(), need.Denom())
	up.Sub(up, big.NewInt(1)).Quo(up, need.Denom())
	return measure.Length(up.Int64()) * step
}

// Shrinkage is how far an end of a piece draws back by the coldest day, in
// nanometres: share * alpha * R * (install - coldest), zero if hung colder still.
func Shrinkage(g steel.Gap, r measure.Length, installF *big.Rat, share *big.Rat) float64 {
	fall, _ := new(big.Rat).Sub(installF, g.ColdestF).Float64()
	alpha, _ := g.AlphaPerF.Float64()
	part, _ := share.Float64()
	return math.Max(0, part*alpha*float64(r)*fall)
}

var (
	one     = big.NewRat(1, 1)
	oneHalf = big.NewRat(1, 2)
	nothing = new(big.Rat)
)

// ends is the room at a piece's two ends.
type ends struct {
	gap         [2]measure.Length
	left, right *big.Rat // share of the movement
}

// endsOf works out the gaps of a piece of raw extent r. A vertical panel fixed at
// its top (its right end) moves at its bottom alone.
func (l *layer) endsOf(p steel.Panel, r measure.Length) ends {
	e := ends{left: oneHalf, right: oneHalf}
	if p.Fixed == "top" && p.Kind == steel.Vertical {
		e.left, e.right = one, nothing
	}
	g := l.in.Book.Gap
	e.gap = [2]measure.Length{ExpansionGap(g, r, l.in.InstallF, e.left, l.step), g.Min.CeilTo(l.step)}
	if e.right != nothing {
		e.gap[1] = e.gap[0]
	}
	return e
}
