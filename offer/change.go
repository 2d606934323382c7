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
	Hours          string       // likewise
	Currency       string
}

// LongerFeet is how much more panel there is, in feet to a hundredth.
func (c Change) LongerFeet() string { return Feet(c.Longer) }

// Feet is nanometres in feet, to a hundredth.
func Feet(nm int64) string {
	const foot = 304_800_000 // nanometres, from the inch's definition
	return big.NewRat(nm, foot).FloatString(2)
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
	var err error
	if c.Money, err = less(after.Total, before.Total); err != nil {
		return c, err
	}
	c.Hours, err = less(after.Hours, before.Hours)
	return c, err
}

// less is a - b, exactly; an empty text is nothing.
func less(a, b string) (string, error) {
	x, err := number(a)
	if err != nil {
		return "", err
	}
	y, err := number(b)
	if err != nil {
		return "", err
	}
	return x.Sub(x, y).FloatString(max(decimals(a), decimals(b))), nil
}

func number(text string) (*big.Rat, error) {
	r := new(big.Rat)
	if _, ok := r.SetString(text); text != "" && !ok {
		return nil, fmt.Errorf("%q is no amount", text)
	}
	return r, nil
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
