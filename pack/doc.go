// Package pack cuts given pieces from stock lengths so that nobody can do it
// cheaper, and says so with a bound that anyone can check in whole numbers.
//
// # One dimension: what is best
//
// [Solve] keeps one objective, in this order and never traded against each other:
//
//  1. least total cost of the stock lengths opened;
//  2. fewest stock lengths ("bins") opened;
//  3. the remnant gathered on one bin: the longest single tail.
//
// On paper: over all ways to write every piece into exactly one bin with
//
//	sum(length of pieces in the bin) + Setup * (number of classes in the bin) <= length of its stock,
//
// and no more bins of a stock than its Count, minimise the vector
// (sum of Cost, number of bins, -longest tail) lexicographically.
// [Plan.Optimal] speaks of 1 and then 2; [Plan.TailProven] speaks of 3 apart: the
// tail is improved by exchanges and, of few pieces, searched for by halves with the
// exact search itself; of many it is seldom proven, and seldom far from its bound.
//
// Goals 1 and 2 are one integer: a bin of stock k weighs Cost[k]*M + 1 where
// M exceeds the number of pieces, so that no number of bins outweighs one unit of money.
//
// # How
//
// Pieces of one length and class are one type with a demand, so a million
// equal pieces cost no more than one. Then, cheapest first and stopping as
// soon as bound and plan meet (the sources are from memory):
//
//   - bounds: the stock that must be bought for the bare length and the set-ups that
//     come on top, and dual feasible functions (Martello and Toth 1990; Fekete and
//     Schepers 2001);
//   - plans: first fit decreasing and least bin slack (Gupta and Ho 1999), bin after bin;
//   - plans class by class, each bin closed by the best subset of a window (see Sequence);
//   - the column-generation linear programme (Gilmore and Gomory 1961, 1963),
//     priced by dynamic programming and a depth-first search in whole numbers,
//     with smoothed duals (Wentges 1997) and Farley's bound (1990);
//   - diving: round the linear programme, solve what is left again;
//   - branch and price: pairs together or apart (Ryan and Foster 1981), number
//     of bins of a stock, and subset-row cuts (Jepsen et al. 2008).
//
// # In the order in which pieces are wanted
//
// [Sequence] cuts from bins in a given order, never among more than the first few pieces not yet
// cut, and empties nearly every bin all the same.
//
// # Certificate
//
// No bound rests on floating point. The simplex method only proposes weights;
// they are rounded down to integers w[i], the heaviest pattern V[k] of every
// stock is found in integers, and the bound is read off as a rational number
// (see certificate.go). A plan is called optimal only when such a bound, rounded up,
// meets it, in every leaf of the search.
//
// All results are deterministic for equal input, save when a context ends the work early.
package pack
