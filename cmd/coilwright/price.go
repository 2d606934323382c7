package main

import (
	"fmt"
	"io"
	"strings"

	"coilwright/job"
	"coilwright/price"
)

type priceCmd struct {
	jobArg
	jsonFlag
}

// Run prices every scheme of the job.
func (c priceCmd) Run(w *world) error {
	j, found := job.Read(c.Job)
	if err := found.Err(); err != nil {
		return err
	}
	warn(w.err, found)
	var all []price.Estimate
	finished := slowly(w.err, "pricing the schemes")
	defer finished()
	for _, s := range j.Schemes {
		e, err := j.Price(s.ID)
		if err != nil {
			return err
		}
		all = append(all, e)
	}
	a, err := j.PriceAnswer(all)
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(w.out, a)
	}
	return printPrices(w.out, a)
}

// printPrices writes the schemes for a person: lines, totals, doubt, and what each
// adds or saves against the first.
func printPrices(w io.Writer, a job.PriceAnswer) error {
	for i, s := range a.Schemes {
		lines := newTable("what", ">quantity", "unit", ">each", ">"+a.Currency)
		for _, l := range s.Lines {
			lines.row(l.What, l.Quantity, l.Unit, l.UnitPrice, l.Amount)
		}
		if _, err := fmt.Fprintf(w, "Scheme %s: %s\n%s\n%s\n%s%s\n", s.ID, s.Title, lines, sums(a.Currency, s), missingText(s), differenceText(a.Schemes[0].ID, i, s)); err != nil {
			return err
		}
	}
	_, err := fmt.Fprintln(w, "Not in the price: permits, repair of the wall behind the old cladding, electrical bonding, and whatever the job's site does not name.")
	return err
}

func sums(currency string, s job.SchemePriceAnswer) string {
	t := newTable("", ">"+currency)
	t.row("direct cost", s.Direct)
	t.row("overhead", s.Overhead)
	t.row("cost", s.Cost)
	t.row("margin", s.Margin)
	t.row("price", s.Price)
	for _, x := range s.Taxes {
		t.row(x.Title, x.Amount)
	}
	t.row("total", s.Total)
	t.row("+/- from the measurements, 95 %", s.PlusMinus)
	text := fmt.Sprint(t)
	if s.Loosest != "" {
		text += fmt.Sprintf("Most of the +/- comes from wall %s.\n", s.Loosest)
	}
	if len(s.Unknown) > 0 {
		text += fmt.Sprintf("Counted as exact, for no +/- is stated: wall %s.\n", strings.Join(s.Unknown, ", "))
	}
	return text
}

func missingText(s job.SchemePriceAnswer) string {
	var b strings.Builder
	for _, m := range s.Missing {
		fmt.Fprintf(&b, "NO OFFER YET: %s; %s.\n", m.What, m.Mend)
	}
	return b.String()
}

func differenceText(first string, i int, s job.SchemePriceAnswer) string {
	if i == 0 {
		return ""
	}
	t := newTable("against scheme "+first+", in cost", ">")
	for _, d := range s.Differences {
		sign := "+"
		if strings.HasPrefix(string(d.Amount), "-") {
			sign = ""
		}
		t.row(d.What, sign+string(d.Amount))
	}
	return fmt.Sprint(t)
}
