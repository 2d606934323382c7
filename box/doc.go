// Package box lays the walls of a house in box siding, that is in sections of one
// fixed length, as a good crew would, so that site-formed siding can be compared
// with it honestly. It takes the strips that the formed pieces cover, with their
// zones, courses and set-backs, and sees neither coils nor prices.
//
// # The rules
//
//   - A strip that one section covers is hung in one piece.
//   - A longer one is joined: each joint lapped by Rules.Lap, at least Rules.Stagger
//     from every joint of a neighbouring course of its zone and wall and from the
//     ends of its own strip, no nearer than Rules.Clear to the corner of an opening
//     that its course holds or touches; one piece more than the fewest at most, so
//     that no course is patched together from scraps.
//   - An offcut serves wherever it is long enough, on any wall, for the same panel,
//     texture, colour and thickness.
//   - Any end may lap: a crew notches a cut end by hand where the factory's notch is
//     gone (common practice, no source). Snips lose nothing. A panel has a butt and
//     a lock and cannot be turned, so a rake cut counts with its longer edge, as a
//     formed piece's does. A strip ripped narrow takes the full width, as a formed
//     piece does. Sections are counted singly; a carton would round them up.
//
// Each assumption that is in doubt favours box siding. Where a wall leaves no joint
// that keeps the rules, one is given up, in the order of the Rule constants, and the
// plan names the strip.
//
// # The objective
//
// In this order: fewest rules given up, fewest sections, fewest joints. A search
// lays strips one after another, each where it uses up least, then takes a few out
// and lays them anew for a bounded amount of work, sliding joints so that what is
// left gathers in few sections. Beside its answer stand bounds in whole numbers: see
// Plan. Where all strips take one piece the answer is exact by package pack. Equal
// strips give equal plans on every machine, and a mirrored house takes as many
// sections and joints.
package box
