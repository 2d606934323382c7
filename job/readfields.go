package job

import (
	"coilwright/hang"
	"coilwright/house"
	"coilwright/scheme"
	"coilwright/steel"
	"coilwright/trim"
)

// The fields that each object of a job file may have; the JSON Schemas list the
// same ones, held together by a test.
var (
	jobFields      = []string{"format", "title", "units", "install_temp_f", "house", "schemes", "site", "shop"}
	houseFields    = []string{"walls", "corners", "readings", "photos", "site"}
	wallFields     = []string{"id", "outline", "edges", "faces_deg", "openings", "measured", "over", "overhang", "plumb", "level"}
	openingFields  = []string{"id", "kind", "at", "size", "outline", "measured"}
	numberFields   = []string{"length", "measured"}
	measuredFields = []string{"by", "plus_minus", "adjusted"}
	cornerFields   = []string{"between", "kind"}
	readingFields  = []string{"between", "length", "measured"}
	photoFields    = []string{"id", "file", "marks", "mask", "sun", "references", "old", "strokes"}
	strokeFields   = []string{"kind", "width_px", "points"}
	oldFields      = []string{"exposure", "butt", "datum", "linear"}
	sunFields      = []string{"at", "lat", "lon", "azimuth_deg", "elevation_deg"}
	knownFields    = []string{"pixels", "linear"}
	schemeFields   = []string{"id", "title", "zones", "frieze", "trim_colour", "datum"}
	zoneFields     = []string{"id", "walls", "where", "panel", "texture", "colour", "thickness", "start", "balance"}
	whereFields    = []string{"below", "above", "outline"}
	datumFields    = []string{"between"}
	windFields     = []string{"edition", "wind_mph", "exposure", "mean_roof_height", "roof_slope_deg", "ground_ft", "kzt", "partly_open", "least_width"}
	siteFields     = []string{"tear_off", "scaffold_moves", "owner", "address", "start", "finish", "scope", "not_included"}
)

// The fields of the shop book.
var (
	bookFields = []string{"title", "invented", "currency", "step", "sliver", "longest_piece", "receivers", "gap", "panels",
		"texture", "colours", "steel", "coils", "mill", "machine", "fit_to_cut", "joint", "prices", "rates", "taxes", "offer", "trim",
		"fasteners", "carrying"}
	shopFields     = append([]string{"use"}, bookFields...)
	receiverFields = []string{"pocket", "cover"}
	gapFields      = []string{"min", "allowance", "alpha_per_f", "hottest_f", "coldest_f"}
	panelFields    = []string{"id", "title", "kind", "laps", "exposure", "blank_width", "thickness", "cross_section", "fixed", "piece_width", "rated_psf"}
	sectionFields  = []string{"start", "inside_radius", "k", "spans", "nail_slots"}
	spanFields     = []string{"to", "centre", "clockwise"}
	slotFields     = []string{"length", "width", "spacing", "from_top"}
	textureFields  = []string{"id", "title"}
	colourFields   = []string{"id", "title", "lab", "illuminant", "srgb", "linear"}
	steelFields    = []string{"thickness", "density_lb_in3", "basis"}
	coilFields     = []string{"id", "lot", "colour", "thickness", "width", "plus_minus", "length", "weight_lb", "outer_dia", "inner_dia"}
	millFields     = []string{"colour", "thickness", "width", "length", "price", "lead_days", "minimum", "title", "date", "supplier"}
	machineFields  = []string{"setup_minutes", "feed_ft_per_min", "threading_scrap", "cut_loss", "reserve"}
	fitFields      = []string{"by", "plus_minus", "over"}
	datedFields    = []string{"value", "date", "supplier", "jobs"}
	taxFields      = []string{"title", "share", "on", "except"}
	fastenerFields = []string{"diameter", "penetration", "gravity", "head_clear"}
	carryingFields = []string{"alone", "person", "person_lb", "stop_mph"}
	jointFields    = []string{"lap", "stagger", "clear_of_opening"}
	trimFields     = []string{"stock_length", "j_face", "post_flat", "lap", "stud_spacing", "coil_width", "brake_length",
		"coil_length", "blank_step", "girths", "post_flat_from", "wrb_width", "wrb_roll", "wrb_lap", "wrb_end_lap", "tape_roll", "nail_spacing"}
)

// The words that a job file may use.
var (
	editionNames  = names([]hang.Edition{hang.ASCE716, hang.ASCE722})
	exposureNames = []string{"B", "C", "D"}
	unitNames     = []string{"imperial", "metric"}
	edgeNames     = names(house.EdgeKinds[:])
	openingNames  = names(house.OpeningKinds[:])
	sourceNames   = names(house.Sources[:])
	overNames     = names([]house.Over{house.Substrate, house.OldCladding})
	strokeNames   = []string{"wall", "front"}
	cornerNames   = []string{"outside", "inside"}
	startNames    = names([]scheme.Start{scheme.StartHouse, scheme.StartZone})
	balanceNames  = names([]scheme.Balance{scheme.Even, scheme.Left, scheme.Right})
	panelNames    = names([]steel.PanelKind{steel.Horizontal, steel.Vertical, steel.Counted})
	flatNames     = []string{trim.TrimCoil, trim.PanelCoil}
	girthKeys     = names([]trim.Kind{trim.OutsidePost, trim.InsidePost, trim.Starter, trim.Channel, trim.DripCap, trim.Transition,
		trim.TransitionUpright, trim.Finish, trim.Frieze, trim.Fascia})
	basisNames   = []string{"total", "base"}
	receiverKeys = append(names(house.EdgeKinds[:]), steel.OpeningSide, steel.OpeningHead, steel.OpeningSill, steel.ZoneEdge)
)

func names[T ~string](all []T) []string {
	out := make([]string, len(all))
	for i, n := range all {
		out[i] = string(n)
	}
	return out
}
