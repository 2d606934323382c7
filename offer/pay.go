package offer

import (
	"errors"
	"fmt"
	"math/big"
)

// Payment is one part of the price.
type Payment struct {
	When   string `json:"when"` // in words: "on signing", "when the coil is ordered"
	Amount string `json:"amount"`
}

// Step is one line of the shop's payment plan: a share of the total.
type Step struct {
	When  string
	Share *big.Rat
}

// ErrPlan is wrapped by errors about a payment plan.
var ErrPlan = errors.New("the payment plan does not work")

// Payments splits a total of that many decimal places by the plan. Each part is
// rounded down to the smallest unit and what is left over goes to the last part, so
// that the parts add up to the total exactly.
func Payments(total string, places int, plan []Step) ([]Payment, error) {
	all, ok := new(big.Rat).SetString(total)
	if !ok || all.Sign() < 0 || places < 0 || places > 9 {
		return nil, fmt.Errorf("%w: %q is no amount of money", ErrPlan, total)
	}
	for _, s := range plan {
		if s.Share == nil || s.Share.Sign() <= 0 || s.When == "" {
			return nil, fmt.Errorf("%w: every step needs a share above 0 and says when", ErrPlan)
		}
	}
	if !Whole(plan) {
		return nil, fmt.Errorf("%w: its shares add up to %s, not to 1", ErrPlan, shares(plan).FloatString(4))
	}
	scale := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil)
	units := new(big.Rat).Mul(all, new(big.Rat).SetInt(scale))
	if !units.IsInt() {
		return nil, fmt.Errorf("%w: %s has more than %d decimal places", ErrPlan, total, places)
	}
	left := new(big.Int).Set(units.Num())
	var out []Payment
	for i, s := range plan {
		part := new(big.Rat).Mul(units, s.Share)
		n := new(big.Int).Quo(part.Num(), part.Denom())
		if i == len(plan)-1 {
			n = left
		}
		left = new(big.Int).Sub(left, n)
		out = append(out, Payment{s.When, new(big.Rat).SetFrac(n, scale).FloatString(places)})
	}
	return out, nil
}
