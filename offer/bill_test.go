package offer

import (
	"errors"
	"fmt"
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

// By hand: 1000.00 with 70.00 of tax in it; a third on signing, the rest later. In
// between a change adds 107.00, of which 7.00 are tax.
func TestBill(t *testing.T) {
	o := Offer{SchemeTitle: "Slate", Total: "1070.00", Taxes: []Tax{{"sales tax", "7", "70.00"}}, Payments: []Payment{{"on signing", "356.66"}, {"when hung", "713.34"}}}
	items, taxes, err := Bill(o, 0, 2, nil)
	// 356.66 x 70/1070 = 23.3329..., rounded down
	if err != nil || items[0] != (Item{"Slate: on signing", "333.33"}) || taxes[0].Amount != "23.33" || taxes[0].Base != "333.29" {
		t.Fatal(items, taxes, err)
	}
	first := Invoice{Items: items, Taxes: taxes}
	o.Total, o.Taxes[0].Amount, o.Payments = "1177.00", "77.00", []Payment{{"on signing", "392.33"}, {"when hung", "784.67"}}
	items, taxes, err = Bill(o, 1, 2, []Invoice{first})
	if err != nil || items[0].Amount != "766.67" || taxes[0].Amount != "53.67" {
		t.Fatal(items, taxes, err) // 1100.00 - 333.33; 77.00 - 23.33
	}
	if _, _, err := Bill(o, 2, 2, nil); !errors.Is(err, ErrInvoice) {
		t.Error(err)
	}
}

// Whatever the plan and the taxes, all invoices together ask for the total.
func TestBillsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		net := rapid.Int64Range(1, 1e9).Draw(t, "net")
		taxes := rapid.SliceOfN(rapid.Int64Range(0, 1e8), 0, 3).Draw(t, "taxes")
		o, total := Offer{}, net
		for i, x := range taxes {
			o.Taxes = append(o.Taxes, Tax{fmt.Sprint(i), "7.5", big.NewRat(x, 100).FloatString(2)})
			total += x
		}
		o.Total = big.NewRat(total, 100).FloatString(2)
		n := rapid.Int64Range(1, 5).Draw(t, "steps")
		var plan []Step
		for range n {
			plan = append(plan, Step{"then", big.NewRat(1, n)})
		}
		var err error
		if o.Payments, err = Payments(o.Total, 2, plan); err != nil {
			t.Fatal(err)
		}
		asked, sum := []Invoice{}, new(big.Rat)
		for k := range o.Payments {
			i := Invoice{AlreadyPaid: "0.00"}
			if i.Items, i.Taxes, err = Bill(o, k, 2, asked); err != nil {
				t.Fatal(err)
			}
			totals, err := i.Totals(2)
			if err != nil || totals.Gross != o.Payments[k].Amount {
				t.Fatalf("payment %d: %+v, want %s (%v)", k, totals, o.Payments[k].Amount, err)
			}
			asked = append(asked, i)
			sum.Add(sum, amount(totals.Gross))
		}
		if sum.Cmp(amount(o.Total)) != 0 {
			t.Fatalf("the invoices ask for %s of %s", sum.FloatString(2), o.Total)
		}
	})
}
