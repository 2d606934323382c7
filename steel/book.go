package steel

import (
	"math/big"

	"coilwright/measure"
)

// PanelKind is how a panel hangs.
type PanelKind string

// Horizontal and vertical panels are formed from coil; counted ones (shake) are
// bought by the piece.
const (
	Horizontal PanelKind = "horizontal"
	Vertical   PanelKind = "vertical"
	Counted    PanelKind = "counted"
)

// Panel is one formed shape of a shop.
type Panel struct {
	ID, Title  string
	Kind       PanelKind
	Laps       int
	Exposure   measure.Length // height of one lap
	Section    Section        // cross-section, may be empty
	BlankWidth measure.Length // flat strip that it needs, as the shop measured it
	Thickness  measure.Length // decimal thickness of its strip
	Fixed      string         // "top" for a vertical panel hung from its top, else ""
	PieceWidth measure.Length // counted panels: cover of one piece along the course
	RatedPSF   float64        // wind pressure that its maker tested and allows, lb/sq ft; 0: not known
}

// Cover is laps x exposure: what one panel hides of the wall.
func (p Panel) Cover() measure.Length { return measure.Length(p.Laps) * p.Exposure }

// Receiver is the trim that hides a piece's end or edge: Pocket is the distance
// from the outline to the pocket's back, Cover how far it hides the piece.
type Receiver struct{ Pocket, Cover measure.Length }

// Keys of Book.Receivers that are not kinds of wall edges.
const (
	OpeningSide = "opening-side"
	OpeningHead = "opening-head"
	OpeningSill = "opening-sill"
	ZoneEdge    = "zone"
)

// Gap is the rule for the room that a piece needs at its ends.
type Gap struct {
	Min, Allowance     measure.Length
	AlphaPerF          *big.Rat // linear expansion per degree Fahrenheit
	HottestF, ColdestF *big.Rat // temperatures of the panel itself
}

// Colour of the coater's range. Linear is sRGB primaries, 0 to 1, for screens.
type Colour struct {
	ID, Title string
	Linear    [3]float64
}

// Coil is one reel in stock. Length is what is on it, from the shop's own figure,
// its weight, or its diameters; PlusMinus the doubt of it, zero if not stated.
type Coil struct {
	ID, Lot, Colour   string
	Thickness, Width  measure.Length
	Length, PlusMinus measure.Length
}

// AnyColour is the colour of a mill coil that can be had in all.
const AnyColour = "any"

// Mill is a coil that can be bought. Colour [AnyColour] fits all; zero thickness or
// width fits any. Price is exact, of one coil, in the book's currency. Minimum is the
// fewest coils of it that the mill sells at once; 0 and 1 mean any number.
type Mill struct {
	Colour, Title            string
	Thickness, Width, Length measure.Length
	Price                    *big.Rat
	LeadDays, Minimum        int
	Date, Supplier           string // when the price was given, and by whom
}

// ColourIDs are the ids of the coater's range.
func (b *Book) ColourIDs() []string {
	var ids []string
	for _, c := range b.Colours {
		ids = append(ids, c.ID)
	}
	return ids
}

// Fits says whether the offer serves for a strip of that colour, thickness and width.
func (m Mill) Fits(colour string, thickness, width measure.Length) bool {
	return (m.Colour == colour || m.Colour == AnyColour) &&
		(m.Thickness == 0 || m.Thickness == thickness) && (m.Width == 0 || m.Width == width)
}

// Machine is the roll former.
type Machine struct {
	SetupMinutes                     float64
	FeedFtPerMinute                  float64
	ThreadingScrap, CutLoss, Reserve measure.Length
}

// FitToCut is what a number must be before steel is cut from it.
type FitToCut struct {
	By        string // weakest source that will do
	PlusMinus measure.Length
	Over      string
}

// Joint is the rule for planned joints.
type Joint struct{ Lap, Stagger, ClearOfOpening measure.Length }

// Steel is the strip itself.
type Steel struct {
	Thickness measure.Length // where a panel names none
	Density   *big.Rat       // lb per cubic inch
	Basis     string         // of thicknesses: "total" with coating, "base" without; empty: not said
}

// Trim is the shop's trim: all sizes in the shop's own practice.
type Trim struct {
	StockLength measure.Length // length in which trim is bought or bent
	JFace       measure.Length // face of the J-channel
	PostFlat    measure.Length // flat embossed strip of one corner post
	Lap         measure.Length // lap where two lengths of trim meet
	StudSpacing measure.Length
	CoilWidth   measure.Length // width of flat trim coil
	CoilLength  measure.Length // length of a trim coil as bought; 0: not bought by the coil
	BrakeLength measure.Length
	BlankStep   measure.Length // blanks are cut off the coil to multiples of it; 0: the shop's step
	// Girths holds, by the kind of trim, the width of flat strip that the shop bends
	// it from; kinds that are missing are bought formed. That of frieze is what hems
	// add to the board's own height.
	Girths       map[string]measure.Length
	PostFlatFrom string // "panel-coil", else corner flats come from trim coil
	WRBWidth     measure.Length
	WRBRoll      measure.Length // length of one roll
	WRBLap       measure.Length // upper over lower
	WRBEndLap    measure.Length
	TapeRoll     measure.Length
	NailSpacing  measure.Length // of trim
}

// Fasteners is how a shop nails panels to studs: zero where the book does not say.
type Fasteners struct {
	Diameter    measure.Length // of the smooth shank
	Penetration measure.Length // into the stud itself, not into sheathing
	Gravity     float64        // specific gravity of the studs' wood
	HeadClear   measure.Length // room left under the head, so that the panel slides
}

// Carrying is a shop's rule for long pieces: zero where the book does not say.
type Carrying struct {
	Alone, Person measure.Length // one person carries so long a piece; one more for each further length
	PersonLb      float64        // most that one person lifts
	StopMPH       float64        // gusts in which no long piece is carried
}

// Book is one shop's own figures.
type Book struct {
	Title        string
	Invented     bool           // demo figures
	Step         measure.Length // 0: by the job's units
	Sliver       measure.Length
	LongestPiece measure.Length // 0: none
	Receivers    map[string]Receiver
	Gap          Gap
	Panels       []Panel
	Textures     []string
	Colours      []Colour
	Steel        Steel
	Coils        []Coil
	Mill         []Mill
	Machine      Machine
	FitToCut     FitToCut
	Joint        Joint
	Trim         Trim
	Fasteners    Fasteners
	Carrying     Carrying
}

// StepIn is the shop's step for a job in u: what lengths are rounded to.
func (b *Book) StepIn(u measure.Units) measure.Length {
	if b.Step > 0 {
		return b.Step
	}
	return u.Step()
}

// Panel finds a panel by id.
func (b *Book) Panel(id string) (Panel, bool) {
	for _, p := range b.Panels {
		if p.ID == id {
			return p, true
		}
	}
	return Panel{}, false
}

// Receiver gives the book's receiver for an edge kind or opening side; the zero
// receiver where the book has none.
func (b *Book) Receiver(key string) Receiver { return b.Receivers[key] }
