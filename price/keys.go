package price

import (
	"slices"
	"strings"

	"coilwright/trim"
)

// Key is one price or rate that a book may hold: its name there, what it is for a
// person, and its unit.
type Key struct{ Name, What, Unit string }

// PriceKeys are the prices that an estimate can ask for, beside coil, which the
// mill's offers price.
var PriceKeys = []Key{
	{"starter_ft", "starter strip", "ft"}, {"j_channel_ft", "J-channel", "ft"}, {"finish_trim_ft", "finish trim", "ft"},
	{"drip_cap_ft", "drip cap", "ft"}, {"outside_post_ft", "outside corner post", "ft"}, {"inside_post_ft", "inside corner post", "ft"},
	{"post_flat_ft2", "corner post flat, embossed", "sq ft"}, {"transition_ft", "transition trim", "ft"},
	{"frieze_ft", "frieze board", "ft"}, {"soffit_ft2", "soffit", "sq ft"}, {"fascia_ft", "fascia", "ft"},
	{"shake_piece", "shake panel", "piece"}, {"wrb_roll", "weather-resistive barrier", "roll"}, {"tape_roll", "seam tape", "roll"},
	{"nails_lb", "nails", "lb"}, {"sealant_tube", "sealant", "tube"},
	{"disposal_square", "disposal fee for old cladding", "square"}, {"rental_day", "rented lift or scaffold", "day"},
}

// Named finds a price or rate by its name among keys.
func Named(keys []Key, name string) (Key, bool) {
	i := slices.IndexFunc(keys, func(k Key) bool { return k.Name == name })
	if i < 0 {
		return Key{}, false
	}
	return keys[i], true
}

// Optional says of a price or rate that an estimate does without it: its line is
// there only where the book has it.
func Optional(name string) bool {
	return slices.Contains([]string{"sealant_tube", "sealant_ft_tube", "disposal_square", "rental_day", "markup", "margin", "tear_off_square"}, name) ||
		strings.HasPrefix(name, tearOff) && name != TearOffAny
}

// RateKeys are the rates. Minutes are a person's minutes.
var RateKeys = slices.Concat(ownRates, tearOffRates())

// tearOffRates are those of the common old claddings.
func tearOffRates() []Key {
	out := []Key{}
	for _, old := range OldCladdings {
		out = append(out, tearOffKey(TearOffRate(old), old))
	}
	return append(out, Key{TearOffAny, TearOff + " any other cladding: each square", "minutes"},
		Key{"tear_off_square", "tearing off, priced by the square in place of hours", "money"})
}

var ownRates = []Key{
	{"hanger_hour", "a hanger's hour", "money"}, {"operator_hour", "a machine operator's hour", "money"},
	{SetUpMinutes, "forming: each set-up of the machine", "minutes"}, {FeedFtPerMinute, "forming: feed of the machine", "ft a minute"},
	{"hang_minutes_piece", "hanging: each piece", "minutes"}, {"hang_minutes_ft", "hanging: each foot of a piece", "minutes"},
	{"hang_minutes_cut_end", "hanging: each end that is not square", "minutes"}, {"hang_minutes_notch", "hanging: each notch", "minutes"},
	{HighShare, "hanging: more time for each 10 ft above the first 10 ft", "share"},
	{"trim_minutes_ft", "trim: each foot", "minutes"}, {"wrb_minutes_square", "weather barrier: each square", "minutes"},
	{"scaffold_move_hours", "moving the scaffold once", "hours"}, {"scaffold_width_ft", "wall that one scaffold place serves", "ft"},
	{"travel_hours_day", "travel of one person on one day", "hours"},
	{"crew", "people on site", "people"}, {"day_hours", "a day's hours", "hours"}, {"trailer_day", "machine and trailer, each day", "money"},
	{"nails_per_lb", "nails in a pound", "nails"}, {"sealant_ft_tube", "bead that a tube of sealant gives", "ft"},
	{"overhead", "overhead, as a share of direct cost", "share"}, {"margin", "margin, as a share of the price", "share"},
	{"markup", "mark-up, as a share of the cost, in place of a margin", "share"},
}

// bought tells how a kind of trim is priced.
type bought struct{ key, unit string }

// pricedBy gives each kind of trim its price. Nails are priced together by weight.
var pricedBy = map[trim.Kind]bought{
	trim.WRB: {"wrb_roll", "roll"}, trim.Tape: {"tape_roll", "roll"},
	trim.OutsidePost: {"outside_post_ft", "ft"}, trim.InsidePost: {"inside_post_ft", "ft"}, trim.PostFlat: {"post_flat_ft2", "sq ft"},
	trim.Starter: {"starter_ft", "ft"}, trim.Channel: {"j_channel_ft", "ft"}, trim.DripCap: {"drip_cap_ft", "ft"},
	trim.Transition: {"transition_ft", "ft"}, trim.TransitionUpright: {"transition_ft", "ft"},
	trim.Finish: {"finish_trim_ft", "ft"}, trim.Frieze: {"frieze_ft", "ft"},
	trim.Soffit: {"soffit_ft2", "sq ft"}, trim.Fascia: {"fascia_ft", "ft"},
}
