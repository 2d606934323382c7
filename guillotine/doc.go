// Package guillotine cuts rectangles from flat stock with a shear, each cut going
// right through, in two stages: strips side by side across the stock, then each
// strip to lengths, end to end. It knows no siding. Two questions are answered,
// each with a bound that whole numbers prove:
//
//   - [Fill]: what is the most valuable filling of one sheet? The question of the
//     published two-stage instances (Gilmore and Gomory 1965; Hifi and Roucairol 2001;
//     Lodi and Monaci 2003: names and years from memory).
//   - [Slit]: what is the least length of coil that gives all pieces?
//
// # Two stages on a sheet
//
// Strips lie side by side across the sheet's Width; pieces lie end to end along its
// Length. A piece fits a strip that is at least as wide. Where it is narrower, a
// last cut rips it down ("non-exact" in the literature); with Exact set, a strip
// gives pieces of its own width alone. Pieces are never turned: grain, emboss and
// coating run along the strip. No more of a piece is taken than its Count
// ("constrained"). To make the first cut the other way, swap Width and Length.
//
// # Two stages on a coil
//
// A coil has no end to speak of, and nobody handles a ribbon as long as the coil:
// a shear first frees a blank, no longer than Longest (the brake and the slitter
// that rides on it), the blank is slit into strips side by side, and each strip is
// cut to lengths, end to end. Blanks follow end to end along the coil. So two
// stages are two stages on each blank, the cut that frees it being counted as its
// set-up. Every strip has one width and all its pieces have that width: a strip is
// slit once and never ripped again. Blanks are multiples of Step long, rounded up.
//
// [Slit] keeps one objective, in this order:
//
//  1. least total length of the blanks;
//  2. fewest blanks, since each is one set-up of shear and slitter.
//
// [Plan.Optimal] speaks of 1, [Plan.BlanksProven] of 2.
//
// # How
//
// Both questions price strips by knapsack tables: length along the strip, then width
// across.
//
// [Fill] relaxes "no more than Count" with multipliers (Lagrangian relaxation) and
// closes what the bound leaves open by depth first search on the widest kind left: a
// strip is tried only where its reduced value leaves room for a better filling.
//
// [Slit] bounds by sets of strips side by side, then by column generation over
// blanks (Gilmore and Gomory 1961). Its first plans come from a programme over blanks
// that can be cut, whose strips share their pieces (a multiple knapsack for each set of
// strips of one width): the blank used most is cut, the programme solved anew for what
// is left; then the blanks that hold least for their cost are taken apart, a few at a
// time, and their pieces dived for anew.
//
// What stays open then is searched by branch and bound over the shapes of blanks, an
// extent and a setup of lanes that has room for none more: how the pieces of a width lie
// on its lanes does not matter to the other widths (decomposition of Benders 1962). What
// they ask of the lanes are demands: weights of the pieces that the best strips of the
// lanes must hold, found by a programme over strips wherever lanes fall short. The root
// is tightened further by mixed integer rounding of what weights of pieces ask of blanks,
// and of sums of two such rows; shapes that no better plan can have are barred by their
// reduced costs, in every node anew, and once those that are left are some thousands at
// most, every programme has them all. Blanks are counted by extent and setup, those of one
// shape by themselves, lanes by width and extent, and branched on where they are not whole,
// chosen by trying (strong branching) in an order that trials in other nodes suggest; a
// node goes on from its parent's basis by the dual simplex method. Cuts and
// demands that are idle for long are let go, and come back to the nodes that break them.
// The node of least bound comes next; bounds are rounded up to the unit of the blanks'
// lengths. Once the shapes are whole, the pieces of each width are seated on its lanes by
// search; where there is no seat, every better plan has more lanes from some extent up,
// which is branched on. In turns with the tree, walks seek better plans: shapes of one or
// two blanks are changed at a time, mostly to such as lose little by the root's reduced
// costs, and what their lanes fall short of the demands known counts against a plan
// (simulated annealing; Kirkpatrick, Gelatt and Vecchi 1983). Where pieces are few (some
// two dozen) everything is tried instead. A whole house's trim is commonly proven in some
// seconds, the hardest known in a minute or two; what is not says how far it may be off.
//
// # Certificate
//
// No bound rests on floating point. Multipliers and duals are rounded to integers
// first; the tables, and the bound read from them, are whole numbers. See [Proof]. So
// it is in every node of the tree; cuts and demands have whole entries, rounded to the side
// that keeps them true; but the tree itself is not handed out.
//
// All results are deterministic for equal input, save when a context ends the work
// early. Work is bounded by Steps; at the limit the best plan and the honest bound
// come back. Memory is bounded: sizes that share no coarse step, and more sizes
// than the tables hold, are errors.
package guillotine
