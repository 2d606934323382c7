package course

import (
	"math"
	"math/big"
	"math/bits"

	"coilwright/measure"
	"coilwright/steel"
)

// ExpansionGap is the room that one end of a piece needs: the greater of the
// shop's least gap and allowance + share * alpha * R * (hottest - install), rounded
// up to step. share is 1/2 for a piece that is free both ways, 1 where one end
// takes all the movement. Exact in rationals. The rule is the contract's; the law
// dL = alpha L dT is any physics text's.
func ExpansionGap(g steel.Gap, r measure.Length, installF *big.Rat, share *big.Rat, step measure.Length) measure.Length {
	return newGapRule(g, installF, share, step).gap(r)
}

// gapRule is ExpansionGap made ready for many pieces: an end of a piece of extent R
// moves by R * num / den.
type gapRule struct {
	least, allowance, step measure.Length
	rate                   *big.Rat
	num, den               uint64 // of rate; den is 0 where they need more than 64 bits
}

func newGapRule(g steel.Gap, installF *big.Rat, share *big.Rat, step measure.Length) gapRule {
	rule := gapRule{least: g.Min, allowance: g.Allowance, step: step, rate: new(big.Rat)}
	if rise := new(big.Rat).Sub(g.HottestF, installF); rise.Sign() > 0 {
		rule.rate.Mul(rise.Mul(rise, g.AlphaPerF), share)
	}
	if rule.rate.Num().IsUint64() && rule.rate.Denom().IsUint64() {
		rule.num, rule.den = rule.rate.Num().Uint64(), rule.rate.Denom().Uint64()
	}
	return rule
}

// gap is the room for a piece of extent r.
func (rule gapRule) gap(r measure.Length) measure.Length {
	if up, ok := rule.inWords(r); ok {
		return up
	}
	need := new(big.Rat).Mul(rule.rate, big.NewRat(int64(r), 1))
	need.Add(need, big.NewRat(int64(rule.allowance), 1))
	if least := big.NewRat(int64(rule.least), 1); need.Cmp(least) < 0 {
		need = least
	}
	need.Quo(need, big.NewRat(int64(rule.step), 1))
	up := new(big.Int).Add(need.Num(), need.Denom())
	up.Sub(up, big.NewInt(1)).Quo(up, need.Denom())
	return measure.Length(up.Int64()) * rule.step
}

// inWords is gap in machine words, where they hold every product:
// ceil(max(R * num + allowance * den, least * den) / (den * step)) steps.
func (rule gapRule) inWords(r measure.Length) (measure.Length, bool) {
	if rule.den == 0 || r < 0 || rule.allowance < 0 || rule.least < 0 {
		return 0, false
	}
	times := func(a uint64, l measure.Length) [2]uint64 {
		hi, lo := bits.Mul64(a, uint64(l))
		return [2]uint64{hi, lo}
	}
	need, least := times(rule.num, r), times(rule.den, rule.least)
	room, unit := times(rule.den, rule.allowance), times(rule.den, rule.step)
	var carry uint64
	need[1], carry = bits.Add64(need[1], room[1], 0)
	if need[0], carry = bits.Add64(need[0], room[0], carry); carry != 0 {
		return 0, false
	}
	if least[0] > need[0] || least[0] == need[0] && least[1] > need[1] {
		need = least
	}
	if unit[0] != 0 || need[0] >= unit[1] {
		return 0, false
	}
	steps, rest := bits.Div64(need[0], need[1], unit[1])
	if rest > 0 {
		steps++
	}
	return measure.Length(steps) * rule.step, true
}

// Shrinkage is how far an end of a piece draws back by the coldest day, in
// nanometres: share * alpha * R * (install - coldest), zero if hung colder still.
func Shrinkage(g steel.Gap, r measure.Length, installF *big.Rat, share *big.Rat) float64 {
	return math.Max(0, shrinking(g, installF, share)*float64(r))
}

// shrinking is the share of its extent that an end draws back, negative if hung
// colder than the coldest day.
func shrinking(g steel.Gap, installF *big.Rat, share *big.Rat) float64 {
	fall := new(big.Rat).Sub(installF, g.ColdestF)
	rate, _ := fall.Mul(fall, g.AlphaPerF).Mul(fall, share).Float64()
	return rate
}

var (
	one     = big.NewRat(1, 1)
	oneHalf = big.NewRat(1, 2)
)

// movement is how the ends of a zone's pieces move.
type movement struct {
	rule    gapRule
	oneEnd  bool           // the left end takes it all
	fixed   measure.Length // gap of an end that does not move
	shrinks [2]float64     // left, right: of the extent, by the coldest day
}

// movementOf says how a panel's pieces move. A vertical panel fixed at its top (its
// right end) moves at its bottom alone.
func (l *layer) movementOf(p steel.Panel) movement {
	g, share, fixed := l.in.Book.Gap, oneHalf, p.Fixed == "top" && p.Kind == steel.Vertical
	if fixed {
		share = one
	}
	m := movement{rule: newGapRule(g, l.in.InstallF, share, l.step), fixed: g.Min.CeilTo(l.step), oneEnd: fixed}
	m.shrinks[0] = math.Max(0, shrinking(g, l.in.InstallF, share))
	if !fixed {
		m.shrinks[1] = m.shrinks[0]
	}
	return m
}

// ends is the room at a piece's two ends, left and right, and how far each draws
// back by the coldest day, in nanometres.
type ends struct {
	gap  [2]measure.Length
	draw [2]float64
}

// of works out the ends of a piece of raw extent r.
func (m movement) of(r measure.Length) ends {
	e := ends{draw: [2]float64{m.shrinks[0] * float64(r), m.shrinks[1] * float64(r)}}
	e.gap[0] = m.rule.gap(r)
	e.gap[1] = e.gap[0]
	if m.oneEnd {
		e.gap[1] = m.fixed
	}
	return e
}
