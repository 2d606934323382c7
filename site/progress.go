package site

import (
	"time"

	"coilwright/job"
	"coilwright/tally"
)

// Seen is a mark with the time at which it came to the office.
type Seen struct {
	tally.Mark
	Received time.Time
}

// Progress is what the office sees of a job on site.
type Progress struct {
	Revision int64              `json:"revision"`
	Cursor   string             `json:"cursor"`
	Counts   ProgressCounts     `json:"counts"`
	Feet     ProgressFeet       `json:"feet"`
	Coils    []ProgressCoil     `json:"coils"`
	Walls    []ProgressWall     `json:"walls"`
	People   []ProgressPerson   `json:"people"`
	Hours    float64            `json:"hours" doc:"From each person's first mark of a day to the last"`
	Days     []ProgressDay      `json:"days"`
	Forecast Forecast           `json:"forecast"`
	Homeless []ProgressHomeless `json:"homeless" doc:"Formed for a place that the layout has no more"`
	Twice    []ProgressTwice    `json:"twice" doc:"Formed again without being spoiled"`
	Sizes    []ProgressSize     `json:"sizes" doc:"Sizes that were found wrong"`
	Checks   []ProgressCheck    `json:"checks"`
	Quality  []ProgressQuality  `json:"quality"`
	Photos   []ProgressPhoto    `json:"photos"`
	Clocks   []ProgressClock    `json:"clocks" doc:"Phones whose clock is ahead"`
}

// ProgressCounts counts pieces that are to be cut; what is not fit to cut is left out.
type ProgressCounts struct {
	Pieces  int `json:"pieces"`
	Formed  int `json:"formed"`
	Hung    int `json:"hung"`
	Spoiled int `json:"spoiled"`
	LeftOut int `json:"left_out"`
}

// ProgressFeet is feet of strip.
type ProgressFeet struct {
	Planned float64 `json:"planned" doc:"Pieces, cuts and threading by the plan"`
	Formed  float64 `json:"formed" doc:"Pieces that stand formed, hung ones too"`
	Hung    float64 `json:"hung"`
	Spoiled float64 `json:"spoiled"`
	Scrap   float64 `json:"scrap" doc:"Threading so far"`
}

// ProgressCoil is one coil: what was planned off it, and what marks say is left.
type ProgressCoil struct {
	ID        string  `json:"id"`
	Name      string  `json:"name"`
	Lot       string  `json:"lot"`
	Colour    string  `json:"colour"`
	PlannedFt float64 `json:"planned_ft"`
	UsedFt    float64 `json:"used_ft"`
	LeftFt    float64 `json:"left_ft"`
	From      string  `json:"from" enum:"marks,reel"`
	OffFt     float64 `json:"off_ft"`
	Loaded    bool    `json:"loaded"`
	Short     bool    `json:"short" doc:"What it has yet to give is more than is left"`
}

// ProgressWall is one wall.
type ProgressWall struct {
	Wall        string `json:"wall"`
	Pieces      int    `json:"pieces"`
	Formed      int    `json:"formed"`
	Hung        int    `json:"hung"`
	QualityDone int    `json:"quality_done"`
	Quality     int    `json:"quality"`
	Ungated     bool   `json:"ungated" doc:"Something was hung before what it covers was looked at"`
}

// ProgressPerson is one person's marks.
type ProgressPerson struct {
	By     string  `json:"by"`
	Formed int     `json:"formed"`
	Hung   int     `json:"hung"`
	Hours  float64 `json:"hours"`
}

// ProgressDay is one day's marks.
type ProgressDay struct {
	Day    string  `json:"day" doc:"By the phones' clocks"`
	Formed int     `json:"formed"`
	Hung   int     `json:"hung"`
	Hours  float64 `json:"hours"`
}

// ProgressHomeless is a piece whose place is gone.
type ProgressHomeless struct {
	Key     string `json:"key"`
	Label   string `json:"label"`
	State   string `json:"state" enum:"waiting,ready,hung"`
	Formed  int    `json:"formed"`
	Spoiled int    `json:"spoiled"`
	// Fits is a piece that waits and is cut the same, where there is one.
	Fits *ProgressFits `json:"fits" doc:"A piece that waits and is cut the same; null: none"`
}

// ProgressFits is a place for a piece that lost its own.
type ProgressFits struct {
	Key    string `json:"key"`
	Number string `json:"number"`
	Wall   string `json:"wall"`
}

// ProgressTwice is a piece of which more lie there than one.
type ProgressTwice struct {
	Key     string `json:"key"`
	Number  string `json:"number"`
	Formed  int    `json:"formed"`
	Spoiled int    `json:"spoiled"`
}

// ProgressSize is a size that was found wrong. Patch is the change of the job that puts
// it right, null where it takes more than one number.
type ProgressSize struct {
	Mark  string      `json:"mark"`
	Wall  string      `json:"wall"`
	Size  string      `json:"size"`
	What  string      `json:"what"`
	Was   string      `json:"was"`
	Found string      `json:"found"`
	Open  bool        `json:"open" doc:"The job does not say so yet"`
	By    string      `json:"by"`
	At    string      `json:"at"`
	Patch []SizePatch `json:"patch"`
	Why   string      `json:"why"`
}

// SizePatch is one operation of an RFC 6902 patch.
type SizePatch struct {
	Op    string    `json:"op" enum:"replace"`
	Path  string    `json:"path"`
	Value SizeValue `json:"value"`
}

// SizeValue is a measured number of the job file.
type SizeValue struct {
	Length   string       `json:"length"`
	Measured SizeMeasured `json:"measured"`
}

// SizeMeasured is its pedigree.
type SizeMeasured struct {
	By        string `json:"by"`
	PlusMinus string `json:"plus_minus,omitempty"`
}

// ProgressCheck is the first piece of a set-up, measured.
type ProgressCheck struct {
	Setup  string `json:"setup"`
	Piece  string `json:"piece"`
	Wanted string `json:"wanted"`
	Found  string `json:"found"`
	Off    string `json:"off" doc:"Found less wanted"`
	By     string `json:"by"`
	At     string `json:"at"`
	OK     bool   `json:"ok"`
}

// ProgressQuality is one item looked at.
type ProgressQuality struct {
	Wall  string `json:"wall"`
	Item  string `json:"item"`
	What  string `json:"what" doc:"The item in words"`
	By    string `json:"by"`
	At    string `json:"at"`
	Photo string `json:"photo"`
	Note  string `json:"note"`
}

// ProgressPhoto is a photo pinned to a mark.
type ProgressPhoto struct {
	Mark  string `json:"mark"`
	Photo string `json:"photo"`
	About string `json:"about" doc:"What it was taken of, in words"`
	Words string `json:"words" doc:"What the person says that it shows"`
	By    string `json:"by"`
	At    string `json:"at"`
	Here  bool   `json:"here" doc:"The office has it"`
}

// ProgressClock is a phone whose clock is ahead of the office's.
type ProgressClock struct {
	Device string  `json:"device"`
	SkewS  float64 `json:"skew_s"`
	Text   string  `json:"text"`
}

// ProgressOf works out a job's progress: p is the pack as it stands, of job j; photos
// are the names of those that are kept; now is the office's clock.
func ProgressOf(p *Pack, j *job.Job, seen []Seen, photos map[string]bool, now time.Time) Progress {
	w := newWatch(p, j, seen, now)
	out := Progress{
		Revision: p.Revision, Counts: w.counts(), Feet: w.feet(), Coils: w.coils(), Walls: w.walls(), Homeless: w.homeless(), Twice: w.twice(),
		Sizes: w.sizes(), Checks: w.checks(), Quality: w.quality(), Photos: w.photos(photos), Clocks: clocks(seen),
	}
	out.People, out.Days, out.Hours = w.hours()
	out.Forecast = w.forecast()
	return out
}
