package server

import (
	"math"
	"slices"
	"strconv"

	"coilwright/price"
)

// learnedOf is what finished jobs say of a book's rates, in the order of the works.
// The rates of a work are learned together; those of tearing off each alone, since no
// two claddings come off alike.
func learnedOf(all []finishedBody, b price.Book) []LearnedRate {
	out := []LearnedRate{}
	for _, work := range price.Works {
		rates := ratesOf(all, work)
		if work != price.TearOff {
			out = append(out, learnedTogether(all, b, work, rates)...)
			continue
		}
		for _, rate := range rates {
			out = append(out, learnedTogether(all, b, work, []string{rate})...)
		}
	}
	return out
}

// ratesOf are the rates that planned a work on any of the jobs.
func ratesOf(all []finishedBody, work string) []string {
	var out []string
	for _, f := range all {
		for _, p := range f.Parts {
			if p.Work == work && !slices.Contains(out, p.Rate) {
				out = append(out, p.Rate)
			}
		}
	}
	slices.Sort(out)
	return out
}

// learnedTogether is what the jobs say of some rates of a work.
func learnedTogether(all []finishedBody, b price.Book, work string, rates []string) []LearnedRate {
	base := make([]float64, len(rates))
	for i, rate := range rates {
		base[i] = baseOf(all, b, rate)
	}
	var took []price.Took
	for _, f := range all {
		if h, ok := f.Took[work]; ok {
			took = append(took, price.Took{Planned: f.plannedBy(work, rates, base), True: h})
		}
	}
	learned := price.Learn(took)
	common := 1.0
	if i := slices.Index(rates, price.HighShare); i >= 0 && learned != nil {
		common = commonFactor(took, learned, i)
	}
	out := []LearnedRate{}
	for i, l := range learned {
		if l.Jobs == 0 || base[i] == 0 || l.Factor <= 0 { // no hours at all teach no rate
			continue
		}
		if rates[i] == price.HighShare {
			l.Factor, l.PlusMinus = l.Factor/common, l.PlusMinus/common
		}
		out = append(out, learnedRate(b, rates[i], base[i], l))
	}
	return out
}

// baseOf is the rate as the book has it, or else as a job had it: what factors are of.
func baseOf(all []finishedBody, b price.Book, rate string) float64 {
	if now, _ := b.Rates[rate].Value.Float64(); now > 0 {
		return now
	}
	for _, f := range all {
		if was := f.Rates[rate]; was > 0 {
			return was
		}
	}
	return 0
}

// plannedBy gives the hours that each rate planned, as base would have planned them.
func (f finishedBody) plannedBy(work string, rates []string, base []float64) []float64 {
	out := make([]float64, len(rates))
	for _, p := range f.Parts {
		i, was := slices.Index(rates, p.Rate), f.Rates[p.Rate]
		switch {
		case p.Work != work || i < 0 || was <= 0 || base[i] <= 0:
		case p.Rate == price.FeedFtPerMinute:
			out[i] += p.Hours * was / base[i]
		default:
			out[i] += p.Hours * base[i] / was
		}
	}
	return out
}

// commonFactor is the factor of all hours but those of rate i, weighted by them: a
// share of the others' minutes is learned beside it.
func commonFactor(took []price.Took, learned []price.Learned, i int) float64 {
	var hours, planned float64
	for _, t := range took {
		for k, p := range t.Planned {
			if k != i {
				hours, planned = hours+learned[k].Factor*p, planned+p
			}
		}
	}
	if hours <= 0 {
		return 1
	}
	return hours / planned
}

func learnedRate(b price.Book, rate string, base float64, l price.Learned) LearnedRate {
	k, offered, doubt := price.RateKey(rate), base*l.Factor, base*l.PlusMinus
	if rate == price.FeedFtPerMinute { // twice the hours are half the feed
		offered = base / l.Factor
		doubt = offered * l.PlusMinus / l.Factor
	}
	r := LearnedRate{Name: rate, What: k.What, Unit: k.Unit, Offered: rateText(offered), Jobs: l.Jobs}
	if f := b.Rates[rate]; f.Written {
		r.Now = f.Value.String()
	}
	if l.PlusMinus > 0 {
		r.PlusMinus = rateText(doubt)
	}
	return r
}

// rateText is a rate to three places, which no watch tells apart.
func rateText(r float64) string { return strconv.FormatFloat(math.Round(r*1000)/1000, 'f', -1, 64) }
