package coil

import (
	"math/big"

	"coilwright/steel"
)

// money counts the mill's prices in whole units, the largest that divides them
// all, so that sums of them stay exact.
type money struct {
	unit  *big.Rat
	price []int64 // per offer of the book
	exact bool
}

const dearest = 1_000_000_000 // units; prices beyond are rounded up, and nothing is then called proven

func newMoney(mill []steel.Mill) money {
	m := money{unit: new(big.Rat), exact: true}
	for _, o := range mill {
		if o.Price != nil && o.Price.Sign() > 0 {
			m.unit = common(m.unit, o.Price)
		}
	}
	if m.unit.Sign() == 0 {
		m.unit.SetInt64(1)
	}
	for _, o := range mill {
		for o.Price != nil && new(big.Rat).Quo(o.Price, m.unit).Cmp(big.NewRat(dearest, 1)) > 0 {
			m.unit.Mul(m.unit, big.NewRat(1000, 1))
			m.exact = false
		}
	}
	for _, o := range mill {
		m.price = append(m.price, m.units(o.Price))
	}
	return m
}

// common is the greatest number of which both are multiples.
func common(a, b *big.Rat) *big.Rat {
	// a/b = n/d in lowest terms; their common measure is b/d.
	if a.Sign() == 0 {
		return new(big.Rat).Set(b)
	}
	q := new(big.Rat).Quo(a, b)
	return new(big.Rat).Quo(b, new(big.Rat).SetInt(q.Denom()))
}

// units is a price in whole units, rounded up.
func (m money) units(price *big.Rat) int64 {
	if price == nil {
		return 0
	}
	q := new(big.Rat).Quo(price, m.unit)
	n := new(big.Int).Add(q.Num(), q.Denom())
	n.Sub(n, big.NewInt(1)).Quo(n, q.Denom())
	return n.Int64()
}

func (m money) rat(units int64) *big.Rat {
	return new(big.Rat).Mul(m.unit, new(big.Rat).SetInt64(units))
}
