// Package site puts together what a crew takes along to the house: everything about
// one scheme that the machine's screen and the wall's screen show, in one value that
// a phone can keep for days without a network, and what the crew's marks say of it
// afterwards: pieces formed and hung, feet on each coil, the finish to be expected.
//
// Lengths are worked out here, once, in whole nanometres, and written as text in the
// job's units beside decimal inches for drawing; a page computes none. Places that
// are only drawn are rounded to 1/10,000 in.
package site

import "coilwright/job"

// XY is a place in inches.
type XY = [2]float64

// Pack is one scheme as the crew takes it along. Arrays are never null.
type Pack struct {
	Job           string        `json:"job"`
	Title         string        `json:"title"`
	Scheme        string        `json:"scheme"`
	SchemeTitle   string        `json:"scheme_title"`
	Revision      int64         `json:"revision" doc:"Of the job that this was worked out of"`
	Units         string        `json:"units" enum:"imperial,metric"`
	InstallTempF  float64       `json:"install_temp_f" doc:"Temperature that pieces were cut for"`
	Temp          string        `json:"temp"`
	HouseInvented bool          `json:"house_invented"`
	Book          string        `json:"book"`
	Machine       PackMachine   `json:"machine"`
	Setups        []PackSetup   `json:"setups" doc:"In the machine's order"`
	Pieces        []PackPiece   `json:"pieces" doc:"In hanging order, wall by wall"`
	Blanks        []PackBlank   `json:"blanks" doc:"Flat blanks that the machine forms too"`
	Coils         []PackCoil    `json:"coils"`
	Bundles       []PackBundle  `json:"bundles"`
	Walls         []PackWall    `json:"walls"`
	Gap           PackGap       `json:"gap"`
	Wind          PackWind      `json:"wind"`
	Carry         PackCarry     `json:"carry"`
	Cautions      []job.Caution `json:"cautions"`
	LeftOut       []PackLeftOut `json:"left_out" doc:"Not to be cut, and why"`
	QR            PackQR        `json:"qr"`
	Release       PackRelease   `json:"release"`
}

// PackLength is a length to read and to compare.
type PackLength struct {
	In   float64 `json:"in"`
	Text string  `json:"text"`
}

// PackMachine is what each threading and each cut loses, and how near to its length a
// first piece must come.
type PackMachine struct {
	ThreadingScrapFt float64    `json:"threading_scrap_ft"`
	ThreadingScrap   string     `json:"threading_scrap"`
	CutLossIn        float64    `json:"cut_loss_in"`
	CutLoss          string     `json:"cut_loss"`
	FirstPieceWithin PackLength `json:"first_piece_within"`
}

// PackSetup is one set-up of the machine as a checklist, and its pieces by coil.
type PackSetup struct {
	ID             string     `json:"id" doc:"Stays the same while the set-up is the same"`
	N              int        `json:"n"`
	Panel          string     `json:"panel"`
	PanelTitle     string     `json:"panel_title"`
	Texture        string     `json:"texture"`
	TextureRollers string     `json:"texture_rollers" enum:"in,out"`
	Colour         string     `json:"colour"`
	ColourTitle    string     `json:"colour_title"`
	Thickness      string     `json:"thickness"`
	Width          string     `json:"width"`
	Minutes        float64    `json:"minutes"`
	Steps          []PackStep `json:"steps"`
	Reels          []PackReel `json:"reels"`
}

// PackStep is one line of the checklist; Caution is where of the cautions, or empty.
type PackStep struct {
	ID      string `json:"id" enum:"power,rollers,texture,coil,thread,first"`
	What    string `json:"what"`
	Caution string `json:"caution"`
}

// PackReel is pieces or blanks cut from one coil in the order of forming.
type PackReel struct {
	Coil   string   `json:"coil"`
	Pieces []string `json:"pieces"`
}

// PackPiece is one piece; its set-up says what it is made of and from which coil. Shape and holes are in its own coordinates: x from its left
// end along the strip, y up; on the wall a horizontal piece's place is x + at, y + at,
// a vertical one's at.x + across - y, at.y + x.
type PackPiece struct {
	Key        string      `json:"key" doc:"Names the piece in marks: as long as its place and cut stay, so does it"`
	ID         string      `json:"id"`
	Number     string      `json:"number"`
	Wall       string      `json:"wall"`
	Zone       string      `json:"zone"`
	Course     int         `json:"course"`
	Setup      string      `json:"setup" doc:"Empty: not to be cut"`
	Coil       string      `json:"-"` // its set-up says so; so do texture and colour
	Panel      string      `json:"panel"`
	Texture    string      `json:"-"`
	Colour     string      `json:"-"`
	Vertical   bool        `json:"vertical,omitempty"`
	Length     string      `json:"length"`
	LengthIn   float64     `json:"length_in"`
	AcrossIn   float64     `json:"across_in"`
	Rip        *PackLength `json:"rip,omitempty"`
	AtIn       XY          `json:"at_in"`
	At         [2]string   `json:"at" doc:"Lower left corner of its box, from the wall's left end and level line"`
	Shape      []XY        `json:"shape"`
	Holes      [][]XY      `json:"holes,omitempty"`
	Ends       [2]PackEnd  `json:"ends" doc:"Left and right; of a vertical piece bottom and top"`
	Notches    []PackNotch `json:"notches,omitempty"`
	MarksLow   *[2]string  `json:"marks_low,omitempty" doc:"Rake cuts: from where to where the lower edge reaches"`
	MarksHigh  *[2]string  `json:"marks_high,omitempty" doc:"The same of the upper edge"`
	GapStep    int         `json:"gap_step" doc:"Index into gap.steps that it was cut for"`
	GapFromF   []float64   `json:"gap_from_f" doc:"gap.steps[k] is enough from this temperature up"`
	HangBelowF *float64    `json:"hang_below_f,omitempty" doc:"Hung hotter it could leave its receiver on the coldest day"`
	WeightLb   float64     `json:"weight_lb"`
	People     int         `json:"people"`
	Label      string      `json:"label"`
	Warnings   []string    `json:"warnings,omitempty"`
	Cut        string      `json:"cut" doc:"The same for pieces cut the same, wherever they hang"`
	OnWord     *PackWord   `json:"on_word,omitempty" doc:"Not fit to cut by the shop's rule, and cut on somebody's word"`
}

// PackEnd is one end of a piece.
type PackEnd struct {
	Cut      string  `json:"cut"`
	AngleDeg float64 `json:"angle_deg,omitempty" doc:"Left out: square"`
	Receiver string  `json:"receiver"`
	Gap      string  `json:"gap"`
}

// PackNotch is a cut-out, from the piece's left end and lower edge.
type PackNotch struct {
	Opening string  `json:"opening"`
	Where   string  `json:"where" enum:"top,bottom,left,right,inside"`
	Square  bool    `json:"square"`
	XIn     float64 `json:"x_in"`
	YIn     float64 `json:"y_in"`
	WIn     float64 `json:"w_in"`
	HIn     float64 `json:"h_in"`
	From    string  `json:"from"`
	To      string  `json:"to"`
	Width   string  `json:"width"`
	Height  string  `json:"height"`
	Up      string  `json:"up" doc:"From the lower edge to the cut-out's own"`
}

// PackBlank is a flat blank that corner posts are slit from.
type PackBlank struct {
	Key      string  `json:"key"`
	ID       string  `json:"id"`
	Wall     string  `json:"wall"`
	Setup    string  `json:"setup"`
	Coil     string  `json:"coil"`
	Length   string  `json:"length"`
	LengthIn float64 `json:"length_in"`
	Label    string  `json:"label"`
}

// PackCoil is one coil of the plan.
type PackCoil struct {
	ID          string  `json:"id"`
	Name        string  `json:"name" doc:"What a person calls it: a coil to buy by its colour and length"`
	Lot         string  `json:"lot"`
	Colour      string  `json:"colour"`
	Thickness   string  `json:"thickness"`
	Width       string  `json:"width"`
	Bought      bool    `json:"bought"`
	LengthFt    float64 `json:"length_ft"`
	PlusMinusFt float64 `json:"plus_minus_ft"`
	UsedFt      float64 `json:"used_ft"`
	TailFt      float64 `json:"tail_ft"`
	Pieces      int     `json:"pieces"`
}

// PackBundle is pieces that are carried together.
type PackBundle struct {
	ID       string   `json:"id"`
	Wall     string   `json:"wall"`
	Setup    string   `json:"setup"`
	Pieces   []string `json:"-"`
	First    string   `json:"first" doc:"Key of the one that hangs first"`
	Last     string   `json:"last"`
	Count    int      `json:"count"`
	WeightLb float64  `json:"weight_lb"`
	People   int      `json:"people"`
}

// PackLeftOut is a piece that is not to be cut.
type PackLeftOut struct {
	Piece string `json:"piece"`
	Why   string `json:"why"`
	Unfit bool   `json:"unfit" doc:"By the shop's rule: it could be cut on somebody's word"`
}

// PackQR says what labels' codes hold: prefix and the key in capitals.
type PackQR struct {
	Prefix string `json:"prefix"`
}

// PackWord is who answers for a piece that is not fit to cut.
type PackWord struct {
	Name   string `json:"name"`
	Reason string `json:"reason"`
	Unfit  string `json:"unfit" doc:"Why it is not fit to cut by the shop's rule"`
}

// PackRelease says whether the machine may form anything of the scheme: once a job is
// signed, not before it is released.
type PackRelease struct {
	State string   `json:"state" enum:"unsigned,open,ready,released"`
	Says  string   `json:"says" doc:"Empty while nothing is signed"`
	Why   []string `json:"why" doc:"What is to be done before it can be released"`
}
