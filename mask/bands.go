package mask

import "coilwright/cores"

// slices is how many bands a raster's rows are cut into at most: the same on every
// machine, so that sums come out alike everywhere.
const slices = 8

// bands cuts rows into bands and does them on all processors at once.
func bands(rows int, do func(band, from, to int)) {
	n := min(slices, rows)
	one := func(b int) { do(b, b*rows/n, (b+1)*rows/n) }
	if rows >= 4*slices {
		cores.Each(n, one)
		return
	}
	for b := range n {
		one(b)
	}
}

func total(v *[slices]float64) (sum float64) {
	for _, x := range v {
		sum += x
	}
	return sum
}

func maximum(v *[slices]float64) (most float64) {
	for _, x := range v {
		most = max(most, x)
	}
	return most
}
