package offer

import (
	"fmt"
	"math/big"
)

// Bill gives the lines and taxes of the invoice for a step of the payment plan:
// what should have been asked for up to and with that step, less what the earlier
// invoices asked for. A change signed in between is so settled with the next one,
// and the last step brings the sum to the total, to the smallest unit.
func Bill(o Offer, step, places int, earlier []Invoice) ([]Item, []TaxItem, error) {
	if step < 0 || step >= len(o.Payments) {
		return nil, nil, fmt.Errorf("%w: the plan has %d payments, there is no payment %d", ErrInvoice, len(o.Payments), step+1)
	}
	due := amount("0")
	for _, p := range o.Payments[:step+1] {
		due.Add(due, amount(p.Amount))
	}
	total := amount(o.Total)
	netDue := new(big.Rat).Set(due)
	var taxes []TaxItem
	for _, t := range o.Taxes {
		share := part(amount(t.Amount), due, total, places)
		netDue.Sub(netDue, share)
		now := share.Sub(share, taxAsked(earlier, t.Title))
		if now.Sign() != 0 {
			taxes = append(taxes, TaxItem{t.Title, t.Percent, base(now, t.Percent).FloatString(places), now.FloatString(places)})
		}
	}
	net := netDue.Sub(netDue, netAsked(earlier))
	return []Item{{o.SchemeTitle + ": " + o.Payments[step].When, net.FloatString(places)}}, taxes, nil
}

// part is a tax's share of what is due, rounded down: all of it once all is due.
func part(tax, due, total *big.Rat, places int) *big.Rat {
	if total.Sign() == 0 {
		return new(big.Rat).Set(tax)
	}
	exact := new(big.Rat).Mul(tax, new(big.Rat).Quo(due, total))
	scale := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil)
	exact.Mul(exact, new(big.Rat).SetInt(scale))
	return new(big.Rat).SetFrac(new(big.Int).Quo(exact.Num(), exact.Denom()), scale)
}

// base is the part of the price that a tax of so many per cent falls on.
func base(tax *big.Rat, percent string) *big.Rat {
	p := amount(percent)
	if p.Sign() == 0 {
		return new(big.Rat)
	}
	return new(big.Rat).Quo(new(big.Rat).Mul(tax, big.NewRat(100, 1)), p)
}

func netAsked(all []Invoice) *big.Rat {
	sum := new(big.Rat)
	for _, i := range all {
		for _, l := range i.Items {
			sum.Add(sum, amount(l.Amount))
		}
	}
	return sum
}

func taxAsked(all []Invoice, title string) *big.Rat {
	sum := new(big.Rat)
	for _, i := range all {
		for _, t := range i.Taxes {
			if t.Title == title {
				sum.Add(sum, amount(t.Amount))
			}
		}
	}
	return sum
}

// amount reads an exact amount; what is none counts as nothing, since offers and
// invoices were checked when they were made.
func amount(text string) *big.Rat {
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		return new(big.Rat)
	}
	return r
}

// Add adds amounts up, to so many places.
func Add(places int, amounts ...string) string {
	sum := new(big.Rat)
	for _, a := range amounts {
		sum.Add(sum, amount(a))
	}
	return sum.FloatString(places)
}

// Less is a - b, to so many places.
func Less(places int, a, b string) string {
	return new(big.Rat).Sub(amount(a), amount(b)).FloatString(places)
}

// IsDue says whether an amount is above nothing.
func IsDue(a string) bool { return amount(a).Sign() > 0 }
