package offer

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
)

// Change is what a later revision does to a signed one: to be signed likewise, or
// borne by the shop.
type Change struct {
	Added, Removed []PieceSummary
	Altered        []Alteration // the same place, another piece of steel
	Longer         int64        // nanometres of panel more; negative: less
	Money          string       // total after less total before
	Currency       string
}

// Alteration is one piece before and after.
type Alteration struct{ Before, After PieceSummary }

// Empty says that nothing that is cut or paid differs.
func (c Change) Empty() bool {
	return len(c.Added)+len(c.Removed)+len(c.Altered) == 0 && c.Longer == 0 && isZero(c.Money)
}

func isZero(amount string) bool {
	r, ok := new(big.Rat).SetString(amount)
	return ok && r.Sign() == 0
}

// Difference tells what changed from one offer to another. Pieces are matched by
// id: wall, zone, course and part.
func Difference(before, after Offer) (Change, error) {
	if before.Currency != after.Currency {
		return Change{}, fmt.Errorf("the signed offer is in %s, the change in %s: no difference can be told", before.Currency, after.Currency)
	}
	c := Change{Currency: after.Currency}
	old := map[string]PieceSummary{}
	for _, p := range before.Pieces {
		old[p.ID] = p
		c.Longer -= p.LengthNM
	}
	for _, p := range after.Pieces {
		c.Longer += p.LengthNM
		was, known := old[p.ID]
		delete(old, p.ID)
		switch {
		case !known:
			c.Added = append(c.Added, p)
		case was != p:
			c.Altered = append(c.Altered, Alteration{was, p})
		}
	}
	for _, p := range old {
		c.Removed = append(c.Removed, p)
	}
	slices.SortFunc(c.Removed, func(a, b PieceSummary) int { return cmp.Compare(a.ID, b.ID) })
	was, ok := new(big.Rat).SetString(before.Total)
	is, ok2 := new(big.Rat).SetString(after.Total)
	if !ok || !ok2 {
		return c, fmt.Errorf("%q or %q is no amount of money", before.Total, after.Total)
	}
	places := max(decimals(before.Total), decimals(after.Total))
	c.Money = is.Sub(is, was).FloatString(places)
	return c, nil
}

// decimals counts the places after the point.
func decimals(amount string) int {
	for i, r := range amount {
		if r == '.' {
			return len(amount) - i - 1
		}
	}
	return 0
}
